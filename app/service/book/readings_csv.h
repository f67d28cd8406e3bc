/* Readings of the book as lines of a CSV file, as a job reads them. */
#ifndef SERVICE_BOOK_READINGS_CSV_H
#define SERVICE_BOOK_READINGS_CSV_H

#include "app/service/book/book.h"

#define SERVICE_READINGS_HEADER "time,visit,current_mA,ratio,resistance_ohm,bath_C,flag\n"

/* Appends all readings of a visit under the name that the job has for it. Those of an exclusion get
   "set aside: " and its reason as flag. */
bool service_readings_csv(service_book *book, const char *visit, const char *name,
			  const json_t *exclusions, GString *to, base_messages *messages);

#endif
