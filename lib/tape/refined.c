/*
 * The tape once more, at twice the precision.
 *
 * A coefficient may be the small remainder of large numbers: half a last digit of W, lost a few
 * times on the way from the readings, is then several units in its tenth digit. Values for results
 * are taken from here; sensitivities and trials have no use for it.
 */
#include "lib/tape/tape.h"
#include "lib/num/qr.h"

#include <stdlib.h>

/* hi + lo, lo below half a last digit of hi: error-free transformations (Dekker, Knuth). */
struct twofold {
	double hi, lo;
};

static struct twofold of_sum(double a, double b)
{
	const double s = a + b, part = s - a;

	return (struct twofold){ s, (a - (s - part)) + (b - part) };
}

static struct twofold add(struct twofold a, struct twofold b)
{
	const struct twofold s = of_sum(a.hi, b.hi);

	return of_sum(s.hi, s.lo + (a.lo + b.lo));
}

static struct twofold negative(struct twofold a)
{
	return (struct twofold){ -a.hi, -a.lo };
}

static struct twofold multiply(struct twofold a, struct twofold b)
{
	const double p = a.hi * b.hi, rest = fma(a.hi, b.hi, -p);

	return of_sum(p, rest + (a.hi * b.lo + a.lo * b.hi));
}

static struct twofold divide(struct twofold a, struct twofold b)
{
	const double q = a.hi / b.hi;
	const struct twofold rest = add(a, negative(multiply((struct twofold){ q, 0.0 }, b)));

	return of_sum(q, rest.hi / b.hi);
}

static struct twofold scaled(double c, struct twofold a)
{
	return multiply((struct twofold){ c, 0.0 }, a);
}

/* A plain function: its value at hi, and its slope for what is left. */
static struct twofold by_slope(double y, double slope, double lo)
{
	return lo == 0.0 || !isfinite(slope) ? (struct twofold){ y, 0.0 } : of_sum(y, slope * lo);
}

static struct twofold of_list(const struct firn_tape *tape, const struct record *r,
			      const struct twofold *values)
{
	const uint32_t *x = tape->operands + r->a;
	struct twofold sum = { 0.0, 0.0 };

	for (uint32_t i = 0; i < r->n; i++)
		sum = add(sum, r->operation == OP_SUM ? values[x[i]]
			       : r->operation == OP_LINEAR
				   ? scaled(tape->coefficients[r->b + i], values[x[i]])
				   : multiply(values[x[i]], values[x[r->n + i]]));
	return sum;
}

static struct twofold of_polynomial(const double *c, uint32_t n, struct twofold x)
{
	struct twofold y = { 0.0, 0.0 };

	for (uint32_t i = n; i-- > 0;)
		y = add(multiply(y, x), (struct twofold){ c[i], 0.0 });
	return y;
}

/* The recorded solution, mended with residuals at twice the precision until nothing is left. */
static enum firn_status of_least_squares(const struct firn_tape *tape, uint32_t place,
					 struct twofold *values)
{
	enum { MENDINGS = 4 };
	const struct record *r = &tape->records[place];
	const uint32_t n = r->n, m = r->b, *x = tape->operands + r->a;
	double *a = malloc(((size_t)m * n + m + n) * sizeof(*a));
	enum firn_status status;

	if (a == NULL)
		return FIRN_E_MEMORY;
	double *rest = a + (size_t)m * n, *head = rest + m;
	for (uint32_t i = 0; i < m; i++)
		for (uint32_t j = 0; j < n; j++)
			a[i * n + j] = values[x[i * (n + 1) + j]].hi;
	status = num_qr(m, n, a, head);
	for (uint32_t j = 0; j < n; j++)
		values[place + j] = (struct twofold){ tape->values[place + j], 0.0 };
	for (int step = 0; step < MENDINGS && status >= 0 && m == n; step++) {
		for (uint32_t i = 0; i < m; i++) {
			struct twofold left = values[x[i * (n + 1) + n]];

			for (uint32_t j = 0; j < n; j++)
				left = add(left, negative(multiply(values[x[i * (n + 1) + j]],
								   values[place + j])));
			rest[i] = left.hi;
		}
		num_qr_apply_transposed(m, n, a, head, rest);
		num_qr_solve(n, a, rest);
		for (uint32_t j = 0; j < n; j++)
			values[place + j] =
			    add(values[place + j], (struct twofold){ rest[j], 0.0 });
	}
	free(a);
	return status;
}

/* Everything else: the recorded operation at hi, and its slope for the operands' lo. */
static enum firn_status of_function(const struct firn_tape *tape, uint32_t i, double *plain,
				    struct sweep sweep, struct twofold *values)
{
	const struct record *r = &tape->records[i];
	uint32_t direct[2];
	const uint32_t *operands;
	const size_t n = tape_operands_of(tape, r, direct, &operands);
	double lo = 0.0;
	enum firn_status status;

	for (size_t j = 0; j < n; j++)
		plain[operands[j]] = values[operands[j]].hi;
	status = tape_evaluate(tape, i, plain);
	sweep_start(tape, i, sweep);
	if (status >= 0)
		status = tape_adjoint(tape, i, plain, sweep);
	for (size_t j = 0; j < n; j++) {
		if (values[operands[j]].lo != 0.0) /* an infinite slope times nothing is nothing */
			lo += sweep_slope(sweep, operands[j]) * values[operands[j]].lo;
		sweep.adjoints[operands[j]] = 0.0; /* an operand that stands twice counts once */
	}
	values[i] = by_slope(plain[i], 1.0, lo);
	return status;
}

static enum firn_status refine(const struct firn_tape *tape, uint32_t i, double *plain,
			       struct sweep sweep, struct twofold *values)
{
	const struct record *r = &tape->records[i];

	switch ((enum operation)r->operation) {
	case OP_NOTHING:
	case OP_CONSTANT:
		values[i] =
		    (struct twofold){ tape->values[i], r->n == 0 ? 0.0 : tape->coefficients[r->b] };
		return FIRN_OK;
	case OP_INPUT:
		values[i] = (struct twofold){ tape->values[i], tape->inputs[r->a].said.rest };
		return FIRN_OK;
	case OP_SLOT:
		return FIRN_OK; /* computed with the operation before it */
	case OP_ADD:
		values[i] = add(values[r->a], values[r->b]);
		return FIRN_OK;
	case OP_SUBTRACT:
		values[i] = add(values[r->a], negative(values[r->b]));
		return FIRN_OK;
	case OP_MULTIPLY:
		values[i] = multiply(values[r->a], values[r->b]);
		return FIRN_OK;
	case OP_DIVIDE:
		values[i] = divide(values[r->a], values[r->b]);
		return FIRN_OK;
	case OP_NEGATE:
		values[i] = negative(values[r->a]);
		return FIRN_OK;
	case OP_SUM:
	case OP_DOT:
	case OP_LINEAR:
		values[i] = of_list(tape, r, values);
		return FIRN_OK;
	case OP_POLYNOMIAL:
		values[i] = of_polynomial(tape->coefficients + r->b, r->n, values[r->a]);
		return FIRN_OK;
	case OP_LEAST_SQUARES:
		return of_least_squares(tape, i, values);
	default:
		return of_function(tape, i, plain, sweep, values);
	}
}

enum firn_status firn_refined_values(size_t n, const struct firn_node *x, double *ret)
{
	const struct firn_tape *tape = x[0].tape;
	const size_t size = tape->n_records;
	enum firn_status status = tape->status;
	struct twofold *values;
	double *plain;

	for (size_t i = 0; i < n && status >= 0; i++)
		status = x[i].tape != tape ? FIRN_E_FOREIGN
			 : x[i].index == 0 ? FIRN_E_UNKNOWN
					   : FIRN_OK;
	if (status < 0)
		return status;
	values = calloc(size, sizeof(*values));
	plain = calloc(size + sweep_room(tape), sizeof(*plain));
	if (values == NULL || plain == NULL)
		status = FIRN_E_MEMORY;
	for (uint32_t i = 1; i < size && status >= 0; i++)
		status = refine(tape, i, plain, sweep_in(plain + size, tape), values);
	for (size_t i = 0; i < n && status >= 0; i++) {
		const double refined = values[x[i].index].hi;

		/* the rests may leave the range of a double where the values stay within it */
		ret[i] = isfinite(refined) ? refined : tape->values[x[i].index];
	}
	free(values);
	free(plain);
	return status < 0 ? status : FIRN_OK;
}
