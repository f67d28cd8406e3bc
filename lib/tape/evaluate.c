/* Forwards: the value of a record from the values before it. */
#include "lib/tape/tape.h"
#include "lib/num/elementary.h"
#include "lib/num/qr.h"

#include <stdlib.h>

static double polynomial(uint32_t n, const double *c, double x)
{
	double y = 0.0;

	for (uint32_t i = n; i-- > 0;)
		y = y * x + c[i];
	return y;
}

static double unary(enum operation operation, double x)
{
	switch (operation) {
	case OP_NEGATE:
		return -x;
	case OP_SQRT:
		return sqrt(x);
	case OP_EXP:
		return num_exp(x);
	case OP_LN:
		return num_ln(x);
	case OP_LOG10:
		return log10(x);
	case OP_SIN:
		return sin(x);
	case OP_COS:
		return cos(x);
	case OP_TAN:
		return tan(x);
	case OP_ASIN:
		return asin(x);
	case OP_ACOS:
		return acos(x);
	case OP_ATAN:
		return atan(x);
	case OP_ABS:
		return fabs(x);
	default:
		return (double)NAN;
	}
}

static double sum(const struct firn_tape *tape, const struct record *r, const double *values)
{
	double y = 0.0;

	for (uint32_t i = 0; i < r->n; i++)
		y += values[tape->operands[r->a + i]];
	return y;
}

static double dot(const struct firn_tape *tape, const struct record *r, const double *values)
{
	const uint32_t *x = tape->operands + r->a;
	double y = 0.0;

	for (uint32_t i = 0; i < r->n; i++)
		y += values[x[i]] * values[x[r->n + i]];
	return y;
}

static double linear(const struct firn_tape *tape, const struct record *r, const double *values)
{
	double y = 0.0;

	for (uint32_t i = 0; i < r->n; i++)
		y += tape->coefficients[r->b + i] * values[tape->operands[r->a + i]];
	return y;
}

static enum firn_status least_squares(const struct firn_tape *tape, uint32_t place, double *values)
{
	const struct record *r = &tape->records[place];
	const uint32_t n = r->n, m = r->b, *x = tape->operands + r->a;
	double *a = malloc(((size_t)m * n + m + n) * sizeof(*a));
	enum firn_status status;

	if (a == NULL)
		return FIRN_E_MEMORY;
	double *b = a + (size_t)m * n, *head = b + m;
	for (uint32_t i = 0; i < m; i++) {
		for (uint32_t j = 0; j < n; j++)
			a[i * n + j] = values[x[i * (n + 1) + j]];
		b[i] = values[x[i * (n + 1) + n]];
	}
	status = num_qr(m, n, a, head);
	if (status >= 0) {
		num_qr_apply_transposed(m, n, a, head, b);
		num_qr_solve(n, a, b);
		memcpy(values + place, b, n * sizeof(*b));
	}
	free(a);
	return status;
}

static enum firn_status root(const struct firn_tape *tape, uint32_t place, double *values)
{
	const struct record *r = &tape->records[place];
	const struct root *root = &tape->roots[r->b];
	const uint32_t n = root->equation->n_records;
	double *inner = malloc((n + sweep_room(root->equation)) * sizeof(*inner));
	enum firn_status status;

	if (inner == NULL)
		return FIRN_E_MEMORY;
	memcpy(inner, root->equation->values, n * sizeof(*inner));
	for (uint32_t i = 0; i < r->n; i++)
		inner[root->inputs[i]] = values[tape->operands[r->a + i]];
	status = root_solve(root, inner, inner + n);
	values[place] = inner[root->unknown];
	free(inner);
	return status;
}

enum firn_status tape_evaluate(const struct firn_tape *tape, uint32_t i, double *values)
{
	const struct record *r = &tape->records[i];
	const double a = values[r->a < tape->n_records ? r->a : 0];
	const double b = values[r->b < tape->n_records ? r->b : 0];
	double unused;

	switch ((enum operation)r->operation) {
	case OP_NOTHING:
	case OP_INPUT:
	case OP_CONSTANT:
	case OP_SLOT:
		return FIRN_OK;
	case OP_ADD:
		values[i] = a + b;
		return FIRN_OK;
	case OP_SUBTRACT:
		values[i] = a - b;
		return FIRN_OK;
	case OP_MULTIPLY:
		values[i] = a * b;
		return FIRN_OK;
	case OP_DIVIDE:
		values[i] = a / b;
		return FIRN_OK;
	case OP_POWER:
		values[i] = pow(a, b);
		return FIRN_OK;
	case OP_MIN:
		values[i] = a <= b ? a : b;
		return FIRN_OK;
	case OP_MAX:
		values[i] = a >= b ? a : b;
		return FIRN_OK;
	case OP_SUM:
		values[i] = sum(tape, r, values);
		return FIRN_OK;
	case OP_DOT:
		values[i] = dot(tape, r, values);
		return FIRN_OK;
	case OP_LINEAR:
		values[i] = linear(tape, r, values);
		return FIRN_OK;
	case OP_POLYNOMIAL:
		values[i] = polynomial(r->n, tape->coefficients + r->b, a);
		return FIRN_OK;
	case OP_LEAST_SQUARES:
		return least_squares(tape, i, values);
	case OP_ROOT:
		return root(tape, i, values);
	case OP_APPLY:
		return tape->functions[r->b]->one(a, &values[i], &unused);
	default:
		values[i] = unary((enum operation)r->operation, a);
		return FIRN_OK;
	}
}
