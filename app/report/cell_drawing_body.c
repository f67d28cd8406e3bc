/* The cell itself, and the thermometer in it. */
#include "app/report/cell_drawing_parts.h"

#include <math.h>

static bool is_water(const struct cell_drawing *d)
{
	return d->study->cell.medium != LAB_METAL_CELL;
}

/* A vessel open above: down at one side, round at the bottom, up at the other. */
static void trace_vessel(struct cell_drawing *d, double r_m, double top_m, double bottom_m)
{
	const double r = d->scale * r_m, x = d->axis;
	const double top = cell_drawing_y(d, top_m), bottom = cell_drawing_y(d, bottom_m);
	const double round = fmin(r, 0.5 * (bottom - top)), c = 0.55 * round;

	report_picture_move(d->picture, x - r, top);
	report_picture_line(d->picture, x - r, bottom - round);
	report_picture_curve(d->picture, x - r, bottom - round + c, x - 0.55 * r, bottom, x,
			     bottom);
	report_picture_curve(d->picture, x + 0.55 * r, bottom, x + r, bottom - round + c, x + r,
			     bottom - round);
	report_picture_line(d->picture, x + r, top);
}

static void fill_vessel(struct cell_drawing *d, double r_m, double top_m, double bottom_m,
			const struct report_pen *pen)
{
	trace_vessel(d, r_m, top_m, bottom_m);
	report_picture_close(d->picture);
	report_picture_draw(d->picture, pen);
}

static void outline_vessel(struct cell_drawing *d, double r_m, double top_m, double bottom_m,
			   const struct report_pen *pen)
{
	trace_vessel(d, r_m, top_m, bottom_m);
	report_picture_draw(d->picture, pen);
}

/* The shoulders of a sealed cell, from its wall in to the neck round the well. */
static void draw_shoulders(struct cell_drawing *d, double r_m, const struct report_pen *pen)
{
	const double neck = d->scale * (d->well_r + d->well_wall), r = d->scale * r_m;
	const double low = cell_drawing_y(d, -0.45 * d->mouth),
		     high = cell_drawing_y(d, -0.8 * d->mouth);

	for (int side = -1; side <= 1; side += 2) {
		report_picture_move(d->picture, d->axis + side * r, cell_drawing_y(d, 0.0));
		report_picture_line(d->picture, d->axis + side * r, low);
		report_picture_curve(d->picture, d->axis + side * r, 0.5 * (low + high),
				     d->axis + side * neck, 0.5 * (low + high),
				     d->axis + side * neck, high);
		report_picture_draw(d->picture, pen);
	}
}

static void draw_ice(struct cell_drawing *d)
{
	const double inner = d->well_r + d->well_wall;
	const double ice =
	    d->effects->ice_m > 0.0 ? fmin(d->effects->ice_m, d->outer_r - inner) : 0.0;
	const struct report_pen solid = { .fill = REPORT_ICE,
					  .texture = REPORT_HATCHED_ICE,
					  .line = REPORT_ICE_LINE,
					  .width = 1.6 };

	if (!(ice > 0.0))
		return;
	/* From a little below the surface, which has to stay open. */
	fill_vessel(d, inner + ice, fmin(ice, 0.06 * d->level),
		    fmin(d->level + d->well_wall + ice, d->level + d->below), &solid);
}

static void draw_liquid(struct cell_drawing *d)
{
	const struct report_pen water = { .fill = REPORT_WATER, .texture = REPORT_DASHED_LIQUID };
	const struct report_pen metal = { .fill = REPORT_METAL, .texture = REPORT_HATCHED_METAL };
	const struct report_pen crushed = { .fill = REPORT_ICE, .texture = REPORT_HATCHED_ICE };
	const enum lab_medium medium = d->study->cell.medium;

	fill_vessel(d, d->outer_r, 0.0, d->level + d->below,
		    medium == LAB_METAL_CELL ? &metal
		    : medium == LAB_ICE_BATH ? &crushed
					     : &water);
}

static void draw_glass(struct cell_drawing *d)
{
	const double outer = d->outer_r, wall = d->outer_wall, bottom = d->level + d->below;
	const struct report_pen glass = { .line = REPORT_GLASS, .width = 2.0 };
	const struct report_pen guessed = { .line = REPORT_GLASS,
					    .width = 1.4,
					    .dash = REPORT_DASHED };
	const struct report_pen *pen = d->assumed ? &guessed : &glass;
	const struct report_pen level = { .line = REPORT_GLASS };

	outline_vessel(d, outer, 0.0, bottom, pen);
	outline_vessel(d, outer + wall, 0.0, bottom + wall, pen);
	if (d->study->cell.medium == LAB_TRIPLE_POINT_CELL) {
		draw_shoulders(d, outer, pen);
		draw_shoulders(d, outer + wall, pen);
	} else {
		outline_vessel(d, outer, -0.5 * d->mouth, bottom, pen);
		outline_vessel(d, outer + wall, -0.5 * d->mouth, bottom + wall, pen);
	}
	report_picture_segment(d->picture, d->axis - d->scale * outer, d->surface,
			       d->axis + d->scale * outer, d->surface, &level);
}

static void draw_well(struct cell_drawing *d)
{
	const struct report_pen wall = { .fill = REPORT_SHEET, .line = REPORT_GLASS, .width = 1.2 };
	const struct report_pen fluid = { .fill = REPORT_WATER,
					  .line = REPORT_GLASS,
					  .width = 1.0 };
	const struct report_pen air = { .fill = REPORT_SHEET, .line = REPORT_GLASS, .width = 1.0 };
	const bool dry = g_strcmp0(d->study->contact.fluid, "air") == 0;

	if (d->study->cell.medium == LAB_ICE_BATH)
		return;
	fill_vessel(d, d->well_r + d->well_wall, -d->mouth, d->level + d->well_wall, &wall);
	fill_vessel(d, d->well_r, -d->mouth, d->level, &air);
	if (!dry)
		fill_vessel(d, d->well_r, is_water(d) ? -0.1 * d->mouth : 0.0, d->level, &fluid);
}

void cell_drawing_body(struct cell_drawing *d)
{
	draw_liquid(d);
	draw_ice(d);
	draw_glass(d);
	draw_well(d);
}

/* ---- the thermometer ---- */

static void draw_element(struct cell_drawing *d, double middle_m)
{
	const struct lab_stem *t = &d->study->thermometer;
	const double half = 0.5 * d->scale * t->element.length_m.value;
	const double r = fmax(2.0, 0.25 * d->scale * t->sheath.inner_m.value);
	const double y = cell_drawing_y(d, middle_m);
	const struct report_pen wire = { .line = REPORT_INK, .width = 1.2 };
	const struct report_pen middle = { .fill = REPORT_SHEET,
					   .line = REPORT_EMBER,
					   .width = 1.8 };
	const int turns = (int)fmax(4.0, floor(half / 2.5));

	for (int i = 0; i <= 2 * turns; i++)
		report_picture_line(d->picture, d->axis + (i % 2 == 0 ? -r : r),
				    y - half + i * half / turns);
	report_picture_draw(d->picture, &wire);
	report_picture_diamond(d->picture, d->axis, y, 6.0, &middle);
}

void cell_drawing_thermometer(struct cell_drawing *d)
{
	const struct lab_stem *t = &d->study->thermometer;
	const double r = 0.5 * t->sheath.outer_m.value, middle = d->effects->middle_m.value;
	const double tip = middle + 0.5 * t->element.length_m.value +
			   fmax(lab_or(t->element.from_tip_m.value, 0.0),
				0.5 * (t->sheath.outer_m.value - t->sheath.inner_m.value));
	const double top = (d->top - d->surface) / d->scale, x = d->scale * r;
	const struct report_pen sheath = { .fill = REPORT_SHEET, .line = REPORT_INK, .width = 1.4 };
	const struct report_pen lead = { .line = REPORT_INK_3, .width = 1.0 };
	const struct report_pen cut = { .line = REPORT_INK, .width = 1.4 };

	fill_vessel(d, r, top, tip, &sheath);
	for (int side = -1; side <= 1; side += 2)
		report_picture_segment(
		    d->picture, d->axis + 0.4 * side * x, d->top, d->axis + 0.4 * side * x,
		    cell_drawing_y(d, middle - 0.5 * t->element.length_m.value), &lead);
	draw_element(d, middle);
	/* Broken off: it goes on above. */
	report_picture_move(d->picture, d->axis - x - 3.0, d->top + 4.0);
	report_picture_line(d->picture, d->axis - 0.5 * x, d->top - 3.0);
	report_picture_line(d->picture, d->axis + 0.5 * x, d->top + 4.0);
	report_picture_line(d->picture, d->axis + x + 3.0, d->top - 3.0);
	report_picture_draw(d->picture, &cut);
}
