/*
 * Least squares by Householder QR, in plain loops.
 *
 * Our own, although GSL has one: Monte Carlo plays the same operations over blocks of trials and
 * must give the recorded value to the bit, which a library's blocking and processor paths do not
 * promise. Matrices row by row; m >= n >= 1.
 */
#ifndef LIB_NUM_QR_H
#define LIB_NUM_QR_H

#include "firn/status.h"

#include <stddef.h>

/*
 * num_qr - factors a (m x n) in place: R above and on the diagonal, the Householder vectors below,
 * with their leading elements in ret_head[n].
 *
 * FIRN_E_SINGULAR when a diagonal element of R is below 1e-14 of its column's norm.
 */
enum firn_status num_qr(size_t m, size_t n, double *a, double *ret_head);

/* x (m) becomes Q' x, or Q x. */
void num_qr_apply_transposed(size_t m, size_t n, const double *qr, const double *head, double *x);
void num_qr_apply(size_t m, size_t n, const double *qr, const double *head, double *x);

/* Solves R x = y, or R' x = y, in place on the first n elements. */
void num_qr_solve(size_t n, const double *qr, double *x);
void num_qr_solve_transposed(size_t n, const double *qr, double *x);

#endif
