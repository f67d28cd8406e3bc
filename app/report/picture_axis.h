/* Axes of a picture: numbers to px, and round numbers to put on them. */
#ifndef REPORT_PICTURE_AXIS_H
#define REPORT_PICTURE_AXIS_H

#include "app/report/picture.h"

struct report_axis {
	double low, high; /* of the numbers */
	double from, to;  /* px */
	bool decades;     /* logarithmic: low is above 0 */
};

double report_axis_at(const struct report_axis *axis, double x);

/* Widens the ends to round numbers; the numbers between, at most `most` where it is linear, 1, 2
   and 5 of each decade where it isn't. Release with g_array_unref; of double. */
GArray *report_axis_ticks(struct report_axis *axis, int most);

/* The number of a tick, with a true minus. Release with g_free. */
char *report_axis_label(double x);

/* Hairlines right across at the ticks of a y axis, labels left of x1, the unit once above them. */
void report_axis_across(report_picture *picture, struct report_axis *axis, int most, double x1,
			double x2, const char *unit);
/* Ticks below y with labels, the unit once behind them. */
void report_axis_below(report_picture *picture, struct report_axis *axis, int most, double y,
		       const char *unit);

#endif
