/* What was noted of a thermometer before it was calibrated: how it came, and its heat treatments.
 */
#ifndef SERVICE_BOOK_PAST_H
#define SERVICE_BOOK_PAST_H

#include "app/service/book/book.h"

struct service_treatment {
	int64_t begun_us;
	double change_mK; /* of R(TPW), as a temperature */
	json_t *body;
};

struct service_past {
	json_t *receipt; /* the latest before the time; NULL: there is none */
	char *receipt_id;
	int64_t received_us;
	double last_ohm; /* R(TPW) before: as the receipt states it, or else of the last certificate
			    that this book issued before; NaN: neither */
	char
	    *last_certificate; /* of this book, where last_ohm comes from it; NULL: the receipt's */
	GArray *treatments;    /* struct service_treatment since then, by time */
};

/* False with messages when the book can't be read. Release with service_past_clear in any case. */
bool service_past_of(service_book *book, const char *thermometer, int64_t before_us,
		     struct service_past *ret, base_messages *messages);
void service_past_clear(struct service_past *past);

#endif
