/* What a picture is made of, for those that write it. */
#ifndef REPORT_PICTURE_PARTS_H
#define REPORT_PICTURE_PARTS_H

#include "app/report/picture.h"

struct report_stroke {
	char op;     /* M, L, C or Z, as SVG has them */
	double x[6]; /* of C two control points before the end */
};

struct report_shape {
	char *text;      /* NULL: an outline */
	GArray *strokes; /* struct report_stroke; of an outline */
	struct report_pen pen;
	double x, y, align, size; /* of a text */
	enum report_voice voice;
};

struct report_picture {
	double width, height;
	char *title;
	GArray *shapes;  /* struct report_shape */
	GArray *strokes; /* of the outline that is being made */
	bool broken;     /* its last point was not finite */
};

/* Red, green and blue of an ink, 0 to 1. */
extern const double report_ink_rgb[REPORT_INKS][3];

/* Lengths of dash and gap; n of them, 0: solid. */
const double *report_dash_lengths(enum report_dash dash, int *ret_n);

/* A texture as lines across a tile: side of the tile, turned by so many degrees, width, ink; a
   liquid's are short. */
struct report_hatch {
	double side, angle_deg, width, length; /* length 0: right across */
	enum report_ink ink;
};
extern const struct report_hatch report_hatches[];

#endif
