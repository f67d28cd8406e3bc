/* The interpreter: every operation over a block of trials, as lib/tape/evaluate.c does it for one.
 */
#include "lib/num/blocks.h"
#include "lib/tape/kernels.h"

#define EACH(expression)                                                                           \
	do {                                                                                       \
		for (size_t i = 0; i < n; i++)                                                     \
			y[i] = (expression);                                                       \
	} while (0)

static bool is_constant(uint32_t code)
{
	return (code & REPLAY_CONSTANT) != 0;
}

static double constant(const struct replay_plan *plan, uint32_t code)
{
	return plan->constants[code & ~REPLAY_CONSTANT];
}

/* An operand for every trial; a constant is spread over part `slot` of the scratch. */
static const double *lanes(const struct replay_plan *plan, const struct replay_work *work,
			   uint32_t code, size_t slot)
{
	const size_t n = plan->block;
	double *y = work->scratch + slot * n;

	if (!is_constant(code))
		return replay_buffer(plan, work, code);
	EACH(constant(plan, code));
	return y;
}

#define WITH_CONSTANTS(op)                                                                         \
	do {                                                                                       \
		if (is_constant(step->a))                                                          \
			EACH(c op b[i]);                                                           \
		else if (is_constant(step->b))                                                     \
			EACH(a[i] op c);                                                           \
		else                                                                               \
			EACH(a[i] op b[i]);                                                        \
	} while (0)

static void arithmetic(const struct replay_plan *plan, const struct step *step,
		       const struct replay_work *work)
{
	const size_t n = plan->block;
	double *restrict y = replay_buffer(plan, work, step->to);
	const double c = is_constant(step->a)   ? constant(plan, step->a)
			 : is_constant(step->b) ? constant(plan, step->b)
						: 0.0;
	const double *a = is_constant(step->a) ? NULL : replay_buffer(plan, work, step->a);
	const double *b = is_constant(step->b) ? NULL : replay_buffer(plan, work, step->b);

	switch (step->operation) {
	case OP_ADD:
		WITH_CONSTANTS(+);
		return;
	case OP_SUBTRACT:
		WITH_CONSTANTS(-);
		return;
	case OP_MULTIPLY:
		WITH_CONSTANTS(*);
		return;
	default:
		WITH_CONSTANTS(/);
		return;
	}
}

/* A trial outside an operand's range has no value and must not get one by being the larger. */
static void choice(const struct replay_plan *plan, const struct step *step,
		   const struct replay_work *work)
{
	const size_t n = plan->block;
	double *restrict y = replay_buffer(plan, work, step->to);
	const double *a = lanes(plan, work, step->a, 0), *b = lanes(plan, work, step->b, 1);

	if (step->operation == OP_POWER)
		EACH(pow(a[i], b[i]));
	else if (step->operation == OP_MIN)
		EACH(a[i] <= b[i] || a[i] != a[i] ? a[i] : b[i]);
	else
		EACH(a[i] >= b[i] || a[i] != a[i] ? a[i] : b[i]);
}

static void unary(const struct replay_plan *plan, const struct step *step,
		  const struct replay_work *work)
{
	const size_t n = plan->block;
	double *restrict y = replay_buffer(plan, work, step->to);
	const double *restrict x = replay_buffer(plan, work, step->a);

	switch (step->operation) {
	case OP_NEGATE:
		EACH(-x[i]);
		return;
	case OP_SQRT:
		EACH(sqrt(x[i]));
		return;
	case OP_EXP:
		EACH(x[i]);
		LEVEL(num_exps)(n, y);
		return;
	case OP_LN:
		EACH(x[i]);
		LEVEL(num_lns)(n, y);
		return;
	case OP_LOG10:
		EACH(log10(x[i]));
		return;
	case OP_SIN:
		EACH(sin(x[i]));
		return;
	case OP_COS:
		EACH(cos(x[i]));
		return;
	case OP_TAN:
		EACH(tan(x[i]));
		return;
	case OP_ASIN:
		EACH(asin(x[i]));
		return;
	case OP_ACOS:
		EACH(acos(x[i]));
		return;
	case OP_ATAN:
		EACH(atan(x[i]));
		return;
	case OP_ABS:
		EACH(fabs(x[i]));
		return;
	default:
		EACH((double)NAN);
		return;
	}
}

static void sum(const struct replay_plan *plan, const struct step *step,
		const struct replay_work *work)
{
	const size_t n = plan->block;
	const uint32_t *codes = plan->operands + step->a;
	double *restrict y = replay_buffer(plan, work, step->to);

	EACH(0.0);
	for (uint32_t j = 0; j < step->n; j++) {
		if (is_constant(codes[j])) {
			const double c = constant(plan, codes[j]);

			EACH(y[i] + c);
		} else {
			const double *restrict x = replay_buffer(plan, work, codes[j]);

			EACH(y[i] + x[i]);
		}
	}
}

static void dot(const struct replay_plan *plan, const struct step *step,
		const struct replay_work *work)
{
	const size_t n = plan->block;
	const uint32_t *codes = plan->operands + step->a;
	double *restrict y = replay_buffer(plan, work, step->to);

	EACH(0.0);
	for (uint32_t j = 0; j < step->n; j++) {
		const double *a = lanes(plan, work, codes[j], 0);
		const double *b = lanes(plan, work, codes[step->n + j], 1);

		EACH(y[i] + a[i] * b[i]);
	}
}

/* Three terms at a time where three are left, in their order. */
static void linear(const struct replay_plan *plan, const struct step *step,
		   const struct replay_work *work)
{
	const size_t n = plan->block;
	const uint32_t *codes = plan->operands + step->a;
	const double *c = plan->tape->coefficients + step->b;
	double *restrict y = replay_buffer(plan, work, step->to);
	uint32_t j = 0;

	if (step->n >= 3 &&
	    !(is_constant(codes[0]) || is_constant(codes[1]) || is_constant(codes[2]))) {
		const double *p = replay_buffer(plan, work, codes[0]),
			     *q = replay_buffer(plan, work, codes[1]),
			     *r = replay_buffer(plan, work, codes[2]);
		const double c0 = c[0], c1 = c[1], c2 = c[2];

		EACH(((0.0 + c0 * p[i]) + c1 * q[i]) + c2 * r[i]);
		j = 3;
	} else {
		EACH(0.0);
	}
	for (; j < step->n; j++) {
		const double factor = c[j];

		if (is_constant(codes[j])) {
			const double term = factor * constant(plan, codes[j]);

			EACH(y[i] + term);
		} else {
			const double *restrict x = replay_buffer(plan, work, codes[j]);

			EACH(y[i] + factor * x[i]);
		}
	}
}

static void polynomial(const struct replay_plan *plan, const struct step *step,
		       const struct replay_work *work)
{
	enum { TOGETHER = 32 }; /* they stay in registers */
	const double *c = plan->tape->coefficients + step->b;
	double *restrict to = replay_buffer(plan, work, step->to);
	const double *restrict from = replay_buffer(plan, work, step->a);

	for (size_t first = 0; first < plan->block; first += TOGETHER) {
		double x[TOGETHER], y[TOGETHER];

		for (size_t i = 0; i < TOGETHER; i++) {
			x[i] = from[first + i];
			y[i] = 0.0;
		}
		for (uint32_t j = step->n; j-- > 0;) {
			const double factor = c[j];

			for (size_t i = 0; i < TOGETHER; i++)
				y[i] = y[i] * x[i] + factor;
		}
		memcpy(to + first, y, sizeof(y));
	}
}

/* Trial by trial, each from the recorded start, so that none depends on its neighbours. */
static void root(const struct replay_plan *plan, const struct step *step,
		 const struct replay_work *work)
{
	const struct root *root = &plan->tape->roots[step->b];
	const size_t n = plan->block, n_inner = root->equation->n_records;
	const uint32_t *codes = plan->operands + step->a;
	double *y = replay_buffer(plan, work, step->to);
	double *inner = work->scratch + step->n * n;

	for (uint32_t j = 0; j < step->n; j++)
		if (is_constant(codes[j]))
			lanes(plan, work, codes[j], j);
	memcpy(inner, root->equation->values, n_inner * sizeof(*inner));
	for (size_t i = 0; i < n; i++) {
		for (uint32_t j = 0; j < step->n; j++)
			inner[root->inputs[j]] = is_constant(codes[j])
						     ? work->scratch[j * n + i]
						     : replay_buffer(plan, work, codes[j])[i];
		y[i] = root_solve(root, inner, inner + n_inner) < 0 ? (double)NAN
								    : inner[root->unknown];
	}
}

static void apply(const struct replay_plan *plan, const struct step *step,
		  const struct replay_work *work)
{
	const struct firn_function *f = plan->tape->functions[step->b];
	const double *x = replay_buffer(plan, work, step->a);
	double *y = replay_buffer(plan, work, step->to), slope;

	if (f->many != NULL) {
		f->many(plan->block, x, y);
		return;
	}
	for (size_t i = 0; i < plan->block; i++)
		if (f->one(x[i], &y[i], &slope) < 0)
			y[i] = (double)NAN;
}

void LEVEL(play)(const struct replay_plan *plan, struct replay_work *work, uint64_t first,
		 replay_take *take, void *context)
{
	for (size_t i = 0; i < plan->n_steps; i++) {
		const struct step *step = &plan->steps[i];

		switch (step->operation) {
		case STEP_DRAW:
			LEVEL(draw_block)(plan, &plan->draws[step->a], work, first);
			break;
		case STEP_OUTPUT:
			take(context, step->to, lanes(plan, work, step->a, 0));
			break;
		case OP_ADD:
		case OP_SUBTRACT:
		case OP_MULTIPLY:
		case OP_DIVIDE:
			arithmetic(plan, step, work);
			break;
		case OP_POWER:
		case OP_MIN:
		case OP_MAX:
			choice(plan, step, work);
			break;
		case OP_SUM:
			sum(plan, step, work);
			break;
		case OP_DOT:
			dot(plan, step, work);
			break;
		case OP_LINEAR:
			linear(plan, step, work);
			break;
		case OP_POLYNOMIAL:
			polynomial(plan, step, work);
			break;
		case OP_LEAST_SQUARES:
			LEVEL(solve_block)(plan, step, work);
			break;
		case OP_ROOT:
			root(plan, step, work);
			break;
		case OP_APPLY:
			apply(plan, step, work);
			break;
		default:
			unary(plan, step, work);
			break;
		}
	}
}
