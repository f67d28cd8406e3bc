/*
 * From W, a bridge ratio or ohm to T90 by a thermometer's calibration.
 *
 * Values go through in blocks, and a value that has no answer doesn't stop the others.
 */
#ifndef CALC_CONVERT_H
#define CALC_CONVERT_H

#include "app/lab/conversion.h"

#include <glib.h>
#include <stdbool.h>

typedef struct calc_conversion calc_conversion;

/*
 * calc_conversion_new - what it takes to convert a stream of a quantity.
 *
 * Given: the calibration, which has to outlive what is returned; a subrange by name, or NULL for
 * the narrowest that holds each value; what the stream is; and, for ratio and ohm, the user's own
 * R(TPW). Refused, with messages: a subrange that the result doesn't have or that is not the
 * ITS-90 interpolation; an R(TPW) missing, without date, older than the calibration, far from that
 * of the thermometer, or one of the calibration's own.
 * Returned: NULL when anything was refused.
 */
calc_conversion *calc_conversion_new(const struct lab_conversion *calibration, const char *subrange,
				     enum lab_quantity quantity, const struct lab_own_tpw *own,
				     base_messages *messages);
void calc_conversion_free(calc_conversion *conversion);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(calc_conversion, calc_conversion_free)

/* What comes of a value. NaN: not computed; u alone NaN: the covariance doesn't bear it. */
struct calc_converted {
	double t90_K, u_calibration_K;
	const char *subrange; /* NULL: t90_K is NaN */
};

/* n values of the quantity. NaN is no value, and comes to NaN. */
void calc_convert(calc_conversion *conversion, size_t n, const double *x,
		  struct calc_converted *ret);

/* T90 alone, many times as fast and within 1e-11 K of the above. */
void calc_convert_t90(calc_conversion *conversion, size_t n, const double *x, double *ret_t90_K);

/* Why a value came to nothing, and what would be right. Release with g_free. */
char *calc_conversion_refusal(const calc_conversion *conversion, double x);

/* Whether a value so far lay in several subranges of which the narrowest was taken; and their
   names, "H2O_Zn, H2O_Al". */
bool calc_conversion_had_choice(const calc_conversion *conversion);
char *calc_conversion_subranges(const calc_conversion *conversion);

#endif
