/*
 * What thermometers, wells and cells are made of: the rows of data/materials.csv.
 *
 * Plain numbers in SI units, temperatures in degrees Celsius on the ITS-90. Each with a standard
 * uncertainty and its source; what is from memory says so in its mark.
 */
#ifndef FIRN_MATERIAL_H
#define FIRN_MATERIAL_H

#include "firn/status.h"

#include <stddef.h>

enum firn_property {
	FIRN_CONDUCTIVITY,  /* W/(m K) */
	FIRN_DENSITY,       /* kg/m3 */
	FIRN_HEAT_CAPACITY, /* at constant pressure, J/(kg K) */
	FIRN_LATENT_HEAT, /* of fusion, J/kg; dry ice: sublimation, liquid nitrogen: evaporation */
};

struct firn_property_value {
	double value, u; /* u: standard uncertainty, above 0 */
	const char *unit;
	char mark; /* R: printed in its source; C: computed from it; M: from memory */
	const char *source;
};

/*
 * firn_material_property - a property at a temperature, interpolated linearly between the rows;
 * beyond them, within the range that the table states, the nearest row. Unit, mark and source are
 * those of the nearer row; the texts are static.
 *
 * Status:
 *   FIRN_E_UNKNOWN    no such material, or it has no such property
 *   FIRN_E_DOMAIN     the temperature is not finite or outside the range of the table
 */
enum firn_status firn_material_property(const char *material, enum firn_property property,
					double t_degC, struct firn_property_value *ret);

/* Names of the materials, in alphabetical order; NULL beyond the last. */
const char *firn_material_name(size_t i);

#endif
