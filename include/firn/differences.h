/*
 * A computation that no tape can record (a grid, an integration), as quantities on a tape.
 */
#ifndef FIRN_DIFFERENCES_H
#define FIRN_DIFFERENCES_H

#include "firn/tape.h"

/* y[m] from x[n], as plain numbers; nothing but a status less than 0 on failure. */
typedef enum firn_status firn_plain_model(void *context, const double *x, double *ret_y);

/*
 * firn_by_differences - the results of a plain model as nodes: its value at the estimates plus a
 * linear law in x, with sensitivities by central differences over +/- step.
 *
 * Given:
 *   n, x      quantities of one tape
 *   names     n, what explanations call them
 *   m         results
 * Returned (untouched when the status is negative):
 *   ret_y       m nodes
 *   ret_bend    m numbers: how far each result departs from the linear law when every x is moved by
 *               its u on its own, root sum of squares: beside u(y) it tells whether the law will
 *               do. NULL is accepted.
 * Status: FIRN_E_DOMAIN (n or m is 0, a value is not finite), the model's own, the tape's own.
 *
 * The step of each is its u; where u is 0 it takes no part. The model runs 2 n + 1 times. Its own
 * numerical error must be small beside what a step changes, and smooth: same grid, same steps.
 * Source of the method: JCGM 100:2008, 5.1.3, note 2.
 */
enum firn_status firn_by_differences(size_t n, const struct firn_node *x, const char *const *names,
				     size_t m, firn_plain_model *model, void *context,
				     struct firn_node *ret_y, double *ret_bend);

#endif
