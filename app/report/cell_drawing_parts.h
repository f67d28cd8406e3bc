/* What the parts of a cell's drawing share. */
#ifndef REPORT_CELL_DRAWING_PARTS_H
#define REPORT_CELL_DRAWING_PARTS_H

#include "app/report/cell_drawing.h"

struct cell_drawing {
	report_picture *picture;
	const lab_cell_study *study;
	const lab_cell_effects *effects;
	double scale;   /* px per metre, the same in both directions */
	double axis;    /* x of the cell's axis */
	double surface; /* y of the surface of the liquid */
	double end;     /* y of the rule under it all */
	double top;     /* y where the drawing of the thermometer is broken off */
	/* Metres, as stated, or where nothing is stated as drawn (then `assumed`). */
	double well_r, well_wall, outer_r, outer_wall, mouth, level, below;
	bool assumed;
};

/* y of a depth below the surface, in metres. */
static inline double cell_drawing_y(const struct cell_drawing *d, double depth_m)
{
	return d->surface + d->scale * depth_m;
}

/* Envelope, liquid, ice and well. */
void cell_drawing_body(struct cell_drawing *d);
/* The thermometer within it. */
void cell_drawing_thermometer(struct cell_drawing *d);
/* Scale at the left, the slope of the head, the level of the sensor's middle through both. */
void cell_drawing_head(struct cell_drawing *d);
/* Effects at the right with their leaders, and the sum below. */
void cell_drawing_notes(struct cell_drawing *d);

#endif
