#include "app/report/cell_profile_drawing.h"

#include "app/report/picture_axis.h"
#include "app/report/words.h"

#include <math.h>

#define WIDTH  680.0
#define HEIGHT 380.0

struct graph {
	report_picture *picture;
	const lab_cell_profile *profile;
	struct report_axis mm, value; /* value in K times `unit` */
	double unit;                  /* 1e6 for µK, 1e3 for mK */
};

static const struct lab_profile_point *point_at(const lab_cell_profile *p, guint i)
{
	return &g_array_index(p->points, struct lab_profile_point, i);
}

static double y_at(const struct graph *g, double K)
{
	return report_axis_at(&g->value, g->unit * K);
}

/* Readings fall with the depth where head makes it colder below: with height they rise. */
static double head_K(const struct graph *g, double height_m)
{
	return -g->profile->K_per_m * height_m;
}

static void find_ends(struct graph *g)
{
	const lab_cell_profile *p = g->profile;
	double low = 0.0, high = 0.0, top = 0.01;

	for (guint i = 0; i < p->points->len; i++) {
		const struct lab_profile_point *x = point_at(p, i);

		top = fmax(top, x->height_m);
		low = fmin(low, fmin(x->K - lab_or(x->residual_K.u, 0.0), head_K(g, x->height_m)));
		high =
		    fmax(high, fmax(x->K + lab_or(x->residual_K.u, 0.0), head_K(g, x->height_m)));
	}
	g->unit = high - low < 2e-3 ? 1e6 : 1e3;
	g->mm = (struct report_axis){ 0.0, 1e3 * top, 84.0, WIDTH - 120.0, false };
	g->value =
	    (struct report_axis){ g->unit * low, g->unit * high, HEIGHT - 96.0, 62.0, false };
}

/* Ground of what must follow the head, so high that it is seen what "follows" means. */
static void draw_zone(struct graph *g)
{
	const lab_cell_profile *p = g->profile;
	const struct report_pen band = { .fill = REPORT_ICE, .pale = 0.5 };
	const double zone = fmin(p->zone_m, 1e-3 * g->mm.high), x0 = g->mm.from,
		     x1 = report_axis_at(&g->mm, 1e3 * zone);

	report_picture_move(g->picture, x0, y_at(g, p->limit_K));
	report_picture_line(g->picture, x1, y_at(g, head_K(g, zone) + p->limit_K));
	report_picture_line(g->picture, x1, y_at(g, head_K(g, zone) - p->limit_K));
	report_picture_line(g->picture, x0, y_at(g, -p->limit_K));
	report_picture_close(g->picture);
	report_picture_draw(g->picture, &band);
}

static void draw_lines(struct graph *g)
{
	const lab_cell_profile *p = g->profile;
	const struct report_pen head = { .line = REPORT_ICE_LINE, .width = 1.8 };
	const struct report_pen model = { .line = REPORT_INK_2,
					  .dash = REPORT_DASHED,
					  .width = 1.4 };
	const double top = 1e-3 * g->mm.high;

	report_picture_segment(g->picture, g->mm.from, y_at(g, 0.0), g->mm.to,
			       y_at(g, head_K(g, top)), &head);
	report_picture_text(g->picture, g->mm.to + 8.0, y_at(g, head_K(g, top)) + 4.5, 0.0, 13.0,
			    REPORT_TELL, REPORT_INK_2, "head");
	if (!p->fitted)
		return;
	for (int i = 0; i <= 60; i++) {
		const double h = top * i / 60.0;
		const double grown = p->error_K.value * (exp(h / p->decay_m.value) - 1.0);
		const double y = y_at(g, head_K(g, h) + grown);

		if (y > g->value.to - 20.0)
			report_picture_line(g->picture, report_axis_at(&g->mm, 1e3 * h), y);
	}
	report_picture_draw(g->picture, &model);
}

static void draw_points(struct graph *g)
{
	const struct report_pen good = { .fill = REPORT_INK },
				bar = { .line = REPORT_INK, .width = 1.2 };
	const struct report_pen open = { .fill = REPORT_SHEET, .line = REPORT_INK, .width = 1.8 };
	const struct report_pen bad = { .line = REPORT_MADDER, .width = 2.0 };

	for (guint i = 0; i < g->profile->points->len; i++) {
		const struct lab_profile_point *p = point_at(g->profile, i);
		const double x = report_axis_at(&g->mm, 1e3 * p->height_m), y = y_at(g, p->K);

		if (lab_given(p->residual_K.u))
			report_picture_segment(g->picture, x, y_at(g, p->K - 2.0 * p->residual_K.u),
					       x, y_at(g, p->K + 2.0 * p->residual_K.u), &bar);
		if (p->verdict == LAB_POINT_DEPARTS) {
			report_picture_segment(g->picture, x - 4.0, y - 4.0, x + 4.0, y + 4.0,
					       &bad);
			report_picture_segment(g->picture, x - 4.0, y + 4.0, x + 4.0, y - 4.0,
					       &bad);
		} else {
			report_picture_circle(g->picture, x, y, 4.0,
					      p->verdict == LAB_POINT_FOLLOWS ? &good : &open);
		}
	}
}

static void draw_words(struct graph *g)
{
	const lab_cell_profile *p = g->profile;
	const char *const hold =
	    p->accepted ? "It follows the head" : "It does not follow the head";
	g_autofree char *term = report_kelvin_words(p->term_K, p->term_K, REPORT_MINUS);
	g_autofree char *sentence =
	    g_strdup_printf("%s over %.0f mm, %.0f needed; immersion's term is %s", hold,
			    1e3 * p->follows_m, 1e3 * p->zone_m, term);

	report_picture_text(g->picture, 24.0, 24.0, 0.0, 17.0, REPORT_SAY, REPORT_INK, sentence);
	report_picture_text(g->picture, 24.0, HEIGHT - 12.0, 0.0, 13.0, REPORT_TELL, REPORT_INK_3,
			    "band: the zone and its limit; dot: follows; ring: undecided; cross: "
			    "departs; bars k = 2; dashed: fitted");
}

report_picture *report_cell_profile_drawing(const lab_cell_profile *profile)
{
	struct graph g = { .profile = profile };

	g.picture =
	    report_picture_new(WIDTH, HEIGHT, "Immersion profile against the head of liquid");
	find_ends(&g);
	g_array_unref(report_axis_ticks(&g.mm, 10));
	report_axis_across(g.picture, &g.value, 6, g.mm.from, g.mm.to, g.unit > 1e4 ? "µK" : "mK");
	draw_zone(&g);
	draw_lines(&g);
	draw_points(&g);
	report_axis_below(g.picture, &g.mm, 10, HEIGHT - 88.0, "mm above the deepest place");
	draw_words(&g);
	return g.picture;
}
