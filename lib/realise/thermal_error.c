#include "firn/thermal_error.h"

#include "lib/num/elementary.h"
#include "lib/num/qr.h"
#include "lib/realise/realise.h"

#include <math.h>
#include <stdlib.h>

enum { WAVE = 4 }; /* cosine, sine, level, line */

struct wave {
	double cosine, sine; /* K */
	double u;            /* of either */
};

/* Least squares of one record; the matrix is factored once for both. */
static struct wave fit_wave(size_t n, const double *qr, const double *head, const double *x,
			    double *work)
{
	double squares = 0.0, inverse[WAVE] = { 1.0 };

	for (size_t i = 0; i < n; i++)
		work[i] = x[i] - x[0];
	num_qr_apply_transposed(n, WAVE, qr, head, work);
	for (size_t i = WAVE; i < n; i++)
		squares += work[i] * work[i];
	num_qr_solve(WAVE, qr, work);
	num_qr_solve_transposed(WAVE, qr, inverse);
	double variance = 0.0;
	for (size_t k = 0; k < WAVE; k++)
		variance += inverse[k] * inverse[k];
	return (struct wave){ work[0], work[1], sqrt(squares / (double)(n - WAVE) * variance) };
}

static bool are_records(size_t n, const double *t_s, const double *cell_K, const double *furnace_K,
			double period_s)
{
	if (n < 10 || n > 1000000 || !(period_s > 0.0) || !isfinite(period_s))
		return false;
	for (size_t i = 0; i < n; i++)
		if (!isfinite(t_s[i]) || !isfinite(cell_K[i]) || !isfinite(furnace_K[i]) ||
		    (i > 0 && t_s[i] < t_s[i - 1]))
			return false;
	return t_s[n - 1] - t_s[0] >= 2.0 * period_s;
}

enum firn_status firn_furnace_coupling(size_t n, const double *t_s, const double *cell_K,
				       const double *furnace_K, double period_s,
				       struct firn_coupling *ret)
{
	const double two_pi = 6.28318530717958647693;
	double head[WAVE], *a, *work;
	enum firn_status status;

	if (!are_records(n, t_s, cell_K, furnace_K, period_s))
		return FIRN_E_DOMAIN;
	a = malloc(n * WAVE * sizeof(*a));
	work = malloc(n * sizeof(*work));
	if (a == NULL || work == NULL) {
		free(a);
		free(work);
		return FIRN_E_MEMORY;
	}
	for (size_t i = 0; i < n; i++) {
		const double t = t_s[i] - t_s[0], phase = two_pi * t / period_s;

		a[WAVE * i] = cos(phase);
		a[WAVE * i + 1] = sin(phase);
		a[WAVE * i + 2] = 1.0;
		a[WAVE * i + 3] = t / (t_s[n - 1] - t_s[0]);
	}
	status = num_qr(n, WAVE, a, head);
	if (status >= 0) {
		const struct wave cell = fit_wave(n, a, head, cell_K, work);
		const struct wave furnace = fit_wave(n, a, head, furnace_K, work);
		const double c = hypot(cell.cosine, cell.sine),
			     f = hypot(furnace.cosine, furnace.sine);
		/* the phase of the cell behind that of the furnace */
		const double behind = remainder(
		    atan2(cell.sine, cell.cosine) - atan2(furnace.sine, furnace.cosine), two_pi);

		status = f > 5.0 * furnace.u ? FIRN_OK : FIRN_E_SINGULAR;
		if (status == FIRN_OK)
			*ret = (struct firn_coupling){
				.ratio = c / f,
				.u_ratio = hypot(cell.u / f, c / f * furnace.u / f),
				.lag_s = behind / two_pi * period_s,
				.cell_K = c,
				.furnace_K = f,
			};
	}
	free(a);
	free(work);
	return status;
}

enum firn_status firn_half_range(size_t n, const double *x, double *ret)
{
	double low = (double)INFINITY, high = -(double)INFINITY;

	if (n < 2)
		return FIRN_E_DOMAIN;
	for (size_t i = 0; i < n; i++) {
		if (!isfinite(x[i]))
			return FIRN_E_DOMAIN;
		low = fmin(low, x[i]);
		high = fmax(high, x[i]);
	}
	*ret = 0.5 * (high - low);
	return FIRN_OK;
}

enum firn_status firn_static_error(struct firn_node load_W, struct firn_node R_K_per_W,
				   struct firn_node *ret_dt_K)
{
	const struct firn_node load = load_W, R = R_K_per_W;

	if (!is_node_within(load, -1.0, 1.0) || !is_node_within(R, 0.0, 1e4))
		return FIRN_E_DOMAIN;
	return realise_result(firn_formula("dT_static = load*R", load, R), ret_dt_K);
}

enum firn_status firn_heat_load(struct firn_node C_J_per_K, struct firn_node K_per_s,
				struct firn_node *ret_W)
{
	const struct firn_node C = C_J_per_K, rate = K_per_s;

	if (!is_node_within(C, 0.0, 1e5) || !is_node_within(rate, -1.0, 1.0))
		return FIRN_E_DOMAIN;
	return realise_result(firn_formula("load = C*rate", C, rate), ret_W);
}

enum firn_status firn_least_wait(double R_K_per_W, double C_wall_J_per_K, double overheat_K,
				 double allowed_K, double *ret_s)
{
	if (!is_within(R_K_per_W, 0.0, 1e4) || !is_within(C_wall_J_per_K, 0.0, 1e5) ||
	    !is_within(overheat_K, 0.0, 100.0) || !(allowed_K > 0.0) || !isfinite(allowed_K))
		return FIRN_E_DOMAIN;
	*ret_s = overheat_K > allowed_K
		     ? R_K_per_W * C_wall_J_per_K * num_ln(overheat_K / allowed_K)
		     : 0.0;
	return FIRN_OK;
}
