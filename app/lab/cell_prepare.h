/* What it takes to freeze a mantle: what `firn cell prepare` finds. Plain numbers, SI units. */
#ifndef LAB_CELL_PREPARE_H
#define LAB_CELL_PREPARE_H

#include "app/lab/caution.h"
#include "app/lab/cell_study.h"

enum lab_contact {
	LAB_CONTACT_NOT_KNOWN, /* only the least time, with a perfect contact */
	LAB_CONTACT_STATED,
	LAB_CONTACT_FITTED, /* to the laboratory's own record */
};

/* Ice on the well after so long. */
struct lab_ice_step {
	double ice_m;
	struct lab_estimate time_s; /* with the contact; NaN where it is not known */
	double least_s;             /* with a perfect one */
	double recorded_s;          /* NaN: not in the record */
};

struct lab_cell_prepare {
	enum lab_freezing way;
	const struct lab_caution **cautions; /* to be shown before anything else; NULL ends them */
	const char *practice; /* how long it takes elsewhere, with its source; NULL: not said */
	double coolant_C;

	/* growth on the well; NaN for supercooling */
	enum lab_contact contact;
	struct lab_estimate contact_W_per_m2K;
	GArray *steps; /* struct lab_ice_step; the last but one is what is wanted */
	struct lab_estimate
	    time_s;           /* to the thickness wanted; the least where contact is unknown */
	double speed_m_per_s; /* of the front, on average */
	double through_s;     /* until it is frozen to the envelope; NaN: not known */
	double clearance_m;   /* between mantle and envelope, at the end; NaN */

	/* supercooling; NaN otherwise */
	struct lab_estimate fraction;  /* frozen at once, with the glass */
	double fraction_without_glass; /* by the enthalpies of the IAPWS */
	double even_m;                 /* the same ice as a mantle on the well would be so thick */

	struct lab_estimate ice_kg;
	double water_kg, glass_kg;      /* of the cell; glass NaN: not stated */
	double rise_m;                  /* of the surface, by the ice */
	struct lab_estimate heat_J;     /* to be taken away */
	double dry_ice_kg, nitrogen_kg; /* at least, if all of the cold is used; NaN: not the way */
	double rods;                    /* at least; NaN */
	double power_W;                 /* on average; NaN */

	double melt_m; /* inner melt: film wanted */
	struct lab_estimate melt_J;
	double melt_s; /* with a rod at room temperature in the well */

	GPtrArray *warnings;     /* char *: what endangers cell or mantle */
	GPtrArray *reservations; /* char * */
	GStringChunk *text;
};
struct lab_cell_prepare *lab_cell_prepare_new(void);
void lab_cell_prepare_free(struct lab_cell_prepare *prepare);
typedef struct lab_cell_prepare lab_cell_prepare;
G_DEFINE_AUTOPTR_CLEANUP_FUNC(lab_cell_prepare, lab_cell_prepare_free)

#endif
