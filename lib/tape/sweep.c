/* Backwards: how a result changes with everything before it. */
#include "lib/tape/tape.h"
#include "lib/num/elementary.h"
#include "lib/num/qr.h"

#include <stdlib.h>

/*
 * A tape holds many results, a table alone hundreds, and each stands on few of its nodes. So a
 * sweep does nothing for every node: it marks in `reached` those whose adjoints are added to, and
 * goes from one mark down to the next. Operands have smaller indices than what stands on them, so
 * whatever adds to an adjoint comes before its turn.
 */
enum { BITS = 64 }; /* of a word of `reached` */

size_t sweep_room(const struct firn_tape *tape)
{
	return (size_t)tape->n_records + tape->n_records / BITS + 1;
}

struct sweep sweep_in(double *memory, const struct firn_tape *tape)
{
	return (struct sweep){ memory, (uint64_t *)(memory + tape->n_records) };
}

static inline bool is_reached(struct sweep s, uint32_t x)
{
	return s.reached[x / BITS] >> x % BITS & 1;
}

double sweep_slope(struct sweep s, uint32_t x)
{
	return is_reached(s, x) ? s.adjoints[x] : 0.0;
}

static inline void reach(struct sweep s, uint32_t x)
{
	if (is_reached(s, x))
		return;
	s.reached[x / BITS] |= (uint64_t)1 << x % BITS;
	s.adjoints[x] = 0.0;
}

void sweep_start(const struct firn_tape *tape, uint32_t y, struct sweep s)
{
	memset(s.reached, 0, (tape->n_records / BITS + 1) * sizeof(*s.reached));
	reach(s, y);
	s.adjoints[y] = 1.0;
}

static inline void add(struct sweep s, uint32_t x, double adjoint)
{
	reach(s, x);
	s.adjoints[x] += adjoint;
}

/* The reached node next below i; 0 when none is left. */
static inline uint32_t next_reached(struct sweep s, uint32_t i)
{
	uint32_t word = i / BITS;
	uint64_t marks = s.reached[word] & (((uint64_t)1 << i % BITS) - 1); /* those below i */

	while (marks == 0 && word > 0)
		marks = s.reached[--word];
	return marks == 0 ? 0 : word * BITS + (BITS - 1 - (uint32_t)__builtin_clzll(marks));
}

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
			  double y, double ybar, struct sweep s)
{
	if (tape->records[r->a].depends)
		add(s, r->a, ybar * b * pow(a, b - 1.0));
	if (tape->records[r->b].depends)
		add(s, r->b, a == 0.0 ? 0.0 : ybar * y * num_ln(a)); /* a > 0: y was finite */
}

static void polynomial_adjoint(const struct firn_tape *tape, const struct record *r, double x,
			       double ybar, struct sweep s)
{
	const double *c = tape->coefficients + r->b;
	double slope = 0.0;

	for (uint32_t i = r->n; i-- > 1;)
		slope = slope * x + (double)i * c[i];
	add(s, r->a, ybar * slope);
}

/*
 * With z = (A'A)^-1 xbar and the residual r = b - A x:  bbar += A z,  Abar += r z' - (A z) x'.
 * Through Q and R: R' q = xbar, z = R^-1 q, A z = Q q.
 */
static enum firn_status least_squares_adjoint(const struct firn_tape *tape, uint32_t place,
					      const double *values, struct sweep s)
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
		memcpy(az, s.adjoints + place, n * sizeof(*az));
		num_qr_solve_transposed(n, a, az);
		memcpy(z, az, n * sizeof(*z));
		num_qr_solve(n, a, z);
		num_qr_apply(m, n, a, head, az);
		for (uint32_t i = 0; i < m; i++) {
			add(s, x[i * (n + 1) + n], az[i]);
			for (uint32_t j = 0; j < n; j++)
				add(s, x[i * (n + 1) + j],
				    (m > n ? residual[i] * z[j] : 0.0) - az[i] * values[place + j]);
		}
	}
	free(a);
	return status;
}

/* The equation g(x, p) = 0 holds, so dx/dp = -(dg/dp)/(dg/dx). */
static enum firn_status root_adjoint(const struct firn_tape *tape, uint32_t place,
				     const double *values, struct sweep s)
{
	const struct record *r = &tape->records[place];
	const struct root *root = &tape->roots[r->b];
	const uint32_t n = root->equation->n_records;
	double *inner = malloc((n + sweep_room(root->equation)) * sizeof(*inner));
	enum firn_status status = FIRN_OK;

	if (inner == NULL)
		return FIRN_E_MEMORY;
	const struct sweep inside = sweep_in(inner + n, root->equation);
	memcpy(inner, root->equation->values, n * sizeof(*inner));
	for (uint32_t i = 0; i < r->n; i++)
		inner[root->inputs[i]] = values[tape->operands[r->a + i]];
	inner[root->unknown] = values[place];
	for (uint32_t i = 1; i < n && status >= 0; i++)
		status = tape_evaluate(root->equation, i, inner);
	if (status >= 0)
		status = tape_sweep(root->equation, root->residual, inner, inside);
	for (uint32_t i = 0; i < r->n && status >= 0; i++)
		add(s, tape->operands[r->a + i],
		    -s.adjoints[place] * sweep_slope(inside, root->inputs[i]) /
			sweep_slope(inside, root->unknown));
	free(inner);
	return status;
}

static enum firn_status apply_adjoint(const struct firn_tape *tape, const struct record *r,
				      double x, double ybar, struct sweep s)
{
	double y, slope;
	const enum firn_status status = tape->functions[r->b]->one(x, &y, &slope);

	if (status >= 0)
		add(s, r->a, ybar * slope);
	return status;
}

static void list_adjoint(const struct firn_tape *tape, const struct record *r, const double *values,
			 double ybar, struct sweep s)
{
	const uint32_t *x = tape->operands + r->a;

	for (uint32_t i = 0; i < r->n; i++) {
		if (r->operation == OP_SUM) {
			add(s, x[i], ybar);
		} else if (r->operation == OP_LINEAR) {
			add(s, x[i], ybar * tape->coefficients[r->b + i]);
		} else {
			add(s, x[i], ybar * values[x[r->n + i]]);
			add(s, x[r->n + i], ybar * values[x[i]]);
		}
	}
}

enum firn_status tape_adjoint(const struct firn_tape *tape, uint32_t i, const double *values,
			      struct sweep s)
{
	const struct record *r = &tape->records[i];
	const double a = values[r->a < tape->n_records ? r->a : 0];
	const double b = values[r->b < tape->n_records ? r->b : 0];
	const double ybar = s.adjoints[i];

	switch ((enum operation)r->operation) {
	case OP_NOTHING:
	case OP_INPUT:
	case OP_CONSTANT:
		return FIRN_OK;
	case OP_SLOT: /* its adjoint is for the operation that it is a result of */
		reach(s, i - r->n);
		return FIRN_OK;
	case OP_ADD:
		add(s, r->a, ybar);
		add(s, r->b, ybar);
		return FIRN_OK;
	case OP_SUBTRACT:
		add(s, r->a, ybar);
		add(s, r->b, -ybar);
		return FIRN_OK;
	case OP_MULTIPLY:
		add(s, r->a, ybar * b);
		add(s, r->b, ybar * a);
		return FIRN_OK;
	case OP_DIVIDE:
		add(s, r->a, ybar / b);
		add(s, r->b, -ybar * values[i] / b);
		return FIRN_OK;
	case OP_POWER:
		power_adjoint(tape, r, a, b, values[i], ybar, s);
		return FIRN_OK;
	case OP_MIN:
		add(s, a <= b ? r->a : r->b, ybar);
		return FIRN_OK;
	case OP_MAX:
		add(s, a >= b ? r->a : r->b, ybar);
		return FIRN_OK;
	case OP_SUM:
	case OP_DOT:
	case OP_LINEAR:
		list_adjoint(tape, r, values, ybar, s);
		return FIRN_OK;
	case OP_POLYNOMIAL:
		polynomial_adjoint(tape, r, a, ybar, s);
		return FIRN_OK;
	case OP_LEAST_SQUARES:
		return least_squares_adjoint(tape, i, values, s);
	case OP_ROOT:
		return root_adjoint(tape, i, values, s);
	case OP_APPLY:
		return apply_adjoint(tape, r, a, ybar, s);
	default:
		add(s, r->a, ybar * unary_slope((enum operation)r->operation, a, values[i]));
		return FIRN_OK;
	}
}

/* Slots carry adjoints for the operation before them, so the whole of it counts. */
static bool has_adjoint(const struct firn_tape *tape, uint32_t i, struct sweep s)
{
	const struct record *r = &tape->records[i];
	bool any = false;

	if (!r->depends)
		return false;
	if (r->operation != OP_LEAST_SQUARES)
		return s.adjoints[i] != 0.0;
	for (uint32_t j = i; j < i + r->n; j++) {
		s.adjoints[j] = sweep_slope(s, j); /* 0 for a slot that nothing stands on */
		any |= s.adjoints[j] != 0.0;
	}
	return any;
}

enum firn_status tape_sweep(const struct firn_tape *tape, uint32_t y, const double *values,
			    struct sweep s)
{
	enum firn_status status = FIRN_OK;

	sweep_start(tape, y, s);
	for (uint32_t i = y; i > 0 && status >= 0; i = next_reached(s, i))
		if (has_adjoint(tape, i, s))
			status = tape_adjoint(tape, i, values, s);
	return status < 0 ? status : FIRN_OK;
}

static void reach_operands(const struct firn_tape *tape, uint32_t i, struct sweep s)
{
	const struct record *r = &tape->records[i];
	uint32_t direct[2];
	const uint32_t *operands;
	const size_t n = tape_operands_of(tape, r, direct, &operands);

	for (size_t j = 0; j < n; j++)
		reach(s, operands[j]);
	if (r->operation == OP_SLOT)
		reach(s, i - r->n);
}

bool firn_depends(struct firn_node y, struct firn_node x)
{
	const struct firn_tape *tape = y.tape;
	uint32_t i = y.index;
	double *memory;

	if (x.tape != tape || tape->status < 0 || i == 0 || x.index == 0 || x.index > i)
		return false;
	memory = malloc(sweep_room(tape) * sizeof(*memory));
	if (memory == NULL) { /* an answer that isn't known must not pass for one */
		(void)tape_fail(y.tape, FIRN_E_MEMORY, 0, "no memory");
		return false;
	}
	const struct sweep s = sweep_in(memory, tape);
	for (sweep_start(tape, i, s); i > x.index; i = next_reached(s, i))
		reach_operands(tape, i, s);
	free(memory);
	return i == x.index;
}
