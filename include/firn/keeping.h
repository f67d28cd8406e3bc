/*
 * How long a mantle lasts, learnt from looks at it.
 *
 * Its state is told as time that is left: how long it would take to its end if heat came as the
 * model of the surroundings says. That falls evenly with time, whatever the geometry, at a rate
 * that is 1 when the model is right. What a thermometer melts takes a piece of it away. Both the
 * state at the beginning and the rate are known beforehand within their u; every look narrows them.
 */
#ifndef FIRN_KEEPING_H
#define FIRN_KEEPING_H

#include "firn/tape.h"

#include <stddef.h>

/* A look after time_s: left_s follows from the thickness seen, u_s from how well it was seen; what
   insertions had cost until then is lost_s. */
struct firn_keeping_look {
	double time_s, left_s, u_s, lost_s;
};

/* Known before any look: left_s at the beginning with its u; u of the rate about 1. */
struct firn_keeping_prior {
	double left_s, u_left_s, u_rate;
};

/*
 * firn_keeping_fit - time left at the beginning, and rate, by weighted least squares of the prior
 * and all looks (JCGM 100:2008 has the law; the model is ours).
 *
 * Given: prior with both u above 0; n looks, u_s above 0, times from 0 on.
 * Returned (untouched when the status is negative): two correlated nodes.
 * Status: FIRN_OK; FIRN_E_DOMAIN; the tape's own.
 */
enum firn_status firn_keeping_fit(struct firn_tape *tape, const struct firn_keeping_prior *prior,
				  size_t n, const struct firn_keeping_look *looks,
				  struct firn_node *ret_left_s, struct firn_node *ret_rate);

struct firn_keeping_forecast {
	double value_s, u_s; /* from the time asked for; u by the linear law */
	double low_s,
	    high_s; /* where the end is no longer k u away; high INFINITY: there is none */
};

/*
 * firn_keeping_forecast - time from time_s to the end.
 *
 * left = left_s - rate time_s - lost_s falls to 0 after left/rate. The interval is that of Fieller
 * for a quotient: |left - rate T| = k u(left - rate T). Negative: the end has passed.
 *
 * Given: both nodes of the fit; k above 0.
 * Status: FIRN_E_DOMAIN also when the rate is not above 0; the tape's own.
 * Source: E. C. Fieller, J. R. Statist. Soc. B 16 (1954) 175 (from memory).
 */
enum firn_status firn_keeping_forecast(struct firn_node left_s, struct firn_node rate,
				       double time_s, double lost_s, double k,
				       struct firn_keeping_forecast *ret);

#endif
