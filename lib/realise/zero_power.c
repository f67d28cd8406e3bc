#include "firn/zero_power.h"
#include "lib/realise/realise.h"

#include <math.h>

static bool reading_is_valid(const struct firn_reading *x)
{
	const double i_A = firn_value(x->i_A), r_ohm = firn_value(x->r_ohm);

	return i_A >= 1e-9 && i_A <= 1.0 && r_ohm > 0.0 && r_ohm <= 1e12; /* false for NaN */
}

/* Hands over a line and looks at its sign. */
static enum firn_status keep_line(struct firn_node r0, struct firn_node k,
				  struct firn_zero_power *ret)
{
	const enum firn_status status = firn_tape_status(r0.tape);

	if (status < 0)
		return status;
	*ret = (struct firn_zero_power){ .r0_ohm = r0, .k_ohm_per_A2 = k };
	return firn_value(k) < -2.0 * firn_u(k) ? FIRN_WARN_SIGN : FIRN_OK;
}

enum firn_status firn_zero_power(const struct firn_reading *lo, const struct firn_reading *hi,
				 struct firn_zero_power *ret)
{
	if (!reading_is_valid(lo) || !reading_is_valid(hi))
		return FIRN_E_DOMAIN;
	if (firn_value(hi->i_A) < FIRN_ZERO_POWER_MIN_RATIO * firn_value(lo->i_A))
		return FIRN_E_SINGULAR;

	const struct firn_node r1 = lo->r_ohm, r2 = hi->r_ohm, i1 = lo->i_A, i2 = hi->i_A;
	const struct firn_node k = firn_formula("k = (r2 - r1)/(i2^2 - i1^2)", r1, r2, i1, i2);
	const struct firn_node r0 = firn_formula("r0 = r1 - k*i1^2", r1, k, i1);

	return keep_line(r0, k, ret);
}

/* The line through two readings, the ratio of their currents squared being scaled. */
static enum firn_status scaled_pair(const struct firn_reading *x, struct firn_node scale,
				    struct firn_zero_power *ret)
{
	const struct firn_node r1 = x[0].r_ohm, r2 = x[1].r_ohm, i1 = x[0].i_A, i2 = x[1].i_A;
	const struct firn_node k =
	    firn_formula("k = (r2 - r1)/(scale*i2^2 - i1^2)", r1, r2, scale, i1, i2);
	const struct firn_node r0 = firn_formula("r0 = r1 - k*i1^2", r1, k, i1);

	return keep_line(r0, k, ret);
}

/* R = R0 + (k i1^2) (i/i1)^2: unknowns of like size for the least squares. */
static enum firn_status fitted_line(size_t n, const struct firn_reading *x, struct firn_node scale,
				    struct firn_zero_power *ret)
{
	struct firn_tape *tape = x[0].r_ohm.tape;
	const struct firn_node one = firn_constant(tape, 1.0), i1 = x[0].i_A;
	struct firn_node a[2 * FIRN_ZERO_POWER_MOST], b[FIRN_ZERO_POWER_MOST], line[2];

	for (size_t j = 0; j < n; j++) {
		const struct firn_node i = x[j].i_A;

		a[2 * j] = one;
		if (j == 0)
			a[2 * j + 1] = one;
		else if (scale.index != 0)
			a[2 * j + 1] = firn_formula("power = scale*(i/i1)^2", scale, i, i1);
		else
			a[2 * j + 1] = firn_formula("power = (i/i1)^2", i, i1);
		b[j] = x[j].r_ohm;
	}
	firn_least_squares(n, 2, a, b, line);
	const struct firn_node heating = line[1];
	const struct firn_node k = firn_formula("k = heating/i1^2", heating, i1);

	return keep_line(firn_name("r0", line[0]), k, ret);
}

enum firn_status firn_zero_power_of(size_t n, const struct firn_reading *x, struct firn_node scale,
				    struct firn_zero_power *ret)
{
	double largest_A = 0.0;

	if (n < 2 || n > FIRN_ZERO_POWER_MOST)
		return FIRN_E_DOMAIN;
	if (scale.index != 0 && !is_node_within(scale, 0.5, 2.0))
		return FIRN_E_DOMAIN;
	for (size_t j = 0; j < n; j++) {
		if (!reading_is_valid(&x[j]) || firn_value(x[j].i_A) < firn_value(x[0].i_A))
			return FIRN_E_DOMAIN;
		largest_A = fmax(largest_A, firn_value(x[j].i_A));
	}
	const double factor = scale.index != 0 ? sqrt(firn_value(scale)) : 1.0;
	if (factor * largest_A < FIRN_ZERO_POWER_MIN_RATIO * firn_value(x[0].i_A))
		return FIRN_E_SINGULAR;
	if (n > 2)
		return fitted_line(n, x, scale, ret);
	return scale.index != 0 ? scaled_pair(x, scale, ret) : firn_zero_power(&x[0], &x[1], ret);
}

enum firn_status firn_zero_power_residual(const struct firn_zero_power *line,
					  const struct firn_reading *x, struct firn_node *ret_ohm)
{
	const struct firn_node r = x->r_ohm, r0 = line->r0_ohm, k = line->k_ohm_per_A2, i = x->i_A;

	return realise_result(firn_formula("residual = r - r0 - k*i^2", r, r0, k, i), ret_ohm);
}

enum firn_status firn_heated(const struct firn_reading *x, struct firn_heated *ret)
{
	if (!reading_is_valid(x))
		return FIRN_E_DOMAIN;
	*ret = (struct firn_heated){ .r_ohm = x->r_ohm, .i_A = x->i_A };
	return FIRN_OK;
}

enum firn_status firn_heated_ratio(const struct firn_heated *x, const struct firn_heated *tpw,
				   struct firn_node *ret_w)
{
	const struct firn_reading a = { x->i_A, x->r_ohm }, b = { tpw->i_A, tpw->r_ohm };

	if (!reading_is_valid(&a) || !reading_is_valid(&b) ||
	    !(fabs(firn_value(a.i_A) / firn_value(b.i_A) - 1.0) <= FIRN_SAME_CURRENT))
		return FIRN_E_DOMAIN;
	const struct firn_node r = x->r_ohm, r_tpw = tpw->r_ohm;
	return realise_result(firn_formula("W = r/r_tpw", r, r_tpw), ret_w);
}
