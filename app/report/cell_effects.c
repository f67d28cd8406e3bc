#include "app/report/cell_effects.h"

#include "app/report/columns.h"
#include "app/report/json_writer.h"
#include "app/report/words.h"

#include <math.h>

char *report_cell_effect_size(const struct lab_estimate *K)
{
	g_autofree char *value = report_kelvin_words(fabs(K->value), K->u, REPORT_MINUS);
	g_autofree char *u = K->u < 0.5e-9 ? g_strdup("below 0.001 µK")
					   : report_kelvin_words(K->u, K->u, REPORT_MINUS);

	if (fabs(K->value) < 0.05 * K->u)
		return g_strdup_printf("0, u %s", u);
	return g_strdup_printf("%s %s, u %s", value, K->value < 0.0 ? "colder" : "warmer", u);
}

void report_cell_effects_text(const lab_cell_effects *effects, GString *to)
{
	report_columns *columns = report_columns_new();
	g_autofree char *sum = report_cell_effect_size(&effects->sum_K);

	g_string_append_printf(to, "Middle of the element %.1f mm below the surface\n",
			       1e3 * effects->middle_m.value);
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "effect");
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "there");
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "how it is known");
	for (guint i = 0; i < effects->effects->len; i++) {
		const struct lab_cell_effect *e =
		    &g_array_index(effects->effects, struct lab_cell_effect, i);
		g_autofree char *size = report_cell_effect_size(&e->K);

		report_columns_cell(columns, e->words);
		report_columns_cell(columns, size);
		report_columns_cell(columns, e->note);
	}
	report_columns_cell(columns, "together");
	report_columns_cell(columns, sum);
	report_columns_cell(columns, NULL);
	report_columns_print(columns, to);
	g_string_append_printf(to, "%s\n", REPORT_CELL_EFFECTS_LEFT_OUT);
}

static void write_estimate(struct report_json *json, const char *name, const char *value_name,
			   const char *u_name, const struct lab_estimate *e)
{
	report_json_object(json, name);
	report_json_number(json, value_name, e->value);
	report_json_number(json, u_name, e->u);
	report_json_close(json);
}

void report_cell_effects_json(const lab_cell_effects *effects, GString *to)
{
	struct report_json json;

	report_json_start(&json, to);
	report_json_object(&json, NULL);
	report_json_text(&json, "kind", "cell effects");
	report_json_integer(&json, "schema", 1);
	report_json_number(&json, "defined_K", effects->defined_K);
	write_estimate(&json, "middle_of_element", "depth_m", "u_m", &effects->middle_m);
	report_json_number(&json, "ice_m", effects->ice_m);
	report_json_array(&json, "effects");
	for (guint i = 0; i < effects->effects->len; i++) {
		const struct lab_cell_effect *e =
		    &g_array_index(effects->effects, struct lab_cell_effect, i);

		report_json_object(&json, NULL);
		report_json_text(&json, "name", e->name);
		report_json_number(&json, "value_K", e->K.value);
		report_json_number(&json, "u_K", e->K.u);
		report_json_text(&json, "note", e->note);
		report_json_close(&json);
	}
	report_json_close(&json);
	write_estimate(&json, "sum", "value_K", "u_K", &effects->sum_K);
	report_json_close(&json);
	report_json_finish(&json);
}
