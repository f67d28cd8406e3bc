/*
 * How numbers look on paper and screen: the one place where digits are dropped. Every text is made
 * from the number itself, never from a rounded one; half goes to even on the exact binary value.
 *
 * An expanded or standard uncertainty has two significant digits and the value ends at the same
 * place (JCGM 100:2008, 7.2.6). EA-4/02 asks to round up where rounding down loses more than 5 %;
 * with two digits the loss is at most 0.5 in 10.5, 4.8 %, so rounding to the nearest obeys it.
 */
#ifndef REPORT_ROUNDING_H
#define REPORT_ROUNDING_H

#include <stdbool.h>
#include <stddef.h>

/* Where a fixed point would need too many digits, from 1e15 up and for u below 1e-19, there is an
   exponent in its place, as in 1.380649e-23; its minus is a hyphen in every style. */
#define REPORT_NUMBER_SIZE 80 /* bytes of any text made here, its end included */

/* What a text may look like; flags. */
enum report_style {
	REPORT_PLAIN = 0,
	REPORT_MINUS = 1,  /* U+2212 instead of the hyphen */
	REPORT_GROUPS = 2, /* thin spaces between groups of three after the point */
	REPORT_PRINT = REPORT_MINUS | REPORT_GROUPS,
};

/* Decimal places that two digits of u reach: 4 for 0.0035, -1 for 120. False, and *ret_places left
   alone, where u is not finite, not above 0, or such that it is shown with an exponent. */
bool report_places(double u, int *ret_places);

/* x to `places` decimals (0 to 20); for negative ones to tens, hundreds and so on. From 1e15 on the
   15 digits that matter, with an exponent. What is not a number is an en dash; what rounds to zero
   has no sign. */
void report_fixed(double x, int places, enum report_style style, char ret[REPORT_NUMBER_SIZE]);

/* Value and uncertainty, each to the place of the other: 0.24990 and 0.00032; 1.3806e-23 and
   1.2e-27, 0.3e-23 and 1.2e-23. The value never has more digits than a double holds (17). With u =
   0 (exact) it has the digits that it needs, at most 15, with an exponent below 1e-5, and u is "0";
   with u NaN the same and u is an en dash. */
void report_pair(double x, double u, enum report_style style, char ret_x[REPORT_NUMBER_SIZE],
		 char ret_u[REPORT_NUMBER_SIZE]);

/* u alone, two digits. */
void report_uncertainty(double u, enum report_style style, char ret[REPORT_NUMBER_SIZE]);

/* "100.02147(35)": the digits in parentheses are those of u at the last places of x; from 10 up
   "101330(120)"; "1.38060(12)e-23". Without u as in report_pair, and no parentheses. Where a double
   doesn't hold digits down to those of u: "1.5e+00(1.2e-25)". */
void report_concise(double x, double u, enum report_style style, char ret[REPORT_NUMBER_SIZE]);

/* x in units of 10^exponent (-20 to 0) with `places` decimals (places - exponent at most 20). The
   point is moved in the text, so the digits are those of x: -2.67e-4 is "-2.67" for -4 and 2. */
void report_scaled(double x, int exponent, int places, enum report_style style,
		   char ret[REPORT_NUMBER_SIZE]);

/* x with `digits` significant digits (1 to 15), and an exponent (e-07) below 1e-5 and from 1e15 on;
   for sizes that nothing else is compared with, such as sensitivities. */
void report_significant(double x, int digits, enum report_style style,
			char ret[REPORT_NUMBER_SIZE]);

/* As many decimals as x needs, at most `places`: "231.928". */
void report_at_most(double x, int places, enum report_style style, char ret[REPORT_NUMBER_SIZE]);

/* W at a temperature as a program computes it that has these coefficients; false: it can't. */
typedef bool (*report_w_at)(const void *subrange, const double *coefficients, double t90_K,
			    double *ret_w);

/*
 * How many decimals coefficients need so that whoever types them in from paper finds the same
 * temperatures: the least number at which the coefficients, read back from their own text, give at
 * each of n_t temperatures a W within `limit_K` of what the coefficients themselves give.
 *
 * Given: temperatures and dt/dW there (dt_dw_K); the function for W and what it is to be handed.
 * Returned: *ret_places, decimals of the coefficients. False when 18 decimals aren't enough or the
 * function refuses.
 */
bool report_coefficient_places(size_t n, const double *coefficients, size_t n_t,
			       const double *t90_K, const double *dt_dw_K, double limit_K,
			       report_w_at w_at, const void *subrange, int *ret_places);

#endif
