/* The steps of a plan. */
#ifndef CALC_PLAN_PARTS_H
#define CALC_PLAN_PARTS_H

#include "app/calc/cell_effects_parts.h"
#include "app/calc/plan.h"
#include "app/lab/cell_fit.h"

enum { PLAN_MOST_CAUSES = 40 };

/* One thing that may be changed; what is not changed is 1, or NaN. */
struct plan_change {
	const char *what;   /* NULL: as planned */
	double readings;    /* times as many */
	double linearity;   /* of the bridge, times as uncertain */
	double age_d;       /* of the mantle */
	bool analysed;      /* the water's isotopes */
	const char *halved; /* a term that becomes half as large */
};
#define PLAN_NO_CHANGE                                                                             \
	(struct plan_change)                                                                       \
	{                                                                                          \
		.readings = 1.0, .linearity = 1.0, .age_d = LAB_NOT_GIVEN                          \
	}

struct plan_cause {
	const char *name;
	double u_K;
};

/* The budget of one realisation. */
struct plan_budget {
	struct lab_estimate K;
	double depth_m;
	struct plan_cause causes[PLAN_MOST_CAUSES];
	size_t n;
	bool analysed; /* isotopes are known, or play no part */
};

/* heating_K: at both currents, NaN: not known. False, with messages (or without any, where they are
   NULL), when it can't be computed. */
bool plan_budget(const lab_plan *plan, const struct lab_plan_realisation *r,
		 const double heating_K[2], const struct plan_change *change,
		 base_messages *messages, GStringChunk *text, struct plan_budget *ret);

/* What would make it better, the best first; conduction by what the fit tries. */
void plan_options(const lab_plan *plan, const struct lab_plan_realisation *r,
		  const double heating_K[2], const struct plan_budget *as_planned,
		  const struct lab_cell_fit *fit, GStringChunk *text, GArray *ret);

#endif
