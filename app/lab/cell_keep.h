/* How a mantle fares: what `firn cell keep` finds. Plain numbers, SI units. */
#ifndef LAB_CELL_KEEP_H
#define LAB_CELL_KEEP_H

#include "app/lab/cell_study.h"

enum lab_course {
	LAB_MANTLE_MELTS, /* from outside: the surroundings are warmer */
	LAB_MANTLE_GROWS, /* ice grows inwards from the envelope, and across the surface */
	LAB_MANTLE_STAYS, /* the surroundings are at the cell's own temperature */
};
const char *lab_course_name(enum lab_course course); /* "melts" */

/* Thickness of all ice, forecast or looked at; times from the freezing. */
struct lab_mantle_state {
	double time_s, ice_m, low_m, high_m; /* low and high: k = 2; NaN for a look without them */
};

/* An insertion and what it cost. */
struct lab_mantle_cost {
	int64_t time_us;
	struct lab_estimate heat_J, ice_kg;
	double lost_s; /* of life; NaN while it does not melt */
};

struct lab_days {
	double value_s, low_s, high_s; /* k = 2; high infinite where no end is seen */
};

struct lab_cell_keep {
	enum lab_course course;
	struct lab_estimate offset_K; /* of the surroundings above the cell */
	struct lab_estimate power_W;  /* into the cell; negative: out of it */
	double bath_W;                /* of all cells in the bath together */
	double ice_per_day_kg;        /* melted, or grown, at the beginning */
	double
	    growth_most_m; /* in a day, with a wall held at the temperature of the surroundings */
	double growth_day_m, growth_week_m; /* on the envelope's wall; NaN while it melts */

	int64_t at_us;            /* the forecast is of this moment */
	double age_s;             /* of the mantle then */
	int looks_used;           /* with a thickness */
	struct lab_estimate rate; /* of the model, 1 before any look */
	struct lab_mantle_state now;
	bool ends;            /* whether there is an end to forecast */
	struct lab_days left; /* until the mantle is too thin, or bridged through */
	struct lab_days at_warmest, at_coldest; /* in other places of the bath; NaN */
	double least_m;                         /* thickness at which it counts as spent */

	GArray *costs;         /* struct lab_mantle_cost */
	double cost_of_next_s; /* of life, by one more insertion like the last; NaN */

	double age_bound_K, age_u_K; /* reading low by at most; as a standard uncertainty */
	double age_fine_s; /* age from which age_u is within a third of what is wanted; NaN */

	GArray *course_points;   /* struct lab_mantle_state: the forecast, to be drawn */
	GArray *looks;           /* struct lab_mantle_state: what was seen */
	bool needs_action;       /* not in order, or not sure to last as long as wanted */
	GPtrArray *warnings;     /* char * */
	GPtrArray *advice;       /* char *: when to look, to turn, to melt, to make anew */
	GPtrArray *reservations; /* char * */
	GStringChunk *text;
};
struct lab_cell_keep *lab_cell_keep_new(void);
void lab_cell_keep_free(struct lab_cell_keep *keep);
typedef struct lab_cell_keep lab_cell_keep;
G_DEFINE_AUTOPTR_CLEANUP_FUNC(lab_cell_keep, lab_cell_keep_free)

#endif
