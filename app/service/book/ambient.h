/* The conditions that a calibration's ambient records note, together. */
#ifndef SERVICE_BOOK_AMBIENT_H
#define SERVICE_BOOK_AMBIENT_H

#include "app/service/book/book.h"

struct service_ambient {
	int n;                     /* of records; 0: there are none */
	int64_t from_us, until_us; /* first and last of them; BASE_NO_TIME: none */
	double low_C, high_C;      /* of the air; NaN: not noted, here and below */
	double low_percent, high_percent, low_Pa, high_Pa;
};
struct service_ambient service_ambient_of(service_book *book, const json_t *calibration);

/* "19.7 °C to 20.6 °C, 38 % to 47 % relative humidity, 99.1 kPa to 101.0 kPa"; NULL where nothing
   is noted. Release with g_free. */
char *service_ambient_in_words(const struct service_ambient *ambient);

#endif
