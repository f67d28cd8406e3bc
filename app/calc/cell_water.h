/* What the water of a cell and the age of its ice do, for every budget that has them. */
#ifndef CALC_CELL_WATER_H
#define CALC_CELL_WATER_H

#include "app/calc/cell_tape.h"

#include "firn/status.h"

/* Isotopes as analysed, or as such cells are where they never were; of a water cell. *ret_analysed:
   which of both. Statuses as in firn/correction.h. */
enum firn_status cell_water_isotopes(struct cell_tape *t, struct firn_node *ret_dt_K,
				     bool *ret_analysed);

/* Days from the freezing to the moment that is asked for; NaN where one of them isn't said. */
double cell_water_age_d(const struct lab_mantle *mantle);

/* The term for the strain of ice of that age, by how it was frozen: a heat pipe freezes slowly, of
   the other ways the faster curve holds (firn/mantle.h). */
enum firn_status cell_water_age(struct cell_tape *t, double age_d, struct firn_node *ret_dt_K);

#endif
