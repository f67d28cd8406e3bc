/* What is wrong with a text that should be a number: shared by YAML and CSV. */
#ifndef FILE_NUMBER_H
#define FILE_NUMBER_H

#include <stdbool.h>

/*
 * file_number_fault - what would be right, for a text that firn_number_parse() refuses: "decimals
 * have a point: 0.265". Decimal commas, separators of thousands, units, uncertainties, infinities,
 * "not a number", minus signs of typography, exponents of other languages. Release with g_free.
 */
char *file_number_fault(const char *text);

/* nan, n/a, null, - and the like, with a sign or without, in any case; and nothing at all. */
bool file_number_is_nothing(const char *text);

/* inf, .inf, infinity, infinite, with a sign or without, in any case. */
bool file_number_is_infinite(const char *text);

#endif
