/*
 * Decimal numbers to doubles and back by integer arithmetic, exactly rounded or not at all.
 *
 * A product of a 64-bit integer with the first 128 bits of a power of ten is known but for less
 * than one unit of its own 128 bits. Where no value within that unit rounds otherwise, the rounding
 * is that of the exact value; in the few other cases a function here declines, and the C library,
 * which computes with as many digits as it takes, has the word.
 *
 * Source: D. Lemire, Number parsing at a gigabyte per second, Softw. Pract. Exp. 51 (2021) 1700,
 * for the 128-bit product (citation from memory); the decision by the unit is our own, and does
 * without the paper's proof of which cases can occur.
 */
#ifndef LIB_NUM_DECIMAL_H
#define LIB_NUM_DECIMAL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* The double nearest to digits 10^exponent, ties to even, infinite from 1.797...e308 on. false: not
   decided, and *ret untouched. */
bool num_decimal_nearest(uint64_t digits, int exponent, double *ret);

/*
 * num_decimal_digits - 15, 16 and 17 significant digits of a finite x above 0, each rounded from x
 * itself, ties to even: ret_digits[0] has 15 (10^14 to 10^15 - 1) and is to be multiplied by
 * 10^(ret_exponent[0] - 14), and so on. false: not decided, and the results undefined.
 */
bool num_decimal_digits(double x, uint64_t ret_digits[3], int ret_exponent[3]);

/* |x| 10^places (0 to 19) to the nearest integer, ties to even. false: 2^63 or
   more, or an integer without a fraction to round. */
bool num_decimal_scaled(double x, int places, uint64_t *ret);

#endif
