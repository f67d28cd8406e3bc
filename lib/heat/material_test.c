/* Rows of data/materials.csv, between them and beyond them. */
#include "firn/material.h"

#include "tests/support/near.h"

#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* Values as their sources print them (data/materials.csv); the last three are between rows. */
static void values(void **state)
{
	static const struct {
		const char *material;
		enum firn_property property;
		double t_degC, value;
		char mark;
	} rows[] = {
		{ "ice", FIRN_CONDUCTIVITY, 0, 2.14, 'R' },
		{ "ice", FIRN_DENSITY, 0.01, 916.709492, 'C' },
		{ "water", FIRN_HEAT_CAPACITY, 0.01, 4219.91, 'C' },
		{ "ice", FIRN_LATENT_HEAT, 0, 333444.87, 'C' },
		{ "borosilicate", FIRN_CONDUCTIVITY, 0.01, 1.1, 'R' },
		{ "platinum", FIRN_DENSITY, 500, 21450, 'R' },
		{ "ice", FIRN_CONDUCTIVITY, -25, 2.4, 'R' },
		{ "ice", FIRN_CONDUCTIVITY, -5, 2.22, 'R' },
		{ "ethanol", FIRN_CONDUCTIVITY, 0, 0.17469, 'C' },
		{ "stainless_steel_316", FIRN_CONDUCTIVITY, 77, 14.3, 'R' },
	};

	(void)state;
	for (size_t i = 0; i < COUNT(rows); i++) {
		struct firn_property_value v;

		assert_int_equal(
		    firn_material_property(rows[i].material, rows[i].property, rows[i].t_degC, &v),
		    FIRN_OK);
		assert_near_relative(v.value, rows[i].value, 1e-12);
		assert_int_equal(v.mark, rows[i].mark);
		assert_true(v.u > 0 && v.u < 0.5 * v.value && v.source[0] != '\0');
	}
}

static void refusals(void **state)
{
	struct firn_property_value v = { .value = 42 };

	(void)state;
	assert_int_equal(firn_material_property("ice", FIRN_CONDUCTIVITY, 1, &v), FIRN_E_DOMAIN);
	assert_int_equal(firn_material_property("ice", FIRN_CONDUCTIVITY, (double)NAN, &v),
			 FIRN_E_DOMAIN);
	assert_int_equal(firn_material_property("air", FIRN_LATENT_HEAT, 0, &v), FIRN_E_UNKNOWN);
	assert_int_equal(firn_material_property("pudding", FIRN_DENSITY, 0, &v), FIRN_E_UNKNOWN);
	assert_true(v.value == 42);
}

/* Every name is found again, in order, with what conduction needs. */
static void names(void **state)
{
	size_t n = 0;

	(void)state;
	for (const char *name; (name = firn_material_name(n)) != NULL; n++)
		if (n > 0)
			assert_true(strcmp(firn_material_name(n - 1), name) < 0);
	assert_true(n >= 20);
	assert_null(firn_material_name(n + 1));
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(values),
		cmocka_unit_test(refusals),
		cmocka_unit_test(names),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
