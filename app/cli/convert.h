/* The streams of `firn convert`: values in, temperatures out, whatever is wrong into messages. */
#ifndef CLI_CONVERT_H
#define CLI_CONVERT_H

#include "app/calc/convert.h"
#include "app/cli/cli.h"

enum {
	CONVERT_BLOCK = 4096,  /* values at a time */
	CONVERT_MOST_SAID = 20 /* of places where something is wrong */
};

struct convert {
	struct cli_common common;
	base_messages *messages;

	const struct lab_conversion *calibration;
	const char *subrange; /* NULL: the narrowest that holds a value */
	int quantity;         /* enum lab_quantity; -1: the header of a CSV tells */
	const char *column;   /* of a CSV; NULL: the usual ones of the quantity */
	struct lab_own_tpw own;
	bool exact_digits; /* of a CSV: as many as read back to the same double */

	calc_conversion *conversion;
	size_t refused; /* places that were found wrong, told or only counted */
	double values[CONVERT_BLOCK];
	size_t n;
	GString *out;
};

/* Once the quantity is known: false after messages. */
bool convert_prepare(struct convert *convert);

/* Says what is wrong at a place of stdin: the first times; later ones are counted. */
void convert_say(struct convert *convert, struct base_mark mark, const char *format, ...)
    G_GNUC_PRINTF(3, 4);

/* Says why a value has no answer. `before` stands before it: "value 3: ". */
void convert_refuse(struct convert *convert, struct base_mark mark, const char *before, double x);

/* Whether that would be told; otherwise it is counted, and the place need not be looked for. */
bool convert_tells(struct convert *convert);

/* stdin could not be read: the code of errno. */
void convert_not_read(struct convert *convert, int code);

/* Writes what `out` holds and empties it. false: writing on is of no use, and *ret_status tells
   whether that is a failure. */
bool convert_write(struct convert *convert, int *ret_status);

/* All of stdin to stdout; the exit status of writing. */
int convert_csv(struct convert *convert);
int convert_binary(struct convert *convert);

#endif
