#include "firn/design.h"

#include "lib/num/qr.h"

#include <math.h>
#include <stdlib.h>

static bool is_design(size_t n, const bool *is_b, const double *t)
{
	size_t n_b = 0;

	if (n < 2 || n > FIRN_DESIGN_MOST)
		return false;
	for (size_t i = 0; i < n; i++) {
		if (!isfinite(t[i]) || (i > 0 && t[i] < t[i - 1]))
			return false;
		n_b += is_b[i] ? 1 : 0;
	}
	return n_b > 0 && n_b < n;
}

/* Time from -1 to 1 over the design: powers of it stay apart. */
static double centred(size_t n, const double *t, size_t i)
{
	const double half = 0.5 * (t[n - 1] - t[0]);

	return half > 0.0 ? (t[i] - t[0]) / half - 1.0 : 0.0;
}

enum firn_status firn_design_weights(size_t n, const bool *is_b, const double *t, size_t order,
				     double *ret_w)
{
	const size_t k = order + 2; /* difference, level, drift */
	double head[FIRN_DESIGN_ORDER + 2], c[FIRN_DESIGN_ORDER + 2] = { 1.0 };
	double *a, *w;
	enum firn_status status;

	if (n > FIRN_DESIGN_MOST || order > FIRN_DESIGN_ORDER)
		return FIRN_E_DOMAIN;
	for (size_t i = 0; i < n; i++)
		if (!isfinite(t[i]) || (i > 0 && t[i] < t[i - 1]))
			return FIRN_E_DOMAIN;
	if (!is_design(n, is_b, t) || n < k)
		return FIRN_E_SINGULAR;
	a = malloc(n * k * sizeof(*a));
	w = calloc(n, sizeof(*w));
	if (a == NULL || w == NULL) {
		free(a);
		free(w);
		return FIRN_E_MEMORY;
	}
	for (size_t i = 0; i < n; i++) {
		double power = 1.0;

		a[i * k] = is_b[i] ? 1.0 : 0.0;
		for (size_t j = 1; j < k; j++, power *= centred(n, t, i))
			a[i * k + j] = power;
	}
	/* x_0 = e_0' R^-1 Q' x, so w = Q R'^-1 e_0. */
	status = num_qr(n, k, a, head);
	if (status >= 0) {
		num_qr_solve_transposed(k, a, c);
		for (size_t j = 0; j < k; j++)
			w[j] = c[j];
		num_qr_apply(n, k, a, head, w);
		for (size_t i = 0; i < n; i++)
			ret_w[i] = w[i];
	}
	free(a);
	free(w);
	return status;
}

int firn_design_cancels(size_t n, const bool *is_b, const double *t)
{
	size_t n_b = 0;
	int order;

	if (!is_design(n, is_b, t))
		return -1;
	for (size_t i = 0; i < n; i++)
		n_b += is_b[i] ? 1 : 0;
	for (order = 1; order <= FIRN_DESIGN_ORDER; order++) {
		double sum = 0.0;

		for (size_t i = 0; i < n; i++)
			sum += pow(centred(n, t, i), order) /
			       (is_b[i] ? (double)n_b : -(double)(n - n_b));
		if (fabs(sum) > 1e-9)
			break;
	}
	return order - 1;
}
