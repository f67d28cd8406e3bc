#include "lib/tape/trials.h"

#include <stdlib.h>

enum firn_status trials_plan(size_t n, const struct firn_node *y,
			     const struct firn_monte_carlo_settings *s, struct replay_plan **ret)
{
	const size_t block = s->block == 0 ? TRIALS_BLOCK : s->block;

	if (s->trials < FIRN_MONTE_CARLO_MIN_TRIALS || s->trials > UINT64_C(1) << 53 ||
	    !(s->coverage_probability > 0.0 && s->coverage_probability < 1.0))
		return FIRN_E_DOMAIN;
	if (n == 0 || s->level < LEVEL_BEST || s->level > LEVEL_V4 ||
	    block % NUM_RANDOM_GROUP != 0 || STATISTICS_CHUNK % block != 0)
		return FIRN_E_UNKNOWN;
	return replay_plan_new(n, y, s->seed, block, (enum kernel_level)s->level, ret);
}

struct range {
	uint64_t first, block_first;
	size_t count, block;
	double *values;
};

static void take_range(void *context, size_t output, const double *y)
{
	const struct range *r = context;
	const uint64_t end = r->block_first + r->block, last = r->first + r->count;
	const uint64_t from = r->block_first > r->first ? r->block_first : r->first;
	const uint64_t to = end < last ? end : last;

	memcpy(r->values + output * r->count + (from - r->first), y + (from - r->block_first),
	       (to - from) * sizeof(*y));
}

void trials_values(const struct replay_plan *plan, struct replay_work *work, uint64_t first,
		   size_t count, double *ret_values)
{
	struct range r = {
		.first = first, .count = count, .block = plan->block, .values = ret_values
	};

	for (r.block_first = first / NUM_RANDOM_GROUP * NUM_RANDOM_GROUP;
	     r.block_first < first + count; r.block_first += plan->block)
		plan->kernels->play(plan, work, r.block_first, take_range, &r);
}

/* What stands beneath a node: the fewest degrees of freedom of a t, and a copula. */
struct beneath {
	double dof;
	bool copula;
};

static struct beneath of_input(const struct draw *draw, uint32_t input)
{
	const struct firn_input *said = NULL;
	struct beneath b = { (double)INFINITY, draw->kind == DRAW_COPULA };

	for (size_t i = 0; i < draw->n; i++)
		if (draw->members[i].input == input)
			said = draw->members[i].said;
	if (said->u == 0.0)
		b.copula = false;
	else if ((said->distribution == FIRN_NORMAL || said->distribution == FIRN_STUDENT_T) &&
		 said->dof > 0.0)
		b.dof = said->dof;
	return b;
}

static void of_nodes(const struct firn_tape *tape, const struct draw *draws,
		     const uint32_t *draw_of, struct beneath *ret)
{
	for (uint32_t i = 0; i < tape->n_records; i++) {
		const struct record *r = &tape->records[i];
		uint32_t direct[2];
		const uint32_t *operands;
		const size_t n = tape_operands_of(tape, r, direct, &operands);

		ret[i] = (struct beneath){ (double)INFINITY, false };
		if (r->operation == OP_INPUT)
			ret[i] = of_input(&draws[draw_of[r->a]], r->a);
		else if (r->operation == OP_SLOT)
			ret[i] = ret[i - r->n];
		for (size_t j = 0; r->depends && j < n; j++) {
			ret[i].dof = fmin(ret[i].dof, ret[operands[j]].dof);
			ret[i].copula |= ret[operands[j]].copula;
		}
	}
}

enum firn_status trials_beneath(size_t n, const struct firn_node *y,
				struct firn_monte_carlo_result *ret)
{
	const struct firn_tape *tape = y[0].tape;
	struct beneath *beneath = malloc(tape->n_records * sizeof(*beneath));
	uint32_t *draw_of = calloc(tape->n_inputs + 1, sizeof(*draw_of));
	struct draw *draws = NULL;
	size_t n_draws = 0;
	enum firn_status status = beneath == NULL || draw_of == NULL
				      ? FIRN_E_MEMORY
				      : draws_new(tape, &draws, &n_draws, draw_of);

	if (status >= 0)
		of_nodes(tape, draws, draw_of, beneath);
	for (size_t i = 0; i < n && status >= 0; i++) {
		ret[i].no_mean = beneath[y[i].index].dof <= 1.0;
		ret[i].no_u = beneath[y[i].index].dof <= 2.0;
		ret[i].copula = beneath[y[i].index].copula;
	}
	draws_free(draws, n_draws);
	free(draw_of);
	free(beneath);
	return status;
}

void trials_run(const struct firn_monte_carlo_settings *settings, size_t n, firn_work *work,
		void *context)
{
	if (settings->run != NULL)
		settings->run(settings->runner, n, work, context);
	else
		for (size_t i = 0; i < n; i++)
			work(context, i);
}
