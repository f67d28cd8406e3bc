#include "app/report/cell_keep_drawing.h"

#include "app/base/time.h"
#include "app/report/picture_axis.h"

#include <math.h>

#define WIDTH     680.0
#define HEIGHT    268.0
#define MIDDLE    128.0 /* y of the axis of the cell */
#define HALF      62.0  /* px from there to the glass */
#define DAY_S     86400.0
#define MOST_DAYS 1000.0 /* beyond, a number of days means nothing */

struct lane {
	report_picture *picture;
	const lab_cell_study *study;
	const lab_cell_keep *keep;
	struct report_axis days;
	double scale;       /* px per metre across */
	double well, glass; /* metres from the axis: outside of the well, inside of the envelope */
	double first_m;     /* of ice on the well: what comes after grows on the glass */
};

static const struct lab_mantle_state *state_at(const GArray *states, guint i)
{
	return &g_array_index(states, struct lab_mantle_state, i);
}

static double x_at(const struct lane *l, double time_s)
{
	return report_axis_at(&l->days, time_s / DAY_S);
}

/* All the ice at a time, between the times that the forecast has. */
static double ice_at(const GArray *points, double time_s)
{
	guint i = 1;

	while (i + 1 < points->len && state_at(points, i)->time_s < time_s)
		i++;
	const struct lab_mantle_state *a = state_at(points, i - 1), *b = state_at(points, i);
	const double part = (time_s - a->time_s) / (b->time_s - a->time_s);

	return a->ice_m + fmin(fmax(part, 0.0), 1.0) * (b->ice_m - a->ice_m);
}

static double radius_of_fill(const struct lane *l, double ice_m, bool on_glass)
{
	const double grown = fmax(0.0, ice_m - l->first_m);

	return on_glass ? fmax(l->well, l->glass - grown)
			: fmin(l->glass, l->well + fmin(ice_m, l->first_m));
}

static void fill_edge(struct lane *l, double time_s, int side, bool on_glass)
{
	const double r = radius_of_fill(l, ice_at(l->keep->course_points, time_s), on_glass);

	report_picture_line(l->picture, x_at(l, time_s), MIDDLE + side * l->scale * r);
}

/* Outline between two radii over the forecast from one time to another, on one side of the axis. */
static void fill_between(struct lane *l, double from_s, double to_s, int side, bool on_glass,
			 const struct report_pen *pen)
{
	const GArray *points = l->keep->course_points;
	const double still = MIDDLE + side * l->scale * (on_glass ? l->glass : l->well);

	if (points->len < 2 || from_s >= state_at(points, points->len - 1)->time_s)
		return;
	to_s = fmin(to_s, state_at(points, points->len - 1)->time_s);
	report_picture_move(l->picture, x_at(l, from_s), still);
	fill_edge(l, from_s, side, on_glass);
	for (guint i = 0; i < points->len; i++) {
		const double time_s = state_at(points, i)->time_s;

		if (time_s > from_s && time_s < to_s)
			fill_edge(l, time_s, side, on_glass);
	}
	fill_edge(l, to_s, side, on_glass);
	report_picture_line(l->picture, x_at(l, to_s), still);
	report_picture_close(l->picture);
	report_picture_draw(l->picture, pen);
}

static double radius(const struct lane *l, double ice_m)
{
	return l->keep->course == LAB_MANTLE_GROWS
		   ? fmax(l->well, l->glass - fmax(0.0, ice_m - l->first_m))
		   : fmin(l->glass, l->well + ice_m);
}

/* An end of the interval, or the middle, of what lies ahead; both sides of the axis. */
static void draw_edge(struct lane *l, int which, const struct report_pen *pen)
{
	const GArray *points = l->keep->course_points;

	for (int side = -1; side <= 1; side += 2) {
		for (guint i = 0; i < points->len; i++) {
			const struct lab_mantle_state *p = state_at(points, i);
			const double ice = which < 0 ? p->low_m : which > 0 ? p->high_m : p->ice_m;

			if (which == 0 || p->time_s >= l->keep->age_s - 1.0)
				report_picture_line(l->picture, x_at(l, p->time_s),
						    MIDDLE + side * l->scale *
								 radius(l, fmax(0.0, ice)));
		}
		report_picture_draw(l->picture, pen);
	}
}

static void draw_ice(struct lane *l)
{
	const struct report_pen was = { .fill = REPORT_ICE, .texture = REPORT_HATCHED_ICE };
	const struct report_pen ahead = { .fill = REPORT_ICE,
					  .texture = REPORT_HATCHED_ICE,
					  .pale = 0.6 };
	const struct report_pen line = { .line = REPORT_ICE_LINE, .width = 1.8 };
	const struct report_pen end = { .line = REPORT_ICE_LINE, .dash = REPORT_DASHED };
	const double now = l->keep->age_s, last = l->days.high * DAY_S;

	for (int side = -1; side <= 1; side += 2) {
		for (int on_glass = 0; on_glass <= (l->keep->course == LAB_MANTLE_GROWS);
		     on_glass++) {
			fill_between(l, 0.0, now, side, on_glass, &was);
			fill_between(l, now, last, side, on_glass, &ahead);
		}
	}
	draw_edge(l, 0, &line);
	draw_edge(l, -1, &end);
	draw_edge(l, 1, &end);
}

static void draw_cell(struct lane *l)
{
	const struct report_pen water = { .fill = REPORT_WATER, .texture = REPORT_DASHED_LIQUID };
	const struct report_pen well = { .fill = REPORT_SHEET };
	const struct report_pen glass = { .line = REPORT_GLASS, .width = 3.0 };
	const struct report_pen thin = { .line = REPORT_GLASS };
	const double left = l->days.from, right = l->days.to;

	report_picture_rect(l->picture, left, MIDDLE - l->scale * l->glass, right - left,
			    2.0 * l->scale * l->glass, &water);
	draw_ice(l);
	report_picture_rect(l->picture, left, MIDDLE - l->scale * l->well, right - left,
			    2.0 * l->scale * l->well, &well);
	for (int side = -1; side <= 1; side += 2) {
		report_picture_segment(l->picture, left, MIDDLE + side * l->scale * l->well, right,
				       MIDDLE + side * l->scale * l->well, &thin);
		report_picture_segment(l->picture, left, MIDDLE + side * l->scale * l->glass, right,
				       MIDDLE + side * l->scale * l->glass, &glass);
	}
}

/* The days are those until so little ice remains. */
static void draw_least(struct lane *l)
{
	const struct report_pen line = { .line = REPORT_INK, .dash = REPORT_DASHED };
	g_autofree char *least = g_strdup_printf("until %.3g mm", 1e3 * l->keep->least_m);
	const double r = l->scale * (l->well + l->keep->least_m);

	if (!l->keep->ends || l->keep->course != LAB_MANTLE_MELTS)
		return;
	for (int side = -1; side <= 1; side += 2)
		report_picture_segment(l->picture, l->days.from, MIDDLE + side * r, l->days.to,
				       MIDDLE + side * r, &line);
	report_picture_text(l->picture, l->days.to - 6.0, MIDDLE - r - 5.0, 1.0, 13.0, REPORT_TELL,
			    REPORT_INK, least);
}

/* What was looked at is the mantle; what grows on the glass is counted with all the ice. */
static double radius_of_look(const struct lane *l, double ice_m)
{
	return fmin(l->glass, l->well + fmin(ice_m, l->first_m));
}

static void draw_looks(struct lane *l)
{
	const struct report_pen dot = { .fill = REPORT_SHEET, .line = REPORT_INK, .width = 1.8 };
	const struct report_pen bar = { .line = REPORT_INK, .width = 1.4 };

	for (guint i = 0; i < l->keep->looks->len; i++) {
		const struct lab_mantle_state *p = state_at(l->keep->looks, i);
		const double x = x_at(l, p->time_s),
			     y = MIDDLE - l->scale * radius_of_look(l, p->ice_m);

		if (lab_given(p->low_m) && lab_given(p->high_m))
			report_picture_segment(
			    l->picture, x,
			    MIDDLE - l->scale * radius_of_look(l, fmax(0.0, p->low_m)), x,
			    MIDDLE - l->scale * radius_of_look(l, p->high_m), &bar);
		report_picture_circle(l->picture, x, y, 4.0, &dot);
	}
}

static void draw_insertions(struct lane *l)
{
	const struct report_pen bar = { .fill = REPORT_INK };
	const double half = fmin(7.0, 0.6 * l->scale * l->well);
	const int64_t frozen = l->study->mantle.frozen_us;

	for (guint i = 0; i < l->keep->costs->len; i++) {
		const struct lab_mantle_cost *c =
		    &g_array_index(l->keep->costs, struct lab_mantle_cost, i);
		const double x = x_at(l, (double)(c->time_us - frozen) / 1e6);

		report_picture_rect(l->picture, x - 1.5, MIDDLE - half, 3.0, 2.0 * half, &bar);
	}
}

/* "1 day", "12 days" */
static char *whole_days(double days)
{
	return g_strdup_printf(days < 1.5 && days >= 0.5 ? "%.0f day" : "%.0f days", days);
}

static char *days_left(const lab_cell_keep *keep)
{
	const double value = keep->left.value_s / DAY_S, low = fmax(0.0, keep->left.low_s) / DAY_S,
		     high = keep->left.high_s / DAY_S;

	g_autofree char *days = whole_days(value), *least = whole_days(low);

	if (!keep->ends || low > MOST_DAYS)
		return g_strdup("no end of the ice is seen");
	if (value > MOST_DAYS)
		return g_strdup_printf("%s left or more (k = 2)", least);
	if (high > MOST_DAYS)
		return g_strdup_printf("%s left, %.0f or more (k = 2)", days, low);
	return g_strdup_printf("%s left, %.0f to %.0f (k = 2)", days, low, high);
}

static void draw_now(struct lane *l)
{
	const struct report_pen line = { .line = REPORT_INK, .width = 2.0 };
	const double x = x_at(l, l->keep->age_s);
	const bool right = x < 0.7 * WIDTH;
	g_autofree char *now = g_strdup_printf("now %.1f mm", 1e3 * l->keep->now.ice_m);
	g_autofree char *days = days_left(l->keep);

	report_picture_segment(l->picture, x, MIDDLE - HALF - 16.0, x, MIDDLE + HALF + 10.0, &line);
	report_picture_text(l->picture, x + (right ? 6.0 : -6.0), MIDDLE - HALF - 8.0,
			    right ? 0.0 : 1.0, 13.0, REPORT_TELL_STRONG, REPORT_INK, now);
	report_picture_text(l->picture, l->days.from, 24.0, 0.0, 17.0, REPORT_SAY, REPORT_INK,
			    days);
}

static void draw_legend(struct lane *l)
{
	const struct report_pen dot = { .fill = REPORT_SHEET, .line = REPORT_INK, .width = 1.8 };
	const struct report_pen bar = { .fill = REPORT_INK };
	const double y = HEIGHT - 12.0;
	char frozen[BASE_TIME_SIZE];
	g_autofree char *from = NULL;

	base_time_print(l->study->mantle.frozen_us, frozen);
	from = g_strdup_printf("days after the freeze%s%.10s", frozen[0] != '\0' ? " of " : "",
			       frozen);
	report_axis_below(l->picture, &l->days, 8, MIDDLE + HALF + 8.0, from);
	report_picture_circle(l->picture, 30.0, y - 4.5, 4.0, &dot);
	report_picture_text(l->picture, 40.0, y, 0.0, 13.0, REPORT_TELL, REPORT_INK_3,
			    "looked at and measured");
	report_picture_rect(l->picture, 226.0, y - 11.0, 3.0, 12.0, &bar);
	report_picture_text(l->picture, 236.0, y, 0.0, 13.0, REPORT_TELL, REPORT_INK_3,
			    "a thermometer went in; dashed: k = 2");
}

report_picture *report_cell_keep_drawing(const lab_cell_study *study, const lab_cell_keep *keep)
{
	const GArray *points = keep->course_points;
	const struct lab_cell_body *c = &study->cell;
	g_autofree char *title = g_strdup_printf("The ice of %s from its freeze to its end",
						 c->id != NULL ? c->id : "the cell");
	struct lane l = { .study = study,
			  .keep = keep,
			  .days = { 0.0, 1.0, 24.0, WIDTH - 24.0, false } };

	l.picture = report_picture_new(WIDTH, HEIGHT, title);
	l.well = 0.5 * c->well.bore_m.value + c->well.wall_m.value;
	l.glass = 0.5 * lab_or(c->envelope.bore_m.value, 6.0 * l.well);
	l.scale = HALF / l.glass;
	l.first_m = keep->course == LAB_MANTLE_GROWS && points->len > 0 ? state_at(points, 0)->ice_m
									: INFINITY;
	for (guint i = 0; i < points->len; i++)
		l.days.high = fmax(l.days.high, state_at(points, i)->time_s / DAY_S);
	/* The ticks, drawn at the end, widen the axis to a round number: here first. */
	g_array_unref(report_axis_ticks(&l.days, 8));
	draw_cell(&l);
	draw_least(&l);
	draw_insertions(&l);
	draw_looks(&l);
	draw_now(&l);
	draw_legend(&l);
	return l.picture;
}
