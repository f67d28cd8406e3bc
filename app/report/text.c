#include "app/report/text.h"

#include "app/report/columns.h"
#include "app/report/equipment.h"
#include "app/report/rounding.h"
#include "app/report/trials.h"
#include "app/report/words.h"

#include <string.h>

#define COUNT(array) ((array) == NULL ? 0u : (array)->len)

/* A cell with a number made by one of the routines of rounding.h. */
static void fixed_cell(report_columns *columns, double x, int places)
{
	char text[REPORT_NUMBER_SIZE];

	report_fixed(x, places, REPORT_MINUS, text);
	report_columns_cell(columns, text);
}

static void u_cell(report_columns *columns, double u)
{
	char text[REPORT_NUMBER_SIZE];

	report_uncertainty(u, REPORT_MINUS, text);
	report_columns_cell(columns, text);
}

/* Value in one cell, its u in the next. */
static void pair_cells(report_columns *columns, double x, double u)
{
	char text[REPORT_NUMBER_SIZE], u_text[REPORT_NUMBER_SIZE];

	report_pair(x, u, REPORT_MINUS, text, u_text);
	report_columns_cell(columns, text);
	report_columns_cell(columns, u_text);
}

static void heading(GString *to, const char *text)
{
	g_string_append_printf(to, "\n%s\n", text);
}

static void line(GString *to, const char *format, ...) G_GNUC_PRINTF(2, 3);
static void line(GString *to, const char *format, ...)
{
	va_list arguments;

	va_start(arguments, format);
	g_autofree char *text = g_strdup_vprintf(format, arguments);
	va_end(arguments);
	report_wrap(to, text, 4);
}

/* A line of a visit: what it is, in a column of its own, and what is said of it. */
static void item(GString *to, const char *name, const char *format, ...) G_GNUC_PRINTF(3, 4);
static void item(GString *to, const char *name, const char *format, ...)
{
	enum { COLUMN = 17 };
	va_list arguments;

	va_start(arguments, format);
	g_autofree char *text = g_strdup_vprintf(format, arguments);
	va_end(arguments);
	g_autofree char *both = g_strdup_printf("    %-*s %s", COLUMN, name, text);
	report_wrap(to, both, 4 + COLUMN + 1);
}

/* What came out, and whether it will do. */
static void summary(const struct lab_calibration *c, const struct lab_calibration_result *r,
		    GString *to)
{
	double low_K = INFINITY, high_K = -INFINITY;
	unsigned n = 0;

	for (unsigned i = 0; i < r->subranges->len; i++) {
		const struct lab_subrange_result *s = LAB_AT(r->subranges, lab_subrange_result, i);

		if (!s->certificate)
			continue;
		low_K = fmin(low_K, s->low_K);
		high_K = fmax(high_K, s->high_K);
		n++;
	}
	if (n == 0) {
		line(to, "%s: no subrange of the scale can be calibrated from these points.",
		     c->thermometer.id);
		return;
	}
	g_autofree char *range = report_celsius_range(low_K, high_K, REPORT_MINUS);
	line(to, "%s is calibrated from %s in %u subrange%s%s", c->thermometer.id, range, n,
	     n == 1 ? "" : "s",
	     r->acceptance->len == 0 ? "."
	     : r->accepted           ? " and meets what is asked of it."
				     : ", but does not meet all that is asked of it.");
}

static void tpw(const struct lab_calibration_result *r, GString *to)
{
	report_columns *columns;

	if (r->tpw->len == 0)
		return;
	heading(to, "R(TPW) through the sequence");
	columns = report_columns_new();
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "visit");
	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, "R(TPW)/Ω");
	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, "u/Ω");
	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, "change/mK");
	for (unsigned i = 0; i < r->tpw->len; i++) {
		const struct lab_tpw_value *x = LAB_AT(r->tpw, lab_tpw_value, i);

		report_columns_cell(columns, x->visit);
		pair_cells(columns, x->ohm.value, x->ohm.u);
		fixed_cell(columns, 1e3 * x->change_K, 4);
	}
	report_columns_print(columns, to);
	if (!lab_given(r->tpw_change_K))
		return;
	g_autofree char *change = report_kelvin_words(r->tpw_change_K, LAB_NOT_GIVEN, REPORT_MINUS);
	g_autofree char *limit = report_kelvin_words(r->tpw_limit_K, r->tpw_limit_K, REPORT_MINUS);
	line(to, "  largest minus smallest: %s%s%s", change,
	     lab_given(r->tpw_limit_K) ? "; at most " : "", lab_given(r->tpw_limit_K) ? limit : "");
}

/* What the words of a correction say after number and unit: "colder: the mantle is young". */
static const char *after_number(const char *words)
{
	const char *unit = strchr(words, ' ');
	const char *rest = unit == NULL ? NULL : strchr(unit + 1, ' ');

	return rest == NULL ? words : rest + 1;
}

/* "193.5 µK colder: the sensor lies below the surface; u = 2.0 µK": the number to the digits that
   its u allows, all else in the words of the result. */
static void correction_line(const struct lab_correction *x, GString *to)
{
	g_autofree char *size = report_kelvin_words(fabs(x->value_K), x->u_K, REPORT_MINUS);
	g_autofree char *effect =
	    x->value_K == 0.0 ? g_strdup("no effect")
	    : x->words == NULL
		? g_strdup_printf("%s %s", size, x->value_K < 0.0 ? "colder" : "warmer")
		: g_strdup_printf("%s %s", size, after_number(x->words));
	g_autofree char *u =
	    x->u_K > 0.0 ? report_kelvin_words(x->u_K, x->u_K, REPORT_MINUS) : g_strdup("0");

	if (lab_given(x->u_K))
		item(to, x->name, "%s; u = %s", effect, u);
	else
		item(to, x->name, "%s; no u stated", effect);
}

static void current_line(const struct lab_current_result *x, bool ohm, GString *to)
{
	char current[REPORT_NUMBER_SIZE], mean[REPORT_NUMBER_SIZE];
	g_autoptr(GString) text = g_string_new(NULL);

	report_at_most(1e3 * x->current_A, 6, REPORT_MINUS, current);
	g_strlcat(current, " mA", sizeof current);
	report_concise(x->mean, x->u, REPORT_MINUS, mean);
	g_string_append_printf(text, "%s%s, %d reading%s", mean, ohm ? " Ω" : "", x->n,
			       x->n == 1 ? "" : "s");
	if (x->n_set_aside > 0)
		g_string_append_printf(text, ", %d set aside", x->n_set_aside);
	if (x->n_outliers > 0)
		g_string_append_printf(text, ", %d flagged as outlier%s", x->n_outliers,
				       x->n_outliers == 1 ? "" : "s");
	if (x->constant)
		g_string_append(text, ", all equal");
	item(to, current, "%s", text->str);
}

/* With the u of the readings; where none could be formed, to the digits that the result has. */
static void resistance_text(const struct lab_visit_result *v, char ret[REPORT_NUMBER_SIZE])
{
	char u[REPORT_NUMBER_SIZE];

	if (v->r0_ohm.u > 0.0)
		report_concise(v->r0_ohm.value, v->r0_ohm.u, REPORT_MINUS, ret);
	else if (v->r_ohm.u > 0.0)
		report_pair(v->r0_ohm.value, v->r_ohm.u, REPORT_MINUS, ret, u);
	else
		report_pair(v->r0_ohm.value, v->w.u / v->w.value * v->r0_ohm.value, REPORT_MINUS,
			    ret, u);
}

static void resistance_line(const struct lab_visit_result *v, GString *to)
{
	char r[REPORT_NUMBER_SIZE];

	resistance_text(v, r);
	if (v->zero_power) {
		g_autofree char *heating =
		    report_kelvin_words(v->self_heating_K, v->self_heating_u_K, REPORT_MINUS);

		item(to, "at zero current", "%s Ω; the lowest current heats by %s", r, heating);
	} else {
		item(to, "resistance", "%s Ω, at its one current", r);
	}
}

static void ratio_line(const struct lab_visit_result *v, GString *to)
{
	char text[REPORT_NUMBER_SIZE], wr[REPORT_NUMBER_SIZE], s[REPORT_NUMBER_SIZE];
	g_autofree char *u = report_kelvin_words(v->u_w_K, v->u_w_K, REPORT_MINUS);

	if (v->point == LAB_H2O) {
		report_concise(v->r_ohm.value, v->r_ohm.u, REPORT_MINUS, text);
		item(to, "R(TPW)", "%s Ω", text);
		return;
	}
	report_concise(v->w.value, v->w.u, REPORT_MINUS, text);
	if (v->point == LAB_NO_POINT) {
		item(to, "W", "%s", text);
		return;
	}
	report_at_most(v->wr, 8, REPORT_MINUS, wr);
	report_fixed(v->s, 6, REPORT_MINUS, s);
	item(to, "W", "%s, u as temperature %s; W_r = %s, S = %s", text, u, wr, s);
}

/* "7", or "7 and 9" where R(TPW) was interpolated between two; a name may hold an "and" itself. */
static bool is_one_visit(const struct lab_calibration_result *r, const char *tpw)
{
	for (unsigned i = 0; i < r->visits->len; i++)
		if (strcmp(LAB_AT(r->visits, lab_visit_result, i)->id, tpw) == 0)
			return true;
	return false;
}

static void visit_lines(const struct lab_calibration_result *r, const struct lab_visit_result *v,
			GString *to)
{
	const bool measured = v->point == LAB_NO_POINT;

	g_string_append_printf(to, "  visit %s: %s%s%s", v->id,
			       measured ? "a temperature to be found"
					: report_point_words(v->point, v->t90_defined_K),
			       v->cell != NULL ? ", cell " : "", v->cell != NULL ? v->cell : "");
	if (v->tpw != NULL)
		g_string_append_printf(to, ", divided by R(TPW) of visit%s %s",
				       is_one_visit(r, v->tpw) ? "" : "s", v->tpw);
	g_string_append_c(to, '\n');
	for (unsigned i = 0; i < COUNT(v->currents); i++)
		current_line(LAB_AT(v->currents, lab_current_result, i), isnan(v->rs_ohm.value),
			     to);
	resistance_line(v, to);
	for (unsigned i = 0; i < COUNT(v->corrections); i++)
		correction_line(LAB_AT(v->corrections, lab_correction, i), to);
	ratio_line(v, to);
	if (COUNT(v->not_included) > 0) {
		g_autoptr(GString) terms = g_string_new(NULL);

		for (unsigned i = 0; i < v->not_included->len; i++)
			g_string_append_printf(terms, "%s%s", i > 0 ? ", " : "",
					       (const char *)g_ptr_array_index(v->not_included, i));
		item(to, "not included", "%s", terms->str);
	}
}

static void visits(const struct lab_calibration_result *r, GString *to)
{
	heading(to, "Visits (colder and warmer: the cell, against what the scale defines)");
	for (unsigned i = 0; i < r->visits->len; i++)
		visit_lines(r, LAB_AT(r->visits, lab_visit_result, i), to);
}

static void subrange_lines(const struct lab_subrange_result *s, GString *to)
{
	g_autofree char *range = report_celsius_range(s->low_K, s->high_K, REPORT_MINUS);
	report_columns *columns = report_columns_new();

	line(to, "  %s%s, %s: %s", s->name,
	     s->certificate ? "" : " by least squares, not the ITS-90 interpolation", range,
	     s->formula);
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "");
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "coefficient");
	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, "value");
	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, "u");
	for (unsigned i = 0; i < COUNT(s->coefficients); i++) {
		const struct lab_coefficient *x = LAB_AT(s->coefficients, lab_coefficient, i);

		report_columns_cell(columns, NULL);
		report_columns_cell(columns, x->name);
		fixed_cell(columns, x->estimate.value, 11);
		u_cell(columns, x->estimate.u);
	}
	report_columns_print(columns, to);
	for (unsigned i = 0; i < COUNT(s->residuals); i++) {
		const struct lab_residual *x = LAB_AT(s->residuals, lab_residual, i);
		g_autofree char *value =
		    report_kelvin_words(fabs(x->value_K), x->u_K, REPORT_MINUS);
		g_autofree char *u = report_kelvin_words(x->u_K, x->u_K, REPORT_MINUS);

		line(to, "    %s at visit %s, %s: the curve gives %s %s, u = %s", x->point,
		     x->visit, x->used ? "fitted" : "not used", value,
		     x->value_K < 0.0 ? "less than defined" : "more than defined", u);
	}
}

static void subranges(const struct lab_calibration_result *r, GString *to)
{
	if (r->subranges->len == 0)
		return;
	heading(to, "Subranges");
	for (unsigned i = 0; i < r->subranges->len; i++)
		subrange_lines(LAB_AT(r->subranges, lab_subrange_result, i), to);
	for (unsigned i = 0; i < r->overlaps->len; i++) {
		const struct lab_overlap *x = LAB_AT(r->overlaps, lab_overlap, i);
		g_autofree char *largest =
		    report_kelvin_words(x->largest_K, LAB_NOT_GIVEN, REPORT_MINUS);
		char at[REPORT_NUMBER_SIZE];

		report_at_most(x->at_K - 273.15, 1, REPORT_MINUS, at);
		if (i == 0)
			heading(
			    to,
			    "Where subranges overlap, t90 of the first minus that of the second is "
			    "at most");
		line(to, "  %s and %s: %s, at %s °C", x->a, x->b, largest, at);
	}
}

/* u vanishes at some points by its formula: below a nanokelvin nothing is shown of it. */
static void mK_cell(report_columns *columns, double u_K)
{
	if (u_K < 1e-9)
		fixed_cell(columns, 0.0, 2);
	else
		u_cell(columns, 1e3 * u_K);
}

static void temperatures(const struct lab_calibration_result *r, GString *to)
{
	report_columns *columns;

	if (r->temperatures->len == 0)
		return;
	heading(to, "Temperatures (standard uncertainties in mK)");
	columns = report_columns_new();
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "visit");
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "subrange");
	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, "t90/°C");
	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, "u calibration only");
	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, "u in use");
	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, "non-uniqueness");
	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, "inconsistency");
	for (unsigned i = 0; i < r->temperatures->len; i++) {
		const struct lab_temperature *x = LAB_AT(r->temperatures, lab_temperature, i);
		char t[REPORT_NUMBER_SIZE], u[REPORT_NUMBER_SIZE];

		report_columns_cell(columns, x->visit);
		report_columns_cell(columns, x->subrange);
		report_pair(x->t90_K - 273.15, x->u_in_use_K, REPORT_MINUS, t, u);
		report_columns_cell(columns, t);
		mK_cell(columns, x->u_calibration_K);
		mK_cell(columns, x->u_in_use_K);
		mK_cell(columns, x->u_non_uniqueness_K);
		mK_cell(columns, x->u_inconsistency_K);
	}
	report_columns_print(columns, to);
	line(to, "  u in use holds the calibration, the user's R(TPW) and what the job states of "
		 "the use; the "
		 "last two columns are in neither.");
}

static void acceptance(const struct lab_calibration_result *r, GString *to)
{
	if (r->acceptance->len == 0)
		return;
	heading(to, "Acceptance");
	for (unsigned i = 0; i < r->acceptance->len; i++) {
		const struct lab_acceptance *x = LAB_AT(r->acceptance, lab_acceptance, i);
		g_autoptr(GString) more = g_string_new(NULL);
		char value[REPORT_NUMBER_SIZE], U[REPORT_NUMBER_SIZE];

		/* the sentence has the value; here it stands once more with the digits of its U */
		if (lab_given(x->U)) {
			report_pair(x->value, x->U, REPORT_MINUS, value, U);
			g_string_append_printf(more, "%s, U = %s", value, U);
		}
		if (x->source != NULL)
			g_string_append_printf(more, "%s%s", more->len > 0 ? "; " : "", x->source);
		line(to, "  %s%s%s%s%s", x->text, x->binding ? "" : " [for information]",
		     more->len > 0 ? " (" : "", more->str, more->len > 0 ? ")" : "");
	}
}

static void list(const char *title, const GPtrArray *texts, GString *to)
{
	if (COUNT(texts) == 0)
		return;
	heading(to, title);
	for (unsigned i = 0; i < texts->len; i++)
		line(to, "  – %s", (const char *)g_ptr_array_index(texts, i));
}

void report_calibration_text(const struct lab_calibration *calibration,
			     const struct lab_calibration_result *result, GString *to)
{
	summary(calibration, result, to);
	report_equipment_text(calibration, to);
	tpw(result, to);
	visits(result, to);
	subranges(result, to);
	acceptance(result, to);
	temperatures(result, to);
	report_trials_text(result, to);
	list("u, calibration only, leaves out", result->leaves_out, to);
	list("To be known", result->reservations, to);
}
