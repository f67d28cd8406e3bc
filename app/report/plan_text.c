#include "app/report/plan.h"

#include "app/report/columns.h"
#include "app/report/rounding.h"
#include "app/report/words.h"

#include <math.h>

#define MOST_CAUSES  4
#define MOST_OPTIONS 4

/* "0.11 mK", "84 µK": two digits. */
static char *size(double K)
{
	return lab_given(K) ? report_kelvin_words(K, K, REPORT_MINUS) : g_strdup("–");
}

static char *hours(double s)
{
	char text[REPORT_NUMBER_SIZE];

	if (!lab_given(s))
		return g_strdup("–");
	if (s < 5400.0)
		return g_strdup_printf("%.0f min", ceil(s / 60.0));
	report_fixed(s / 3600.0, 1, REPORT_PLAIN, text);
	return g_strdup_printf("%s h", text);
}

char *report_plan_sentence(const lab_plan *plan, const lab_plan_result *result)
{
	g_autofree char *wanted = size(plan->U_K);
	const struct lab_plan_outcome *o;

	if (result->best < 0)
		return g_strdup_printf("None of them reaches U = %s (k = 2) with what is planned.",
				       wanted);
	o = LAB_AT(result->outcomes, lab_plan_outcome, (guint)result->best);
	g_autofree char *U = size(o->U_K);
	if (!lab_given(o->days))
		return g_strdup_printf("Use %s: U = %s is to be expected, %s is wanted (k = 2).",
				       o->name, U, wanted);
	return g_strdup_printf("Use %s: U = %s is to be expected, %s is wanted (k = 2); about %.1f "
			       "days.",
			       o->name, U, wanted, o->days);
}

static void table(const lab_plan_result *result, GString *to)
{
	report_columns *columns = report_columns_new();
	bool compared = false;

	for (guint i = 0; i < result->outcomes->len; i++)
		compared |= lab_given(LAB_AT(result->outcomes, lab_plan_outcome, i)->achieved_U_K);
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "realisation");
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "what");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "depth");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "U (k = 2)");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "usual");
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "enough");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "days");
	if (compared)
		report_columns_add(columns, REPORT_COLUMNS_RIGHT, "achieved");
	for (guint i = 0; i < result->outcomes->len; i++) {
		const struct lab_plan_outcome *o = LAB_AT(result->outcomes, lab_plan_outcome, i);
		g_autofree char *U = size(o->U_K), *usual = size(o->practice_U_K),
				*achieved = size(o->achieved_U_K);
		g_autofree char *depth = lab_given(o->depth_m)
					     ? g_strdup_printf("%.0f mm", 1e3 * o->depth_m)
					     : g_strdup("–");
		g_autofree char *days =
		    lab_given(o->days) ? g_strdup_printf("%.1f", o->days) : g_strdup("–");

		report_columns_cell(columns, o->name);
		report_columns_cell(columns, lab_plan_size_name(o->size));
		report_columns_cell(columns, depth);
		report_columns_cell(columns, U);
		report_columns_cell(columns, usual);
		report_columns_cell(columns, o->why_not != NULL ? "does not fit"
					     : o->enough        ? "yes"
								: "no");
		report_columns_cell(columns, days);
		if (compared)
			report_columns_cell(columns, achieved);
	}
	report_columns_print(columns, to);
}

static void append_causes(const struct lab_plan_outcome *o, GString *to)
{
	g_autoptr(GString) line = g_string_new("    u: ");

	for (guint i = 0; i < MIN(o->causes->len, MOST_CAUSES); i++) {
		const struct lab_budget_line *cause = LAB_AT(o->causes, lab_budget_line, i);
		g_autofree char *u = size(cause->contribution);

		g_string_append_printf(line, "%s%s %s", i > 0 ? ", " : "", cause->input, u);
	}
	report_wrap(to, line->str, 7);
}

static void append_options(const struct lab_plan_outcome *o, GString *to)
{
	for (guint i = 0; i < MIN(o->options->len, MOST_OPTIONS); i++) {
		const struct lab_plan_option *option = LAB_AT(o->options, lab_plan_option, i);
		g_autofree char *before = size(o->U_K), *after = size(option->U_K);
		g_autofree char *line =
		    g_strdup_printf("    %s %s to %s: %s", i == 0 ? "would help:" : "           ",
				    before, after, option->what);

		report_wrap(to, line, 16);
	}
	if (o->options->len == 0)
		g_string_append(to, "    would help: nothing that was tried\n");
}

static void append_work(const struct lab_plan_outcome *o, GString *to)
{
	g_autofree char *hands = hours(o->hands_s), *wait = hours(o->wait_s),
			*settle = hours(o->settle_s), *read = hours(o->read_s);
	g_autoptr(GString) line = g_string_new("    work: ");

	if (lab_given(o->hands_s))
		g_string_append_printf(line, "making it ready at least %s, ", hands);
	else
		g_string_append(line, "making it ready is not known (procedure), ");
	if (o->wait_s >= 86400.0)
		g_string_append_printf(line, "then it stands %.1f days, ", o->wait_s / 86400.0);
	else if (o->wait_s > 0.0)
		g_string_append_printf(line, "of waiting %s, ", wait);
	g_string_append_printf(line, "settling %s, readings %s", settle, read);
	report_wrap(to, line->str, 10);
}

static void one(const struct lab_plan_outcome *o, GString *to)
{
	g_string_append_printf(to, "\n%s, %s\n", o->name, lab_plan_size_name(o->size));
	if (o->why_not != NULL) {
		g_autofree char *line =
		    g_strdup_printf("    The thermometer can't stand there: %s.", o->why_not);

		report_wrap(to, line, 4);
		return;
	}
	append_causes(o, to);
	append_options(o, to);
	append_work(o, to);
	if (lab_given(o->achieved_U_K)) {
		g_autofree char *planned = size(o->U_K), *achieved = size(o->achieved_U_K);
		g_autofree char *line =
		    g_strdup_printf("    planned %s, achieved %s (visit %s): %.2f times", planned,
				    achieved, o->achieved_by, o->achieved_U_K / o->U_K);

		report_wrap(to, line, 4);
	}
}

/* The calibration that it goes on to: work that cannot be shared, and what stands overnight. */
static void append_points(const lab_plan_result *result, GString *to)
{
	double hands_s = 0.0;
	int nights = 0;
	g_autoptr(GString) line = g_string_new("Going on to a calibration: ");

	if (result->points->len == 0)
		return;
	for (guint i = 0; i < result->points->len; i++) {
		const struct lab_plan_point *p = LAB_AT(result->points, lab_plan_point, i);

		g_string_append_printf(line, "%s%s%s", i > 0 ? ", " : "", lab_point_name(p->point),
				       p->known ? "" : " (no procedure)");
		hands_s += p->hands_s;
		nights += p->wait_s > 0.0;
	}
	g_autofree char *work = hours(hands_s);
	g_string_append_printf(line,
			       ". At least %s of work, %.1f days of eight hours; %d of the points "
			       "first stand for hours by themselves, as overnight.",
			       work, hands_s / 28800.0, nights);
	g_string_append_c(to, '\n');
	report_wrap(to, line->str, 4);
}

void report_plan_text(const lab_plan *plan, const lab_plan_result *result, GString *to)
{
	g_autofree char *sentence = report_plan_sentence(plan, result);

	if (plan->title != NULL)
		report_wrap(to, plan->title, 0);
	report_wrap(to, sentence, 0);
	g_string_append_c(to, '\n');
	table(result, to);
	for (guint i = 0; i < result->outcomes->len; i++)
		one(LAB_AT(result->outcomes, lab_plan_outcome, i), to);
	append_points(result, to);
	g_string_append_c(to, '\n');
	for (guint i = 0; i < result->reservations->len; i++) {
		g_autofree char *line =
		    g_strdup_printf("  * %s", (const char *)result->reservations->pdata[i]);

		report_wrap(to, line, 4);
	}
}
