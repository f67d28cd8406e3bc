/* The law of propagation of uncertainty: JCGM 100:2008, 5.1, 5.2, and G.4.1. */
#include "lib/tape/tape.h"

#include <stdlib.h>

/* Contributions of all inputs to one result: c[i] = dy/dx_i u_i, and dy/dx_i. */
static enum firn_status contributions(const struct firn_tape *tape, uint32_t y, struct sweep sweep,
				      double *ret_slopes, double *ret_c)
{
	const enum firn_status status = tape_sweep(tape, y, tape->values, sweep);

	for (uint32_t i = 0; status >= 0 && i < tape->n_inputs; i++) {
		const double slope = sweep_slope(sweep, tape->inputs[i].node);

		if (ret_slopes != NULL)
			ret_slopes[i] = slope;
		ret_c[i] = slope == 0.0 ? 0.0 : slope * tape->inputs[i].said.u;
	}
	return status;
}

/* x' V y with what the inputs contribute to two results. */
static double joint(const struct firn_tape *tape, const double *x, const double *y)
{
	double sum = 0.0;

	for (uint32_t i = 0; i < tape->n_inputs; i++)
		sum += x[i] * y[i];
	for (uint32_t i = 0; i < tape->n_correlations; i++) {
		const struct correlation *k = &tape->correlations[i];

		sum += k->r * (x[k->a] * y[k->b] + x[k->b] * y[k->a]);
	}
	return sum;
}

/* Rounding may leave a variance that correlations of -1 take to zero a little below it. */
static double root_of_variance(double variance)
{
	return variance <= 0.0 ? 0.0 : sqrt(variance); /* NaN stays NaN */
}

static enum firn_status ready(struct firn_node x)
{
	if (x.tape->status >= 0 && x.index == 0)
		return FIRN_E_UNKNOWN;
	return x.tape->status < 0 ? x.tape->status : tape_check_correlations(x.tape);
}

/*
 * What the uncertainty of input i has a hand in: c_i sum_j r_ij c_j, j over all inputs. The sum of
 * these is the variance; of an input without correlations it is c_i^2.
 */
static void shares(const struct firn_tape *tape, const double *c, double *ret_shares)
{
	for (uint32_t i = 0; i < tape->n_inputs; i++)
		ret_shares[i] = c[i] * c[i];
	for (uint32_t i = 0; i < tape->n_correlations; i++) {
		const struct correlation *k = &tape->correlations[i];
		const double product = k->r * c[k->a] * c[k->b];

		ret_shares[k->a] += product;
		ret_shares[k->b] += product;
	}
}

/* The largest contribution; 1 where there is none. Squares of ratios to it neither vanish nor grow
   beyond a double. */
static double size_of(const struct firn_tape *tape, const double *c)
{
	double size = 0.0;

	for (uint32_t i = 0; i < tape->n_inputs; i++)
		size = fmax(size, fabs(c[i]));
	return size > 0.0 ? size : 1.0;
}

/*
 * Welch-Satterthwaite, JCGM 100:2008, G.4.1, and where inputs are correlated what its derivation
 * gives: the variance changes by share_i with the relative change of u_i^2, whose own relative
 * variance is 2/dof_i; so dof = variance^2/sum(share_i^2/dof_i). Inputs read together have one u
 * for all: their shares add up first. Correlation coefficients count as known. Not below the least
 * dof of an input that contributes: without correlations it never is, and where contributions
 * cancel it would sink without end (ours).
 */
static double effective_dof(const struct firn_tape *tape, const double *c, double variance,
			    double *scratch)
{
	double sum = 0.0, least = (double)INFINITY;

	shares(tape, c, scratch);
	for (uint32_t i = 0; i < tape->n_inputs; i++) {
		const uint32_t first = tape->inputs[i].paired;

		if (first != i) {
			scratch[first] += scratch[i];
			scratch[i] = 0.0;
		}
	}
	for (uint32_t i = 0; i < tape->n_inputs; i++) {
		const double dof = tape->inputs[i].said.dof, share = scratch[i] / variance;

		if (dof > 0.0 && c[i] != 0.0)
			least = fmin(least, dof);
		if (dof > 0.0)
			sum += share * share / dof;
	}
	return variance > 0.0 && sum > 0.0 ? fmax(1.0 / sum, least) : (double)INFINITY;
}

enum firn_status firn_u_dof(struct firn_node x, double *ret_u, double *ret_dof)
{
	const struct firn_tape *tape = x.tape;
	enum firn_status status = ready(x);
	double *memory, *c;

	if (status < 0)
		return status;
	memory = malloc((sweep_room(tape) + 2 * (size_t)tape->n_inputs) * sizeof(*memory));
	if (memory == NULL)
		return FIRN_E_MEMORY;
	c = memory + sweep_room(tape);
	status = contributions(tape, x.index, sweep_in(memory, tape), NULL, c);
	if (status >= 0) {
		const double size = size_of(tape, c);

		for (uint32_t i = 0; i < tape->n_inputs; i++)
			c[i] /= size;
		const double variance = joint(tape, c, c);
		*ret_u = size * root_of_variance(variance);
		*ret_dof = effective_dof(tape, c, variance, c + tape->n_inputs);
	}
	free(memory);
	return status;
}

double firn_u(struct firn_node x)
{
	double u = (double)NAN, dof;

	return firn_u_dof(x, &u, &dof) < 0 ? (double)NAN : u;
}

enum firn_status firn_covariance(size_t n, const struct firn_node *x, double *ret_cov)
{
	const struct firn_tape *tape = x[0].tape;
	const size_t n_inputs = tape->n_inputs;
	enum firn_status status = FIRN_OK;
	double *memory, *c;

	for (size_t i = 0; i < n && status >= 0; i++)
		status = x[i].tape != tape ? FIRN_E_FOREIGN : ready(x[i]);
	if (status < 0)
		return status;
	memory = malloc((sweep_room(tape) + n * n_inputs) * sizeof(*memory));
	if (memory == NULL)
		return FIRN_E_MEMORY;
	c = memory + sweep_room(tape);
	for (size_t i = 0; i < n && status >= 0; i++)
		status =
		    contributions(tape, x[i].index, sweep_in(memory, tape), NULL, c + i * n_inputs);
	for (size_t i = 0; i < n && status >= 0; i++)
		for (size_t j = 0; j <= i; j++)
			ret_cov[i * n + j] = ret_cov[j * n + i] =
			    joint(tape, c + i * n_inputs, c + j * n_inputs);
	free(memory);
	return status;
}

double firn_sensitivity(struct firn_node y, struct firn_node x)
{
	double *memory, slope = (double)NAN;

	if (y.tape != x.tape || y.tape->status < 0 || y.index == 0 || x.index == 0)
		return slope;
	memory = malloc(sweep_room(y.tape) * sizeof(*memory));
	if (memory == NULL)
		return slope;
	const struct sweep sweep = sweep_in(memory, y.tape);
	if (tape_sweep(y.tape, y.index, y.tape->values, sweep) >= 0)
		slope = sweep_slope(sweep, x.index);
	free(memory);
	return slope;
}

static int larger_contribution_first(const void *a, const void *b)
{
	const struct firn_budget_line *x = a, *y = b;

	if (x->contribution != y->contribution)
		return x->contribution < y->contribution ? 1 : -1;
	return x->input.index < y->input.index ? -1 : x->input.index > y->input.index;
}

enum firn_status firn_budget(struct firn_node y, size_t max, struct firn_budget_line *ret,
			     size_t *ret_n)
{
	struct firn_tape *tape = y.tape;
	const size_t n = tape->n_inputs;
	enum firn_status status = ready(y);
	struct firn_budget_line *lines;
	double *memory, *slopes, *c;
	size_t found = 0;

	if (status < 0)
		return status;
	lines = malloc((n + 1) * sizeof(*lines));
	memory = malloc((sweep_room(tape) + 2 * n) * sizeof(*memory));
	if (lines == NULL || memory == NULL) {
		free(lines);
		free(memory);
		return FIRN_E_MEMORY;
	}
	slopes = memory + sweep_room(tape);
	c = slopes + n;
	status = contributions(tape, y.index, sweep_in(memory, tape), slopes, c);
	for (uint32_t i = 0; i < n && status >= 0; i++)
		if (slopes[i] != 0.0)
			lines[found++] =
			    (struct firn_budget_line){ .input = { tape, tape->inputs[i].node },
						       .sensitivity = slopes[i],
						       .contribution = fabs(c[i]) };
	if (status >= 0) {
		qsort(lines, found, sizeof(*lines), larger_contribution_first);
		*ret_n = found < max ? found : max;
		memcpy(ret, lines, *ret_n * sizeof(*ret));
	}
	free(lines);
	free(memory);
	return status;
}
