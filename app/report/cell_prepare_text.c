#include "app/report/cell.h"
#include "app/report/cell_words.h"
#include "app/report/columns.h"
#include "app/report/rounding.h"

#include <math.h>

/* Cautions stand before everything else. */
static void cautions(const struct lab_cell_prepare *p, GString *to)
{
	for (size_t i = 0; p->cautions[i] != NULL; i++) {
		g_autofree char *text = g_strdup_printf(
		    "CAUTION  %s. %s%s%s%s", p->cautions[i]->hazard, p->cautions[i]->words,
		    p->cautions[i]->figures != NULL ? " (" : "",
		    p->cautions[i]->figures != NULL ? p->cautions[i]->figures : "",
		    p->cautions[i]->figures != NULL ? ".)" : "");

		report_wrap(to, text, 9);
	}
	report_wrap(to, LAB_CAUTION_RULE, 0);
	g_string_append_c(to, '\n');
}

static void sentence(const struct lab_cell_prepare *p, double wanted_m, GString *to)
{
	g_autoptr(GString) text = g_string_new(NULL);
	g_autofree char *time = report_cell_time(p->time_s.value);
	g_autofree char *u = report_cell_time(p->time_s.u);

	if (p->way == LAB_SUPERCOOLING) {
		char percent[REPORT_NUMBER_SIZE];

		report_concise(100 * p->fraction.value, 100 * p->fraction.u, REPORT_MINUS, percent);
		g_string_append_printf(
		    text,
		    "%s %% of the water freezes at once: %.3g g, as much as a mantle "
		    "of %.2g mm.",
		    percent, 1e3 * p->ice_kg.value, 1e3 * p->even_m);
	} else if (p->contact == LAB_CONTACT_NOT_KNOWN) {
		g_string_append_printf(
		    text,
		    "%.3g mm of ice on the well take at least %s, with a coolant at "
		    "%.4g °C that touches it perfectly.",
		    1e3 * wanted_m, time, p->coolant_C);
	} else {
		g_string_append_printf(
		    text,
		    "%.3g mm of ice on the well take %s (u %s) with a coolant at "
		    "%.4g °C.",
		    1e3 * wanted_m, time, u, p->coolant_C);
	}
	if (p->practice != NULL)
		g_string_append_printf(text, " Practice elsewhere: %s.", p->practice);
	report_wrap(to, text->str, 4);
	g_string_append_c(to, '\n');
}

static char *size(double x, double scale, const char *unit)
{
	char text[REPORT_NUMBER_SIZE];

	report_significant(x * scale, 3, REPORT_MINUS, text);
	return g_strdup_printf("%s %s", text, unit);
}

static void growth_rows(const struct lab_cell_prepare *p, report_columns *columns)
{
	static const char *const contacts[] = { "", "stated", "fitted to the record" };

	if (p->contact != LAB_CONTACT_NOT_KNOWN)
		report_cell_row(columns, "contact",
				report_cell_scaled(&p->contact_W_per_m2K, 1.0, "W/(m² K)"),
				contacts[p->contact]);
	report_cell_row(columns, "speed of the front", size(p->speed_m_per_s, 3.6e6, "mm/h"),
			"on average");
	report_cell_row(columns, "power", size(p->power_W, 1.0, "W"), "on average");
	if (lab_given(p->dry_ice_kg))
		report_cell_row(columns, "dry ice", size(p->dry_ice_kg, 1e3, "g"),
				"at least; practice takes several times as much");
	if (lab_given(p->nitrogen_kg))
		report_cell_row(columns, "liquid nitrogen", size(p->nitrogen_kg, 1e3, "g"),
				"at least, if it cools by boiling alone");
	if (lab_given(p->rods))
		report_cell_row(columns, "rods", size(p->rods, 1.0, ""), "at least");
	if (lab_given(p->clearance_m))
		report_cell_row(columns, "water left open",
				size(fmax(0.0, p->clearance_m), 1e3, "mm"),
				"between mantle and envelope, at the end");
	if (lab_given(p->through_s))
		report_cell_row(columns, "frozen through after", report_cell_time(p->through_s),
				"if nobody stops it");
}

static void numbers(const struct lab_cell_prepare *p, GString *to)
{
	report_columns *columns = report_columns_new();

	report_columns_add(columns, REPORT_COLUMNS_LEFT, "what");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "value");
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "");
	report_cell_row(columns, "ice", report_cell_scaled(&p->ice_kg, 1e3, "g"), "");
	report_cell_row(columns, "water in the cell", size(p->water_kg, 1e3, "g"), "");
	if (p->way == LAB_SUPERCOOLING)
		report_cell_row(columns, "without the glass",
				size(p->fraction_without_glass, 100.0, "%"),
				"by the enthalpies of the IAPWS formulations");
	report_cell_row(columns, "heat to take away", report_cell_scaled(&p->heat_J, 1e-3, "kJ"),
			"");
	if (p->way != LAB_SUPERCOOLING)
		growth_rows(p, columns);
	if (lab_given(p->rise_m))
		report_cell_row(columns, "surface rises by", size(p->rise_m, 1e3, "mm"),
				"ice takes more room than water");
	report_cell_row(columns, "inner melt", report_cell_scaled(&p->melt_J, 1e-3, "kJ"),
			"for the film that frees the mantle");
	report_cell_row(columns, "", report_cell_time(p->melt_s),
			"with a rod of 20 °C in the well");
	report_columns_print(columns, to);
}

static void steps(const struct lab_cell_prepare *p, GString *to)
{
	report_columns *columns = report_columns_new();

	g_string_append(to, "\nThickness against time:\n");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "ice/mm");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "at least");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "with this contact");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "recorded");
	for (guint i = 0; i < p->steps->len; i++) {
		const struct lab_ice_step *s = LAB_AT(p->steps, lab_ice_step, i);
		g_autofree char *least = report_cell_time(s->least_s);
		g_autofree char *time = report_cell_time(s->time_s.value);
		g_autofree char *recorded = report_cell_time(s->recorded_s);
		char ice[REPORT_NUMBER_SIZE];

		report_at_most(1e3 * s->ice_m, 1, REPORT_MINUS, ice);
		report_columns_cell(columns, ice);
		report_columns_cell(columns, least);
		report_columns_cell(columns, time);
		report_columns_cell(columns, recorded);
	}
	report_columns_print(columns, to);
}

void report_cell_prepare_text(const struct lab_cell_study *study, const struct lab_cell_prepare *p,
			      GString *to)
{
	cautions(p, to);
	report_cell_head_text(study, to);
	for (guint i = 0; i < p->warnings->len; i++) {
		g_autofree char *text =
		    g_strdup_printf("WARNING  %s", (const char *)g_ptr_array_index(p->warnings, i));

		report_wrap(to, text, 9);
	}
	sentence(p, study->preparation.ice_m.value, to);
	numbers(p, to);
	if (p->steps->len > 0)
		steps(p, to);
	report_cell_reservations_text(p->reservations, to);
}
