/* A cell's effects at the sensor, for its drawing and for plans. */
#ifndef CALC_CELL_EFFECTS_H
#define CALC_CELL_EFFECTS_H

#include "app/lab/cell_effects.h"

/*
 * calc_cell_effects - head, isotopes, age of the mantle and conduction along the stem, as far as
 * the study states what they need; NULL, with messages, when it lacks something, or the thermometer
 * can't be put there.
 */
lab_cell_effects *calc_cell_effects(const struct lab_cell_study *study, base_messages *messages);

#endif
