/*
 * Numbers as text and back: the one place. A point in every locale, whatever the program has set;
 * safe from any thread.
 */
#ifndef FIRN_NUMBER_H
#define FIRN_NUMBER_H

#include "firn/status.h"

#include <stddef.h>

#define FIRN_NUMBER_SIZE 32 /* bytes that a printed double needs, its end included */

/*
 * firn_number_prefix - the decimal number at the start of a text.
 *
 * Given: text of `length` bytes, not necessarily terminated. Accepted: an optional sign, digits
 * with an optional point, an optional exponent. Not accepted: hexadecimal, inf, nan, leading space.
 * Returned: *ret, correctly rounded (infinite when too large for a double); and the number of bytes
 * read, 0 when no number stands there (*ret is then untouched). At most 400 bytes are read.
 */
size_t firn_number_prefix(const char *text, size_t length, double *ret);

/* The same for a text that is a number from end to end: FIRN_E_DOMAIN when it isn't, or is too
   large for a double. */
enum firn_status firn_number_parse(const char *text, size_t length, double *ret);

/*
 * firn_number_list - up to `most` numbers separated by commas, at the start of a text: many of them
 * for little more than it takes to look at the bytes.
 *
 * Returned: how many finite numbers stand there, each as firn_number_prefix reads it and followed
 * by a comma, the end of a line (CR or LF) or of the text; the numbers; and in *ret_length the
 * bytes up to the end of the last, its comma not counted. Behind the end of a line nothing is read.
 */
size_t firn_number_list(const char *text, size_t length, size_t most, double *ret,
			size_t *ret_length);

/* Writes x with as few digits as read back to the same double (at most 17); "nan", "inf", "-inf"
   for what is no number. Returns the length. */
size_t firn_number_print(double x, char ret[FIRN_NUMBER_SIZE]);

/* Writes x with `places` decimals (0 to 20), rounded once, half to even on the binary value.
   |x| below 1e15. Returns the length. */
size_t firn_number_print_fixed(double x, int places, char *ret, size_t size);

/* Writes finite x of any size with `digits` significant digits (1 to 17) and an exponent of two or
   three digits, "1.38e-23", rounded once, half to even on the binary value. Returns the length. */
size_t firn_number_print_exponent(double x, int digits, char ret[FIRN_NUMBER_SIZE]);

#endif
