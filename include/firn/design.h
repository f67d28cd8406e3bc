/*
 * Orders of measuring that cancel a drift: the difference of two things that are read in turn.
 */
#ifndef FIRN_DESIGN_H
#define FIRN_DESIGN_H

#include "firn/status.h"

#include <stdbool.h>
#include <stddef.h>

#define FIRN_DESIGN_MOST  1000 /* readings; the limits are ours */
#define FIRN_DESIGN_ORDER 3

/*
 * firn_design_weights - w_i so that sum w_i x_i is the mean of B less that of A, whatever
 * polynomial drift up to an order both share.
 *
 * By least squares: x_i = level + drift(t_i) + (difference if i is B). Equally spaced A B B A gives
 * -1/2 1/2 1/2 -1/2, A B A gives -1/2 1 -1/2. What is left of the scatter: u = s sqrt(sum w^2).
 *
 * Given:
 *   n, is_b, t    readings in time order; t finite, never falling, in any unit; n up to
 *                 FIRN_DESIGN_MOST
 *   order         of the drift: 0 (none) to FIRN_DESIGN_ORDER
 * Status: FIRN_OK; FIRN_E_DOMAIN; FIRN_E_SINGULAR: there is no A, no B, or too few readings or
 * times to tell this drift from the difference.
 */
enum firn_status firn_design_weights(size_t n, const bool *is_b, const double *t, size_t order,
				     double *ret_w);

/*
 * firn_design_cancels - highest order of drift that the plain difference of means is free of, 0 to
 * FIRN_DESIGN_ORDER: A B: 0, A B B A: 1, A B B A B A A B: 2. -1: a design that is not valid.
 */
int firn_design_cancels(size_t n, const bool *is_b, const double *t);

#endif
