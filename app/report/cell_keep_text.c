#include "app/report/cell.h"
#include "app/report/cell_words.h"
#include "app/report/columns.h"
#include "app/report/rounding.h"

#include <math.h>

#define DAY_S 86400.0

static char *days(double s)
{
	char text[REPORT_NUMBER_SIZE];

	if (!lab_given(s))
		return g_strdup("–");
	if (isinf(s))
		return g_strdup("no end seen");
	report_significant(s / DAY_S, s < 10 * DAY_S ? 2 : 3, REPORT_MINUS, text);
	return g_strdup_printf("%s d", text);
}

static char *interval(const struct lab_days *x)
{
	g_autofree char *value = days(x->value_s), *low = days(fmax(x->low_s, 0.0));
	g_autofree char *high = days(x->high_s);

	return g_strdup_printf("%s (%s to %s)", value, low, high);
}

static char *millimetres(double x_m)
{
	char text[REPORT_NUMBER_SIZE];

	report_fixed(1e3 * x_m, 1, REPORT_MINUS, text);
	return g_strdup_printf("%s mm", text);
}

static void texts(const GPtrArray *list, const char *mark, int hang, GString *to)
{
	for (guint i = 0; i < list->len; i++) {
		g_autofree char *text =
		    g_strdup_printf("%s%s", mark, (const char *)g_ptr_array_index(list, i));

		report_wrap(to, text, hang);
	}
}

static void sentence(const struct lab_cell_keep *k, GString *to)
{
	g_autoptr(GString) text = g_string_new(NULL);
	g_autofree char *left = interval(&k->left), *least = millimetres(k->least_m);

	if (k->ends && k->course == LAB_MANTLE_MELTS)
		g_string_append_printf(
		    text, "The mantle melts; it has %s left until %s of ice remain.", left, least);
	else if (k->ends)
		g_string_append_printf(text, "Ice grows; the cell is frozen through in %s.", left);
	else
		g_string_append_printf(text, "The mantle %s; no end can be forecast.",
				       lab_course_name(k->course));
	g_string_append_printf(text, " k = 2; %d look%s used.", k->looks_used,
			       k->looks_used == 1 ? "" : "s");
	report_wrap(to, text->str, 4);
	g_string_append_c(to, '\n');
}

static void ice_rows(const struct lab_cell_keep *k, report_columns *columns)
{
	if (lab_given(k->now.low_m)) {
		g_autofree char *low = millimetres(k->now.low_m),
				*high = millimetres(k->now.high_m);
		g_autofree char *between = g_strdup_printf("%s to %s", low, high);

		report_cell_row(columns, "ice now", millimetres(k->now.ice_m), between);
	}
	if (lab_given(k->growth_day_m)) {
		report_cell_row(columns, "grows in a day", millimetres(k->growth_day_m),
				"inwards from the envelope");
		report_cell_row(columns, "  in a week", millimetres(k->growth_week_m), "");
	}
	if (lab_given(k->rate.value))
		report_cell_row(columns, "rate", report_cell_scaled(&k->rate, 1.0, ""),
				"of what conduction alone makes it, learnt from the looks");
}

static void numbers(const struct lab_cell_study *study, const struct lab_cell_keep *k, GString *to)
{
	const struct lab_estimate per_day = { k->ice_per_day_kg,
					      k->ice_per_day_kg * k->power_W.u /
						  fabs(k->power_W.value),
					      LAB_NOT_GIVEN };
	report_columns *columns = report_columns_new();

	report_columns_add(columns, REPORT_COLUMNS_LEFT, "what");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "value");
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "");
	report_cell_row(columns, "age", days(k->age_s), "");
	report_cell_row(columns, "surroundings", report_cell_kelvin(&k->offset_K),
			"above the cell");
	report_cell_row(columns, "heat at first", report_cell_scaled(&k->power_W, 1e3, "mW"),
			"into the cell");
	if (study->surroundings.cells > 1) {
		g_autofree char *cells =
		    g_strdup_printf("of all %d cells", study->surroundings.cells);
		const struct lab_estimate all = { k->bath_W,
						  k->power_W.u * study->surroundings.cells,
						  LAB_NOT_GIVEN };

		report_cell_row(columns, "", report_cell_scaled(&all, 1e3, "mW"), cells);
	}
	report_cell_row(columns,
			k->course == LAB_MANTLE_GROWS ? "grows at first" : "melts at first",
			report_cell_scaled(&per_day, 1e3, "g"), "in a day");
	ice_rows(k, columns);
	if (lab_given(k->at_warmest.value_s))
		report_cell_row(columns, "at the warmest place", days(k->at_warmest.value_s),
				"of the bath");
	if (lab_given(k->at_coldest.value_s))
		report_cell_row(columns, "at the coldest place", days(k->at_coldest.value_s), "");
	report_cell_row(columns, "reads low by at most", report_cell_size(k->age_bound_K),
			"for its age");
	report_cell_row(columns, "  standard uncertainty", report_cell_size(k->age_u_K),
			"rectangular");
	report_columns_print(columns, to);
}

static void insertions(const struct lab_cell_keep *k, GString *to)
{
	double ice_kg = 0.0, lost_s = 0.0;

	for (guint i = 0; i < k->costs->len; i++) {
		const struct lab_mantle_cost *c = LAB_AT(k->costs, lab_mantle_cost, i);

		ice_kg += c->ice_kg.value;
		lost_s += lab_or(c->lost_s, 0.0);
	}
	if (k->costs->len == 0)
		return;
	g_autoptr(GString) text = g_string_new(NULL);
	g_autofree char *lost = days(lost_s), *next = days(k->cost_of_next_s);
	g_string_printf(text, "%u insertion%s melted %.2g g of ice", k->costs->len,
			k->costs->len == 1 ? "" : "s", 1e3 * ice_kg);
	if (lab_given(k->cost_of_next_s))
		g_string_append_printf(text, " and cost %s; another like the last costs %s", lost,
				       next);
	g_string_append(text, ".");
	g_string_append_c(to, '\n');
	report_wrap(to, text->str, 4);
}

void report_cell_keep_text(const struct lab_cell_study *study, const struct lab_cell_keep *k,
			   GString *to)
{
	report_cell_head_text(study, to);
	texts(k->warnings, "WARNING  ", 9, to);
	if (k->warnings->len > 0)
		g_string_append_c(to, '\n');
	sentence(k, to);
	numbers(study, k, to);
	insertions(k, to);
	g_string_append_c(to, '\n');
	texts(k->advice, "* ", 2, to);
	report_cell_reservations_text(k->reservations, to);
}
