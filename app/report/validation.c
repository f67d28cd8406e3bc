#include "app/report/validation.h"

#include "app/base/time.h"
#include "app/lab/calibration.h"
#include "app/report/columns.h"
#include "app/report/program.h"
#include "app/report/program_json.h"
#include "app/report/rounding.h"

#include <math.h>

static const struct lab_check *at(const struct lab_validation *validation, guint i)
{
	return LAB_AT(validation->checks, lab_check, i);
}

static guint failures(const struct lab_validation *validation)
{
	guint n = 0;

	for (guint i = 0; i < validation->checks->len; i++)
		n += !at(validation, i)->passed;
	return n;
}

/* ---- text ---- */

static void head(const struct lab_validation *validation, GString *to)
{
	const struct report_library *libraries;
	const size_t n = report_program_libraries(&libraries);
	g_autoptr(GString) text = g_string_new(NULL);
	char time[BASE_TIME_SIZE];

	base_time_print(validation->time_us, time);
	g_string_append_printf(to, "Validation of firn %s\n\n", report_program_version);
	g_string_append_printf(to, "  time       %s\n", time);
	g_string_append_printf(to, "  build      %s\n", report_program_build());
	g_string_append_printf(to, "  processor  %s\n", validation->processor);
	for (size_t i = 0; i < n; i++)
		g_string_append_printf(text, "%s%s %s", i > 0 ? ", " : "  libraries  ",
				       libraries[i].name, libraries[i].version);
	report_wrap(to, text->str, 13);
	g_string_append_c(to, '\n');
}

/* Numbers to the place that the tolerance can tell. */
static void number(double x, double tolerance, char ret[REPORT_NUMBER_SIZE])
{
	int places;

	if (fabs(x) >= 1e-4 && report_places(tolerance, &places) && places > 0)
		report_fixed(x, places, REPORT_PLAIN, ret);
	else
		report_significant(x, x == floor(x) ? 12 : 2, REPORT_PLAIN, ret);
}

static void print_check(const struct lab_check *check, GString *to)
{
	char expected[REPORT_NUMBER_SIZE], found[REPORT_NUMBER_SIZE], tolerance[REPORT_NUMBER_SIZE];

	number(check->expected, check->tolerance, expected);
	number(check->found, check->tolerance, found);
	report_significant(check->tolerance, 2, REPORT_PLAIN, tolerance);
	g_autofree char *text = g_strdup_printf("%s  %s: found %s, expected %s within %s (%s)",
						check->passed ? "yes" : "NO ", check->name, found,
						expected, tolerance, check->source);
	report_wrap(to, text, 5);
}

void report_validation_text(const struct lab_validation *validation, GString *to)
{
	head(validation, to);
	for (guint i = 0; i < validation->checks->len; i++)
		print_check(at(validation, i), to);
	if (validation->passed)
		g_string_append_printf(to, "\nAll %u checks say yes.\n", validation->checks->len);
	else
		g_string_append_printf(
		    to, "\n%u of %u checks say no: do not rely on results of this machine.\n",
		    failures(validation), validation->checks->len);
}

/* ---- JSON ---- */

static void write_check(struct report_json *json, const struct lab_check *check)
{
	report_json_object(json, NULL);
	report_json_text(json, "name", check->name);
	report_json_text(json, "source", check->source);
	report_json_number(json, "expected", check->expected);
	report_json_number(json, "tolerance", check->tolerance);
	report_json_number(json, "found", check->found);
	report_json_boolean(json, "passed", check->passed);
	report_json_close(json);
}

void report_validation_json(const struct lab_validation *validation, GString *to)
{
	struct report_json json;
	char time[BASE_TIME_SIZE];

	base_time_print(validation->time_us, time);
	report_json_start(&json, to);
	report_json_object(&json, NULL);
	report_json_text(&json, "kind", "validation record");
	report_json_integer(&json, "schema", REPORT_VALIDATION_SCHEMA);
	report_json_text(&json, "time", time);
	report_program_json(&json);
	report_json_text(&json, "processor", validation->processor);
	report_json_array(&json, "checks");
	for (guint i = 0; i < validation->checks->len; i++)
		write_check(&json, at(validation, i));
	report_json_close(&json);
	report_json_boolean(&json, "passed", validation->passed);
	report_json_close(&json);
	report_json_finish(&json);
}
