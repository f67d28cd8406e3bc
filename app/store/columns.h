/*
 * Columns of numbers in few bytes: what the forms of blocks and their summaries are made of.
 * Numbers of variable length: seven bits a byte, lowest first, the eighth bit says that another
 * byte follows; signed ones with the sign in the lowest bit. Words have the lowest byte first.
 */
#ifndef STORE_COLUMNS_H
#define STORE_COLUMNS_H

#include <glib.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* What is being read: past the end everything is 0 and is_short is set. */
struct column_reader {
	const uint8_t *at, *end;
	bool is_short;
};

void column_put_byte(GByteArray *to, uint8_t byte);
void column_put_number(GByteArray *to, uint64_t x);
uint8_t column_get_byte(struct column_reader *r);
uint64_t column_get_number(struct column_reader *r);
uint64_t column_get_word(struct column_reader *r);

/*
 * Times in microseconds, BASE_NO_TIME where none is given.
 * A byte: 0 none is given, 1 all are: signed differences of their differences; 2 mixed: words.
 */
void column_put_times(GByteArray *to, const int64_t *time_us, size_t n);
void column_get_times(struct column_reader *r, int64_t *ret_us, size_t n);

/*
 * Doubles, each with its bits; NaN where none is given.
 * A byte: 0 none is given; 1 decimals: a byte e, then signed differences of whole numbers m, the
 * double is m / 10^e; 2: words.
 */
void column_put_doubles(GByteArray *to, const double *x, size_t n);
void column_get_doubles(struct column_reader *r, double *ret, size_t n);

/* The same as words and nothing else. */
void column_put_words(GByteArray *to, const double *x, size_t n);
void column_get_words(struct column_reader *r, double *ret, size_t n);

/* The bits of a double. */
uint64_t column_bits(double x);

#endif
