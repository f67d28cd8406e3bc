/*
 * A cell, the thermometer that is to go into it and how its mantle is made and kept: `kind: cell`.
 *
 * Geometry, materials and a history, as a person states them; nothing is computed here. Lengths in
 * metres, times in microseconds UTC, temperatures in degrees Celsius where the name says t_C.
 */
#ifndef LAB_CELL_STUDY_H
#define LAB_CELL_STUDY_H

#include "app/base/messages.h"
#include "app/lab/calibration.h"
#include "app/lab/value.h"

#include <glib.h>
#include <stdint.h>

/* A stated value and its standard uncertainty, both in the unit of the member's name. */
struct lab_quantity {
	double value, u; /* NaN: not stated; u NaN beside a value: taken as exact */
	struct base_mark mark;
};

static inline bool lab_stated(const struct lab_quantity *q)
{
	return lab_given(q->value);
}

/* What things are made of, by the names that files use; with _ for blanks they are those of
   firn/material.h. NULL at the end of each list. */
extern const char *const lab_solid_materials[]; /* sheaths, wells, bushings, envelopes, leads */
extern const char *const lab_well_fluids[];     /* what fills a well, and a sheath */

struct lab_tube {
	const char *material; /* NULL: not stated */
	struct lab_quantity outer_m, inner_m, length_m;
};

/* The thermometer, as far as heat is concerned. */
struct lab_stem {
	bool given;
	struct base_mark mark;
	char *id;
	enum lab_sensor sensor;
	double nominal_ohm;
	double currents_A[2]; /* NaN: not stated */
	struct lab_tube sheath;
	const char *filling; /* gas or powder within the sheath */
	struct {
		const char *material;
		int count;                                /* 0: not stated */
		struct lab_quantity diameter_m, circle_m; /* of a wire; that they stand on */
	} leads;
	struct {
		struct lab_quantity length_m, from_tip_m, diameter_m;
		const char *material; /* of its former */
	} element;
	struct lab_quantity inside_K_per_W;        /* measured self-heating resistance within it */
	struct lab_quantity heat_capacity_J_per_K; /* of what goes into the cell */
};

enum lab_medium {
	LAB_TRIPLE_POINT_CELL, /* water */
	LAB_METAL_CELL,        /* gallium, indium and upwards, and mercury */
	LAB_ICE_BATH,          /* no cell at all: crushed ice and water */
};

struct lab_cell_body {
	bool given;
	struct base_mark mark;
	char *id;
	enum lab_medium medium;
	enum lab_point point; /* LAB_NO_POINT for an ice bath */
	bool triple;          /* gallium: triple point */
	struct {
		const char *material;
		struct lab_quantity bore_m, wall_m, depth_m; /* depth: mouth to bottom, inside */
	} well;
	struct lab_quantity level_m; /* surface of the water or metal above the well's bottom */
	struct lab_quantity below_m; /* of it below the well's bottom */
	struct {
		const char *material;
		struct lab_quantity bore_m, wall_m;
	} envelope;
	struct lab_quantity water_kg, glass_kg;
	struct lab_quantity dD, d18O, d17O; /* fractions */
};

/* What lies between thermometer and well. */
struct lab_well_contact {
	const char *fluid;            /* NULL: not stated */
	struct lab_quantity pad_m;    /* under the tip: foam at the bottom */
	struct lab_quantity melted_m; /* thickness of the film between well and ice */
	bool bushed;
	struct lab_tube bushing;
};

enum lab_keeping { LAB_KEPT_NOT_SAID, LAB_CRUSHED_ICE, LAB_BATH, LAB_BLOCK, LAB_ROOM_AIR };
const char *lab_keeping_name(enum lab_keeping keeping); /* "crushed ice" */

struct lab_surroundings {
	struct base_mark mark;
	struct lab_quantity ambient_C;
	struct lab_quantity cover_m; /* stem above the surface that is still at the bath */
	enum lab_keeping keeping;
	struct lab_quantity offset_K;       /* of bath or block above the cell's temperature */
	struct lab_quantity film_W_per_m2K; /* from the envelope to them */
	int cells;                          /* in one bath; 1 where nothing is said */
	struct lab_quantity spread_K;       /* of the bath from place to place */
};

enum lab_freezing {
	LAB_FREEZING_NOT_SAID,
	LAB_DRY_ICE,
	LAB_COOLED_ROD,
	LAB_HEAT_PIPE,
	LAB_COLD_GAS,
	LAB_SUPERCOOLING,
};
const char *lab_freezing_name(
    enum lab_freezing way); /* "dry ice", as records of the book have it */

/* A look at the mantle. */
struct lab_mantle_look {
	int64_t time_us;
	struct lab_quantity ice_m; /* thickness */
	int free, bridge;          /* 1, 0; -1: not looked at */
	char *note;
	struct base_mark mark;
};

/* A thermometer that went into the well. */
struct lab_mantle_visit {
	int64_t time_us;
	struct lab_quantity from_C, heat_capacity_J_per_K;
	struct base_mark mark;
};

struct lab_mantle {
	bool given;
	struct base_mark mark;
	enum lab_freezing way;
	int64_t frozen_us, at_us; /* at: when the forecast is asked for; BASE_NO_TIME: not said */
	struct lab_quantity ice_m;
	GArray *looks;  /* struct lab_mantle_look, in order of time */
	GArray *visits; /* struct lab_mantle_visit, in order of time */
};

/* What is wanted of the measurement, and of the time it takes. */
struct lab_wanted {
	bool given;
	struct base_mark mark;
	struct lab_quantity u_K;      /* standard uncertainty wanted of the whole; its value */
	struct lab_quantity within_K; /* waited for after an insertion */
	struct lab_quantity from_C;   /* the thermometer comes from */
	struct lab_quantity days;     /* that the mantle has to last */
};

/* A row of a laboratory's own record: after so long, so much. */
struct lab_record_row {
	double time_s, value; /* metres of ice, or kelvin from where it ends */
	struct base_mark mark;
};

struct lab_preparation {
	bool given;
	struct base_mark mark;
	enum lab_freezing way;
	struct lab_quantity ice_m;             /* thickness wanted */
	struct lab_quantity coolant_C;         /* NaN: that of the way */
	struct lab_quantity contact_W_per_m2K; /* coolant to the well's wall */
	struct lab_quantity supercooled_K;
	struct lab_quantity start_C; /* of the cell */
	struct lab_tube rod;         /* of way: cooled rod; material NULL: not stated */
	GArray *record;              /* struct lab_record_row: thickness against time */
};

/* One recorded insertion: how the reading came to its end. */
struct lab_settling {
	struct base_mark mark;
	struct lab_quantity from_C;
	GArray *rows; /* struct lab_record_row, in order of time */
};

struct lab_cell_records; /* checks, profile, plateau: app/lab/cell_records.h */

struct lab_cell_study {
	char *path, *sha256, *title;
	struct lab_stem thermometer;
	struct lab_cell_body cell;
	struct lab_well_contact contact;
	struct lab_surroundings surroundings;
	struct lab_mantle mantle;
	struct lab_wanted wanted;
	struct lab_preparation preparation;
	GArray *settling; /* struct lab_settling */
	struct lab_cell_records *records;
	GStringChunk *text;
};
struct lab_cell_study *lab_cell_study_new(void);
void lab_cell_study_free(struct lab_cell_study *study);
typedef struct lab_cell_study lab_cell_study;
G_DEFINE_AUTOPTR_CLEANUP_FUNC(lab_cell_study, lab_cell_study_free)

/* Keeps a copy of a text for as long as the record; NULL stays NULL. */
char *lab_cell_study_text(struct lab_cell_study *study, const char *text);

#endif
