/*
 * What makes a cell at the middle of the sensor differ from the temperature that the scale defines,
 * effect by effect, each with the place where it acts. Plain numbers, SI units; an effect is the
 * temperature there minus the defined one.
 */
#ifndef LAB_CELL_EFFECTS_H
#define LAB_CELL_EFFECTS_H

#include "app/lab/cell_study.h"

enum lab_cell_place {
	LAB_AT_STEM,   /* above the liquid */
	LAB_AT_WATER,  /* in the liquid */
	LAB_AT_ICE,    /* in the mantle */
	LAB_AT_SENSOR, /* at the middle of the element */
};

struct lab_cell_effect {
	const char *name;  /* of a budget: "head", "isotopes" */
	const char *words; /* for people: "Head of water at the sensor" */
	enum lab_cell_place place;
	struct lab_estimate K;
	char *note; /* a few words on how it is known */
};

struct lab_cell_effects {
	GArray *effects;              /* struct lab_cell_effect, from the top down */
	struct lab_estimate sum_K;    /* correlations included */
	double defined_K;             /* what the scale defines; NaN: an ice bath */
	struct lab_estimate middle_m; /* middle of the element below the surface of the liquid */
	double ice_m;                 /* thickness of the mantle; NaN: none, or not known */
	int64_t ice_at_us;            /* when it was that; BASE_NO_TIME: not said */
	GStringChunk *text;
};
struct lab_cell_effects *lab_cell_effects_new(void);
void lab_cell_effects_free(struct lab_cell_effects *effects);
typedef struct lab_cell_effects lab_cell_effects;
G_DEFINE_AUTOPTR_CLEANUP_FUNC(lab_cell_effects, lab_cell_effects_free)

#endif
