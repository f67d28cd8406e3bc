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
 * times what was read; cell: it was really warmer by `by` kelvin than what was used. Appends to the
 * report, for each certificate, the largest change of temperature in each subrange's table with its
 * place, and the change of R(TPW) in millikelvin. ret_n: certificates that are touched.
 */
bool service_impact(service_book *book, const struct service_suspicion *suspicion, GString *report,
		    int *ret_n, base_messages *messages);

#endif
