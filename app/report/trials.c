#include "app/report/trials.h"

#include "app/report/columns.h"
#include "app/report/rounding.h"
#include "app/report/text.h"

#include <math.h>

static const struct lab_trial_comparison *at(const GArray *array, unsigned i)
{
	return LAB_AT(array, lab_trial_comparison, i);
}

/* Where both methods differ most; NULL where there is nothing to compare. */
static const struct lab_trial_comparison *largest(const GArray *array)
{
	const struct lab_trial_comparison *found = NULL;

	for (unsigned i = 0; i < array->len; i++)
		if (found == NULL || at(array, i)->disagreement > found->disagreement)
			found = at(array, i);
	return found;
}

static unsigned failures(const GArray *array)
{
	unsigned n = 0;

	for (unsigned i = 0; i < array->len; i++)
		n += !at(array, i)->linear_law_holds;
	return n;
}

static void write_comparison(struct report_json *json, const struct lab_trial_comparison *x)
{
	report_json_object(json, NULL);
	report_json_text(json, "subrange", x->subrange);
	if (x->coefficient != NULL)
		report_json_text(json, "coefficient", x->coefficient);
	else
		report_json_number(json, "t90_K", x->t90_K);
	report_json_number(json, "u_linear", x->u_linear);
	report_json_number(json, "U_linear", x->U_linear);
	report_json_number(json, "u", x->u);
	report_json_number(json, "shift", x->shift);
	report_json_number(json, "low", x->low);
	report_json_number(json, "high", x->high);
	report_json_boolean(json, "linear_law_holds", x->linear_law_holds);
	report_json_close(json);
}

static void write_comparisons(struct report_json *json, const char *name, const GArray *array)
{
	report_json_array(json, name);
	for (unsigned i = 0; i < array->len; i++)
		write_comparison(json, at(array, i));
	report_json_close(json);
}

void report_trials_json(struct report_json *json, const struct lab_calibration_result *result)
{
	const struct lab_reduction_trials *trials = &result->trials;
	const struct lab_trial_comparison *worst = largest(trials->temperatures);

	if (trials->n == 0)
		return;
	report_json_object(json, "monte_carlo");
	report_json_integer(json, "trials", trials->n);
	report_json_number(json, "coverage_probability", trials->coverage_probability);
	if (worst != NULL) {
		report_json_object(json, "largest_disagreement");
		report_json_text(json, "subrange", worst->subrange);
		report_json_number(json, "t90_K", worst->t90_K);
		report_json_number(json, "difference_K", worst->disagreement);
		report_json_number(json, "U_linear_K", worst->U_linear);
		report_json_close(json);
	}
	write_comparisons(json, "coefficients", trials->coefficients);
	write_comparisons(json, "temperatures", trials->temperatures);
	report_json_close(json);
}

static void cell(report_columns *columns, double x)
{
	char text[REPORT_NUMBER_SIZE];

	report_significant(x, 4, REPORT_MINUS, text);
	report_columns_cell(columns, text);
}

static void coefficients(const struct lab_reduction_trials *trials, GString *to)
{
	report_columns *columns = report_columns_new();

	report_columns_add(columns, REPORT_COLUMNS_LEFT, "subrange");
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "coefficient");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "u, linear law");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "u, trials");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "interval from");
	report_columns_add(columns, REPORT_COLUMNS_RIGHT, "to");
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "linear law");
	for (unsigned i = 0; i < trials->coefficients->len; i++) {
		const struct lab_trial_comparison *x = at(trials->coefficients, i);

		report_columns_cell(columns, x->subrange);
		report_columns_cell(columns, x->coefficient);
		cell(columns, x->u_linear);
		cell(columns, x->u);
		cell(columns, x->low);
		cell(columns, x->high);
		report_columns_cell(columns, x->linear_law_holds ? "holds" : "does not hold");
	}
	report_columns_print(columns, to);
}

void report_trials_text(const struct lab_calibration_result *result, GString *to)
{
	const struct lab_reduction_trials *trials = &result->trials;
	const struct lab_trial_comparison *worst = largest(trials->temperatures);
	g_autoptr(GString) text = g_string_new(NULL);
	char t[REPORT_NUMBER_SIZE], difference[REPORT_NUMBER_SIZE], U[REPORT_NUMBER_SIZE];

	if (trials->n == 0)
		return;
	g_string_append_printf(to, "\nBy %" G_GINT64_FORMAT " trials (ends less the value)\n",
			       trials->n);
	coefficients(trials, to);
	if (worst == NULL)
		return;
	report_at_most(worst->t90_K - 273.15, 3, REPORT_MINUS, t);
	report_significant(1e3 * worst->disagreement, 2, REPORT_MINUS, difference);
	report_significant(1e3 * worst->U_linear, 2, REPORT_MINUS, U);
	g_string_printf(
	    text,
	    "The linear law holds at %u of %u table temperatures. The ends of its "
	    "intervals differ most from those of the trials in %s at %s °C, by %s mK; U "
	    "is %s mK there.",
	    trials->temperatures->len - failures(trials->temperatures), trials->temperatures->len,
	    worst->subrange, t, difference, U);
	report_wrap(to, text->str, 4);
}
