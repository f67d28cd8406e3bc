/* Marks of a freeze and of a melt. */
#include "firn/plateau.h"

#include "firn/series.h"
#include "lib/num/elementary.h"
#include "lib/realise/curve.h"

#include <math.h>
#include <stdlib.h>

static bool is_curve(const struct firn_curve *curve, double window_s)
{
	if (curve->n < FIRN_PLATEAU_FEWEST || curve->n > FIRN_PLATEAU_MOST || !(window_s > 0.0) ||
	    !isfinite(window_s))
		return false;
	for (size_t i = 0; i < curve->n; i++)
		if (!isfinite(curve->t_s[i]) || !(fabs(curve->dt_K[i]) <= 1000.0) ||
		    (i > 0 && curve->t_s[i] < curve->t_s[i - 1]))
			return false;
	return curve->t_s[curve->n - 1] > curve->t_s[0];
}

/* The largest rise from a minimum to a later maximum. */
static double largest_rise(size_t n, const double *x, size_t *ret_low, size_t *ret_high)
{
	double rise = 0.0;
	size_t low = 0;

	*ret_low = *ret_high = 0;
	for (size_t i = 1; i < n; i++) {
		if (x[i] < x[low])
			low = i;
		if (x[i] - x[low] > rise) {
			rise = x[i] - x[low];
			*ret_low = low;
			*ret_high = i;
		}
	}
	return rise;
}

static size_t highest(size_t n, const double *x)
{
	size_t at = 0;

	for (size_t i = 1; i < n; i++)
		if (x[i] > x[at])
			at = i;
	return at;
}

/*
 * What the level of the maximum is worth: the mean of the readings about it; and that it is the
 * highest of m windows, which lies above the truth by sqrt(2 ln m) of their u where the curve is
 * flat (asymptotic, normal noise), and by less where it is not: taken as a bound.
 */
static void judge_peak(const struct firn_curve *curve, size_t at, size_t width,
		       struct firn_freeze *ret)
{
	const size_t last = at + width < curve->n ? at + width : curve->n;
	const struct firn_readings readings = { .n = last - at, .x = curve->dt_K + at };
	struct firn_mean mean;

	ret->u_peak_K = ret->dof_peak = (double)NAN;
	if (firn_series_mean(&readings, &mean) >= 0) {
		const double m = (double)(curve->n - at) / (double)width;
		const double above = m > 1.0 ? sqrt(2.0 * num_ln(m)) * mean.u : 0.0;

		ret->u_peak_K = hypot(mean.u, above / sqrt(3.0));
		ret->dof_peak = mean.dof;
	}
}

/* Steepest fall of lines over a window, from a reading on. An end is one only if the record goes on
   beyond it, less steep. */
static double inflection(const struct firn_curve *curve, const double *smooth, size_t from,
			 size_t width)
{
	double steepest = 0.0;
	size_t at = 0;

	for (size_t i = from; i + width <= curve->n; i++) {
		const double slope = curve_line(curve->t_s, smooth, i, i + width - 1).slope;

		if (slope < steepest) {
			steepest = slope;
			at = i;
		}
	}
	if (at == 0 || at + width >= curve->n)
		return (double)NAN;
	return curve->t_s[at + width / 2];
}

static int compare_doubles(const void *a, const void *b)
{
	const double x = *(const double *)a, y = *(const double *)b;

	return (x > y) - (x < y);
}

/* First window whose scatter is ten times the median of those in the first quarter. */
static enum firn_status scatter_end(const struct firn_curve *curve, size_t from, size_t width,
				    double *ret)
{
	const size_t windows = (curve->n - from) / width, quarter = windows / 4;
	double *s, usual;

	*ret = (double)NAN;
	if (quarter < 2)
		return FIRN_OK;
	s = malloc(windows * sizeof(*s));
	if (s == NULL)
		return FIRN_E_MEMORY;
	for (size_t k = 0; k < windows; k++)
		s[k] = curve_line(curve->t_s, curve->dt_K, from + k * width,
				  from + (k + 1) * width - 1)
			   .s;
	qsort(s, quarter, sizeof(*s), compare_doubles);
	usual = s[quarter / 2];
	for (size_t k = quarter; k < windows && isnan(*ret); k++)
		if (s[k] > 10.0 * usual && usual > 0.0)
			*ret = curve->t_s[from + k * width];
	free(s);
	return FIRN_OK;
}

enum firn_status firn_freeze_marks(const struct firn_curve *curve, double window_s,
				   double least_rise_K, struct firn_freeze *ret)
{
	struct firn_freeze out = { .t_nucleation_s = (double)NAN, .supercooling_K = (double)NAN };
	size_t low, start, width;
	double *smooth;
	enum firn_status status;

	if (!is_curve(curve, window_s) || !(least_rise_K > 0.0))
		return FIRN_E_DOMAIN;
	smooth = malloc(curve->n * sizeof(*smooth));
	if (smooth == NULL)
		return FIRN_E_MEMORY;
	width = curve_width(curve->n, curve->t_s, window_s);
	if (!curve_median(curve->n, curve->dt_K, width, smooth)) {
		free(smooth);
		return FIRN_E_MEMORY;
	}
	out.is_supercooled = largest_rise(curve->n, smooth, &low, &start) >= least_rise_K;
	if (out.is_supercooled) {
		out.t_nucleation_s = curve->t_s[low];
		out.supercooling_K = smooth[start] - smooth[low];
	} else {
		start = highest(curve->n, smooth);
	}
	out.t_start_s = curve->t_s[start];
	out.peak_K = smooth[start];
	judge_peak(curve, start, width, &out);
	out.t_end_inflection_s = inflection(curve, smooth, start, width);
	status = scatter_end(curve, start, width, &out.t_end_scatter_s);
	free(smooth);
	if (status >= 0)
		*ret = out;
	return status;
}

static double median_magnitude(size_t n, const double *x, double *work)
{
	for (size_t i = 0; i < n; i++)
		work[i] = fabs(x[i]);
	qsort(work, n, sizeof(*work), compare_doubles);
	return work[n / 2];
}

enum firn_status firn_melt_marks(const struct firn_curve *curve, double window_s,
				 struct firn_melt *ret)
{
	size_t width, flat = 0, before = 0, after = 0, windows;
	double *slope, *sorted;

	if (!is_curve(curve, window_s))
		return FIRN_E_DOMAIN;
	width = curve_width(curve->n, curve->t_s, window_s);
	windows = curve->n - width + 1;
	slope = calloc(2 * windows, sizeof(*slope));
	if (slope == NULL)
		return FIRN_E_MEMORY;
	sorted = slope + windows;
	for (size_t i = 0; i < windows; i++)
		slope[i] = curve_line(curve->t_s, curve->dt_K, i, i + width - 1).slope;
	/* The flattest place lies inside: at the ends of a record anything may be flat. */
	flat = windows / 10;
	for (size_t i = flat; i < windows - windows / 10; i++)
		if (fabs(slope[i]) < fabs(slope[flat]))
			flat = i;
	for (size_t i = 0; i <= flat; i++)
		if (slope[i] > slope[before])
			before = i;
	after = flat;
	for (size_t i = flat; i < windows; i++)
		if (slope[i] > slope[after])
			after = i;
	const double least = 20.0 * median_magnitude(windows, slope, sorted);
	const bool found = slope[before] > least && slope[after] > least && before < flat;
	const size_t half = width / 2;
	if (found)
		*ret = (struct firn_melt){ .t_flattest_s = curve->t_s[flat + half],
					   .flattest_K = curve->dt_K[flat + half],
					   .slope_K_per_s = slope[flat],
					   .t_start_s = curve->t_s[before + half],
					   .t_end_s = curve->t_s[after + half] };
	free(slope);
	return found ? FIRN_OK : FIRN_E_SINGULAR;
}
