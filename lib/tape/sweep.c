/* Backwards: how a result changes with everything before it. */
#include "lib/tape/tape.h"
#include "lib/num/elementary.h"
#include "lib/num/qr.h"

#include <stdlib.h>

/* dy/dx of the operations with one operand; y is their value. */
static double unary_slope(enum operation operation, double x, double y)
{
	switch (operation) {
	case OP_NEGATE:
		return -1.0;
	case OP_SQRT:
		return 0.5 / y;
	case OP_EXP:
		return y;
	case OP_LN:
		return 1.0 / x;
	case OP_LOG10:
		return 1.0 / (x * 2.302585092994045684); /* ln 10 */
	case OP_SIN:
		return cos(x);
	case OP_COS:
		return -sin(x);
	case OP_TAN:
		return 1.0 + y * y;
	case OP_ASIN:
		return 1.0 / sqrt((1.0 - x) * (1.0 + x));
	case OP_ACOS:
		return -1.0 / sqrt((1.0 - x) * (1.0 + x));
	case OP_ATAN:
		return 1.0 / (1.0 + x * x);
	case OP_ABS:
		return x > 0.0 ? 1.0 : x < 0.0 ? -1.0 : 0.0;
	default:
		return (double)NAN;
	}
}

static void power_adjoint(const struct firn_tape *tape, const struct record *r, double a, double b,
			  double y, double ybar, double *adjoints)
{
	if (tape->records[r->a].depends)
		adjoints[r->a] += ybar * b * pow(a, b - 1.0);
	if (tape->records[r->b].depends)
		adjoints[r->b] += a == 0.0 ? 0.0 : ybar * y * num_ln(a); /* a > 0: y was finite */
}

static void polynomial_adjoint(const struct firn_tape *tape, const struct record *r, double x,
			       double ybar, double *adjoints)
{
	const double *c = tape->coefficients + r->b;
	double slope = 0.0;

	for (uint32_t i = r->n; i-- > 1;)
		slope = slope * x + (double)i * c[i];
	adjoints[r->a] += ybar * slope;
}

/*
 * With z = (A'A)^-1 xbar and the residual r = b - A x:  bbar += A z,  Abar += r z' - (A z) x'.
 * Through Q and R: R' q = xbar, z = R^-1 q, A z = Q q.
 */
static enum firn_status least_squares_adjoint(const struct firn_tape *tape, uint32_t place,
					      const double *values, double *adjoints)
{
	const struct record *r = &tape->records[place];
	const uint32_t n = r->n, m = r->b, *x = tape->operands + r->a;
	double *a = calloc((size_t)m * n + n + m + n + m, sizeof(*a));
	enum firn_status status;

	if (a == NULL)
		return FIRN_E_MEMORY;
	double *head = a + (size_t)m * n, *az = head + n, *z = az + m, *residual = z + n;
	for (uint32_t i = 0; i < m; i++) {
		residual[i] = values[x[i * (n + 1) + n]];
		for (uint32_t j = 0; j < n; j++) {
			a[i * n + j] = values[x[i * (n + 1) + j]];
			residual[i] -= a[i * n + j] * values[place + j];
		}
	}
	status = num_qr(m, n, a, head);
	if (status >= 0) {
		memcpy(az, adjoints + place, n * sizeof(*az));
		num_qr_solve_transposed(n, a, az);
		memcpy(z, az, n * sizeof(*z));
		num_qr_solve(n, a, z);
		num_qr_apply(m, n, a, head, az);
		for (uint32_t i = 0; i < m; i++) {
			adjoints[x[i * (n + 1) + n]] += az[i];
			for (uint32_t j = 0; j < n; j++)
				adjoints[x[i * (n + 1) + j]] +=
				    (m > n ? residual[i] * z[j] : 0.0) - az[i] * values[place + j];
		}
	}
	free(a);
	return status;
}

/* The equation g(x, p) = 0 holds, so dx/dp = -(dg/dp)/(dg/dx). */
static enum firn_status root_adjoint(const struct firn_tape *tape, uint32_t place,
				     const double *values, double *adjoints)
{
	const struct record *r = &tape->records[place];
	const struct root *root = &tape->roots[r->b];
	const uint32_t n = root->equation->n_records;
	double *inner = malloc(2 * (size_t)n * sizeof(*inner));
	enum firn_status status = FIRN_OK;

	if (inner == NULL)
		return FIRN_E_MEMORY;
	double *slopes = inner + n;
	memcpy(inner, root->equation->values, n * sizeof(*inner));
	for (uint32_t i = 0; i < r->n; i++)
		inner[root->inputs[i]] = values[tape->operands[r->a + i]];
	inner[root->unknown] = values[place];
	for (uint32_t i = 1; i < n && status >= 0; i++)
		status = tape_evaluate(root->equation, i, inner);
	if (status >= 0)
		status = tape_sweep(root->equation, root->residual, inner, slopes);
	for (uint32_t i = 0; i < r->n && status >= 0; i++)
		adjoints[tape->operands[r->a + i]] -=
		    adjoints[place] * slopes[root->inputs[i]] / slopes[root->unknown];
	free(inner);
	return status;
}

static enum firn_status apply_adjoint(const struct firn_tape *tape, const struct record *r,
				      double x, double ybar, double *adjoints)
{
	double y, slope;
	const enum firn_status status = tape->functions[r->b]->one(x, &y, &slope);

	if (status >= 0)
		adjoints[r->a] += ybar * slope;
	return status;
}

static void list_adjoint(const struct firn_tape *tape, const struct record *r, const double *values,
			 double ybar, double *adjoints)
{
	const uint32_t *x = tape->operands + r->a;

	for (uint32_t i = 0; i < r->n; i++) {
		if (r->operation == OP_SUM) {
			adjoints[x[i]] += ybar;
		} else if (r->operation == OP_LINEAR) {
			adjoints[x[i]] += ybar * tape->coefficients[r->b + i];
		} else {
			adjoints[x[i]] += ybar * values[x[r->n + i]];
			adjoints[x[r->n + i]] += ybar * values[x[i]];
		}
	}
}

enum firn_status tape_adjoint(const struct firn_tape *tape, uint32_t i, const double *values,
			      double *adjoints)
{
	const struct record *r = &tape->records[i];
	const double a = values[r->a < tape->n_records ? r->a : 0];
	const double b = values[r->b < tape->n_records ? r->b : 0];
	const double ybar = adjoints[i];

	switch ((enum operation)r->operation) {
	case OP_NOTHING:
	case OP_INPUT:
	case OP_CONSTANT:
	case OP_SLOT:
		return FIRN_OK;
	case OP_ADD:
		adjoints[r->a] += ybar;
		adjoints[r->b] += ybar;
		return FIRN_OK;
	case OP_SUBTRACT:
		adjoints[r->a] += ybar;
		adjoints[r->b] -= ybar;
		return FIRN_OK;
	case OP_MULTIPLY:
		adjoints[r->a] += ybar * b;
		adjoints[r->b] += ybar * a;
		return FIRN_OK;
	case OP_DIVIDE:
		adjoints[r->a] += ybar / b;
		adjoints[r->b] -= ybar * values[i] / b;
		return FIRN_OK;
	case OP_POWER:
		power_adjoint(tape, r, a, b, values[i], ybar, adjoints);
		return FIRN_OK;
	case OP_MIN:
		adjoints[a <= b ? r->a : r->b] += ybar;
		return FIRN_OK;
	case OP_MAX:
		adjoints[a >= b ? r->a : r->b] += ybar;
		return FIRN_OK;
	case OP_SUM:
	case OP_DOT:
	case OP_LINEAR:
		list_adjoint(tape, r, values, ybar, adjoints);
		return FIRN_OK;
	case OP_POLYNOMIAL:
		polynomial_adjoint(tape, r, a, ybar, adjoints);
		return FIRN_OK;
	case OP_LEAST_SQUARES:
		return least_squares_adjoint(tape, i, values, adjoints);
	case OP_ROOT:
		return root_adjoint(tape, i, values, adjoints);
	case OP_APPLY:
		return apply_adjoint(tape, r, a, ybar, adjoints);
	default:
		adjoints[r->a] += ybar * unary_slope((enum operation)r->operation, a, values[i]);
		return FIRN_OK;
	}
}

/* Slots carry adjoints for the operation before them, so the whole of it counts. */
static bool is_reached(const struct firn_tape *tape, uint32_t i, const double *adjoints)
{
	const struct record *r = &tape->records[i];

	if (!r->depends)
		return false;
	if (r->operation != OP_LEAST_SQUARES)
		return adjoints[i] != 0.0;
	for (uint32_t j = 0; j < r->n; j++)
		if (adjoints[i + j] != 0.0)
			return true;
	return false;
}

enum firn_status tape_sweep(const struct firn_tape *tape, uint32_t y, const double *values,
			    double *adjoints)
{
	enum firn_status status = FIRN_OK;

	memset(adjoints, 0, tape->n_records * sizeof(*adjoints));
	adjoints[y] = 1.0;
	for (uint32_t i = y + 1; i-- > 1 && status >= 0;)
		if (is_reached(tape, i, adjoints))
			status = tape_adjoint(tape, i, values, adjoints);
	return status < 0 ? status : FIRN_OK;
}
