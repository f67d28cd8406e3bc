/* U by realisation: one axis for all, by decades, and the three largest terms of each. */
#include "app/report/plan.h"

#include "app/report/picture_axis.h"
#include "app/report/rounding.h"
#include "app/report/words.h"

#include <math.h>

#define WIDTH 760.0
#define LEFT  170.0
#define RIGHT 470.0 /* of the axis */
#define TERMS 500.0
#define FIRST 96.0 /* y of the first row */
#define ROW   74.0
#define MOST  3 /* terms */

struct chart {
	report_picture *picture;
	const lab_plan *plan;
	const lab_plan_result *result;
	struct report_axis mK;
	double bottom;
};

static void widen(struct chart *c, double K)
{
	if (!(K > 0.0))
		return;
	c->mK.low = fmin(c->mK.low, 1e3 * K);
	c->mK.high = fmax(c->mK.high, 1e3 * K);
}

static void find_ends(struct chart *c)
{
	c->mK = (struct report_axis){ 1e3 * c->plan->U_K, 1e3 * c->plan->U_K, LEFT, RIGHT, true };
	for (guint i = 0; i < c->result->outcomes->len; i++) {
		const struct lab_plan_outcome *o = LAB_AT(c->result->outcomes, lab_plan_outcome, i);

		widen(c, o->U_K);
		widen(c, o->practice_U_K);
		widen(c, o->achieved_U_K);
	}
	c->mK.low *= 0.8;
	c->mK.high *= 1.25;
}

static void draw_wanted(struct chart *c)
{
	const struct report_pen good = { .fill = REPORT_ICE, .pale = 0.45 };
	const struct report_pen line = { .line = REPORT_INK, .width = 2.0 };
	const double x = report_axis_at(&c->mK, 1e3 * c->plan->U_K);
	g_autofree char *wanted = report_kelvin_words(c->plan->U_K, c->plan->U_K, REPORT_MINUS);
	g_autofree char *label = g_strdup_printf("wanted: %s", wanted);

	report_picture_rect(c->picture, c->mK.from, c->bottom - 10.0, x - c->mK.from, 10.0, &good);
	report_picture_segment(c->picture, x, FIRST - 34.0, x, c->bottom, &line);
	report_picture_text(c->picture, x, FIRST - 40.0, 0.5, 13.0, REPORT_TELL_STRONG, REPORT_INK,
			    label);
}

static void draw_marks(struct chart *c, const struct lab_plan_outcome *o, double y)
{
	const struct report_pen row = { .line = REPORT_HAIR };
	const struct report_pen dot = { .fill = REPORT_INK };
	const struct report_pen cross = { .line = REPORT_MADDER, .width = 2.2 };
	const struct report_pen ring = { .fill = REPORT_SHEET, .line = REPORT_INK_3, .width = 1.4 };
	const struct report_pen reached = { .fill = REPORT_SHEET,
					    .line = REPORT_INK,
					    .width = 1.8 };

	report_picture_segment(c->picture, c->mK.from, y, c->mK.to, y, &row);
	if (o->practice_U_K > 0.0)
		report_picture_circle(c->picture, report_axis_at(&c->mK, 1e3 * o->practice_U_K), y,
				      4.0, &ring);
	if (o->U_K > 0.0) {
		const double x = report_axis_at(&c->mK, 1e3 * o->U_K);
		g_autofree char *U = report_kelvin_words(o->U_K, o->U_K, REPORT_MINUS);

		if (o->enough) {
			report_picture_circle(c->picture, x, y, 5.0, &dot);
		} else {
			report_picture_segment(c->picture, x - 5.0, y - 5.0, x + 5.0, y + 5.0,
					       &cross);
			report_picture_segment(c->picture, x - 5.0, y + 5.0, x + 5.0, y - 5.0,
					       &cross);
		}
		report_picture_text(c->picture, x, y - 12.0, 0.5, 13.0, REPORT_TELL_STRONG,
				    o->enough ? REPORT_INK : REPORT_MADDER, U);
	}
	if (o->achieved_U_K > 0.0)
		report_picture_diamond(c->picture, report_axis_at(&c->mK, 1e3 * o->achieved_U_K), y,
				       6.0, &reached);
}

static void draw_name(struct chart *c, const struct lab_plan_outcome *o, double y)
{
	g_autofree char *days =
	    lab_given(o->days) ? g_strdup_printf(", %.1f days", o->days) : g_strdup("");
	g_autofree char *what = g_strconcat(lab_plan_size_name(o->size), days, NULL);

	report_picture_text(c->picture, 24.0, y - 2.0, 0.0, 17.0, REPORT_SAY,
			    o->enough ? REPORT_INK : REPORT_MADDER, o->name);
	report_picture_text(c->picture, 24.0, y + 16.0, 0.0, 13.0, REPORT_TELL, REPORT_INK_2, what);
	if (o->why_not != NULL)
		report_picture_paragraph(c->picture, LEFT + 8.0, y - 8.0, 42, 13.0, REPORT_TELL,
					 REPORT_MADDER, o->why_not);
}

/* Bars as long as each term is of the largest of the realisation. */
static void draw_terms(struct chart *c, const struct lab_plan_outcome *o, double y)
{
	const struct report_pen bar = { .fill = REPORT_INK };

	for (guint i = 0; i < MIN(o->causes->len, MOST); i++) {
		const struct lab_budget_line *cause = LAB_AT(o->causes, lab_budget_line, i);
		const double share =
		    cause->contribution / LAB_AT(o->causes, lab_budget_line, 0)->contribution;
		const double at = y - 14.0 + 18.0 * i;
		g_autofree char *u =
		    report_kelvin_words(cause->contribution, cause->contribution, REPORT_MINUS);

		report_picture_text(c->picture, TERMS, at, 0.0, 13.0, REPORT_TELL, REPORT_INK_2,
				    cause->input);
		report_picture_rect(c->picture, TERMS + 124.0, at - 9.0, fmax(1.0, 60.0 * share),
				    9.0, &bar);
		report_picture_text(c->picture, WIDTH - 12.0, at, 1.0, 13.0, REPORT_TELL,
				    REPORT_INK, u);
	}
}

static void draw_legend(struct chart *c)
{
	const struct report_pen ring = { .fill = REPORT_SHEET, .line = REPORT_INK_3, .width = 1.4 };
	const double y = c->bottom + 64.0;
	bool achieved = false;

	for (guint i = 0; i < c->result->outcomes->len; i++)
		achieved |= LAB_AT(c->result->outcomes, lab_plan_outcome, i)->achieved_U_K > 0.0;
	report_picture_circle(c->picture, 30.0, y - 4.5, 4.0, &ring);
	report_picture_text(c->picture, 40.0, y, 0.0, 13.0, REPORT_TELL, REPORT_INK_3,
			    achieved
				? "usual: common practice, no source; dot: good enough; cross: "
				  "not; diamond: achieved"
				: "usual: common practice, no source; dot: good enough; cross: "
				  "not good enough");
}

report_picture *report_plan_drawing(const lab_plan *plan, const lab_plan_result *result)
{
	struct chart c = { .plan = plan, .result = result };
	g_autofree char *sentence = report_plan_sentence(plan, result);

	c.bottom = FIRST + ROW * result->outcomes->len - 22.0;
	c.picture = report_picture_new(WIDTH, c.bottom + 78.0,
				       "Uncertainty to expect of each realisation, k = 2");
	find_ends(&c);
	g_array_unref(report_axis_ticks(&c.mK, 0));
	report_picture_text(c.picture, 24.0, 28.0, 0.0, 17.0, REPORT_SAY, REPORT_INK, sentence);
	draw_wanted(&c);
	report_picture_text(c.picture, TERMS, FIRST - 40.0, 0.0, 13.0, REPORT_TELL_STRONG,
			    REPORT_INK, "u, the three largest");
	for (guint i = 0; i < result->outcomes->len; i++) {
		const struct lab_plan_outcome *o = LAB_AT(result->outcomes, lab_plan_outcome, i);
		const double y = FIRST + ROW * i;

		draw_marks(&c, o, y);
		draw_name(&c, o, y);
		draw_terms(&c, o, y);
	}
	report_axis_below(c.picture, &c.mK, 0, c.bottom, "U in mK, k = 2");
	draw_legend(&c);
	return c.picture;
}
