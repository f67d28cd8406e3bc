/* Causes of a failing linear law, by replay with one and with two inputs displaced. */
#include "firn/linear_law.h"
#include "lib/tape/trials.h"

#include <gsl/gsl_cdf.h>
#include <stdlib.h>

enum { LANES = 128, LANES_A_PAIR = 4 };

struct suspect {
	struct firn_node input;
	struct firn_input said;
	uint32_t place; /* among the tape's inputs */
	double slope;   /* 0 where it isn't finite */
};

struct search {
	struct firn_node y;
	double value, u;
	double z, k; /* score of the interval's upper end; U/u */
	struct replay_plan *plan;
	struct replay_work work;
	double *given; /* [input][LANES] */
	struct suspect *suspects;
	size_t n;
	struct firn_linear_law_cause *found; /* a heap would save little: few are kept */
	size_t n_found, max;
	double least;
};

/* ---- replay ---- */

static void take_lanes(void *context, size_t output, const double *y)
{
	(void)output;
	memcpy(context, y, LANES * sizeof(*y));
}

static void play(struct search *s, double ret[LANES])
{
	s->plan->kernels->play(s->plan, &s->work, 0, take_lanes, ret);
}

static double *lanes_of(const struct search *s, size_t i)
{
	return s->given + (size_t)s->suspects[i].place * LANES;
}

static void restore(const struct search *s, size_t i)
{
	for (size_t t = 0; t < LANES; t++)
		lanes_of(s, i)[t] = s->suspects[i].said.value;
}

/* ---- what is found ---- */

/* Keeps the largest, in order. */
static void keep(struct search *s, struct firn_linear_law_cause cause)
{
	size_t i = s->n_found;

	if (!(cause.size > s->least) || !isfinite(cause.size))
		return;
	while (i > 0 && s->found[i - 1].size < cause.size)
		i--;
	if (i == s->max)
		return;
	if (s->n_found < s->max)
		s->n_found++;
	for (size_t j = s->n_found - 1; j > i; j--)
		s->found[j] = s->found[j - 1];
	s->found[i] = cause;
}

/* ---- one input at a time ---- */

static void find_bend(struct search *s, size_t i)
{
	const struct suspect *x = &s->suspects[i];
	double *lanes = lanes_of(s, i), y[LANES], squares = 0.0, up, down;
	struct firn_linear_law_cause cause = { .reason = FIRN_LAW_BENT, .a = x->input };

	for (size_t t = 0; t < LANES; t++)
		lanes[t] = quantile_of_score(
		    &x->said, gsl_cdf_ugaussian_Pinv(((double)t + 0.5) / (double)LANES));
	play(s, y);
	for (size_t t = 0; t < LANES; t++) {
		const double rest = y[t] - s->value - x->slope * (lanes[t] - x->said.value);

		squares += rest * rest;
	}
	lanes[0] = x->said.value + x->said.u;
	lanes[1] = x->said.value - x->said.u;
	play(s, y);
	restore(s, i);
	up = y[0] - s->value;
	down = y[1] - s->value;
	if (up * down > 0.0 || (up == 0.0) != (down == 0.0))
		cause.reason = FIRN_LAW_ONE_SIDED;
	cause.size = sqrt(squares / (double)LANES);
	keep(s, cause);
}

static enum firn_linear_law_reason reason_of_shape(const struct firn_input *x)
{
	switch (x->distribution) {
	case FIRN_NORMAL:
	case FIRN_STUDENT_T:
		return FIRN_LAW_FEW_DOF;
	case FIRN_EXPONENTIAL:
	case FIRN_GAMMA:
		return FIRN_LAW_SKEW;
	default:
		return FIRN_LAW_SHAPE;
	}
}

static void find_shape(struct search *s, size_t i)
{
	const struct suspect *x = &s->suspects[i];
	const double c = x->slope * x->said.u / s->u, share = c * c;
	const double up = quantile_of_score(&x->said, s->z) - x->said.value;
	const double down = x->said.value - quantile_of_score(&x->said, -s->z);
	const double U = s->k * x->said.u, off = fmax(fabs(up - U), fabs(down - U));

	if (s->u > 0.0 && isfinite(s->u))
		keep(s, (struct firn_linear_law_cause){ .reason = reason_of_shape(&x->said),
							.a = x->input,
							.size = fabs(x->slope) * off * share,
							.part = share });
}

/* ---- two at a time ---- */

struct pair {
	size_t i, j;
};

static void displace(struct search *s, struct pair pair, size_t lane)
{
	const struct firn_input *a = &s->suspects[pair.i].said, *b = &s->suspects[pair.j].said;

	for (size_t t = 0; t < LANES_A_PAIR; t++) {
		lanes_of(s, pair.i)[lane + t] = a->value + (t < 2 ? a->u : -a->u);
		lanes_of(s, pair.j)[lane + t] = b->value + (t % 2 == 0 ? b->u : -b->u);
	}
}

static double moved_by(const struct search *s, size_t i)
{
	return fabs(s->suspects[i].slope) * s->suspects[i].said.u;
}

static void find_products(struct search *s, size_t n, const struct pair *pairs)
{
	double y[LANES];

	for (size_t k = 0; k < n; k++)
		displace(s, pairs[k], k * LANES_A_PAIR);
	play(s, y);
	for (size_t k = 0; k < n; k++) {
		const double *at = y + k * LANES_A_PAIR;
		const double mixed = fabs(0.25 * ((at[0] - at[1]) - (at[2] - at[3])));
		const double alone = fmin(moved_by(s, pairs[k].i), moved_by(s, pairs[k].j));

		keep(s, (struct firn_linear_law_cause){ .reason = FIRN_LAW_PRODUCT,
							.a = s->suspects[pairs[k].i].input,
							.b = s->suspects[pairs[k].j].input,
							.size = mixed,
							.part = alone / mixed });
		restore(s, pairs[k].i);
		restore(s, pairs[k].j);
	}
}

static void find_all_products(struct search *s)
{
	const size_t n = s->n < FIRN_LAW_MOST_PAIRED ? s->n : FIRN_LAW_MOST_PAIRED;
	struct pair pairs[LANES / LANES_A_PAIR];
	size_t waiting = 0;

	for (size_t i = 0; i < n; i++)
		for (size_t j = i + 1; j < n; j++) {
			pairs[waiting++] = (struct pair){ i, j };
			if (waiting == COUNT(pairs)) {
				find_products(s, waiting, pairs);
				waiting = 0;
			}
		}
	if (waiting > 0)
		find_products(s, waiting, pairs);
}

/* ---- divisors ---- */

static void mark_beneath(const struct firn_tape *tape, uint32_t y, bool *ret_needed)
{
	ret_needed[y] = true;
	for (uint32_t i = y + 1; i-- > 1;) {
		const struct record *r = &tape->records[i];
		uint32_t direct[2];
		const uint32_t *operands;

		if (!ret_needed[i])
			continue;
		if (r->operation == OP_SLOT)
			ret_needed[i - r->n] = true;
		const size_t n = tape_operands_of(tape, r, direct, &operands);
		for (size_t j = 0; j < n; j++)
			ret_needed[operands[j]] = true;
	}
}

/* The worst known divisor beneath y that depends on an input; index 0 where all are well known. */
static struct firn_node worst_divisor(const struct search *s, const bool *beneath,
				      struct firn_node input, double *ret_part)
{
	const struct firn_tape *tape = s->y.tape;
	struct firn_node worst = { s->y.tape, 0 };

	*ret_part = FIRN_LAW_DIVISOR_U;
	for (uint32_t i = 1; i <= s->y.index; i++) {
		const struct record *r = &tape->records[i];
		const struct firn_node divisor = { s->y.tape, r->b };

		if (!beneath[i] || r->operation != OP_DIVIDE || !tape->records[r->b].depends ||
		    (divisor.index != input.index && !firn_depends(divisor, input)))
			continue;
		const double part = firn_u(divisor) / fabs(firn_value(divisor));
		if (part > *ret_part) {
			*ret_part = part;
			worst = divisor;
		}
	}
	return worst;
}

static bool is_about_slopes(const struct firn_linear_law_cause *cause)
{
	return cause->reason == FIRN_LAW_ONE_SIDED || cause->reason == FIRN_LAW_BENT ||
	       cause->reason == FIRN_LAW_PRODUCT;
}

static void name_divisor(const struct search *s, const bool *beneath,
			 struct firn_linear_law_cause *cause)
{
	struct firn_budget_line lines[2];
	size_t n = 0;
	double part;
	const struct firn_node divisor = worst_divisor(s, beneath, cause->a, &part);

	if (divisor.index == 0 || firn_budget(divisor, COUNT(lines), lines, &n) < 0 || n == 0)
		return;
	cause->reason = FIRN_LAW_DIVISOR;
	cause->part = part;
	cause->a = lines[0].input;
	cause->b = n > 1 && lines[1].contribution > 0.1 * lines[0].contribution
		       ? lines[1].input
		       : (struct firn_node){ s->y.tape, 0 };
}

static bool is_same(const struct firn_linear_law_cause *x, const struct firn_linear_law_cause *y)
{
	return x->reason == y->reason && x->a.index == y->a.index && x->b.index == y->b.index;
}

/* Bends and products that a divisor explains become one cause; small ones go. */
static enum firn_status sum_up(struct search *s, size_t *ret_n)
{
	bool *beneath = calloc(s->y.index + 1, sizeof(*beneath));
	size_t kept = 0;

	if (beneath == NULL)
		return FIRN_E_MEMORY;
	mark_beneath(s->y.tape, s->y.index, beneath);
	for (size_t i = 0; i < s->n_found && 2.0 * s->found[i].size >= s->found[0].size; i++) {
		struct firn_linear_law_cause cause = s->found[i];
		bool known = false;

		if (is_about_slopes(&cause))
			name_divisor(s, beneath, &cause);
		for (size_t j = 0; j < kept; j++)
			known |= is_same(&s->found[j], &cause);
		if (!known)
			s->found[kept++] = cause;
	}
	free(beneath);
	*ret_n = kept;
	return FIRN_OK;
}

/* ---- all together ---- */

static double slope_to(const struct firn_budget_line *lines, size_t n, struct firn_node input)
{
	for (size_t i = 0; i < n; i++)
		if (lines[i].input.index == input.index)
			return isfinite(lines[i].sensitivity) ? lines[i].sensitivity : 0.0;
	return 0.0;
}

static enum firn_status find_suspects(struct search *s)
{
	const struct firn_tape *tape = s->y.tape;
	const size_t n_inputs = tape->n_inputs;
	struct firn_budget_line *lines = malloc((n_inputs + 1) * sizeof(*lines));
	size_t n = 0;
	enum firn_status status =
	    lines == NULL ? FIRN_E_MEMORY : firn_budget(s->y, n_inputs, lines, &n);

	for (uint32_t i = 0; i < n_inputs && status >= 0; i++) {
		const struct firn_node input = firn_tape_input_at(tape, i);

		for (size_t t = 0; t < LANES; t++)
			s->given[i * LANES + t] = tape->inputs[i].said.value;
		if (tape->inputs[i].said.u > 0.0 &&
		    (input.index == s->y.index || firn_depends(s->y, input)))
			s->suspects[s->n++] =
			    (struct suspect){ .input = input,
					      .said = tape->inputs[i].said,
					      .place = i,
					      .slope = slope_to(lines, n, input) };
	}
	free(lines);
	return status;
}

static enum firn_status search(struct search *s, size_t *ret_n)
{
	enum firn_status status = find_suspects(s);

	for (size_t i = 0; i < s->n && status >= 0; i++) {
		find_bend(s, i);
		find_shape(s, i);
	}
	if (status < 0)
		return status;
	find_all_products(s);
	return sum_up(s, ret_n);
}

enum firn_status firn_linear_law_causes(struct firn_node y, double p, double k, double least,
					size_t max, struct firn_linear_law_cause *ret,
					size_t *ret_n)
{
	struct search s = { .y = y, .k = k, .found = ret, .max = max, .least = least };
	double dof;
	enum firn_status status = firn_u_dof(y, &s.u, &dof);
	bool has_work = false;

	if (status >= 0 && (!(p > 0.0 && p < 1.0) || max == 0))
		status = FIRN_E_DOMAIN;
	if (status >= 0)
		status = replay_plan_new(1, &y, 0, LANES, LEVEL_BEST, &s.plan);
	if (status < 0)
		return status;
	s.value = firn_value(y);
	s.z = gsl_cdf_ugaussian_Pinv(0.5 + 0.5 * p);
	s.given = malloc((y.tape->n_inputs + 1) * LANES * sizeof(*s.given));
	s.suspects = malloc((y.tape->n_inputs + 1) * sizeof(*s.suspects));
	has_work = replay_work_new(s.plan, &s.work);
	s.work.given = s.given;
	*ret_n = 0;
	status =
	    has_work && s.given != NULL && s.suspects != NULL ? search(&s, ret_n) : FIRN_E_MEMORY;
	replay_work_free(&s.work);
	free(s.given);
	free(s.suspects);
	replay_plan_free(s.plan);
	return status;
}
