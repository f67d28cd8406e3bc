/* Inputs of a block of trials, by their distributions: JCGM 101:2008, Table 1 and 6.4. */
#include "lib/num/blocks.h"
#include "lib/tape/kernels.h"

static struct num_source source_of(const struct replay_plan *plan, uint64_t stream,
				   unsigned purpose)
{
	return (struct num_source){ plan->seed, stream, purpose };
}

/* sqrt(dof/chi-squared): what makes a t of a normal number. In chi; u is for use here. */
static void chi_factor(const struct replay_plan *plan, uint64_t stream, double dof, uint64_t first,
		       uint64_t *words, double *restrict chi, double *u)
{
	const struct num_source s = source_of(plan, stream, NUM_FIRST);
	const double half = 0.5 * dof;

	LEVEL(num_gammas)(&s, half, first, plan->block, words, u, chi);
	for (size_t i = 0; i < plan->block; i++)
		chi[i] = sqrt(half / chi[i]);
}

static void scale(size_t n, double value, double u, double *restrict x)
{
	for (size_t i = 0; i < n; i++)
		x[i] = value + u * x[i];
}

static void normal(const struct replay_plan *plan, const struct draw_member *m,
		   struct replay_work *work, uint64_t first, double *restrict x)
{
	const struct num_source s = source_of(plan, m->stream, NUM_NORMAL);
	double *restrict chi = work->scratch, *u = work->scratch + plan->block;

	LEVEL(num_normals)(&s, first, plan->block, work->words, x);
	if (m->said->dof > 0.0 && m->said->dof < 1e8) {
		chi_factor(plan, m->stream, m->said->dof, first, work->words, chi, u);
		for (size_t i = 0; i < plan->block; i++)
			x[i] *= chi[i];
	}
	scale(plan->block, m->said->value, m->said->u, x);
}

/* What is made of one or two uniform numbers between -1/2 and 1/2. */
static void limited(const struct replay_plan *plan, const struct draw_member *m,
		    struct replay_work *work, uint64_t first, double *restrict x)
{
	const struct firn_input *said = m->said;
	const struct num_source s = source_of(plan, m->stream, NUM_FIRST);
	const struct num_source t = source_of(plan, m->stream, NUM_SECOND);
	const double width = said->high - said->low, half = 0.5 * width, shape = said->shape;
	double *restrict r = work->scratch;

	LEVEL(num_uniforms)(&s, first, plan->block, x);
	if (said->distribution != FIRN_RECTANGULAR && said->distribution != FIRN_ARCSINE)
		LEVEL(num_uniforms)(&t, first, plan->block, r);
	switch (said->distribution) {
	case FIRN_TRIANGULAR:
		for (size_t i = 0; i < plan->block; i++)
			x[i] += r[i];
		scale(plan->block, said->value, half, x);
		return;
	case FIRN_TRAPEZOIDAL:
		for (size_t i = 0; i < plan->block; i++)
			x[i] = (1.0 + shape) * x[i] + (1.0 - shape) * r[i];
		scale(plan->block, said->value, half, x);
		return;
	case FIRN_CURVILINEAR_TRAPEZOID:
		for (size_t i = 0; i < plan->block; i++)
			x[i] = (half + 2.0 * shape * x[i]) * (2.0 * r[i]);
		scale(plan->block, said->value, 1.0, x);
		return;
	case FIRN_ARCSINE:
		LEVEL(num_sines)(plan->block, x);
		scale(plan->block, said->value, half, x);
		return;
	default:
		scale(plan->block, said->value, width, x);
		return;
	}
}

static void alone(const struct replay_plan *plan, const struct draw_member *m,
		  struct replay_work *work, uint64_t first, double *restrict x)
{
	const struct firn_input *said = m->said;
	const struct num_source s = source_of(plan, m->stream, NUM_FIRST);

	switch (said->distribution) {
	case FIRN_NORMAL:
	case FIRN_STUDENT_T:
		normal(plan, m, work, first, x);
		return;
	case FIRN_EXPONENTIAL:
		LEVEL(num_uniforms)(&s, first, plan->block, x);
		for (size_t i = 0; i < plan->block; i++)
			x[i] += 0.5;
		LEVEL(num_lns)(plan->block, x);
		for (size_t i = 0; i < plan->block; i++)
			x[i] *= -said->value;
		return;
	case FIRN_GAMMA:
		LEVEL(num_gammas)
		(&s, said->shape, first, plan->block, work->words, work->scratch, x);
		for (size_t i = 0; i < plan->block; i++)
			x[i] *= said->value / said->shape;
		return;
	default:
		limited(plan, m, work, first, x);
		return;
	}
}

/* Scores of the first k + 1 members times row k of the factor. */
static void correlated_score(const struct draw *draw, size_t k, size_t n, const double *scores,
			     double *restrict x)
{
	for (size_t i = 0; i < n; i++)
		x[i] = 0.0;
	for (size_t j = 0; j <= k; j++) {
		const double c = draw->factor[k * draw->n + j];
		const double *restrict z = scores + j * n;

		for (size_t i = 0; i < n; i++)
			x[i] += c * z[i];
	}
}

static void together(const struct replay_plan *plan, const struct draw *draw,
		     struct replay_work *work, uint64_t first)
{
	const size_t n = plan->block;
	double *scores = work->scratch + 3 * n;
	double *restrict chi = work->scratch;

	for (size_t j = 0; j < draw->n; j++) {
		const struct num_source s = source_of(plan, draw->members[j].stream, NUM_NORMAL);

		LEVEL(num_normals)(&s, first, n, work->words, scores + j * n);
	}
	if (draw->kind == DRAW_STUDENT_T)
		chi_factor(plan, draw->members[0].stream, draw->dof, first, work->words, chi,
			   work->scratch + n);
	for (size_t k = 0; k < draw->n; k++) {
		const struct draw_member *m = &draw->members[k];

		if (m->to == REPLAY_NO_BUFFER)
			continue;
		double *restrict x = replay_buffer(plan, work, m->to);
		correlated_score(draw, k, n, scores, x);
		if (draw->kind == DRAW_COPULA) {
			for (size_t i = 0; i < n; i++)
				x[i] = m->said->u == 0.0 ? m->said->value
							 : quantile_of_score(m->said, x[i]);
			continue;
		}
		if (draw->kind == DRAW_STUDENT_T)
			for (size_t i = 0; i < n; i++)
				x[i] *= chi[i];
		scale(n, m->said->value, m->said->u, x);
	}
}

static void as_given(const struct replay_plan *plan, const struct draw *draw,
		     struct replay_work *work)
{
	for (size_t j = 0; j < draw->n; j++) {
		const struct draw_member *m = &draw->members[j];

		if (m->to != REPLAY_NO_BUFFER)
			memcpy(replay_buffer(plan, work, m->to),
			       work->given + m->input * plan->block,
			       plan->block * sizeof(*work->given));
	}
}

void LEVEL(draw_block)(const struct replay_plan *plan, const struct draw *draw,
		       struct replay_work *work, uint64_t first)
{
	if (work->given != NULL)
		as_given(plan, draw, work);
	else if (draw->kind == DRAW_ALONE)
		alone(plan, &draw->members[0], work, first,
		      replay_buffer(plan, work, draw->members[0].to));
	else
		together(plan, draw, work, first);
}
