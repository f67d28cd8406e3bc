/* What the procedures on a cell share: stated quantities and properties of materials on a tape. */
#ifndef CALC_CELL_TAPE_H
#define CALC_CELL_TAPE_H

#include "app/base/messages.h"
#include "app/lab/cell_study.h"

#include "firn/material.h"
#include "firn/tape.h"

struct cell_tape {
	struct firn_tape *tape;
	const struct lab_cell_study *study;
	double t_C;              /* of the medium: properties are taken there */
	base_messages *messages; /* NULL: of an arrangement that is only tried */
	GHashTable *known;       /* name -> struct firn_node *: a property is one input */
	bool failed;             /* something needed is missing: messages have it */
};

/* false: no memory. */
bool cell_tape_open(struct cell_tape *t, const struct lab_cell_study *study,
		    base_messages *messages);
void cell_tape_close(struct cell_tape *t);

/* What is missing for a command: "firn cell fit needs surroundings: {ambient_C}". */
void cell_tape_lacks(struct cell_tape *t, struct base_mark mark, const char *format, ...)
    G_GNUC_PRINTF(3, 4);

/* A stated quantity as an input; `otherwise` where nothing is stated. u absent is 0. */
struct firn_node cell_tape_input(struct cell_tape *t, const char *name, const char *unit,
				 const struct lab_quantity *q);
struct firn_node cell_tape_assumed(struct cell_tape *t, const char *name, const char *unit,
				   double value, double u, const char *source);
/* Sums and products with numbers. */
struct firn_node cell_tape_number(struct cell_tape *t, double value);

/* A property of a material at the medium's temperature, with its u and source; a material whose
   figures don't reach there is complained of once. */
struct firn_node cell_tape_property(struct cell_tape *t, const char *material,
				    enum firn_property property);

/* The same at another temperature, in degrees Celsius. */
struct firn_node cell_tape_property_at(struct cell_tape *t, const char *material,
				       enum firn_property property, double t_C);

/* Half of a stated diameter, as a quantity. */
struct firn_node cell_tape_radius(struct cell_tape *t, const char *name,
				  const struct lab_quantity *diameter);

/* Temperature of the medium in degrees Celsius: of the point, or of melting ice. */
double cell_tape_temperature(const struct lab_cell_body *cell);

/* Value, u and degrees of freedom. */
struct lab_estimate cell_tape_estimate(struct firn_node x);

#endif
