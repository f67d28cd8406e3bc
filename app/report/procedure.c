#include "app/report/procedure.h"

#include "app/lab/value.h"
#include "app/report/columns.h"
#include "app/report/json_writer.h"
#include "firn/number.h"

#include <stdarg.h>
#include <string.h>

/* "5 to 10 mm", "at least 2 h", "10 mm" of two ends, either of which may be open. */
static char *span(double low, double high, const char *unit)
{
	const bool plain = strcmp(unit, "1") == 0;
	char a[FIRN_NUMBER_SIZE], b[FIRN_NUMBER_SIZE];

	firn_number_print(low, a);
	firn_number_print(high, b);
	if (lab_given(low) && lab_given(high) && low != high)
		return g_strdup_printf("%s to %s%s%s", a, b, plain ? "" : " ", plain ? "" : unit);
	return g_strdup_printf("%s%s%s%s",
			       low == high      ? ""
			       : lab_given(low) ? "at least "
						: "at most ",
			       lab_given(low) ? a : b, plain ? "" : " ", plain ? "" : unit);
}

char *report_step_time(const struct lab_step_time *time)
{
	return time->unit == NULL ? NULL : span(time->least, time->most, time->unit);
}

static void paragraph(GString *to, int hang, const char *format, ...) G_GNUC_PRINTF(3, 4);
static void paragraph(GString *to, int hang, const char *format, ...)
{
	g_autofree char *text = NULL;
	va_list arguments;

	va_start(arguments, format);
	text = g_strdup_vprintf(format, arguments);
	va_end(arguments);
	report_wrap(to, text, hang);
}

static void append_caution(GString *to, const struct lab_caution *caution)
{
	paragraph(to, 7, "    !! CAUTION, %s. %s", caution->hazard, caution->words);
	if (caution->figures != NULL)
		paragraph(to, 7, "       %s (%s)", caution->figures, caution->source);
	else
		paragraph(to, 7, "       (%s)", caution->source);
}

static void append_texts(GString *to, const char *label, const GPtrArray *texts)
{
	g_autoptr(GString) line = g_string_new(NULL);

	if (texts->len == 0)
		return;
	for (guint i = 0; i < texts->len; i++)
		g_string_append_printf(line, "%s%s", i > 0 ? "; " : "",
				       (const char *)texts->pdata[i]);
	paragraph(to, 6, "    %s: %s.", label, line->str);
}

static void append_step(GString *to, const struct lab_step *step)
{
	g_autofree char *time = report_step_time(&step->time);

	paragraph(to, 4, "    %s", step->what);
	paragraph(to, 6, "    Why: %s", step->why);
	if (time != NULL)
		paragraph(to, 6, "    Time: %s (%s).", time, step->time.source);
	for (guint i = 0; i < step->limits->len; i++) {
		const struct lab_step_limit *limit =
		    &g_array_index(step->limits, struct lab_step_limit, i);
		g_autofree char *ends = span(limit->low, limit->high, limit->unit);

		paragraph(to, 6, "    Limit: %s, %s (%s).", limit->what, ends, limit->source);
	}
	append_texts(to, "Go on only when", step->checks);
	append_texts(to, "Write down", step->write_down);
	paragraph(to, 6, "    Source: %s", step->source);
}

static void append_heading(GString *to, const lab_procedure *procedure, guint at)
{
	const struct lab_step *step = procedure->steps->pdata[at];

	g_string_append_printf(to, "%2u  %s", at + 1, step->id);
	if (step->changed != NULL)
		g_string_append_printf(to, " (%s by the laboratory)", step->changed);
	g_string_append_c(to, '\n');
}

void report_step_text(const lab_procedure *procedure, guint at, GString *to)
{
	const struct lab_step *step = procedure->steps->pdata[at];

	append_heading(to, procedure, at);
	for (guint i = 0; i < step->cautions->len; i++)
		append_caution(to, step->cautions->pdata[i]);
	if (step->cautions->len > 0)
		report_wrap(to, "    " LAB_CAUTION_RULE, 4);
	append_step(to, step);
}

/* The first step that shows a caution. */
static guint first_with(const lab_procedure *procedure, const struct lab_caution *caution)
{
	for (guint i = 0; i < procedure->steps->len; i++)
		if (g_ptr_array_find(((struct lab_step *)procedure->steps->pdata[i])->cautions,
				     caution, NULL))
			return i;
	g_assert_not_reached();
}

void report_procedure_text(const lab_procedure *procedure, GString *to)
{
	g_string_append_printf(to, "%s (%s)\n", procedure->title, procedure->name);
	if (procedure->laboratory != NULL)
		paragraph(to, 0, "With the laboratory's own words: %s.", procedure->laboratory);
	report_wrap(to, LAB_CAUTION_RULE, 0);
	for (guint i = 0; i < procedure->steps->len; i++) {
		const struct lab_step *step = procedure->steps->pdata[i];

		g_string_append_c(to, '\n');
		append_heading(to, procedure, i);
		for (guint c = 0; c < step->cautions->len; c++) {
			const struct lab_caution *caution = step->cautions->pdata[c];
			const guint first = first_with(procedure, caution);

			if (first == i)
				append_caution(to, caution);
			else
				paragraph(to, 7, "    !! CAUTION, %s: as before step %u.",
					  caution->hazard, first + 1);
		}
		append_step(to, step);
	}
}

void report_cautions_text(GString *to)
{
	report_wrap(to, LAB_CAUTION_RULE, 0);
	for (const struct lab_caution *c = lab_cautions; c->id != NULL; c++) {
		g_string_append_printf(to, "\n%s\n", c->id);
		append_caution(to, c);
	}
}

/* ---- JSON ---- */

static void write_if(struct report_json *json, const char *name, const char *text)
{
	if (text != NULL)
		report_json_text(json, name, text);
}

static void write_end(struct report_json *json, const char *name, double x)
{
	if (lab_given(x))
		report_json_number(json, name, x);
}

static void write_cautions(struct report_json *json, const lab_procedure *procedure)
{
	g_autoptr(GHashTable) seen = g_hash_table_new(NULL, NULL);

	report_json_object(json, "cautions");
	for (guint i = 0; i < procedure->steps->len; i++) {
		const struct lab_step *step = procedure->steps->pdata[i];

		for (guint k = 0; k < step->cautions->len; k++) {
			const struct lab_caution *c = step->cautions->pdata[k];

			if (!g_hash_table_add(seen, (gpointer)c))
				continue;
			report_json_object(json, c->id);
			report_json_text(json, "hazard", c->hazard);
			report_json_text(json, "caution", c->words);
			write_if(json, "figures", c->figures);
			report_json_text(json, "source", c->source);
			report_json_close(json);
		}
	}
	report_json_close(json);
}

static void write_details(struct report_json *json, const struct lab_step *step)
{
	if (step->time.unit != NULL) {
		report_json_object(json, "time");
		write_end(json, "least", step->time.least);
		write_end(json, "most", step->time.most);
		report_json_text(json, "unit", step->time.unit);
		report_json_text(json, "source", step->time.source);
		report_json_close(json);
	}
	if (step->limits->len == 0)
		return;
	report_json_array(json, "limits");
	for (guint i = 0; i < step->limits->len; i++) {
		const struct lab_step_limit *limit =
		    &g_array_index(step->limits, struct lab_step_limit, i);

		report_json_object(json, NULL);
		report_json_text(json, "what", limit->what);
		write_end(json, "low", limit->low);
		write_end(json, "high", limit->high);
		report_json_text(json, "unit", limit->unit);
		report_json_text(json, "source", limit->source);
		report_json_close(json);
	}
	report_json_close(json);
}

static void write_step(struct report_json *json, const struct lab_step *step)
{
	g_autoptr(GPtrArray) cautions = g_ptr_array_new();

	for (guint i = 0; i < step->cautions->len; i++)
		g_ptr_array_add(cautions,
				(gpointer)((struct lab_caution *)step->cautions->pdata[i])->id);
	report_json_object(json, step->id);
	/* Before what is done, for whoever reads it from the top. */
	report_json_texts(json, "cautions", cautions);
	report_json_text(json, "do", step->what);
	report_json_text(json, "why", step->why);
	write_details(json, step);
	report_json_texts(json, "check", step->checks);
	report_json_texts(json, "write_down", step->write_down);
	report_json_text(json, "source", step->source);
	write_if(json, "changed", step->changed);
	report_json_close(json);
}

void report_procedure_json(const lab_procedure *procedure, GString *to)
{
	struct report_json json;

	report_json_start(&json, to);
	report_json_object(&json, NULL);
	report_json_text(&json, "kind", "procedure");
	report_json_text(&json, "name", procedure->name);
	report_json_text(&json, "title", procedure->title);
	write_if(&json, "point", procedure->point);
	write_if(&json, "method", procedure->method);
	write_if(&json, "laboratory", procedure->laboratory);
	write_cautions(&json, procedure);
	report_json_object(&json, "steps");
	for (guint i = 0; i < procedure->steps->len; i++)
		write_step(&json, procedure->steps->pdata[i]);
	report_json_close(&json);
	report_json_close(&json);
	report_json_finish(&json);
}
