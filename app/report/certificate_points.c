/* Results at the fixed points, R(0.01 °C), what U means, and whether the thermometer is fit. */
#include "app/report/certificate_parts.h"

#include "app/report/table.h"
#include "app/report/words.h"

#include <string.h>

/* Visits to fixed points other than water, rising in temperature. */
static GPtrArray *point_visits(const struct certificate *c)
{
	GPtrArray *visits = g_ptr_array_new();

	for (unsigned i = 0; i < c->result->visits->len; i++) {
		struct lab_visit_result *v = LAB_AT(c->result->visits, lab_visit_result, i);
		int at = (int)visits->len;

		if (v->point == LAB_NO_POINT || v->point == LAB_H2O)
			continue;
		while (
		    at > 0 &&
		    ((struct lab_visit_result *)g_ptr_array_index(visits, at - 1))->t90_defined_K >
			v->t90_defined_K)
			at--;
		g_ptr_array_insert(visits, at, v);
	}
	return visits;
}

/* The lowest current when it is one and the same in all visits; NaN otherwise. */
static double common_current_A(const GPtrArray *visits)
{
	double common = LAB_NOT_GIVEN;

	for (unsigned i = 0; i < visits->len; i++) {
		const struct lab_visit_result *v = g_ptr_array_index(visits, i);

		if (v->currents == NULL || v->currents->len == 0)
			return LAB_NOT_GIVEN;
		const double first = LAB_AT(v->currents, lab_current_result, 0)->current_A;

		if (lab_given(common) && fabs(first - common) > 0.01 * common)
			return LAB_NOT_GIVEN;
		common = first;
	}
	return common;
}

static bool any_repeated(const GPtrArray *visits)
{
	for (unsigned i = 1; i < visits->len; i++) {
		const struct lab_visit_result *a = g_ptr_array_index(visits, i - 1);
		const struct lab_visit_result *b = g_ptr_array_index(visits, i);

		if (a->point == b->point)
			return true;
	}
	return false;
}

/* To two digits of u, at most to 0.01 mK: a budget of next to nothing shows no more. */
static void heating(const struct lab_visit_result *v, char ret[REPORT_NUMBER_SIZE])
{
	int places = 2;

	if (report_places(1e3 * v->self_heating_u_K, &places) && places > 2)
		places = 2;
	report_fixed(v->zero_power ? 1e3 * v->self_heating_K : LAB_NOT_GIVEN, places, REPORT_PRINT,
		     ret);
}

static void add_row(struct certificate *c, report_table *table, const struct lab_visit_result *v,
		    bool repeated)
{
	const double k = certificate_k(c, v->w.dof);
	char text[REPORT_NUMBER_SIZE], U[REPORT_NUMBER_SIZE];
	const char *words = report_point_words(v->point, v->t90_defined_K);

	if (repeated) {
		g_autofree char *id = report_markup(v->id);
		g_autofree char *both = g_strdup_printf("%s (%s)", words, id);

		report_table_cell(table, both);
	} else {
		report_table_cell(table, words);
	}
	report_at_most(v->t90_defined_K - 273.15, 4, REPORT_PRINT, text);
	report_table_cell(table, text);
	report_pair(v->w.value, k * v->w.u, REPORT_PRINT, text, U);
	report_table_cell(table, text);
	report_table_cell(table, U);
	report_uncertainty(1e3 * k * v->u_w_K, REPORT_PRINT, U);
	report_table_cell(table, U);
	heating(v, text);
	report_table_cell(table, text);
	report_fixed(1e3 * v->depth_m, 0, REPORT_PRINT, text);
	report_table_cell(table, text);
}

static void points_table(struct certificate *c)
{
	g_autoptr(GPtrArray) visits = point_visits(c);
	const double current_A = common_current_A(visits);
	g_autofree char *heading = NULL;
	char text[REPORT_NUMBER_SIZE];
	report_table *table;

	if (visits->len == 0)
		return;
	table = report_table_new();
	/* as it is set: two decimals of a milliampere; its scatter does not matter to the heating
	 */
	report_at_most(round(1e5 * current_A) / 100.0, 2, REPORT_PRINT, text);
	heading = lab_given(current_A) ? g_strdup_printf("heating at %s\u00a0mA\u2009/mK", text)
				       : g_strdup("heating\u2009/mK");
	report_table_column(table, REPORT_LEFT, "Point");
	report_table_column(table, REPORT_DECIMAL, MARKUP_T90 "\u2009/°C");
	report_table_column(table, REPORT_DECIMAL, "W = R(t<sub>90</sub>)/R(0.01\u00a0°C)");
	report_table_column(table, REPORT_DECIMAL, "U(W)");
	report_table_column(table, REPORT_DECIMAL, "U\u2009/mK");
	report_table_column(table, REPORT_DECIMAL, heading);
	report_table_column(table, REPORT_DECIMAL, "liquid\u2009/mm");
	for (unsigned i = 0; i < visits->len; i++)
		add_row(c, table, g_ptr_array_index(visits, i), any_repeated(visits));
	report_pdf_add(c->pdf, report_table_block(table, 3.75));
}

static const char *number_words(unsigned n)
{
	static const char *const words[] = { "no",  "one",   "two",   "three", "four", "five",
					     "six", "seven", "eight", "nine",  "ten" };

	return n < G_N_ELEMENTS(words) ? words[n] : NULL;
}

static bool at_zero_current(const struct certificate *c, const char *visit)
{
	for (unsigned i = 0; i < c->result->visits->len; i++) {
		const struct lab_visit_result *v = LAB_AT(c->result->visits, lab_visit_result, i);

		if (strcmp(v->id, visit) == 0)
			return v->zero_power;
	}
	return false;
}

static void water(struct certificate *c)
{
	const GArray *sequence = c->result->tpw;
	char r[REPORT_NUMBER_SIZE], U[REPORT_NUMBER_SIZE];
	g_autoptr(GString) text = g_string_new(NULL);

	if (sequence->len == 0)
		return;
	const struct lab_tpw_value *last = LAB_AT(sequence, lab_tpw_value, sequence->len - 1);
	report_pair(last->ohm.value, certificate_k(c, last->ohm.dof) * last->ohm.u, REPORT_PRINT, r,
		    U);
	g_string_printf(text, MARKUP_R_TPW " = %s\u00a0Ω, <i>U</i> = %s\u00a0Ω, %s", r, U,
			at_zero_current(c, last->visit) ? "at zero current"
							: "at the measuring current");
	if (sequence->len > 1 && lab_given(c->result->tpw_change_K)) {
		g_autofree char *within =
		    report_millikelvin(c->result->tpw_change_K, LAB_NOT_GIVEN, REPORT_MINUS);

		if (number_words(sequence->len) != NULL)
			g_string_append_printf(text, ", the last of %s values within %s",
					       number_words(sequence->len), within);
		else
			g_string_append_printf(text, ", the last of %u values within %s",
					       sequence->len, within);
	}
	g_string_append(
	    text,
	    ". It serves to follow the thermometer; form <i>W</i> with your own " MARKUP_R_TPW ".");
	certificate_small(c, text->str);
}

/* The factors k that stand behind the U of the table. */
static void k_range(const struct certificate *c, double *ret_low, double *ret_high)
{
	*ret_low = INFINITY;
	*ret_high = -INFINITY;
	for (unsigned i = 0; i < c->result->visits->len; i++) {
		const struct lab_visit_result *v = LAB_AT(c->result->visits, lab_visit_result, i);

		if (v->point == LAB_NO_POINT || v->point == LAB_H2O)
			continue;
		*ret_low = fmin(*ret_low, certificate_k(c, v->w.dof));
		*ret_high = fmax(*ret_high, certificate_k(c, v->w.dof));
	}
}

static void meaning_of_U(struct certificate *c)
{
	double low, high;
	char a[REPORT_NUMBER_SIZE], b[REPORT_NUMBER_SIZE], p[REPORT_NUMBER_SIZE];
	g_autoptr(GString) text = g_string_new("<i>U</i> is the expanded uncertainty: the standard "
					       "uncertainty times <i>k</i>");

	k_range(c, &low, &high);
	report_at_most(low, 2, REPORT_PLAIN, a);
	report_at_most(high, 2, REPORT_PLAIN, b);
	report_at_most(100.0 * lab_or(c->result->coverage_probability, 0.95), 4, REPORT_PLAIN, p);
	if (lab_given(c->result->coverage_factor)) {
		report_at_most(c->result->coverage_factor, 4, REPORT_PLAIN, a);
		g_string_append_printf(text,
				       " = %s, with many degrees of freedom an interval of about "
				       "95\u00a0%%",
				       a);
	} else {
		if (low <= high && strcmp(a, b) == 0)
			g_string_append_printf(text, " = %s", a);
		else if (low <= high)
			g_string_append_printf(
			    text,
			    ", here %s to %s, as the degrees of freedom of each value "
			    "ask",
			    a, b);
		g_string_append_printf(text, ", an interval of about %s\u00a0%%", p);
	}
	g_string_append(
	    text, ", found by the law of propagation (JCGM\u00a0100:2008). <i>U</i>\u2009/mK is "
		  "<i>U</i>(<i>W</i>) as a temperature.");
	certificate_small(c, text->str);
}

/* Sentences of the criteria that decide. */
static void add_criteria(const struct certificate *c, GString *to)
{
	const GArray *acceptance = c->result->acceptance;
	bool first = true;

	for (unsigned i = 0; i < acceptance->len; i++) {
		const struct lab_acceptance *a = LAB_AT(acceptance, lab_acceptance, i);

		if (!a->binding)
			continue;
		g_autofree char *markup = report_markup(a->text);
		g_string_append_printf(to, "%s %s", first ? "" : ";", markup);
		if (to->str[to->len - 1] == '.')
			g_string_truncate(to, to->len - 1);
		first = false;
	}
}

static double least_s(const struct certificate *c)
{
	double least = INFINITY;

	for (unsigned i = 0; i < c->result->visits->len; i++) {
		const struct lab_visit_result *v = LAB_AT(c->result->visits, lab_visit_result, i);

		if (lab_given(v->s))
			least = fmin(least, v->s);
	}
	return least;
}

static void fitness(struct certificate *c)
{
	g_autoptr(GString) text = g_string_new(NULL);
	char s[REPORT_NUMBER_SIZE];

	if (c->result->acceptance->len == 0)
		return;
	g_string_append(text, c->result->accepted
				  ? "The thermometer meets what is asked of it:"
				  : "The thermometer does not meet all that is asked of it:");
	add_criteria(c, text);
	g_string_append(text,
			". Judged by the value alone; where it lies nearer to a limit than its "
			"<i>U</i>, this is said.");
	if (isfinite(least_s(c))) {
		report_fixed(least_s(c), 5, REPORT_PRINT, s);
		g_string_append_printf(
		    text,
		    " The ratio (<i>W</i> − 1)/(<i>W</i><sub>r</sub> − 1) is %s or "
		    "more at every point.",
		    s);
	}
	certificate_small(c, text->str);
}

void certificate_points(struct certificate *c)
{
	certificate_heading(c, "Results at the fixed points", false);
	points_table(c);
	water(c);
	meaning_of_U(c);
	fitness(c);
}
