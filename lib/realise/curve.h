/* Smoothing and local lines of a curve: for lib/realise only. */
#ifndef LIB_REALISE_CURVE_H
#define LIB_REALISE_CURVE_H

#include <stdbool.h>
#include <stddef.h>

/* Running median over `width` readings (odd), shorter at both ends. False: no memory. */
bool curve_median(size_t n, const double *x, size_t width, double *ret);

/* Readings in a window of time: odd, at least 3, at most n. */
size_t curve_width(size_t n, const double *t_s, double window_s);

/* Slope of the line through readings from first up to last (both in), and the scatter about it. */
struct curve_line {
	double slope, s;
};
struct curve_line curve_line(const double *t_s, const double *x, size_t first, size_t last);

#endif
