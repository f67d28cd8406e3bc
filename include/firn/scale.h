/*
 * The International Temperature Scale of 1990 for standard platinum resistance thermometers,
 * 13.8033 K to 1234.93 K: fixed points, reference functions, deviation functions of the eleven
 * subranges, T - T90, and what is published of non-uniqueness.
 *
 * Temperatures are T90 in kelvin; W = R(T90)/R(273.16 K). Everything is stateless and may be called
 * from any thread. Outputs are untouched when the status is negative. Numbers that are not finite
 * are out of every range: FIRN_E_DOMAIN.
 *
 * Sources: ITS-90 stands for The International Temperature Scale of 1990 (CIPM 1989); Guide for the
 * CCT Guide to the Realization of the ITS-90, edition 2018. docs/methods/scale.md tells the
 * choices.
 */
#ifndef FIRN_SCALE_H
#define FIRN_SCALE_H

#include "firn/status.h"
#include "firn/tape.h"

#include <stdbool.h>
#include <stddef.h>

/* Measured values scatter about the ends of the scale, so every function goes on this far beyond
   its range, with FIRN_WARN_EXTRAPOLATED; farther out it refuses. Ours. */
#define FIRN_SCALE_MARGIN_K 0.1

/* A T90 found from W counts as within the range to this: Table 1 rounds W_r, and its values lie up
   to 8 microkelvin beside the equations. Ours. */
#define FIRN_SCALE_ROUNDING_K 1e-5

/* ---- Fixed points ---- */

/* In rising order of temperature. */
enum firn_point {
	FIRN_E_H2,
	FIRN_E_H2_VAPOUR, /* one of two vapour-pressure points, near 17 K or 20.3 K: the pressure
			     tells */
	FIRN_NE,
	FIRN_O2,
	FIRN_AR,
	FIRN_HG,
	FIRN_H2O,
	FIRN_GA,
	FIRN_IN,
	FIRN_SN,
	FIRN_ZN,
	FIRN_AL,
	FIRN_AG,
	FIRN_POINTS
};

enum firn_point_kind {
	FIRN_TRIPLE_POINT,
	FIRN_MELTING_POINT,
	FIRN_FREEZING_POINT,
	FIRN_VAPOUR_PRESSURE_POINT
};

struct firn_fixed_point {
	const char *name; /* "e-H2", "H2O" */
	enum firn_point_kind kind;
	double t90_K, wr;      /* ITS-90, Table 1; NaN for FIRN_E_H2_VAPOUR */
	double dT_dp_K_per_Pa; /* ITS-90, Table 2; 0 where no correction is defined (vapour
				  pressure) */
	double dT_dl_K_per_m;  /* per metre of liquid, downwards */
	bool gas_pressure; /* t90_K is that at 101325 Pa: the pressure on the sample is corrected
			      for */
	double
	    triple_K; /* gallium: what a sealed triple-point cell realises in place of the melting
			 point, 302.9166 K, without a gas pressure correction; otherwise NaN */
	double u_comparison_K,
	    u_best_K; /* Guide, ch. 1, Table 1: standard deviation in international
			 comparisons; smallest u claimed by an institute */
};

/* NULL when there is no such point. */
const struct firn_fixed_point *firn_scale_point(enum firn_point point);

/*
 * firn_scale_wr_at - W_r at a fixed point, from Table 1 or from equation (9a) (to 273.16 K) or
 * (10a); and its slope, always of the equation. The standard allows either; they differ by up to 8
 * microkelvin (e-H2). FIRN_E_DOMAIN for FIRN_E_H2_VAPOUR: take firn_scale_vapour_t90 and
 * firn_scale_wr. At H2O the slope is that of (9a), 1.5e-7 relative below that of (10a).
 */
enum firn_status firn_scale_wr_at(enum firn_point point, bool from_equation, double *ret_wr,
				  double *ret_dwr_per_K);

/*
 * firn_scale_vapour_t90 - T90 of equilibrium hydrogen boiling at p: ITS-90, equations (11a), (11b).
 * Defined for T90 from 17.025 K to 17.045 K (p from 33188.1 Pa to 33454.5 Pa) and from 20.26 K to
 * 20.28 K (100992 Pa to 101592 Pa); FIRN_E_DOMAIN elsewhere, without a margin.
 */
enum firn_status firn_scale_vapour_t90(double p_Pa, double *ret_t90_K, double *ret_dt90_per_Pa);

/* What a thermometer must meet. One of the first two, and the third for use to the silver point:
   ITS-90, equations (8a) to (8c). S = (W - 1)/(W_r - 1), above this at every point, is a check and
   no part of the scale: Guide, ch. 5, section 4.4.2. */
#define FIRN_W_GA_LEAST 1.11807
#define FIRN_W_HG_MOST  0.844235
#define FIRN_W_AG_LEAST 4.2844
#define FIRN_S_LEAST    0.9994

/* ---- Reference functions ----
 *
 * W_r lies within 4e-16 relative + 1e-15 of the exact value of the equation, T90 within 1 nK of its
 * root, and so does the way there and back; the same bits on every processor. Held against 40
 * digits.
 */

/* W_r and slope by ITS-90, equation (9a), 13.8033 K to 273.16 K, and (10a), 273.15 K to 1234.93 K.
 */
enum firn_status firn_scale_wr_below(double t90_K, double *ret_wr, double *ret_dwr_per_K);
enum firn_status firn_scale_wr_above(double t90_K, double *ret_wr, double *ret_dwr_per_K);

/*
 * firn_scale_wr, firn_scale_t90 - W_r of T90, and T90 of W_r as the root of the defining equation.
 *
 * At 273.16 K the two equations do not meet, and the standard gives no rule. Ours:
 *   forward   (9a) below 273.16 K, (10a) from there on
 *   inverse   to W_r = 0.99999999000000005, (9a) at 273.16 K, the root of (9a); from
 *             0.99999999534585539, (10a) there, the root of (10a); between the two 273.16 K
 *   from_zero (10a) throughout, from 273.15 K on: for subranges that start at 0 degC
 * So W_r = 1 gives 273.16 K + 1.17 microkelvin.
 *
 * Status: FIRN_OK, FIRN_WARN_EXTRAPOLATED, FIRN_E_DOMAIN (see FIRN_SCALE_MARGIN_K).
 * Between the two equations the slope of (10a) is returned: a measured W_r is never known to within
 * that gap of 1.3 microkelvin, and a slope of zero would deny its uncertainty.
 */
enum firn_status firn_scale_wr(double t90_K, bool from_zero, double *ret_wr, double *ret_dwr_per_K);
enum firn_status firn_scale_t90(double wr, bool from_zero, double *ret_t90_K,
				double *ret_dt90_dwr_K);

/* T90 by the published approximations (9b), to W_r = 0.99999999000000005, and (10b): for
   comparison; up to 0.096 mK and 0.134 mK from the root. Ranges and status as firn_scale_t90. */
enum firn_status firn_scale_t90_approximate(double wr, bool from_zero, double *ret_t90_K);

/* ---- Subranges ---- */

/* In the order of the standard. */
enum firn_subrange_id {
	FIRN_E_H2_H2O,
	FIRN_NE_H2O,
	FIRN_O2_H2O,
	FIRN_AR_H2O,
	FIRN_HG_GA,
	FIRN_H2O_GA,
	FIRN_H2O_IN,
	FIRN_H2O_SN,
	FIRN_H2O_ZN,
	FIRN_H2O_AL,
	FIRN_H2O_AG,
	FIRN_SUBRANGES
};

#define FIRN_MOST_COEFFICIENTS 7

/* What a coefficient multiplies. */
enum firn_term_kind {
	FIRN_TERM_POWER,     /* (W - 1)^power */
	FIRN_TERM_LOGARITHM, /* (ln W)^power */
	FIRN_TERM_PRODUCT,   /* (W - 1) ln W */
	FIRN_TERM_ABOVE_AL, /* (W - W_Al)^2 above W_Al, the thermometer's W at the Al point; 0 below
			     */
};

struct firn_term {
	enum firn_term_kind kind;
	int power;
	const char *formula; /* as firn_formula reads it, of W and W_Al */
};

struct firn_subrange {
	const char *name;    /* "Hg_Ga" */
	const char *section; /* of ITS-90 */
	double low_K, high_K;
	bool from_zero; /* starts at 0 degC: equation (10a) throughout */
	size_t n_coefficients;
	const char *coefficients[FIRN_MOST_COEFFICIENTS]; /* names */
	size_t n_points; /* besides the triple point of water; as many as there are coefficients */
	enum firn_point
	    points[FIRN_MOST_COEFFICIENTS]; /* rising; the one near 17 K before 20.3 K */
	const char *formula;                /* "deltaW = a*(W - 1) + ..." */
	const char *names; /* of the formula's quantities: coefficients, W and, for H2O_Ag, W_Al */
	struct firn_term terms[FIRN_MOST_COEFFICIENTS];
};

/* NULL when there is no such subrange. */
const struct firn_subrange *firn_scale_subrange(enum firn_subrange_id id);

/*
 * Plain numbers, for tables: `c` has the coefficients in the subrange's order, w_al is read for
 * H2O_Ag alone.
 *
 * firn_subrange_deviation   deltaW = W - W_r of W, and its slope. W above 0, to 5.
 * firn_subrange_t90         T90 of W, and dT90/dW at constant coefficients
 * firn_subrange_w           W of T90 (the root of W = W_r + deltaW(W)), and dW/dT90
 *
 * Status: FIRN_OK; FIRN_WARN_EXTRAPOLATED: T90 beyond the subrange, by less than
 * FIRN_SCALE_MARGIN_K (from W: by more than FIRN_SCALE_ROUNDING_K); FIRN_E_DOMAIN; FIRN_E_SINGULAR:
 * the deviation is too large for W to be found from T90.
 */
enum firn_status firn_subrange_deviation(const struct firn_subrange *subrange, const double *c,
					 double w_al, double w, double *ret_deviation,
					 double *ret_slope);
enum firn_status firn_subrange_t90(const struct firn_subrange *subrange, const double *c,
				   double w_al, double w, double *ret_t90_K, double *ret_dt90_dw_K);
enum firn_status firn_subrange_w(const struct firn_subrange *subrange, const double *c, double w_al,
				 double t90_K, double *ret_w, double *ret_dw_per_K);

/*
 * firn_subrange_u - standard uncertainty of T90 from that of the coefficients, W taken as exact:
 * what a calibration alone contributes.
 *
 * Given:
 *   c, w_al       as above
 *   covariance    of the coefficients in the subrange's order, row by row; for H2O_Ag with W_Al as
 *                 a fifth quantity behind d
 *   w             above 0, to 5
 * Returned:
 *   ret_u_K       0 or more
 * Status: as firn_subrange_t90; and FIRN_E_SINGULAR when the variance is below zero, or 16 digits
 * of the covariance leave it fewer than two: the sum cancels by orders of magnitude where
 * coefficients are strongly correlated.
 *
 * At constant W: dT90/dc_k = -phi_k(W)/(dW_r/dT90), with phi_k what c_k multiplies; dT90/dW_Al =
 * 2 d (W - W_Al)/(dW_r/dT90) above W_Al. u^2 is the sum over both indices (JCGM 100:2008, equation
 * (13)). Source of the sensitivities: differentiation of W_r = W - deltaW; CCT Guide, ch. 5 (2018),
 * section 6.
 * Accuracy against the tape's u, the covariance given to 17 digits: 1e-8 relative, 1e-4 for
 * e-H2_H2O.
 */
enum firn_status firn_subrange_u(const struct firn_subrange *subrange, const double *c, double w_al,
				 const double *covariance, double w, double *ret_u_K);

/* Both at once, for little more than T90 alone: the same bits as firn_subrange_t90 and
   firn_subrange_u return. *ret_u_K is NaN where the latter refuses. Status: as firn_subrange_t90.
 */
enum firn_status firn_subrange_t90_u(const struct firn_subrange *subrange, const double *c,
				     double w_al, const double *covariance, double w,
				     double *ret_t90_K, double *ret_u_K);

/* ---- On a tape: as above, with failures kept by the tape ---- */

struct firn_node firn_wr_below(struct firn_node t90_K);
struct firn_node firn_wr_above(struct firn_node t90_K);
struct firn_node firn_wr(bool from_zero, struct firn_node t90_K);
struct firn_node firn_t90_of_wr(bool from_zero, struct firn_node wr);
struct firn_node firn_vapour_t90(struct firn_node p_Pa);

/* W_r at a fixed point as a number on the tape, with what rounding to a double took from it
   (firn_refined_values); fails the tape for FIRN_E_H2_VAPOUR. */
struct firn_node firn_wr_at(struct firn_tape *tape, enum firn_point point, bool from_equation);

/* What each coefficient multiplies: n_coefficients nodes. w_al is used for H2O_Ag alone and may be
   empty ({ 0 }) elsewhere; so too below. */
void firn_deviation_terms(const struct firn_subrange *subrange, struct firn_node w,
			  struct firn_node w_al, struct firn_node *ret_terms);

/*
 * firn_deviation_solve - the coefficients from W and W_r at the fixed points.
 *
 * Given:
 *   n, w, wr      n_points of them in the subrange's order: the scale's exact solution. Further
 * ones are redundant points: least squares with equal weights, which is not the ITS-90
 *                 interpolation.
 * Returned:
 *   ret_c         n_coefficients nodes
 *   ret_w_al      H2O_Ag: the W at the aluminium point, for firn_deviation; otherwise empty
 * Status: FIRN_E_SINGULAR when n is below n_points or above FIRN_POINTS; or the tape's own failure,
 * FIRN_E_SINGULAR where points coincide.
 *
 * H2O_Ag: a, b, c come from Sn, Zn, Al (and redundant points, which must lie below) and are kept; d
 * comes from Ag: ITS-90, section 3.3.2.
 *
 * Accuracy, W taken as the doubles they are: 1e-9 relative, 1e-8 for e-H2_H2O, or the last digits
 * of W (1.1e-16) over the coefficient's term, whichever is more.
 */
enum firn_status firn_deviation_solve(const struct firn_subrange *subrange, size_t n,
				      const struct firn_node *w, const struct firn_node *wr,
				      struct firn_node *ret_c, struct firn_node *ret_w_al);

/* deltaW of W; and W_r = W - deltaW, with deltaW recorded before or along with it. */
struct firn_node firn_deviation(const struct firn_subrange *subrange, const struct firn_node *c,
				struct firn_node w, struct firn_node w_al);
struct firn_node firn_wr_by_deviation(struct firn_node w, struct firn_node deviation);
struct firn_node firn_wr_of_w(const struct firn_subrange *subrange, const struct firn_node *c,
			      struct firn_node w, struct firn_node w_al);

/* ---- What is published beside the scale ---- */

/*
 * firn_scale_non_uniqueness - standard uncertainty from non-uniqueness of type 3: thermometers that
 * agree at the fixed points differ between them. Guide, ch. 5, Tables 6 and 7.
 * 24.5561 K to 1234.93 K; from_zero: Table 7 from 273.15 K on, otherwise Table 6 below 273.16 K.
 * FIRN_E_UNKNOWN: nothing is published there.
 */
enum firn_status firn_scale_non_uniqueness(double t90_K, bool from_zero, double *ret_u_K);

/*
 * firn_scale_inconsistency - standard uncertainty from the choice between overlapping subranges.
 *
 * H2O_Zn, H2O_Al: Guide, ch. 5, equation (54), 8.0e-6 |(W - 1)(W - W_Sn)(W - W_Zn)| in W_r, with
 * the thermometer's own W at T90, at Sn and at Zn, to 692.677 K; borrowed for H2O_Ag, as no figure
 * of its own is published. e-H2_H2O, Ne_H2O, O2_H2O, Ar_H2O: equation (55) and Table 5,
 * from 24.5561 K on; a value below 0 (the rounded polynomials reach -0.001 mK) counts as 0;
 * w, w_sn, w_zn are not read. FIRN_E_UNKNOWN: nothing is published for this subrange or
 * temperature.
 */
enum firn_status firn_scale_inconsistency(enum firn_subrange_id id, double t90_K, double w,
					  double w_sn, double w_zn, double *ret_u_K);

/*
 * firn_scale_difference - T - T90 and its standard uncertainty, 4.2 K to 1357.77 K.
 * The published interpolation functions; 0 below 8 K. u: linear in T90 between the published values
 * (ours: the source gives no rule).
 * Source: BIPM, Estimates of the Differences between Thermodynamic Temperature and the ITS-90
 * (2012), equations (1), (2), Table 1. A later revision below 335 K (2022) is not contained.
 */
enum firn_status firn_scale_difference(double t90_K, double *ret_difference_K, double *ret_u_K);

#endif
