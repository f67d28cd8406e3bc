/* What a freezing or melting curve tells: what `firn cell plateau` finds. Plain numbers, SI units.
 */
#ifndef LAB_CELL_PLATEAU_H
#define LAB_CELL_PLATEAU_H

#include "app/lab/cell_check.h"

struct lab_liquidus_fit {
	bool done;
	struct lab_estimate K, slope_K; /* at all liquid; of the form */
	double s_K, r1;                 /* scatter about it, and its lag-1 autocorrelation */
};

struct lab_cell_plateau {
	bool supercooled;
	double nucleation_s, supercooling_K;
	double start_s, peak_K, u_peak_K;
	double end_inflection_s, end_scatter_s, end_power_s; /* NaN: not found */
	double end_s;
	const char *end_by;        /* "inflection" */
	const char *part_by;       /* "time", "heat" */
	double from_part, to_part; /* of the fits, transformed */
	struct lab_liquidus_fit linear, reciprocal;
	struct lab_estimate liquidus_K; /* from the readings' own zero; by what liquidus_by says */
	const char *liquidus_by;
	double rise_or_fall_K;        /* of the linear fit over its range */
	double implied_fraction;      /* of impurities without solubility, from the slope in 1/F */
	struct lab_estimate coupling; /* ratio; NaN: not tested */
	double coupling_lag_s;
	double stability_K, vertical_K; /* half ranges; NaN: not tested */
	GArray *checks;                 /* struct lab_check */
	lab_cell_budget *budget;
	GPtrArray *reservations; /* char * */
	GStringChunk *text;
};
struct lab_cell_plateau *lab_cell_plateau_new(void);
void lab_cell_plateau_free(struct lab_cell_plateau *plateau);
typedef struct lab_cell_plateau lab_cell_plateau;
G_DEFINE_AUTOPTR_CLEANUP_FUNC(lab_cell_plateau, lab_cell_plateau_free)

#endif
