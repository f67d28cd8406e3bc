#include "app/report/cell_drawing.h"

#include "app/base/time.h"
#include "app/report/cell_drawing_parts.h"
#include "app/report/cell_effects.h"
#include "app/report/rounding.h"
#include "app/report/words.h"
#include "firn/scale.h"

#include <math.h>
#include <string.h>

#define WIDTH      680.0
#define TOP        34.0  /* of the thermometer */
#define LONGEST    640.0 /* px of the cell */
#define STEM       60.0  /* px of the thermometer above it */
#define LEAST      360.0 /* px of the whole cell, so that its notes have room */
#define AXIS       272.0
#define WIDEST     84.0 /* px from the axis to the outer wall */
#define MOST_MOUTH 0.09 /* metres of the well that are drawn above the surface */

/* ---- the scale at the left ---- */

static double head_K_per_m(const struct cell_drawing *d)
{
	const enum lab_point point = d->study->cell.point;

	return point == LAB_NO_POINT ? 0.0
				     : firn_scale_point((enum firn_point)point)->dT_dl_K_per_m;
}

static void draw_scale(struct cell_drawing *d)
{
	const double whole_mm = 1e3 * d->level, step = whole_mm > 150.0 ? 50.0 : 20.0;
	const double x = 70.0, bottom = cell_drawing_y(d, d->level);
	const struct report_pen line = { .line = REPORT_INK_3 };
	const char *of = d->study->cell.medium == LAB_METAL_CELL ? "metal" : "water";
	g_autofree char *unit = g_strdup_printf(
	    "mm below the %s", d->study->cell.medium == LAB_ICE_BATH ? "ice's top" : of);

	report_picture_segment(d->picture, x, d->surface, x, bottom, &line);
	for (double mm = 0.0; mm <= whole_mm + 1e-6; mm += step / 5.0) {
		const bool labelled = fmod(mm + 1e-6, step) < 1e-3;
		const double y = cell_drawing_y(d, 1e-3 * mm);
		g_autofree char *label = g_strdup_printf("%.0f", mm);

		report_picture_segment(d->picture, x - (labelled ? 9.0 : 5.0), y, x, y, &line);
		if (labelled && fabs(mm - 1e3 * d->effects->middle_m.value) * d->scale > 1e3 * 14.0)
			report_picture_text(d->picture, x - 14.0, y + 4.5, 1.0, 13.0, REPORT_TELL,
					    REPORT_INK_3, label);
	}
	report_picture_text(d->picture, 24.0, d->surface - 14.0, 0.0, 13.0, REPORT_TELL,
			    REPORT_INK_3, unit);
}

/* The temperature along the depth, as the slope that it is. */
static void draw_slope(struct cell_drawing *d, double per_m)
{
	const double zero = 164.0, middle = d->effects->middle_m.value;
	const double full = per_m * d->level, width = full < 0.0 ? -84.0 : 40.0;
	const double bottom = cell_drawing_y(d, d->level), y = cell_drawing_y(d, middle);
	const double x = zero + width * middle / d->level;
	const struct report_pen ground = { .fill = REPORT_WATER };
	const struct report_pen line = { .line = REPORT_ICE_LINE, .width = 2.0 };
	const struct report_pen ahead = { .line = REPORT_ICE_LINE, .dash = REPORT_DASHED };
	const struct report_pen upright = { .line = REPORT_HAIR };
	const struct report_pen dot = { .fill = REPORT_EMBER };
	g_autofree char *size =
	    report_kelvin_words(fabs(per_m * middle), LAB_NOT_GIVEN, REPORT_MINUS);

	report_picture_move(d->picture, zero, d->surface);
	report_picture_line(d->picture, x, y);
	report_picture_line(d->picture, zero, y);
	report_picture_close(d->picture);
	report_picture_draw(d->picture, &ground);
	report_picture_segment(d->picture, zero, d->surface, zero, bottom, &upright);
	report_picture_segment(d->picture, zero, d->surface, x, y, &line);
	report_picture_segment(d->picture, x, y, zero + width, bottom, &ahead);
	report_picture_circle(d->picture, x, y, 4.0, &dot);
	report_picture_text(d->picture, 86.0, bottom + 20.0, 0.0, 13.0, REPORT_TELL, REPORT_INK_3,
			    per_m < 0.0 ? "colder below" : "warmer below");
	report_picture_text(d->picture, per_m < 0.0 ? fmax(x, 84.0) + 8.0 : x - 8.0, y - 8.0,
			    per_m < 0.0 ? 0.0 : 1.0, 13.0, REPORT_TELL_STRONG, REPORT_EMBER, size);
}

void cell_drawing_head(struct cell_drawing *d)
{
	const double per_m = head_K_per_m(d), y = cell_drawing_y(d, d->effects->middle_m.value);
	const struct report_pen level = { .line = REPORT_EMBER, .width = 1.2 };
	g_autofree char *mm = g_strdup_printf("%.0f", 1e3 * d->effects->middle_m.value);

	draw_scale(d);
	if (per_m != 0.0)
		draw_slope(d, per_m);
	report_picture_segment(d->picture, 60.0, y, d->axis - 6.0, y, &level);
	report_picture_text(d->picture, 56.0, y + 4.5, 1.0, 13.0, REPORT_TELL_STRONG, REPORT_EMBER,
			    mm);
}

/* ---- notes at the right ---- */

struct place {
	double x, y;
};

static struct place place_of(const struct cell_drawing *d, enum lab_cell_place at)
{
	const double outer = d->scale * d->outer_r, well = d->scale * (d->well_r + d->well_wall);
	const double ice = d->scale * fmax(0.0, d->effects->ice_m);

	switch (at) {
	case LAB_AT_STEM:
		return (struct place){ d->axis, 0.5 * (d->top + d->surface) };
	case LAB_AT_WATER:
		return (struct place){ d->axis + 0.5 * (outer + fmin(well + ice, outer)),
				       cell_drawing_y(d, 0.25 * d->level) };
	case LAB_AT_ICE:
		return (struct place){ d->axis + well + 0.5 * fmin(ice, outer - well),
				       cell_drawing_y(d, 0.55 * d->level) };
	case LAB_AT_SENSOR:
	default:
		return (struct place){ d->axis + 7.0,
				       cell_drawing_y(d, d->effects->middle_m.value) };
	}
}

static double draw_note(struct cell_drawing *d, const struct lab_cell_effect *effect, double y)
{
	const double x = 424.0;
	const struct place at = place_of(d, effect->place);
	const struct report_pen leader = { .line = REPORT_INK_3 };
	const struct report_pen dot = { .fill = REPORT_INK };
	g_autofree char *size = report_cell_effect_size(&effect->K);

	report_picture_move(d->picture, at.x, at.y);
	report_picture_line(d->picture, x - 34.0, y - 5.0);
	report_picture_line(d->picture, x - 8.0, y - 5.0);
	report_picture_draw(d->picture, &leader);
	report_picture_circle(d->picture, at.x, at.y, 2.6, &dot);
	report_picture_text(d->picture, x, y, 0.0, 17.0, REPORT_SAY, REPORT_INK, effect->words);
	report_picture_text(d->picture, x, y + 21.0, 0.0, 15.0, REPORT_TELL_STRONG, REPORT_INK,
			    size);
	return report_picture_paragraph(d->picture, x, y + 39.0, 34, 13.0, REPORT_TELL,
					REPORT_INK_2, effect->note);
}

static void draw_sum(struct cell_drawing *d)
{
	const lab_cell_effects *e = d->effects;
	const struct report_pen rule = { .line = REPORT_INK, .width = 2.0 };
	g_autofree char *value =
	    report_kelvin_words(fabs(e->sum_K.value), e->sum_K.u, REPORT_MINUS);
	g_autofree char *u = report_kelvin_words(e->sum_K.u, e->sum_K.u, REPORT_MINUS);
	char defined[REPORT_NUMBER_SIZE];
	g_autofree char *whole = NULL;

	report_at_most(e->defined_K, 4, REPORT_PLAIN, defined);
	if (lab_given(e->defined_K) && fabs(e->sum_K.value) < 0.05 * e->sum_K.u)
		whole =
		    g_strdup_printf("At the sensor this cell stands at %s K, u = %s", defined, u);
	else if (lab_given(e->defined_K))
		whole = g_strdup_printf("At the sensor this cell stands %s %s %s K, u = %s", value,
					e->sum_K.value < 0.0 ? "below" : "above", defined, u);
	else
		whole = g_strdup_printf("At the sensor: conduction along the stem, u = %s; neither "
					"purity nor packing is in it",
					u);
	report_picture_segment(d->picture, 24.0, d->end, WIDTH - 24.0, d->end, &rule);
	const double y = report_picture_paragraph(d->picture, 24.0, d->end + 28.0, 70, 19.0,
						  REPORT_SAY, REPORT_INK, whole);
	report_picture_text(d->picture, 24.0, y, 0.0, 13.0, REPORT_TELL, REPORT_INK_3,
			    REPORT_CELL_EFFECTS_LEFT_OUT);
}

/* "ice 7.4 mm, 2031-06-03", "not stated: drawn" */
static void draw_remarks(struct cell_drawing *d)
{
	const double y = cell_drawing_y(d, d->level + d->below + d->outer_wall) + 20.0;
	g_autoptr(GString) text = g_string_new(NULL);
	char time[BASE_TIME_SIZE];

	if (d->effects->ice_m > 0.0) {
		base_time_print(d->effects->ice_at_us, time);
		g_string_append_printf(text, "ice %.1f mm%s%.10s", 1e3 * d->effects->ice_m,
				       time[0] != '\0' ? ", " : "", time);
	}
	if (d->assumed)
		g_string_append_printf(text, "%sdashed: not stated", text->len > 0 ? "; " : "");
	report_picture_text(d->picture, d->axis, y, 0.5, 13.0, REPORT_TELL, REPORT_INK_3,
			    text->str);
}

void cell_drawing_notes(struct cell_drawing *d)
{
	double y = 60.0;

	for (guint i = 0; i < d->effects->effects->len; i++) {
		const struct lab_cell_effect *effect =
		    &g_array_index(d->effects->effects, struct lab_cell_effect, i);

		/* Beside where it acts, and below the note before it. */
		y = draw_note(d, effect, fmax(y, place_of(d, effect->place).y - 30.0)) + 18.0;
	}
	draw_remarks(d);
	draw_sum(d);
}

/* ---- the whole ---- */

static double stated(struct cell_drawing *d, const struct lab_quantity *q, double otherwise)
{
	if (!lab_stated(q))
		d->assumed = true;
	return lab_or(q->value, otherwise);
}

static void measure(struct cell_drawing *d)
{
	const struct lab_cell_body *c = &d->study->cell;
	const bool bath = c->medium == LAB_ICE_BATH;
	const double sheath = 0.5 * d->study->thermometer.sheath.outer_m.value;

	d->well_r = bath ? sheath : 0.5 * c->well.bore_m.value;
	d->well_wall = bath ? 0.0 : c->well.wall_m.value;
	d->level = c->level_m.value;
	d->outer_r = stated(d, &c->envelope.bore_m, bath ? 0.08 : 5.0 * d->well_r) / 2.0;
	d->outer_wall = lab_or(c->envelope.wall_m.value, 2.5e-3);
	d->below = lab_or(c->below_m.value, fmin(0.015, 0.1 * d->level));
	d->mouth =
	    fmin(MOST_MOUTH,
		 fmax(0.01, lab_or(c->well.depth_m.value - c->level_m.value, 0.2 * d->level)));
}

report_picture *report_cell_drawing(const lab_cell_study *study, const lab_cell_effects *effects)
{
	g_autofree char *title =
	    g_strdup_printf("%s with thermometer %s, cut across, to scale",
			    study->cell.id != NULL ? study->cell.id : "A cell",
			    study->thermometer.id != NULL ? study->thermometer.id : "in it");
	struct cell_drawing d = { .study = study, .effects = effects, .axis = AXIS };
	double whole;

	measure(&d);
	whole = d.mouth + d.level + d.below + d.outer_wall;
	d.scale = fmin(LONGEST / whole, WIDEST / (d.outer_r + d.outer_wall));
	d.top = TOP;
	d.surface = TOP + STEM + d.scale * d.mouth;
	d.end = fmax(LEAST, TOP + STEM + d.scale * whole) + 44.0;
	d.picture = report_picture_new(WIDTH, d.end + 84.0, title);
	cell_drawing_body(&d);
	cell_drawing_thermometer(&d);
	cell_drawing_head(&d);
	cell_drawing_notes(&d);
	return d.picture;
}
