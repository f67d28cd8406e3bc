/* The effects of a cell on a tape that also holds other things. */
#ifndef CALC_CELL_EFFECTS_PARTS_H
#define CALC_CELL_EFFECTS_PARTS_H

#include "app/calc/cell_stem.h"
#include "app/lab/cell_effects.h"

enum { CELL_EFFECTS_MOST = 4 };

struct cell_effect_node {
	struct lab_cell_effect told; /* all but K */
	struct firn_node K;
};

struct cell_effects_nodes {
	struct cell_effect_node each[CELL_EFFECTS_MOST];
	size_t n;
	struct firn_node sum_K, middle_m;
};

/* Records them; texts go to `text`. age_d NaN: that of the study's mantle; NaN too: no term. False,
   with messages, when the study lacks something. */
bool cell_effects_record(struct cell_tape *t, const struct cell_stem *s, double age_d,
			 GStringChunk *text, struct cell_effects_nodes *ret);

#endif
