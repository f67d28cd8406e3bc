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

/* The course of the element on a grid that is halved so often, and what it comes to. */
static double settled_on(const struct cell_rings *rings, int halvings, double constant_s,
			 const struct cell_fit_question *q)
{
	const struct firn_probe element = { .kind = FIRN_MEAN_OVER, .index = rings->element };
	const struct firn_body body = cell_rings_body(rings, halvings);
	struct firn_transient *course = NULL;
	double time_s[TIMES], off_K[TIMES];
	bool good = firn_transient_new(&body, &course) >= 0;

	for (int i = 0; good && i < TIMES; i++) {
		time_s[i] = (i + 1) * constant_s;
		good = firn_transient_run(course, time_s[i], ACCURACY * q->from_K) >= 0 &&
		       firn_transient_read(course, 1, &element, &off_K[i]) >= 0;
	}
	firn_transient_free(course);
	return good ? settled(time_s, off_K, q->from_K, q->within_K) : LAB_NOT_GIVEN;
}

void cell_fit_grid_time(struct cell_tape *t, const struct cell_stem *s,
			const struct cell_fit_question *q, struct lab_fit_case *c)
{
	const double constant_s = c->constant_s.value;
	struct cell_rings rings;

	cell_rings_draw_entering(t, s, q->from_K, &rings);
	if (t->failed || !lab_given(constant_s))
		return;
	c->grid_settled_s.value = settled_on(&rings, 1, constant_s, q);
	/* the difference from half as fine: that of the coarser one */
	c->grid_settled_s.error =
	    fabs(settled_on(&rings, 0, constant_s, q) - c->grid_settled_s.value);
}
