/* Properties of materials from the table. */
#include "firn/material.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

struct material_row {
	const char *material;
	enum firn_property property;
	double t_degC, low_degC, high_degC;
	struct firn_property_value at;
};

#include "materials_table.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

static bool is_of(const struct material_row *row, const char *material, enum firn_property property)
{
	return strcmp(row->material, material) == 0 && row->property == property;
}

static struct firn_property_value between(const struct material_row *a,
					  const struct material_row *b, double t_degC)
{
	const double part = (t_degC - a->t_degC) / (b->t_degC - a->t_degC);
	struct firn_property_value v = part < 0.5 ? a->at : b->at;

	v.value = a->at.value + part * (b->at.value - a->at.value);
	v.u = a->at.u + part * (b->at.u - a->at.u);
	return v;
}

enum firn_status firn_material_property(const char *material, enum firn_property property,
					double t_degC, struct firn_property_value *ret)
{
	const struct material_row *first = material_rows, *end = first + COUNT(material_rows);

	while (first < end && !is_of(first, material, property))
		first++;
	if (first == end)
		return FIRN_E_UNKNOWN;
	if (!(t_degC >= first->low_degC && t_degC <= first->high_degC))
		return FIRN_E_DOMAIN;
	/* The rows of a property follow one another, the coldest first. */
	while (first + 1 < end && is_of(first + 1, material, property) && first[1].t_degC <= t_degC)
		first++;
	if (t_degC > first->t_degC && first + 1 < end && is_of(first + 1, material, property))
		*ret = between(first, first + 1, t_degC);
	else
		*ret = first->at;
	return FIRN_OK;
}

const char *firn_material_name(size_t i)
{
	for (size_t row = 0; row < COUNT(material_rows); row++) {
		if (row > 0 &&
		    strcmp(material_rows[row].material, material_rows[row - 1].material) == 0)
			continue;
		if (i-- == 0)
			return material_rows[row].material;
	}
	return NULL;
}
