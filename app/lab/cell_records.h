/*
 * What was recorded of a cell at the bench: its checks, an immersion profile, a plateau. Sections
 * of `kind: cell`, as a person states them; nothing is computed here. SI units.
 */
#ifndef LAB_CELL_RECORDS_H
#define LAB_CELL_RECORDS_H

#include "app/lab/cell_study.h"

/* ---- check ---- */

/* The gas of a cell swept into one bubble. */
struct lab_bubble {
	bool given;
	struct base_mark mark;
	struct lab_quantity headspace_m3, diameter_m, plug_m3, head_m;
	struct lab_quantity water_C;
	struct lab_quantity accepted_m; /* the laboratory's own limit of the diameter */
};

/* Readings with the first inner film, and after the cell was inverted: kelvin from any value. */
struct lab_inversion {
	bool given;
	struct base_mark mark;
	struct lab_quantity before_K, after_K;
	int first_film; /* 1, 0; -1: not said */
};

enum lab_click { LAB_CLICK_NOT_SAID, LAB_CLICK_CLEAR, LAB_CLICK_DULL };
enum lab_judged_impurities { LAB_NOT_JUDGED, LAB_JUDGED_RECENT, LAB_JUDGED_OLD };
enum lab_freeze_time { LAB_FREEZE_NOT_SAID, LAB_FREEZE_HOURS, LAB_FREEZE_DAYS };

/* A foreign element of an analysis. */
struct lab_foreign {
	char *name;
	struct lab_quantity x;       /* mole fraction */
	struct lab_quantity k;       /* distribution coefficient; not stated: 0 */
	struct lab_quantity slope_K; /* liquidus slope; not stated: from k */
	struct base_mark mark;
};

/* What a sample is known to hold. */
struct lab_content {
	bool given;
	struct base_mark mark;
	enum lab_judged_impurities judged;
	struct lab_quantity total; /* mole fraction of all that is not in the list */
	GArray *foreign;           /* struct lab_foreign */
	double q;                  /* relative uncertainty of u; NaN: not said */
};

/* A term that only the person knows. */
struct lab_stated_term {
	char *name, *source;
	struct lab_quantity K;
	struct base_mark mark;
};

struct lab_cell_checks {
	bool given;
	struct base_mark mark;
	struct lab_bubble bubble;
	struct lab_inversion inversion;
	enum lab_click click;
	int free, drops, bridge; /* 1, 0; -1: not looked at */
	enum lab_freeze_time freeze;
	struct lab_content content;
	struct lab_quantity years;            /* since it was last compared, or made */
	struct lab_quantity drift_K_per_year; /* of the laboratory's own record */
	struct lab_quantity depth_m;          /* middle of the element below the surface */
	GArray *terms;                        /* struct lab_stated_term */
};

/* ---- profile ---- */

/* One height: a zero-current reading in kelvin from any value, or resistances at both currents. */
struct lab_profile_reading {
	struct base_mark mark;
	double height_m;
	struct lab_quantity K;
	double ohm[2]; /* NaN: not stated */
};

struct lab_profile {
	bool given;
	struct base_mark mark;
	int inserting; /* 1, 0; -1: not said */
	struct lab_quantity zone_m, limit_K;
	char *limit_source;
	struct lab_quantity decay_m;     /* known beforehand, with u */
	double u_K, u_ohm;               /* of one reading, not shared with the others */
	double r_tpw_ohm, currents_A[2]; /* of readings in ohm; else those of the thermometer */
	GArray *readings;                /* struct lab_profile_reading */
};

/* ---- plateau ---- */

enum lab_plateau_way { LAB_PLATEAU_NOT_SAID, LAB_PLATEAU_FREEZE, LAB_PLATEAU_MELT };
enum lab_plateau_end {
	LAB_END_NOT_SAID,
	LAB_END_INFLECTION,
	LAB_END_SCATTER,
	LAB_END_POWER,
	LAB_END_STATED
};

enum { LAB_ROW_TIME, LAB_ROW_K, LAB_ROW_POWER, LAB_PLATEAU_COLUMNS };
enum { LAB_SWING_TIME, LAB_SWING_CELL, LAB_SWING_FURNACE, LAB_SWING_COLUMNS };

/* A furnace whose set point was made to oscillate while the cell was on its plateau. */
struct lab_coupling {
	bool given;
	struct base_mark mark;
	struct lab_quantity period_s, furnace_K; /* furnace_K: its usual offset from the plateau */
	GArray *rows;                            /* double, LAB_SWING_COLUMNS a row: s, K, K */
};

struct lab_plateau {
	bool given;
	struct base_mark mark;
	enum lab_plateau_way way;
	GArray *rows; /* double, LAB_PLATEAU_COLUMNS a row: s, K, W; W NaN: not recorded */
	struct lab_quantity window_s, rise_K;
	enum lab_plateau_end end;
	struct lab_quantity start_s, end_s; /* stated; else found */
	struct lab_quantity at_once;        /* part that nucleation froze */
	struct lab_quantity heat_J;         /* of the whole sample: the part is taken by heat */
	double from_part, to_part;          /* of the fit, in parts transformed; NaN: usual */
	bool slope_term; /* what the solid takes little of: by the slope in 1/F */
	char *inner;     /* how the inner interface was made; NULL: not said */
	struct lab_content content;
	struct lab_quantity pressure_Pa, depth_m;
	struct lab_quantity load_W, resistance_K_per_W; /* static error of a gas point */
	struct lab_coupling coupling;
	GArray *stability_K, *vertical_K; /* double: furnace tests */
	GArray *terms;                    /* struct lab_stated_term */
};

struct lab_cell_records {
	struct lab_cell_checks checks;
	struct lab_profile profile;
	struct lab_plateau plateau;
};
struct lab_cell_records *lab_cell_records_new(void);
void lab_cell_records_free(struct lab_cell_records *records);

#endif
