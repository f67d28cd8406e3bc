/*
 * One value from several laboratories, cells or days, and whether they agree. Plain numbers; every
 * x and u in one unit.
 *
 * All functions: FIRN_OK; FIRN_E_DOMAIN when a number is not finite, a u is not above 0 where it is
 * used, or there are fewer values than said (the result is untouched); FIRN_E_MEMORY where said.
 */
#ifndef FIRN_CONSENSUS_H
#define FIRN_CONSENSUS_H

#include "firn/status.h"

#include <stdbool.h>
#include <stddef.h>

struct firn_stated {
	double x, u; /* a value and its standard uncertainty */
};

struct firn_consensus {
	double x, u; /* the consensus and its standard uncertainty */
	double
	    tau; /* standard deviation between the values beyond their u; 0 where not estimated */
};

/*
 * What a set of values says about the uncertainties stated with it. Source of the test: Cox,
 * Metrologia 39 (2002) 589-595, procedure A (from memory).
 */
struct firn_consistency {
	double chi2, dof;   /* sum of (x - weighted mean)^2/u^2; n - 1 */
	double p;           /* chance of a chi2 at least as large when every u is right */
	double limit;       /* 95 % point of chi-squared with dof degrees of freedom */
	double birge;       /* sqrt(chi2/dof): by so much every u would have to grow */
	bool is_consistent; /* chi2 at most the limit */
};

/* 1/u^2 as weights, u = (sum 1/u^2)^(-1/2); n from 1. For independent values. */
enum firn_status firn_weighted_mean(size_t n, const struct firn_stated *values,
				    struct firn_consensus *ret);

/* Against the weighted mean; n from 2. */
enum firn_status firn_consistency(size_t n, const struct firn_stated *values,
				  struct firn_consistency *ret);

/* Tail of the chi-squared distribution above x, and its 95 % point; NaN for dof below 1 or x below
   0. */
double firn_chi_squared_p(double x, double dof);
double firn_chi_squared_limit(double dof);

/* Arithmetic mean; u = s/sqrt(n), *ret_s the standard deviation of the values; n from 2. The
   stated u do not enter. */
enum firn_status firn_arithmetic_mean(size_t n, const struct firn_stated *values,
				      struct firn_consensus *ret, double *ret_s);

/*
 * Median; u = 1.858 MAD/sqrt(n - 1), MAD the median of |x - median|, for normal values; n from 2.
 * Robust: a few wild values hardly move it. FIRN_E_MEMORY.
 * Source: Mueller, J. Res. NIST 105 (2000) 551-555 (from memory).
 */
enum firn_status firn_median(size_t n, const struct firn_stated *values,
			     struct firn_consensus *ret);

/*
 * Random effects: the values scatter by tau beyond their u, and the weights are 1/(u^2 + tau^2).
 *
 * DerSimonian-Laird: tau^2 from chi2, tau^2 = (chi2 - (n - 1))/(W1 - W2/W1), W1 = sum 1/u^2, W2 =
 * sum 1/u^4, 0 where that is negative. Mandel-Paule: the tau^2 at which the weighted sum of squares
 * is n - 1, 0 where none is; the root to 1e-14 relative. n from 2.
 *
 * Source: DerSimonian & Laird, Control. Clin. Trials 7 (1986) 177-188; Mandel & Paule, Anal. Chem.
 * 42 (1970) 1194-1197 (both from memory; held against published figures in the tests).
 */
enum firn_status firn_dersimonian_laird(size_t n, const struct firn_stated *values,
					struct firn_consensus *ret);
enum firn_status firn_mandel_paule(size_t n, const struct firn_stated *values,
				   struct firn_consensus *ret);

/*
 * Degree of equivalence: D = x - reference; u^2(D) = u^2(x) - u^2(reference) for a value that took
 * part in a weighted mean, u^2(x) + u^2(reference) for any other. FIRN_E_DOMAIN also where a value
 * said to have taken part has a smaller u than the mean. Source: Cox (2002), as above.
 */
enum firn_status firn_equivalence(const struct firn_stated *value,
				  const struct firn_consensus *reference, bool took_part,
				  struct firn_stated *ret_d);

/* Of two independent values: a - b. */
enum firn_status firn_pair_equivalence(const struct firn_stated *a, const struct firn_stated *b,
				       struct firn_stated *ret_d);

/* E_n = (a - b)/sqrt(U_a^2 + U_b^2) with expanded uncertainties (k = 2 or 95 %); |E_n| up to 1:
   they agree. Source: ISO 13528:2022 and ISO/IEC 17043 (from memory). */
enum firn_status firn_e_n(double a, double U_a, double b, double U_b, double *ret);

#endif
