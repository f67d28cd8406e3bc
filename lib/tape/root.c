#include "lib/tape/tape.h"

enum { MOST_STEPS = 100, MOST_HALVINGS = 60 };

static enum firn_status residual_at(const struct root *root, double x, double *values)
{
	enum firn_status status = FIRN_OK;

	values[root->unknown] = x;
	for (uint32_t i = 1; i < root->equation->n_records && status >= 0; i++)
		status = tape_evaluate(root->equation, i, values);
	return status >= 0 && !isfinite(values[root->residual]) ? FIRN_E_DOMAIN : status;
}

/*
 * The step after which |step| <= 1e-8 |x| is the last: Newton's error is then the square of that,
 * far below the last digit, and the residual's noise can't keep it going. Steps out of the
 * equation's domain are halved.
 */
enum firn_status root_solve(const struct root *root, double *values, double *memory)
{
	const struct sweep sweep = sweep_in(memory, root->equation);
	double x = root->start;

	if (residual_at(root, x, values) < 0)
		return FIRN_E_SINGULAR;
	for (int i = 0; i < MOST_STEPS; i++) {
		const double residual = values[root->residual];
		double slope, step;
		int halvings = 0;

		if (tape_sweep(root->equation, root->residual, values, sweep) < 0)
			return FIRN_E_SINGULAR;
		slope = sweep_slope(sweep, root->unknown);
		step = residual / slope;
		if (residual == 0.0 && slope != 0.0)
			step = 0.0;
		if (!isfinite(step))
			return FIRN_E_SINGULAR;
		while (residual_at(root, x - step, values) < 0) {
			if (++halvings > MOST_HALVINGS)
				return FIRN_E_SINGULAR;
			step *= 0.5;
		}
		x -= step;
		if (halvings == 0 && fabs(step) <= 1e-8 * fabs(x))
			return FIRN_OK;
		if (step == 0.0)
			return FIRN_OK;
	}
	return FIRN_E_SINGULAR;
}
