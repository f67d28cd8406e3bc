/* The same arrangement on a grid of rings: what two fins and two lumps leave out of the shape. */
#include "app/calc/cell_fit_parts.h"

#include "app/calc/cell_rings.h"

#include <math.h>

void cell_fit_grid(struct cell_tape *t, const struct cell_stem *s, struct lab_fit_case *c)
{
	const double warm_K = t->study->surroundings.ambient_C.value - t->t_C;
	struct cell_rings rings;
	struct firn_answer answer;

	cell_rings_draw(t, s, warm_K, &rings);

	const struct firn_probe element = { .kind = FIRN_MEAN_OVER, .index = rings.element };
	const struct firn_body body = cell_rings_body(&rings, 2);
	if (firn_conduction_steady(&body, 1, &element, &answer, NULL) < 0)
		return;
	c->grid_K = (struct lab_grid_answer){ answer.value, answer.error };
}

/* ---- in time ---- */

#define TIMES    8
#define ACCURACY 1e-3 /* of the difference at the insertion */
#define SEEN     1e-2 /* of it: down to here the course is followed, then its exponential */

/* From the last two of the course that stand well above its error, on by the exponential. */
static double settled(const double *time_s, const double *off_K, double from_K, double within_K)
{
	int last = 0;

	while (last + 1 < TIMES && off_K[last + 1] > SEEN * from_K)
		last++;
	if (last == 0 || !(off_K[last] > 0.0 && off_K[last] < off_K[last - 1]))
		return LAB_NOT_GIVEN;

	const double constant =
	    (time_s[last] - time_s[last - 1]) / log(off_K[last - 1] / off_K[last]);
	return time_s[last] + constant * log(off_K[last] / within_K);
}

void cell_fit_grid_time(struct cell_tape *t, const struct cell_stem *s,
			const struct cell_fit_question *q, struct lab_fit_case *c)
{
	struct cell_rings rings;
	struct firn_answer answers[TIMES];
	double time_s[TIMES], off_K[TIMES], other_K[TIMES];

	cell_rings_draw_entering(t, s, q->from_K, &rings);

	const struct firn_probe element = { .kind = FIRN_MEAN_OVER, .index = rings.element };
	const struct firn_body body = cell_rings_body(&rings, 1);
	for (int i = 0; i < TIMES; i++)
		time_s[i] = (i + 1) * c->constant_s.value;
	if (t->failed || !lab_given(c->constant_s.value) ||
	    firn_conduction_in_time(&body, ACCURACY * q->from_K, TIMES, time_s, 1, &element,
				    answers, NULL) < 0)
		return;
	for (int i = 0; i < TIMES; i++) {
		off_K[i] = answers[i].value;
		other_K[i] = answers[i].value + answers[i].error;
	}
	c->grid_settled_s.value = settled(time_s, off_K, q->from_K, q->within_K);
	c->grid_settled_s.error =
	    fabs(settled(time_s, other_K, q->from_K, q->within_K) - c->grid_settled_s.value);
}
