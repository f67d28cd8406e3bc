#include "lib/num/qr.h"

#include <math.h>

static double column_norm(size_t from, size_t m, size_t n, const double *a, size_t column)
{
	double sum = 0.0;

	for (size_t i = from; i < m; i++)
		sum += a[i * n + column] * a[i * n + column];
	return sqrt(sum);
}

/* Reflects x by I - v v'/(v_k head) with v in column k of qr from row k on; v_k = head. */
static void reflect(size_t m, size_t n, const double *qr, size_t k, double head, double *x,
		    size_t step)
{
	double dot = head * x[k * step], norm2 = head * head;

	if (head == 0.0)
		return;
	for (size_t i = k + 1; i < m; i++) {
		dot += qr[i * n + k] * x[i * step];
		norm2 += qr[i * n + k] * qr[i * n + k];
	}
	const double factor = 2.0 * dot / norm2;
	x[k * step] -= factor * head;
	for (size_t i = k + 1; i < m; i++)
		x[i * step] -= factor * qr[i * n + k];
}

enum firn_status num_qr(size_t m, size_t n, double *a, double *ret_head)
{
	for (size_t k = 0; k < n; k++) {
		const double whole = column_norm(0, m, n, a, k), norm = column_norm(k, m, n, a, k);

		if (!(norm > 1e-14 * whole) || !isfinite(norm))
			return FIRN_E_SINGULAR;
		const double diagonal = a[k * n + k] > 0.0 ? -norm : norm;
		ret_head[k] = a[k * n + k] - diagonal; /* never a difference of like numbers */
		if (k + 1 == m)
			ret_head[k] = 0.0; /* one row left: nothing to reflect */
		for (size_t j = k + 1; j < n; j++)
			reflect(m, n, a, k, ret_head[k], a + j, n);
		if (ret_head[k] != 0.0)
			a[k * n + k] = diagonal;
	}
	return FIRN_OK;
}

void num_qr_apply_transposed(size_t m, size_t n, const double *qr, const double *head, double *x)
{
	for (size_t k = 0; k < n; k++)
		reflect(m, n, qr, k, head[k], x, 1);
}

void num_qr_apply(size_t m, size_t n, const double *qr, const double *head, double *x)
{
	for (size_t k = n; k-- > 0;)
		reflect(m, n, qr, k, head[k], x, 1);
}

void num_qr_solve(size_t n, const double *qr, double *x)
{
	for (size_t i = n; i-- > 0;) {
		for (size_t j = i + 1; j < n; j++)
			x[i] -= qr[i * n + j] * x[j];
		x[i] /= qr[i * n + i];
	}
}

void num_qr_solve_transposed(size_t n, const double *qr, double *x)
{
	for (size_t i = 0; i < n; i++) {
		for (size_t j = 0; j < i; j++)
			x[i] -= qr[j * n + i] * x[j];
		x[i] /= qr[i * n + i];
	}
}
