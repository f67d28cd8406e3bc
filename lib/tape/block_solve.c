/* Least squares over lanes: lib/num/qr.c, step by step, with a trial in every lane. */
#include "lib/tape/kernels.h"

enum { LANES = SOLVE_LANES };

#define EACH_LANE for (size_t l = 0; l < LANES; l++)

struct system {
	size_t m, n;
	double *a, *b, *head; /* a[m][n][LANES], b[m][LANES]; of the vector in hand */
	double *spare;        /* 4 LANES */
};

static double *element(const struct system *s, size_t i, size_t j)
{
	return s->a + (i * s->n + j) * LANES;
}

static inline void column_norm(const struct system *s, size_t from, size_t column,
			       double *restrict norm)
{
	EACH_LANE norm[l] = 0.0;
	for (size_t i = from; i < s->m; i++) {
		const double *restrict x = element(s, i, column);

		EACH_LANE norm[l] += x[l] * x[l];
	}
	EACH_LANE norm[l] = sqrt(norm[l]);
}

/* The square of the vector in column k, the same for all that it reflects. */
static void vector_square(const struct system *s, size_t k, double *restrict norm2)
{
	const double *restrict head = s->head;

	EACH_LANE norm2[l] = head[l] * head[l];
	for (size_t i = k + 1; i < s->m; i++) {
		const double *restrict v = element(s, i, k);

		EACH_LANE norm2[l] += v[l] * v[l];
	}
}

/* Reflects x by the vector in column k; step: from one element of x to the next. */
static void reflect(const struct system *s, size_t k, const double *restrict norm2, double *x,
		    size_t step)
{
	const double *restrict head = s->head;
	double *restrict dot = s->spare;
	double *restrict x_k = x + k * step;

	EACH_LANE dot[l] = head[l] * x_k[l];
	for (size_t i = k + 1; i < s->m; i++) {
		const double *restrict v = element(s, i, k), *restrict x_i = x + i * step;

		EACH_LANE dot[l] += v[l] * x_i[l];
	}
	EACH_LANE
	{
		dot[l] = 2.0 * dot[l] / norm2[l];
		x_k[l] -= dot[l] * head[l];
	}
	for (size_t i = k + 1; i < s->m; i++) {
		const double *restrict v = element(s, i, k);
		double *restrict x_i = x + i * step;

		EACH_LANE x_i[l] -= dot[l] * v[l];
	}
}

/* A trial whose system is singular gets NaN for its diagonal, and so for its results. With one row
   left there is nothing to reflect: lanes never differ in that. */
static void factor(const struct system *s)
{
	double *restrict head = s->head, *restrict norm2 = s->spare + LANES;
	double *restrict whole = s->spare + 2 * LANES, *restrict norm = s->spare + 3 * LANES;

	for (size_t k = 0; k < s->n; k++) {
		double *restrict corner = element(s, k, k);

		column_norm(s, 0, k, whole);
		column_norm(s, k, k, norm);
		EACH_LANE
		{
			const bool good = norm[l] > 1e-14 * whole[l] && norm[l] < (double)INFINITY;
			const double diagonal = corner[l] > 0.0 ? -norm[l] : norm[l];

			norm[l] = good ? diagonal : (double)NAN;
			head[l] = corner[l] - norm[l];
		}
		if (k + 1 == s->m) {
			EACH_LANE corner[l] = norm[l] == norm[l] ? corner[l] : (double)NAN;
			continue;
		}
		vector_square(s, k, norm2);
		for (size_t j = k + 1; j < s->n; j++)
			reflect(s, k, norm2, s->a + j * LANES, s->n * LANES);
		reflect(s, k, norm2, s->b, LANES);
		EACH_LANE corner[l] = norm[l];
	}
}

static void solve(const struct system *s)
{
	for (size_t i = s->n; i-- > 0;) {
		const double *restrict corner = element(s, i, i);
		double *restrict x = s->b + i * LANES;

		for (size_t j = i + 1; j < s->n; j++) {
			const double *restrict r = element(s, i, j), *restrict x_j =
									 s->b + j * LANES;

			EACH_LANE x[l] -= r[l] * x_j[l];
		}
		EACH_LANE x[l] /= corner[l];
	}
}

static void load(const struct replay_plan *plan, const struct replay_work *work, uint32_t code,
		 size_t from, double *restrict to)
{
	if (code & REPLAY_CONSTANT) {
		const double c = plan->constants[code & ~REPLAY_CONSTANT];

		EACH_LANE to[l] = c;
	} else {
		const double *restrict x = replay_buffer(plan, work, code) + from;

		EACH_LANE to[l] = x[l];
	}
}

void LEVEL(solve_block)(const struct replay_plan *plan, const struct step *step,
			struct replay_work *work)
{
	const size_t m = step->b, n = step->n;
	const uint32_t *codes = plan->operands + step->a, *to = plan->operands + step->to;
	double *memory = work->scratch;
	const struct system s = { .m = m,
				  .n = n,
				  .a = memory,
				  .b = memory + m * n * LANES,
				  .head = memory + (m * n + m) * LANES,
				  .spare = memory + (m * n + m + 1) * LANES };

	for (size_t from = 0; from < plan->block; from += LANES) {
		for (size_t i = 0; i < m; i++) {
			for (size_t j = 0; j < n; j++)
				load(plan, work, codes[i * (n + 1) + j], from, element(&s, i, j));
			load(plan, work, codes[i * (n + 1) + n], from, s.b + i * LANES);
		}
		factor(&s);
		solve(&s);
		for (size_t j = 0; j < n; j++)
			if (to[j] != REPLAY_NO_BUFFER)
				memcpy(replay_buffer(plan, work, to[j]) + from, s.b + j * LANES,
				       LANES * sizeof(*s.b));
	}
}
