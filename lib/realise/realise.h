/* Shared by the files of this folder only. */
#ifndef LIB_REALISE_REALISE_H
#define LIB_REALISE_REALISE_H

#include "firn/tape.h"
#include "lib/realise/constants.h"

#include <stdbool.h>

/* Whether a value lies in a range, both ends included; false for NaN. */
static inline bool is_within(double x, double low, double high)
{
	return x >= low && x <= high;
}

static inline bool is_node_within(struct firn_node x, double low, double high)
{
	return is_within(firn_value(x), low, high);
}

/* Hands over a result unless its tape has failed. */
enum firn_status realise_result(struct firn_node x, struct firn_node *ret);

/* A constant of nature, as an input with its uncertainty or as a number. */
struct firn_node realise_constant(struct firn_tape *tape, const char *name,
				  const struct realisation_constant *constant, bool with_u);

/* An effect known only to lie within +/- bound: an input with that rectangular distribution. */
enum firn_status realise_bounded(struct firn_tape *tape, const char *name, double bound_K,
				 const char *source, struct firn_node *ret_dt_K);

#endif
