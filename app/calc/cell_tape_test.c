/* What a cell's file may name is in the table of materials, with all that is asked of it. */
#include "app/calc/cell_tape.h"

#include "tests/support/near.h"

static void known(const char *name)
{
	static const enum firn_property all[] = { FIRN_CONDUCTIVITY, FIRN_DENSITY,
						  FIRN_HEAT_CAPACITY };
	g_autofree char *key = g_strdelimit(g_strdup(name), " ", '_');

	for (size_t i = 0; i < G_N_ELEMENTS(all); i++) {
		struct firn_property_value v;

		if (firn_material_property(key, all[i], 0.01, &v) != FIRN_OK)
			fail_msg("%s has no property %d at the triple point", name, all[i]);
	}
}

static void materials(void **state)
{
	(void)state;
	for (size_t i = 0; lab_solid_materials[i] != NULL; i++)
		known(lab_solid_materials[i]);
	for (size_t i = 0; lab_well_fluids[i] != NULL; i++)
		known(lab_well_fluids[i]);
}

/* A property asked for twice is one input, so that what shares it is correlated. */
static void one_input(void **state)
{
	g_autoptr(lab_cell_study) study = lab_cell_study_new();
	struct cell_tape t;

	(void)state;
	study->cell.point = LAB_H2O;
	assert_true(cell_tape_open(&t, study, NULL));
	assert_near(t.t_C, 0.01, 0.0);

	const struct firn_node a = cell_tape_property(&t, "fused silica", FIRN_CONDUCTIVITY);
	const struct firn_node b = cell_tape_property(&t, "fused silica", FIRN_CONDUCTIVITY);
	assert_int_equal(a.index, b.index);
	assert_true(firn_u(firn_sub(a, b)) == 0.0 && firn_u(a) > 0.0);
	(void)cell_tape_property(&t, "unobtainium", FIRN_DENSITY);
	assert_true(t.failed);
	cell_tape_close(&t);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(materials),
		cmocka_unit_test(one_input),
	};

	return cmocka_run_group_tests_name("a cell on a tape", tests, NULL, NULL);
}
