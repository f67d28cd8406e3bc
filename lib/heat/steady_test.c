/*
 * Steady conduction on a grid beside what is known in closed form. Lengths and conductivities are
 * made up; the series for a cylinder with all its surfaces held was summed with mpmath at 30
 * digits and checked to satisfy the equation of conduction.
 */
#include "firn/conduction.h"
#include "firn/heat.h"

#include "tests/support/near.h"

#include <stdlib.h>
#include <suitesparse/SuiteSparse_config.h>

static const double pi = 3.14159265358979323846;

static struct firn_region ring(double r0_m, double r1_m, double z1_m, double k)
{
	return (struct firn_region){ .r0_m = r0_m, .r1_m = r1_m, .z1_m = z1_m, .of.k_W_per_mK = k };
}

/* Two shells with a contact between them, films on both sides: resistances in series, exactly. */
static void shells_in_series(void **state)
{
	const struct firn_region regions[] = { ring(3e-3, 5e-3, 0.1, 1.1),
					       ring(5e-3, 9e-3, 0.1, 16) };
	const struct firn_boundary sides[] = { { FIRN_INNER, 0, 0, 300, 20 },
					       { FIRN_OUTER, 0, 0, 50, -5 } };
	const struct firn_contact gap = { false, 5e-3, 0, 0.1, 800 };
	const struct firn_body body = { 2, 2, 1, regions, sides, &gap, { 0.5e-3, 20e-3, 1.3, 2 } };
	const struct firn_probe probes[] = { { .kind = FIRN_FLOW_FROM_BOUNDARY, .index = 0 },
					     { .kind = FIRN_AT_POINT, .r_m = 9e-3, .z_m = 0.03 } };
	struct firn_answer got[2];
	struct firn_energy energy;
	double r[5], sum = 0;

	(void)state;
	assert_int_equal(firn_film_resistance(3e-3, 300, &r[0]), FIRN_OK);
	assert_int_equal(firn_shell_resistance(3e-3, 5e-3, 1.1, &r[1]), FIRN_OK);
	assert_int_equal(firn_film_resistance(5e-3, 800, &r[2]), FIRN_OK);
	assert_int_equal(firn_shell_resistance(5e-3, 9e-3, 16, &r[3]), FIRN_OK);
	assert_int_equal(firn_film_resistance(9e-3, 50, &r[4]), FIRN_OK);
	for (int i = 0; i < 5; i++)
		sum += r[i] / 0.1;
	assert_int_equal(firn_conduction_steady(&body, 2, probes, got, &energy), FIRN_OK);
	assert_near_relative(got[0].value, 25 / sum, 1e-12);
	assert_true(got[0].error <= 1e-12 * got[0].value);
	assert_near_relative(got[1].value, -5 + 25 / sum * r[4] / 0.1, 1e-12);
	assert_near(energy.entered, 0, 1e-12 * energy.exchanged);
}

/* Heated evenly, all surfaces held at 0: its middle and a point at half of both. */
static const struct {
	double r_m, z_m, want_K;
} inside[] = {
	{ 0, 1, 0.200663610344872548 },
	{ 0.5, 0.5, 0.126879161332943849 },
};

/* Even cells, and cells that grow from the surfaces inwards. At a point between the middles of
   cells what interpolation leaves varies with its place, so an order is looked for at the middle
   only. */
static void second_order_in_space(void **state)
{
	static const struct firn_grid grids[] = { { 0.125, 0.125, 1, 3 }, { 0.05, 0.05, 1.4, 3 } };
	const struct firn_boundary held[] = { { FIRN_OUTER, 0, 0, INFINITY, 0 },
					      { FIRN_TOP, 0, 0, INFINITY, 0 },
					      { FIRN_BOTTOM, 0, 0, INFINITY, 0 } };
	struct firn_region cylinder = ring(0, 1, 2, 1);

	(void)state;
	cylinder.heat_W = 2 * pi; /* 1 W/m3 */
	for (int kind = 0; kind < 2; kind++)
		for (int i = 0; i < 2; i++) {
			const struct firn_probe probe = { .kind = FIRN_AT_POINT,
							  .r_m = inside[i].r_m,
							  .z_m = inside[i].z_m };
			struct firn_body body = { 1, 3, 0, &cylinder, held, NULL, grids[kind] };
			struct firn_answer got[2];
			double error[2];

			for (int k = 0; k < 2; k++) {
				body.grid.halvings = 3 + k;
				assert_int_equal(
				    firn_conduction_steady(&body, 1, &probe, &got[k], NULL),
				    FIRN_OK);
				error[k] = fabs(got[k].value - inside[i].want_K);
				assert_true(error[k] < 1.1 * got[k].error);
			}
			assert_true(error[1] < 1e-4 * inside[i].want_K);
			if (i == 0) {
				assert_near(log2(error[0] / error[1]), 2, 0.01);
				assert_near(got[1].order, 2, 0.02);
				assert_near_relative(got[1].error, error[1], 0.02);
			}
		}
}

/* A rod so thin that it is one temperature across (h R/k = 5e-5): 1/cosh(L/l) is left at its tip.
 */
static void fin_tip(void **state)
{
	const double radius_m = 1e-3, length_m = 0.06, k = 100, h = 5;
	const struct firn_region rod = ring(0, radius_m, length_m, k);
	const struct firn_boundary sides[] = { { FIRN_OUTER, 0, 0, h, 0 },
					       { FIRN_BOTTOM, 0, 0, INFINITY, 1 } };
	const struct firn_body body = { 1, 2, 0, &rod, sides, NULL, { 0.5e-3, 0.5e-3, 1.05, 2 } };
	const struct firn_probe tip = { .kind = FIRN_AT_POINT, .z_m = length_m };
	struct firn_answer got;
	double film, l, want;

	(void)state;
	assert_int_equal(firn_film_resistance(radius_m, h, &film), FIRN_OK);
	assert_int_equal(firn_fin_length(film, k * pi * radius_m * radius_m, &l), FIRN_OK);
	assert_int_equal(firn_fin_tip_error(length_m, l, &want), FIRN_OK);
	assert_int_equal(firn_conduction_steady(&body, 1, &tip, &got, NULL), FIRN_OK);
	assert_near_relative(got.value, want, 5e-4);
	assert_true(got.error < 5e-4 * want);
}

/* A deep fin: nine lengths, where 1.2e-4 is left; the decay must be right, not only the drop. */
static void deep_fin_tip(void **state)
{
	const double radius_m = 1e-3, k = 50, h = 25;
	const struct firn_boundary sides[] = { { FIRN_OUTER, 0, 0, h, 0 },
					       { FIRN_BOTTOM, 0, 0, INFINITY, 1 } };
	double film, l, want;

	(void)state;
	assert_int_equal(firn_film_resistance(radius_m, h, &film), FIRN_OK);
	assert_int_equal(firn_fin_length(film, k * pi * radius_m * radius_m, &l), FIRN_OK);
	{
		const struct firn_region rod = ring(0, radius_m, 9 * l, k);
		const struct firn_body body = { 1, 2, 0, &rod, sides, NULL, { 1e-3, 1e-3, 1, 2 } };
		const struct firn_probe tip = { .kind = FIRN_AT_POINT, .z_m = 9 * l };
		struct firn_answer got;

		assert_int_equal(firn_fin_tip_error(9 * l, l, &want), FIRN_OK);
		assert_int_equal(firn_conduction_steady(&body, 1, &tip, &got, NULL), FIRN_OK);
		/* h R/k = 5e-4: the rod is warmer within by a quarter of it, and m L changes by
		   an eighth: 9/8 5e-4 = 6e-4 of the tip's. */
		assert_near_relative(got.value, want, 1e-3);
	}
}

/* Wire, filling, sheath and film, heated in the wire: R_ext = films and shells; within the wire its
   mean is 1/(8 pi k) above its surface (uniform heat; follows from T = q (R^2 - r^2)/4k). */
static void self_heating_of_shells(void **state)
{
	const double length_m = 0.04, heat_W = 25.5e-6;
	struct firn_region regions[] = { ring(0, 1e-3, length_m, 2.5),
					 ring(1e-3, 2.75e-3, length_m, 0.15),
					 ring(2.75e-3, 3.75e-3, length_m, 1.38) };
	const struct firn_boundary film = { FIRN_OUTER, 0, 0, 400, 0 };
	const struct firn_body body = { 3, 1, 0, regions, &film, NULL, { 0.1e-3, 10e-3, 1.2, 2 } };
	const struct firn_probe wire = { .kind = FIRN_MEAN_OVER, .index = 0 };
	struct firn_answer got;
	double r[3];

	(void)state;
	regions[0].heat_W = heat_W;
	assert_int_equal(firn_shell_resistance(1e-3, 2.75e-3, 0.15, &r[0]), FIRN_OK);
	assert_int_equal(firn_shell_resistance(2.75e-3, 3.75e-3, 1.38, &r[1]), FIRN_OK);
	assert_int_equal(firn_film_resistance(3.75e-3, 400, &r[2]), FIRN_OK);
	assert_int_equal(firn_conduction_steady(&body, 1, &wire, &got, NULL), FIRN_OK);
	assert_near_relative(got.value,
			     heat_W / length_m * (1 / (8 * pi * 2.5) + r[0] + r[1] + r[2]), 1e-3);
}

/* Wires along the axis: k_axial conducts along it and k across. */
static void axial_conductivity(void **state)
{
	struct firn_region rod = ring(0, 2e-3, 0.1, 1);
	const struct firn_boundary ends[] = { { FIRN_TOP, 0, 0, INFINITY, 1 },
					      { FIRN_BOTTOM, 0, 0, INFINITY, 0 } };
	const struct firn_body body = { 1, 2, 0, &rod, ends, NULL, { 1e-3, 10e-3, 1, 2 } };
	const struct firn_probe flow = { .kind = FIRN_FLOW_FROM_BOUNDARY };
	struct firn_answer got;

	(void)state;
	rod.of.k_axial_W_per_mK = 30;
	assert_int_equal(firn_conduction_steady(&body, 1, &flow, &got, NULL), FIRN_OK);
	assert_near_relative(got.value, 30 * pi * 4e-6 / 0.1, 1e-12);
}

/* A stem in a well: ambient air as a region that is held, with a film; ice that is held. Energy
   balances, and what leaves one side enters the other. */
static void stem_and_ice(void **state)
{
	struct firn_region regions[] = { ring(0, 20e-3, 0.4, 0.6), ring(4e-3, 20e-3, 0.4, 0.6),
					 ring(7e-3, 20e-3, 0.2, 2.14), ring(0, 4e-3, 0.4, 15) };
	const struct firn_contact films[] = { { false, 4e-3, 0.2, 0.4, 8 },
					      { true, 0.2, 4e-3, 20e-3, 8 } };
	const struct firn_body body = { 4, 0, 2, regions, NULL, films, { 0.5e-3, 2e-3, 1.5, 2 } };
	const struct firn_probe probes[] = { { .kind = FIRN_FLOW_FROM_REGION, .index = 1 },
					     { .kind = FIRN_FLOW_FROM_REGION, .index = 2 },
					     { .kind = FIRN_AT_POINT } };
	struct firn_answer got[3];
	struct firn_energy energy;

	(void)state;
	regions[1].z0_m = 0.2;
	regions[1].is_held = true;
	regions[1].start_K = 20;
	regions[2].is_held = true;
	regions[3].heat_W = 1e-5;
	assert_int_equal(firn_conduction_steady(&body, 3, probes, got, &energy), FIRN_OK);
	assert_near(energy.entered + energy.generated, 0, 1e-11 * energy.exchanged);
	assert_near_relative(energy.generated, 1e-5, 1e-12);
	assert_near(got[0].value + got[1].value + 1e-5, 0, 1e-11 * got[0].value);
	assert_true(got[0].value > 0.1 && got[2].value > 0 && got[2].value < 1e-3);
	assert_true(got[0].error < 0.01 * got[0].value);
}

/* ---- refusals ---- */

static enum firn_status solve_with(void (*spoil)(struct firn_region *, struct firn_boundary *,
						 struct firn_body *, struct firn_probe *))
{
	struct firn_region region = ring(0, 1, 2, 1);
	struct firn_boundary boundary = { FIRN_OUTER, 0, 0, 10, 0 };
	struct firn_body body = { 1, 1, 0, &region, &boundary, NULL, { 0.5, 0.5, 1, 2 } };
	struct firn_probe probe = { .kind = FIRN_AT_POINT };
	struct firn_answer got = { .value = 42 };
	enum firn_status status;

	if (spoil != NULL)
		spoil(&region, &boundary, &body, &probe);
	status = firn_conduction_steady(&body, 1, &probe, &got, NULL);
	assert_true(status == FIRN_OK || got.value == 42);
	return status;
}

#define SPOIL(name, ...)                                                                           \
	static void name(struct firn_region *region, struct firn_boundary *boundary,               \
			 struct firn_body *body, struct firn_probe *probe)                         \
	{                                                                                          \
		(void)region, (void)boundary, (void)body, (void)probe;                             \
		__VA_ARGS__;                                                                       \
	}
SPOIL(no_conductivity, region->of.k_W_per_mK = 0)
SPOIL(nothing_held, body->n_boundaries = 0)
SPOIL(no_height, region->z1_m = 0)
SPOIL(not_a_number, boundary->ambient_K = (double)NAN)
SPOIL(no_film, boundary->h_W_per_m2K = 0)
SPOIL(film_on_the_axis, boundary->side = FIRN_INNER)
SPOIL(boundary_beyond, boundary->to_m = 3)
SPOIL(point_outside, probe->r_m = 1.5)
SPOIL(no_such_boundary, probe->kind = FIRN_FLOW_FROM_BOUNDARY; probe->index = 1)
SPOIL(not_a_held_region, probe->kind = FIRN_FLOW_FROM_REGION)
SPOIL(only_in_time, probe->kind = FIRN_LIQUID_PART)
SPOIL(too_coarse_to_tell, body->grid.halvings = 1)
SPOIL(too_many_cells, body->grid.finest_r_m = body->grid.finest_z_m = 1e-3)
SPOIL(far_too_many_cells, body->grid.finest_r_m = 1e-12)
SPOIL(shrinking, body->grid.growth = 0.9)

static void not_all_covered(struct firn_region *region, struct firn_boundary *boundary,
			    struct firn_body *body, struct firn_probe *probe)
{
	static struct firn_region apart[2];

	(void)boundary, (void)probe;
	apart[0] = apart[1] = *region;
	apart[1].r0_m = 2;
	apart[1].r1_m = 3;
	body->regions = apart;
	body->n_regions = 2;
}

static void nonsense_is_refused(void **state)
{
	(void)state;
	assert_int_equal(solve_with(NULL), FIRN_OK);
	assert_int_equal(solve_with(nothing_held), FIRN_E_SINGULAR);
	assert_int_equal(solve_with(no_conductivity), FIRN_E_DOMAIN);
	assert_int_equal(solve_with(no_height), FIRN_E_DOMAIN);
	assert_int_equal(solve_with(not_a_number), FIRN_E_DOMAIN);
	assert_int_equal(solve_with(no_film), FIRN_E_DOMAIN);
	assert_int_equal(solve_with(film_on_the_axis), FIRN_E_DOMAIN);
	assert_int_equal(solve_with(boundary_beyond), FIRN_E_DOMAIN);
	assert_int_equal(solve_with(point_outside), FIRN_E_DOMAIN);
	assert_int_equal(solve_with(no_such_boundary), FIRN_E_DOMAIN);
	assert_int_equal(solve_with(not_a_held_region), FIRN_E_DOMAIN);
	assert_int_equal(solve_with(only_in_time), FIRN_E_DOMAIN);
	assert_int_equal(solve_with(too_coarse_to_tell), FIRN_E_DOMAIN);
	assert_int_equal(solve_with(too_many_cells), FIRN_E_DOMAIN);
	assert_int_equal(solve_with(far_too_many_cells), FIRN_E_DOMAIN);
	assert_int_equal(solve_with(shrinking), FIRN_E_DOMAIN);
	assert_int_equal(solve_with(not_all_covered), FIRN_E_DOMAIN);
}

/* ---- no memory within CHOLMOD ---- */

static int until_failure;

static void *failing_malloc(size_t size)
{
	return --until_failure < 0 ? NULL : malloc(size);
}

static void *failing_calloc(size_t n, size_t size)
{
	return --until_failure < 0 ? NULL : calloc(n, size);
}

static void *failing_realloc(void *block, size_t size)
{
	return --until_failure < 0 ? NULL : realloc(block, size);
}

/* From every one of its allocations on all fail: no crash, nothing lost (the sanitizers look), and
   the status says so; until there are enough, and then the answer is there. */
static void no_memory(void **state)
{
	int failures = 0;

	(void)state;
	SuiteSparse_config.malloc_func = failing_malloc;
	SuiteSparse_config.calloc_func = failing_calloc;
	SuiteSparse_config.realloc_func = failing_realloc;
	for (;; failures++) {
		enum firn_status status;

		until_failure = failures;
		status = solve_with(NULL);
		if (status == FIRN_OK)
			break;
		assert_int_equal(status, FIRN_E_MEMORY);
	}
	SuiteSparse_config.malloc_func = malloc;
	SuiteSparse_config.calloc_func = calloc;
	SuiteSparse_config.realloc_func = realloc;
	assert_true(failures > 30);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(shells_in_series),
		cmocka_unit_test(second_order_in_space),
		cmocka_unit_test(fin_tip),
		cmocka_unit_test(deep_fin_tip),
		cmocka_unit_test(self_heating_of_shells),
		cmocka_unit_test(axial_conductivity),
		cmocka_unit_test(stem_and_ice),
		cmocka_unit_test(nonsense_is_refused),
		cmocka_unit_test(no_memory),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
