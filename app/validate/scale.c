#include "app/validate/scale.h"

#include "firn/scale.h"

#include <math.h>

/* Table 1 prints eight decimals: half the last. At 273.16 K equation (9a) itself misses W_r = 1, by
   one of the last and 5e-17 (docs/methods/scale.md). */
#define TABLE_1_TOLERANCE     0.5e-8
#define TABLE_1_TOLERANCE_H2O 1.1e-8
/* What include/firn/scale.h states: 4e-16 relative + 1e-15 of W_r, here at its largest, 4.29. */
#define WR_TOLERANCE 2.8e-15
/* The same: 1 nK of the root. */
#define T90_TOLERANCE_K 1e-9
/* Where the published inverse functions are compared with the root. */
#define STEPS 2000

static const char exact[] = "equations (9a), (10a) of the ITS-90 at 40 digits (mpmath)";

static double wr_of(double t90_K, bool above)
{
	double wr, slope;

	if ((above ? firn_scale_wr_above : firn_scale_wr_below)(t90_K, &wr, &slope) < 0)
		return (double)NAN;
	return wr;
}

static double t90_of(double wr)
{
	double t90_K, slope;

	return firn_scale_t90(wr, false, &t90_K, &slope) < 0 ? (double)NAN : t90_K;
}

void validate_points(lab_validation *to, size_t n, const struct validate_point *points)
{
	for (size_t i = 0; i < n; i++) {
		g_autofree char *name = g_strdup_printf("W_r at %s", points[i].name);

		lab_validation_add(to, name, "ITS-90, Table 1", points[i].wr,
				   points[i].t90_K == 273.16 ? TABLE_1_TOLERANCE_H2O
							     : TABLE_1_TOLERANCE,
				   wr_of(points[i].t90_K, points[i].t90_K > 273.16));
	}
}

/* The larger one, and NaN if either is. */
static double larger(double a, double b)
{
	return isnan(a) || isnan(b) ? (double)NAN : fmax(a, b);
}

void validate_forward(lab_validation *to, size_t n, const struct validate_pair *pairs)
{
	double most = 0.0;

	for (size_t i = 0; i < n; i++)
		most = larger(most, fabs(wr_of(pairs[i].x, pairs[i].above) - pairs[i].y));
	g_autofree char *name =
	    g_strdup_printf("largest error of W_r at %" G_GSIZE_FORMAT " temperatures", n);
	lab_validation_add(to, name, exact, 0.0, WR_TOLERANCE, most);
}

void validate_inverse(lab_validation *to, size_t n, const struct validate_pair *pairs)
{
	double most = 0.0;

	for (size_t i = 0; i < n; i++)
		most = larger(most, fabs(t90_of(pairs[i].x) - pairs[i].y));
	g_autofree char *name =
	    g_strdup_printf("largest error of T90 in K at %" G_GSIZE_FORMAT " W_r", n);
	lab_validation_add(to, name, exact, 0.0, T90_TOLERANCE_K, most);
}

/* Largest difference between the published inverse function and the root. */
static double approximation_error_K(bool above)
{
	const double low_K = above ? 273.16 : 13.8033, high_K = above ? 1234.93 : 273.15;
	double most = 0.0;

	for (int i = 0; i <= STEPS; i++) {
		const double wr = wr_of(low_K + (high_K - low_K) * i / STEPS, above);
		double t90_K;

		if (firn_scale_t90_approximate(wr, above, &t90_K) < 0)
			return (double)NAN;
		const double root_K = low_K + (high_K - low_K) * i / STEPS;
		most = larger(most, fabs(t90_K - root_K));
	}
	return most;
}

void validate_scale_row(lab_validation *to, const struct validate_row *row)
{
	const bool above =
	    row->kind == VALIDATE_WR_FROM_ZERO || row->kind == VALIDATE_APPROXIMATE_ABOVE;

	if (row->kind == VALIDATE_APPROXIMATE_BELOW || row->kind == VALIDATE_APPROXIMATE_ABOVE) {
		lab_validation_add(to,
				   above ? "largest error of the inverse function (10b) in K"
					 : "largest error of the inverse function (9b) in K",
				   row->source, row->want, row->tolerance,
				   approximation_error_K(above));
		return;
	}
	g_autofree char *name = g_strdup_printf("W_r at %g K", row->at);
	lab_validation_add(to, name, row->source, row->want, row->tolerance, wr_of(row->at, above));
}
