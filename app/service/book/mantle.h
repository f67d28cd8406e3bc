/* The mantle that a cell has by the book: its realisation, what was seen of it, who went in. */
#ifndef SERVICE_BOOK_MANTLE_H
#define SERVICE_BOOK_MANTLE_H

#include "app/lab/cell_study.h"

#include "app/base/messages.h"

/*
 * service_cell_mantle - fills the mantle of a study from the book at `where`.
 *
 * The study's cell has the id of the book's; it has no mantle of its own. The latest realisation of
 * that cell that has not ended gives way and time; its inspections the looks; visits to it the
 * insertions, at wanted.from_C, or the ambient temperature, where there is a thermometer to tell
 * the heat of (a reservation when they can't be counted). The first thickness is
 * preparation.ice_mm, else that of the first inspection, known to 3 mm. The forecast is of now, in
 * a book of simulated work of the last entry. False with messages when the book can't be read or
 * has no such realisation.
 */
bool service_cell_mantle(const char *where, struct lab_cell_study *study, base_messages *messages);

#endif
