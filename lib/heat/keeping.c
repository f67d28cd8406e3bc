#include "firn/keeping.h"

#include <math.h>

#define MOST_LOOKS 10000

static bool is_positive(double x)
{
	return isfinite(x) && x > 0;
}

static bool is_look(const struct firn_keeping_look *x)
{
	return isfinite(x->time_s) && x->time_s >= 0 && isfinite(x->left_s) &&
	       is_positive(x->u_s) && isfinite(x->lost_s);
}

/* Normal equations of two unknowns: weights are plain, so both are linear in what was seen. */
struct normal {
	double aa, ab, bb; /* of left and rate */
};

static void add_row(struct normal *m, double a, double b)
{
	m->aa += a * a;
	m->ab += a * b;
	m->bb += b * b;
}

static struct firn_node seen(struct firn_tape *tape, const char *name, double value, double u)
{
	const struct firn_input input = { .name = name, .unit = "s", .value = value, .u = u };

	return firn_tape_input(tape, &input);
}

enum firn_status firn_keeping_fit(struct firn_tape *tape, const struct firn_keeping_prior *prior,
				  size_t n, const struct firn_keeping_look *looks,
				  struct firn_node *ret_left_s, struct firn_node *ret_rate)
{
	struct normal m = { 0 };
	struct firn_node left, rate;
	double det;

	if (!isfinite(prior->left_s) || !is_positive(prior->u_left_s) ||
	    !is_positive(prior->u_rate) || n > MOST_LOOKS)
		return FIRN_E_DOMAIN;
	add_row(&m, 1 / prior->u_left_s, 0);
	add_row(&m, 0, 1 / prior->u_rate);
	for (size_t i = 0; i < n; i++) {
		if (!is_look(&looks[i]))
			return FIRN_E_DOMAIN;
		add_row(&m, 1 / looks[i].u_s, -looks[i].time_s / looks[i].u_s);
	}
	det = m.aa * m.bb - m.ab * m.ab;
	if (!is_positive(det))
		return FIRN_E_DOMAIN;

	/* x = inverse(A'A) A'y: each seen value enters both unknowns with a number */
	const double p = 1 / (prior->u_left_s * prior->u_left_s),
		     q = 1 / (prior->u_rate * prior->u_rate);
	const struct firn_node first = seen(tape, "mantle.left", prior->left_s, prior->u_left_s);
	const struct firn_node one = seen(tape, "mantle.rate", 1.0, prior->u_rate);
	const struct firn_node both[] = { first, one };
	const double to_left[] = { m.bb * p / det, -m.ab * q / det };
	const double to_rate[] = { -m.ab * p / det, m.aa * q / det };
	left = firn_linear(2, to_left, both);
	rate = firn_linear(2, to_rate, both);
	for (size_t i = 0; i < n; i++) {
		const double w = 1 / (looks[i].u_s * looks[i].u_s), t = looks[i].time_s;
		const struct firn_node y =
		    seen(tape, "mantle.look", looks[i].left_s + looks[i].lost_s, looks[i].u_s);
		const double a = w * (m.bb + m.ab * t) / det, b = w * (-m.ab - m.aa * t) / det;

		left = firn_add(left, firn_linear(1, &a, &y));
		rate = firn_add(rate, firn_linear(1, &b, &y));
	}
	const enum firn_status status = firn_tape_status(tape);
	if (status < 0)
		return status;
	*ret_left_s = firn_name("left", left);
	*ret_rate = firn_name("rate", rate);
	return FIRN_OK;
}

/* (x - f T)^2 = k^2 (Vx - 2 T C + T^2 Vf), both roots; above the lower one there may be no end. */
static void fieller(double x, double f, const double *v, double k, double *ret_low,
		    double *ret_high)
{
	const double a = f * f - k * k * v[3], b = x * f - k * k * v[1], c = x * x - k * k * v[0];
	const double root = sqrt(fmax(0.0, b * b - a * c));

	if (a > 0) {
		*ret_low = (b - root) / a;
		*ret_high = (b + root) / a;
	} else {
		*ret_low = c / (b + root); /* the one that stays finite as a goes to 0 */
		*ret_high = INFINITY;
	}
}

enum firn_status firn_keeping_forecast(struct firn_node left_s, struct firn_node rate,
				       double time_s, double lost_s, double k,
				       struct firn_keeping_forecast *ret)
{
	if (!isfinite(time_s) || !isfinite(lost_s) || !is_positive(k) ||
	    !is_positive(firn_value(rate)) || !isfinite(firn_value(left_s)))
		return FIRN_E_DOMAIN;

	const struct firn_node t = firn_constant(rate.tape, time_s);
	const struct firn_node lost = firn_constant(rate.tape, lost_s), start = left_s, f = rate;
	const struct firn_node left = firn_formula("left = start - f*t - lost", start, f, t, lost);
	const struct firn_node end = firn_formula("end = left/f", left, f);
	const struct firn_node both[] = { left, f };
	double v[4];
	const enum firn_status status = firn_covariance(2, both, v);

	if (status < 0)
		return status;
	ret->value_s = firn_value(end);
	ret->u_s = firn_u(end);
	fieller(firn_value(left), firn_value(f), v, k, &ret->low_s, &ret->high_s);
	return FIRN_OK;
}
