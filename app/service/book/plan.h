/* A calibration before anything is measured. */
#ifndef SERVICE_BOOK_PLAN_H
#define SERVICE_BOOK_PLAN_H

#include "app/service/book/book.h"

struct service_plan {
	const char *calibration, *thermometer;
	const char *order;            /* NULL: none */
	const char *const *subranges; /* "H2O_Al", ...; ends with NULL */
	bool check;                   /* indium as a redundant point */
};

/* Writes the calibration in the state planned, with its steps in the order practice wants, and
   appends them to `to`. An order must hold the thermometer, be open, have its range within the
   subranges, and want no point outside the laboratory's scope and no U below what it states. */
bool service_calibration_plan(service_book *book, const struct service_act *act,
			      const struct service_plan *plan, GString *to,
			      base_messages *messages);

#endif
