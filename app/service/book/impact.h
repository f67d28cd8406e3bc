/* What a thing found wrong means for the certificates that rest on it. */
#ifndef SERVICE_BOOK_IMPACT_H
#define SERVICE_BOOK_IMPACT_H

#include "app/service/book/book.h"

struct service_suspicion {
	const char *kind, *id; /* "resistor", "bridge" or "cell" */
	double by;             /* resistor, bridge: relative; cell: kelvin */
	const char *from; /* date: only calibrations with readings from that day on; NULL: all */
};

/*
 * service_impact - each issued certificate that rests on the thing, computed again as if the thing
 * had been right.
 *
 * resistor: its value was really (1 + by) times what was used; bridge: ratios were really (1 + by)
 * times what was read; cell: it was really warmer by `by` kelvin than what was used.
 * Returned: an array with an object for each certificate that rests on the thing:
 *   certificate, state
 *   temperatures  of each subrange: subrange, change_K (the largest in its table), t90_K (where),
 *                 u_K (standard uncertainty there, of the calibration alone)
 *   r_tpw         change_K, u_K; null where none was measured
 * NULL with messages where the book can't be read, or a certificate in it can't be computed.
 */
json_t *service_impact(service_book *book, const struct service_suspicion *suspicion,
		       base_messages *messages);

#endif
