/* The steps of `firn cell keep`. */
#ifndef CALC_CELL_KEEP_PARTS_H
#define CALC_CELL_KEEP_PARTS_H

#include "app/calc/cell_prepare_parts.h"
#include "app/lab/cell_keep.h"

#include "firn/heat.h"
#include "firn/keeping.h"

/*
 * A mantle in its surroundings, in plain numbers at the estimates. Its state is the thickness of
 * all ice; `left` is how long it takes from there to the end.
 */
struct cell_course {
	enum lab_course course;
	struct firn_solid ice;
	double r_well_m, r_glass_m, r_cell_m, level_m;
	double k_water_W_per_mK;
	double series_Km_per_W; /* glass and film, for a metre */
	double offset_K, u_offset_K;
	double first_m, u_first_m; /* ice on the well at the beginning */
	double least_m;            /* end of one that melts */
	double u_rate;             /* of all that the heat depends on */
};

/* False when something needed is missing. offset_K: NaN for that of the surroundings stated. */
bool cell_course_build(struct cell_tape *t, const struct cell_ice *ice, lab_cell_keep *keep,
		       struct cell_course *ret);

/* Seconds from a thickness to the end at the estimates; and the thickness that has so many left. */
double cell_course_left(const struct cell_course *c, double ice_m);
double cell_course_ice(const struct cell_course *c, double left_s);
/* Life that melting a mass of ice takes away at a thickness. */
double cell_course_cost(const struct cell_course *c, double ice_m, double mass_kg);
/* Heat into the cell at a thickness, W. */
double cell_course_power(const struct cell_course *c, double ice_m);

/* Every insertion and what it cost. */
bool cell_keep_insertions(struct cell_tape *t, const struct cell_course *c, lab_cell_keep *keep);
/* Life that insertions have cost until then. */
double cell_keep_lost_until(const lab_cell_keep *keep, int64_t time_us);

/* When to look, to turn, to melt, to make anew; and what is wrong already. */
void cell_keep_advise(const struct lab_cell_study *study, const struct cell_course *c,
		      lab_cell_keep *keep);
void cell_keep_say(GPtrArray *to, lab_cell_keep *keep, const char *format, ...) G_GNUC_PRINTF(3, 4);

#endif
