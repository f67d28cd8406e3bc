#include "app/calc/reduce_trials.h"

#include "firn/monte_carlo.h"

#include <math.h>

enum { DIGITS = 2, SEED = 1 };

/* What one result of the trials is for: a coefficient, or the W_r at a line of a table. */
struct aim {
	enum lab_subrange subrange;
	guint place; /* of the subrange's result, or of the curve */
	guint line;  /* coefficient, or line of the table */
	bool is_coefficient;
};

struct trials {
	struct reduction *r;
	GArray *aims, *nodes; /* struct aim, struct firn_node */
};

static void aim_at(struct trials *t, struct aim aim, struct firn_node y)
{
	g_array_append_val(t->aims, aim);
	g_array_append_val(t->nodes, y);
}

static void aim_at_coefficients(struct trials *t)
{
	const GArray *subranges = t->r->result->subranges;

	for (guint i = 0; i < subranges->len; i++) {
		const struct lab_subrange_result *s = LAB_AT(subranges, lab_subrange_result, i);

		for (guint k = 0; s->certificate && k < s->coefficients->len; k++)
			aim_at(t, (struct aim){ s->subrange, i, k, true },
			       t->r->subranges[s->subrange].coefficients[k]);
	}
}

/*
 * At a given W the trials are of W_r: T90 rises with W_r alone, so the ends of its interval are the
 * T90 of the ends. The slope that turns u(W_r) into u(T90) changes by less than 1e-6 of itself
 * within a millikelvin.
 */
static void aim_at_tables(struct trials *t)
{
	const GArray *curves = t->r->result->curves;

	for (guint i = 0; i < curves->len; i++) {
		const struct lab_curve *curve = LAB_AT(curves, lab_curve, i);
		const struct firn_subrange *subrange =
		    firn_scale_subrange((enum firn_subrange_id)curve->subrange);
		const struct reduced_subrange *s = &t->r->subranges[curve->subrange];

		for (guint k = 0; k < curve->points->len; k++) {
			const struct firn_node w =
			    firn_constant(t->r->tape, LAB_AT(curve->points, lab_curve_point, k)->w);

			aim_at(t, (struct aim){ curve->subrange, i, k, false },
			       firn_wr_of_w(subrange, s->coefficients, w, s->w_al));
		}
	}
}

static double probability(const struct lab_calibration_result *result)
{
	return lab_given(result->coverage_probability) ? result->coverage_probability
						       : erf(result->coverage_factor / sqrt(2.0));
}

static double factor(const struct lab_calibration_result *result, double dof)
{
	return lab_given(result->coverage_probability)
		   ? firn_coverage_factor(result->coverage_probability, dof)
		   : result->coverage_factor;
}

/* In the unit of the result: of a table's line kelvin, by the slope dT90/dW_r there. */
static bool compare(struct trials *t, struct firn_node y, double unit,
		    struct firn_monte_carlo_result trials, struct lab_trial_comparison *ret)
{
	struct lab_calibration_result *result = t->r->result;
	const double value = firn_value(y);
	double u, dof;

	if (firn_u_dof(y, &u, &dof) < 0)
		return false;
	const double U = factor(result, dof) * u;
	const double tolerance = firn_numerical_tolerance(trials.no_u ? u : trials.u, DIGITS);

	*ret = (struct lab_trial_comparison){
		.shift = (trials.value - value) * unit,
		.u_linear = u * unit,
		.U_linear = U * unit,
		.u = trials.u * unit,
		.low = (trials.low - value) * unit,
		.high = (trials.high - value) * unit,
		.disagreement =
		    fmax(fabs(trials.low - (value - U)), fabs(trials.high - (value + U))) * unit,
		.linear_law_holds = firn_linear_law_holds(value, U, &trials, tolerance),
	};

	return true;
}

static bool keep_coefficient(struct trials *t, const struct aim *aim, struct firn_node y,
			     const struct firn_monte_carlo_result *trials)
{
	const struct lab_subrange_result *s =
	    LAB_AT(t->r->result->subranges, lab_subrange_result, aim->place);
	struct lab_trial_comparison c;

	if (!compare(t, y, 1.0, *trials, &c))
		return false;
	c.subrange = s->name;
	c.coefficient = LAB_AT(s->coefficients, lab_coefficient, aim->line)->name;
	c.t90_K = LAB_NOT_GIVEN;
	g_array_append_val(t->r->result->trials.coefficients, c);
	return true;
}

static bool keep_line(struct trials *t, const struct aim *aim, struct firn_node y,
		      const struct firn_monte_carlo_result *trials)
{
	const struct lab_curve *curve = LAB_AT(t->r->result->curves, lab_curve, aim->place);
	const struct lab_curve_point *line = LAB_AT(curve->points, lab_curve_point, aim->line);
	struct lab_trial_comparison c;
	double u_wr, dof;

	if (firn_u_dof(y, &u_wr, &dof) < 0 ||
	    !compare(t, y, u_wr > 0.0 ? line->u_calibration_K / u_wr : 0.0, *trials, &c))
		return false;
	c.subrange = curve->name;
	c.t90_K = line->t90_K;
	g_array_append_val(t->r->result->trials.temperatures, c);
	return true;
}

bool reduction_try(struct reduction *r, void *context)
{
	const struct reduce_trials *asked = context;
	g_autoptr(GArray) aims = g_array_new(FALSE, FALSE, sizeof(struct aim));
	g_autoptr(GArray) nodes = g_array_new(FALSE, FALSE, sizeof(struct firn_node));
	struct trials t = { r, aims, nodes };
	const struct firn_monte_carlo_settings settings = {
		.trials = (uint64_t)asked->n,
		.seed = SEED,
		.coverage_probability = probability(r->result),
		.run = base_threads_run,
		.runner = asked->threads,
	};

	aim_at_coefficients(&t);
	aim_at_tables(&t);
	if (nodes->len == 0)
		return true;
	g_autofree struct firn_monte_carlo_result *found =
	    g_new0(struct firn_monte_carlo_result, nodes->len);
	const struct firn_node *y = (const struct firn_node *)(const void *)nodes->data;
	const enum firn_status status = firn_monte_carlo(nodes->len, y, &settings, found);
	if (status < 0) {
		reduction_wrong(r, lab_calibration_mark(r->job, "visits"),
				"the trials could not be done: %s", firn_status_text(status));
		return false;
	}
	r->result->trials.n = asked->n;
	r->result->trials.coverage_probability = settings.coverage_probability;
	for (guint i = 0; i < aims->len; i++) {
		const struct aim *aim = &g_array_index(aims, struct aim, i);

		if (!(aim->is_coefficient ? keep_coefficient : keep_line)(&t, aim, y[i], &found[i]))
			return reduction_is_good(r, lab_calibration_mark(r->job, "visits"),
						 "the comparison with trials");
	}
	return true;
}
