#include "app/report/cell_words.h"

#include "app/report/columns.h"
#include "app/report/program_json.h"
#include "app/report/rounding.h"
#include "app/report/words.h"

#include <math.h>

#define SCHEMA 1

static const struct {
	double from;
	double scale;
	const char *unit;
} temperatures[] = { { 1.0, 1.0, "K" }, { 1e-3, 1e3, "mK" }, { 0.0, 1e6, "µK" } },
  times[] = { { 172800.0, 1 / 86400.0, "d" },
	      { 7200.0, 1 / 3600.0, "h" },
	      { 120.0, 1 / 60.0, "min" },
	      { 0.0, 1.0, "s" } };

char *report_cell_scaled(const struct lab_estimate *x, double scale, const char *unit)
{
	char text[REPORT_NUMBER_SIZE];

	if (!lab_given(x->value))
		return g_strdup("–");
	report_concise(x->value * scale, x->u * scale, REPORT_MINUS, text);
	return g_strdup_printf("%s %s", text, unit);
}

/* Far below what anybody measures there are no digits to show. */
#define NOTHING_K 1e-9

char *report_cell_kelvin(const struct lab_estimate *x)
{
	size_t i = 0;

	if (lab_given(x->value) && fabs(x->value) + x->u < NOTHING_K)
		return g_strdup("below 1 nK");
	while (i + 1 < G_N_ELEMENTS(temperatures) && fabs(x->value) < temperatures[i].from)
		i++;
	return report_cell_scaled(x, temperatures[i].scale, temperatures[i].unit);
}

static char *size(double x, double scale, const char *unit)
{
	char text[REPORT_NUMBER_SIZE];

	report_significant(x * scale, 2, REPORT_MINUS, text);
	return g_strdup_printf("%s %s", text, unit);
}

char *report_cell_size(double x_K)
{
	size_t i = 0;

	if (!lab_given(x_K))
		return g_strdup("–");
	if (fabs(x_K) < NOTHING_K)
		return g_strdup("below 1 nK");
	while (i + 1 < G_N_ELEMENTS(temperatures) && fabs(x_K) < temperatures[i].from)
		i++;
	return size(x_K, temperatures[i].scale, temperatures[i].unit);
}

char *report_cell_time(double t_s)
{
	size_t i = 0;

	if (!lab_given(t_s))
		return g_strdup("–");
	while (i + 1 < G_N_ELEMENTS(times) && fabs(t_s) < times[i].from)
		i++;
	return size(t_s, times[i].scale, times[i].unit);
}

void report_cell_row(report_columns *columns, const char *what, char *value, const char *remark)
{
	report_columns_cell(columns, what);
	report_columns_cell(columns, value);
	report_columns_cell(columns, remark);
	g_free(value);
}

void report_cell_estimate_json(struct report_json *json, const char *name,
			       const struct lab_estimate *x)
{
	report_json_object(json, name);
	report_json_number(json, "value", x->value);
	report_json_number(json, "u", x->u);
	report_json_close(json);
}

void report_cell_head_json(struct report_json *json, const struct lab_cell_study *study,
			   const char *kind)
{
	report_json_object(json, NULL);
	report_json_text(json, "kind", kind);
	report_json_integer(json, "schema", SCHEMA);
	report_program_json(json);
	report_json_array(json, "inputs");
	report_json_object(json, NULL);
	report_json_text(json, "path", study->path);
	report_json_text(json, "sha256", study->sha256);
	report_json_close(json);
	report_json_close(json);
	report_json_text(json, "title", study->title);
	report_json_text(json, "cell", study->cell.id);
	report_json_text(json, "point",
			 study->cell.medium == LAB_ICE_BATH ? "ice"
							    : lab_point_name(study->cell.point));
	report_json_text(json, "thermometer", study->thermometer.id);
}

static const char *medium_words(const struct lab_cell_study *study)
{
	return study->cell.medium == LAB_ICE_BATH ? "ice bath" : lab_point_name(study->cell.point);
}

void report_cell_head_text(const struct lab_cell_study *study, GString *to)
{
	if (study->title != NULL)
		g_string_append_printf(to, "%s\n", study->title);
	g_string_append_printf(to, "%s%s%s", medium_words(study),
			       study->cell.id != NULL ? ", cell " : "",
			       study->cell.id != NULL ? study->cell.id : "");
	if (study->thermometer.id != NULL)
		g_string_append_printf(to, ", thermometer %s", study->thermometer.id);
	g_string_append(to, "\n\n");
}

void report_cell_reservations_text(const GPtrArray *reservations, GString *to)
{
	if (reservations->len > 0)
		g_string_append_c(to, '\n');
	for (guint i = 0; i < reservations->len; i++)
		report_wrap(to, g_ptr_array_index(reservations, i), 4);
}
