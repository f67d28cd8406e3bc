/* A cell's effects at the sensor, as text and as JSON; its drawing is report_cell_drawing(). */
#ifndef REPORT_CELL_EFFECTS_H
#define REPORT_CELL_EFFECTS_H

#include "app/lab/cell_effects.h"

/* What no geometry tells. */
#define REPORT_CELL_EFFECTS_LEFT_OUT                                                               \
	"Not in it: impurities and gas, own heating (two currents take it off), light."

void report_cell_effects_text(const lab_cell_effects *effects, GString *to);
void report_cell_effects_json(const lab_cell_effects *effects, GString *to);

/* "183.2 µK colder, u 3.7 µK". Release with g_free. */
char *report_cell_effect_size(const struct lab_estimate *K);

#endif
