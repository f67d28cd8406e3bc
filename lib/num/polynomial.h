/* Polynomials evaluated with the error of each step carried along. */
#ifndef LIB_NUM_POLYNOMIAL_H
#define LIB_NUM_POLYNOMIAL_H

#include <stddef.h>

/*
 * num_polynomial - c[0] + c[1] x + ... + c[n-1] x^(n-1), and its derivative.
 *
 * Given: n >= 1 coefficients. Not finite in, not finite or NaN out.
 * Returned:
 *   *ret_value        rounded once, but for 4 n^2 1.2e-32 times the sum of |c[i] x^i|
 *   *ret_derivative   by Horner's rule alone: within 4 n 1.1e-16 of the sum of |i c[i] x^(i-1)|
 *
 * Source: Horner's rule with error-free transformations of sum (Knuth) and product (fma); the bound
 * is that of Graillat, Langlois and Louvet for compensated evaluation (from memory, tested).
 * fma() is exact by the C standard, so the bits are the same on every processor.
 */
void num_polynomial(const double *c, size_t n, double x, double *ret_value, double *ret_derivative);

#endif
