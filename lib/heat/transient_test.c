/*
 * Conduction, freezing and melting in time beside closed forms. Properties of ice as in
 * heat_test.c; series and the two-phase parameter were computed with mpmath at 25 digits.
 */
#include "firn/conduction.h"
#include "firn/heat.h"

#include "tests/support/near.h"

static const double hour_s = 3600;

static const struct firn_solid ice = { 2.14, 916.7, 2097, 333440 };
/* Water whose liquid has the density of ice, freezing at the zero of temperature. */
static const struct firn_conductor water = {
	.k_W_per_mK = 2.14,
	.density_kg_per_m3 = 916.7,
	.cp_J_per_kgK = 2097,
	.latent_J_per_kg = 333440,
	.k_liquid_W_per_mK = 0.5556,
	.cp_liquid_J_per_kgK = 4219,
};

static const struct firn_probe liquid_part = { .kind = FIRN_LIQUID_PART };

static struct firn_transient *begun(const struct firn_body *body)
{
	struct firn_transient *t = NULL;

	assert_int_equal(firn_transient_new(body, &t), FIRN_OK);
	return t;
}

static double read_at(struct firn_transient *t, double time_s, double accuracy_K,
		      const struct firn_probe *probe)
{
	double value;

	assert_int_equal(firn_transient_run(t, time_s, accuracy_K), FIRN_OK);
	assert_near(firn_transient_time_s(t), time_s, 0);
	assert_int_equal(firn_transient_read(t, 1, probe, &value), FIRN_OK);
	return value;
}

/* Energy is closed to 1e-9 of the heat exchanged, whatever happened. */
static void assert_closed(const struct firn_transient *t)
{
	const struct firn_energy e = firn_transient_energy(t);

	assert_true(e.exchanged > 0);
	assert_near(e.entered + e.generated, e.stored, 1e-9 * e.exchanged);
}

/* ---- without freezing ---- */

/* A cylinder, as long as it is thick times 1.5, all its surfaces brought to 0 at once: the product
   of the series of a cylinder and a slab. */
static void cooling_cylinder(void **state)
{
	static const struct {
		double time_s, middle_K, mean_K;
	} rows[] = { { 0.05, 0.98709507156496, 0.45572091346430 },
		     { 0.2, 0.48372814189763, 0.14456311014899 } };
	const struct firn_region cylinder = {
		.r1_m = 1, .z1_m = 3, .of = { 1, 0, 1, 1, 0, 0, 0, 0 }, .start_K = 1
	};
	const struct firn_boundary held[] = { { FIRN_OUTER, 0, 0, INFINITY, 0 },
					      { FIRN_TOP, 0, 0, INFINITY, 0 },
					      { FIRN_BOTTOM, 0, 0, INFINITY, 0 } };
	const struct firn_body body = { 1, 3, 0, &cylinder, held, NULL, { 0.04, 0.04, 1.0, 1 } };
	const struct firn_probe middle = { .kind = FIRN_AT_POINT, .z_m = 1.5 };
	const struct firn_probe mean = { .kind = FIRN_MEAN_OVER };
	struct firn_transient *t = begun(&body);

	(void)state;
	for (int i = 0; i < 2; i++) {
		assert_near_relative(read_at(t, rows[i].time_s, 1e-3, &middle), rows[i].middle_K,
				     1e-3);
		assert_near_relative(read_at(t, rows[i].time_s, 1e-3, &mean), rows[i].mean_K, 1e-3);
	}
	assert_closed(t);
	firn_transient_free(t);
}

/* What the course comes to is the steady answer, within the accuracy of its steps (5e-5 of 20 K). A
   product of one-dimensional steps would end elsewhere, by an error that grows with the step. */
static void comes_to_the_steady_answer(void **state)
{
	struct firn_region regions[] = {
		{ .r1_m = 20e-3, .z1_m = 0.1, .of = { 0.6, 0, 1000, 4200, 0, 0, 0, 0 } },
		{ .r1_m = 4e-3, .z0_m = 0.02, .z1_m = 0.1, .of = { 15, 0, 8000, 470, 0, 0, 0, 0 } },
		{ .r0_m = 15e-3, .r1_m = 20e-3, .z1_m = 0.05, .is_held = true, .start_K = 0 },
	};
	const struct firn_boundary top = { FIRN_TOP, 0, 0, 200, 20 };
	const struct firn_body body = { 3, 1, 0, regions, &top, NULL, { 1e-3, 2e-3, 1.3, 2 } };
	const struct firn_probe probes[] = {
		{ .kind = FIRN_AT_POINT, .r_m = 0, .z_m = 0.02 },
		{ .kind = FIRN_FLOW_FROM_REGION, .index = 2 },
	};
	struct firn_transient *t = begun(&body);
	struct firn_answer steady[2];

	(void)state;
	regions[1].heat_W = 1e-3;
	firn_transient_free(t);
	t = begun(&body);
	assert_int_equal(firn_conduction_steady(&body, 2, probes, steady, NULL), FIRN_OK);
	for (int i = 0; i < 2; i++)
		assert_near_relative(read_at(t, 1e6, 1e-3, &probes[i]), steady[i].value, 1e-4);
	assert_closed(t);
	assert_true(firn_transient_steps(t) < 1500);
	firn_transient_free(t);
}

/* ---- freezing ---- */

struct wall {
	struct firn_region region;
	struct firn_boundary cold;
	struct firn_body body;
};

/* A wall of water of 40 mm at its freezing point (or begin_K above), cold at the bottom. */
static void make_wall(struct wall *w, double below_K, double begin_K, int cells)
{
	const double width_m = 0.04;

	*w = (struct wall){
		.region = { .r1_m = 0.1,
			    .z1_m = width_m,
			    .of = water,
			    .start_K = begin_K,
			    .liquid = 1 },
		.cold = { FIRN_BOTTOM, 0, 0, INFINITY, -below_K },
	};
	w->body =
	    (struct firn_body){ 1, 1, 0, &w->region, &w->cold, NULL, { 1, width_m / cells, 1, 0 } };
}

/* Neumann: 100 cells, temperatures within 0.1 % of the difference. */
static void neumann(void **state)
{
	static const double rows[][2] = { { 5, 3600 }, { 20, 600 }, { 20, 3600 }, { 78.51, 600 } };

	(void)state;
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		struct firn_transient *t;
		struct wall w;
		double want_m;

		make_wall(&w, rows[i][0], 0, 100);
		t = begun(&w.body);
		assert_int_equal(firn_neumann_thickness(&ice, rows[i][0], rows[i][1], &want_m),
				 FIRN_OK);
		assert_near_relative(
		    0.04 * (1 - read_at(t, rows[i][1], 1e-3 * rows[i][0], &liquid_part)), want_m,
		    1e-3);
		assert_closed(t);
		firn_transient_free(t);
	}
}

/* Liquid at 4 K, wall at -10 K: lambda 0.1677530995 by the two-phase form of Neumann (a similarity
   solution; equal densities), so 15.01865 mm after half an hour. The wall is 40 mm and the liquid
   warmed by diffusion over 2 sqrt(alpha t) = 31 mm: the far side is not felt. */
static void two_phases(void **state)
{
	struct firn_transient *t;
	struct wall w;

	(void)state;
	make_wall(&w, 10, 4, 100);
	t = begun(&w.body);
	assert_near_relative(0.04 * (1 - read_at(t, hour_s / 2, 0.01, &liquid_part)),
			     15.01864864421e-3, 1e-3);
	assert_closed(t);
	firn_transient_free(t);
}

/* Mean error over many places of the front within its cell: it falls with the size of cells. */
static double neumann_error(int cells)
{
	struct firn_transient *t;
	struct wall w;
	double sum = 0;
	const int n = 40;

	make_wall(&w, 20, 0, cells);
	t = begun(&w.body);
	for (int i = 1; i <= n; i++) {
		const double time_s = 2000 + 40 * i;
		double want_m;

		assert_int_equal(firn_neumann_thickness(&ice, 20, time_s, &want_m), FIRN_OK);
		sum += fabs(0.04 * (1 - read_at(t, time_s, 2e-3, &liquid_part)) / want_m - 1);
	}
	firn_transient_free(t);
	return sum / n;
}

static void order_with_freezing(void **state)
{
	const double coarse = neumann_error(10), fine = neumann_error(40);
	const double order = log2(coarse / fine) / 2;

	(void)state;
	print_message("freezing: mean error %.2g with 10 cells, %.2g with 40: order %.2f\n", coarse,
		      fine, order);
	assert_true(order > 1);
}

/* Quasi-steady cylinders, in their limit: 50 mK below make Ste 3e-4, and heat of the solid itself
   delays the front by some 1e-4. */
static void cylinders(void **state)
{
	static const struct {
		double r0_m, r1_m;
		enum firn_side side;
		double hours;
	} rows[] = { { 7.5e-3, 27.5e-3, FIRN_INNER, 40 }, { 7e-3, 30e-3, FIRN_OUTER, 60 } };

	(void)state;
	for (int i = 0; i < 2; i++) {
		const double r0 = rows[i].r0_m, r1 = rows[i].r1_m;
		const struct firn_region ring = {
			.r0_m = r0, .r1_m = r1, .z1_m = 0.1, .of = water, .liquid = 1
		};
		const struct firn_boundary cold = { rows[i].side, 0, 0, INFINITY, -0.05 };
		const struct firn_body body = {
			1, 1, 0, &ring, &cold, NULL, { (r1 - r0) / 80, 1, 1, 0 }
		};
		const bool inward = rows[i].side == FIRN_OUTER;
		const struct firn_cylinder form = { inward ? r1 : r0, 0, 0.05, 0 };
		struct firn_transient *t = begun(&body);
		double want_m, part, got_m;

		assert_int_equal(
		    firn_cylinder_front(&ice, &form, inward, rows[i].hours * hour_s, &want_m),
		    FIRN_OK);
		part = read_at(t, rows[i].hours * hour_s, 5e-5, &liquid_part);
		got_m = sqrt(inward ? r0 * r0 + part * (r1 * r1 - r0 * r0)
				    : r1 * r1 - part * (r1 * r1 - r0 * r0));
		assert_near_relative(fabs(got_m - form.r_cold_m), fabs(want_m - form.r_cold_m),
				     1e-3);
		assert_closed(t);
		firn_transient_free(t);
	}
}

/* A mantle in a bath 5 mK too warm melts from 15.5 mm to 10 mm as slowly as its quasi-steady form
   says: in some 90 days, by steps that grow with what they follow. */
static void months_of_melting(void **state)
{
	const struct firn_conductor wall = { 1.1, 0, 2230, 840, 0, 0, 0, 0 };
	const struct firn_region rings[] = {
		{ .r0_m = 7.25e-3, .r1_m = 27.5e-3, .z1_m = 0.1, .of = water, .liquid = 1 },
		{ .r0_m = 7.25e-3, .r1_m = 15.5e-3, .z1_m = 0.1, .of = water },
		{ .r0_m = 27.5e-3, .r1_m = 30e-3, .z1_m = 0.1, .of = wall },
	};
	const struct firn_boundary bath = { FIRN_OUTER, 0, 0, INFINITY, 0.005 };
	const struct firn_body body = { 3, 1, 0, rings, &bath, NULL, { 0.2e-3, 0.1, 1, 0 } };
	const struct firn_probe part = { .kind = FIRN_LIQUID_PART, .index = 1 };
	const struct firn_mantle form = {
		10e-3, 15.5e-3, 27.5e-3, 30e-3, water.k_liquid_W_per_mK, wall.k_W_per_mK, 0.005
	};
	struct firn_transient *t = begun(&body);
	double life_s;

	(void)state;
	assert_int_equal(firn_mantle_life(&ice, &form, &life_s), FIRN_OK);
	assert_true(life_s > 60 * 86400.0);
	assert_near_relative(read_at(t, life_s, 1e-5, &part),
			     (15.5 * 15.5 - 100) / (15.5 * 15.5 - 7.25 * 7.25), 1e-3);
	assert_closed(t);
	assert_true(firn_transient_steps(t) < 1000);
	firn_transient_free(t);
}

/* ---- a cell: glass, water, a well with a film, air above; grows from the well, melts from the
   top ---- */

static const struct firn_conductor glass = { 1.1, 0, 2230, 840, 0, 0, 0, 0 };

struct cell {
	struct firn_region regions[2];
	struct firn_boundary sides[4];
	struct firn_body body;
};

static void make_cell(struct cell *c, double finest_m, int halvings)
{
	*c = (struct cell){
		.regions = { { .r0_m = 6e-3, .r1_m = 30e-3, .z1_m = 0.1, .of = glass },
			     { .r0_m = 7.25e-3,
			       .r1_m = 27.5e-3,
			       .z0_m = 2.5e-3,
			       .z1_m = 0.1,
			       .of = water,
			       .liquid = 1 } },
		.sides = { { FIRN_INNER, 0, 0.07, 200, -5 },
			   { FIRN_INNER, 0.07, 0.1, 5, 20 },
			   { FIRN_TOP, 0, 0, 5, 20 },
			   { FIRN_OUTER, 0, 0, 50, 0.02 } },
	};
	c->body = (struct firn_body){
		2, 4, 0, c->regions, c->sides, NULL, { finest_m, 3 * finest_m, 1, halvings }
	};
}

static void mantle_grows_and_melts(void **state)
{
	struct cell c;
	struct firn_transient *t;
	const struct firn_probe part = { .kind = FIRN_LIQUID_PART, .index = 1 };
	double grown, melted;

	(void)state;
	make_cell(&c, 2e-3, 0);
	t = begun(&c.body);
	grown = 1 - read_at(t, hour_s, 0.05, &part);
	assert_true(grown > 0.05 && grown < 0.2);
	assert_closed(t);
	/* The coolant is taken out, and the well is somewhat warm: less ice. */
	assert_int_equal(firn_transient_ambient(t, 0, 2), FIRN_OK);
	melted = 1 - read_at(t, 2 * hour_s, 0.05, &part);
	assert_true(melted < grown - 0.02 && melted > 0);
	assert_closed(t);
	firn_transient_free(t);
}

/* What half the grid and shorter steps make of it lies within twice the error that was
   estimated: it is an estimate, and the front's place in its cell moves it. */
static void errors_by_two_grids(void **state)
{
	const double times_s[] = { hour_s / 2, hour_s };
	const struct firn_probe probes[] = { { .kind = FIRN_LIQUID_PART, .index = 1 },
					     { .kind = FIRN_AT_POINT, .r_m = 8e-3, .z_m = 0.03 } };
	struct firn_answer got[4], finer[4];
	struct firn_energy energy;
	struct cell c;

	(void)state;
	make_cell(&c, 2e-3, 1);
	assert_int_equal(
	    firn_conduction_in_time(&c.body, 0.05, 2, times_s, 2, probes, got, &energy), FIRN_OK);
	assert_near(energy.entered + energy.generated, energy.stored, 1e-9 * energy.exchanged);
	c.body.grid.halvings = 2;
	assert_int_equal(
	    firn_conduction_in_time(&c.body, 0.0125, 2, times_s, 2, probes, finer, NULL), FIRN_OK);
	for (int i = 2; i < 4; i++) { /* at the later of both */
		assert_near(got[i].value, finer[i].value, 2 * got[i].error);
		assert_true(got[i].error > 0 && got[i].error < 0.01 * fabs(got[i].value));
	}
}

/* ---- what is told it ---- */

static void heat_and_held(void **state)
{
	struct firn_region regions[] = {
		{ .r1_m = 0.01, .z1_m = 0.1, .of = { 100, 0, 1000, 1000, 0, 0, 0, 0 } },
		{ .r1_m = 0.01, .z0_m = 0.1, .z1_m = 0.11, .is_held = true },
	};
	const struct firn_body body = { 2, 0, 0, regions, NULL, NULL, { 5e-3, 5e-3, 1, 0 } };
	const struct firn_probe mean = { .kind = FIRN_MEAN_OVER };
	struct firn_transient *t = begun(&body);
	struct firn_energy e;

	(void)state;
	assert_int_equal(firn_transient_heat(t, 0, 1e-3), FIRN_OK);
	/* At rest what is generated leaves: its end is 1e-3 W over 0.1 m, k A = 0.0314 W m/K. */
	assert_near_relative(read_at(t, 1e5, 1e-6, &mean), 1e-3 * 0.1 / (3 * 3.14159265e-2), 0.02);
	e = firn_transient_energy(t);
	assert_near_relative(e.generated, 1e-3 * 1e5, 1e-12);
	assert_int_equal(firn_transient_heat(t, 0, 0), FIRN_OK);
	assert_int_equal(firn_transient_hold(t, 1, 7), FIRN_OK);
	assert_near(read_at(t, 2e5, 1e-4, &mean), 7, 1e-6);
	assert_closed(t);
	assert_int_equal(firn_transient_hold(t, 0, 7), FIRN_E_DOMAIN);
	assert_int_equal(firn_transient_hold(t, 2, 7), FIRN_E_DOMAIN);
	assert_int_equal(firn_transient_heat(t, 0, (double)NAN), FIRN_E_DOMAIN);
	assert_int_equal(firn_transient_ambient(t, 0, 7), FIRN_E_DOMAIN);
	firn_transient_free(t);
}

static void nonsense_is_refused(void **state)
{
	struct firn_transient *t = NULL;
	struct wall w;
	double value = 42;
	const struct firn_probe nothing = { .kind = FIRN_MEAN_OVER, .index = 1 };
	struct firn_answer answer;

	(void)state;
	make_wall(&w, 5, 0, 10);
	w.region.of.density_kg_per_m3 = 0;
	assert_int_equal(firn_transient_new(&w.body, &t), FIRN_E_DOMAIN);
	make_wall(&w, 5, 0, 10);
	w.region.liquid = 1.5;
	assert_int_equal(firn_transient_new(&w.body, &t), FIRN_E_DOMAIN);
	make_wall(&w, 5, 0, 10);
	w.region.of.k_liquid_W_per_mK = 0;
	assert_int_equal(firn_transient_new(&w.body, &t), FIRN_E_DOMAIN);
	assert_null(t);
	make_wall(&w, 5, 0, 10);
	t = begun(&w.body);
	assert_int_equal(firn_transient_run(t, (double)NAN, 0.01), FIRN_E_DOMAIN);
	assert_int_equal(firn_transient_run(t, 10, 0), FIRN_E_DOMAIN);
	assert_int_equal(firn_transient_run(t, 10, 0.01), FIRN_OK);
	assert_int_equal(firn_transient_run(t, 9, 0.01), FIRN_E_DOMAIN);
	assert_int_equal(firn_transient_read(t, 1, &nothing, &value), FIRN_E_DOMAIN);
	assert_true(value == 42);
	firn_transient_free(t);
	firn_transient_free(NULL);
	assert_int_equal(
	    firn_conduction_in_time(&w.body, 0.01, 1, &hour_s, 1, &liquid_part, &answer, NULL),
	    FIRN_E_DOMAIN); /* no halving */
}

static void what_is_left_out_is_said(void **state)
{
	size_t n = 0;

	(void)state;
	while (firn_conduction_left_out(273.16, n) != NULL)
		n++;
	assert_true(n >= 3);
	assert_string_not_equal(firn_conduction_left_out(273.16, n - 1),
				firn_conduction_left_out(692.677, n - 1));
	assert_null(firn_conduction_left_out(692.677, n));
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(cooling_cylinder),
		cmocka_unit_test(comes_to_the_steady_answer),
		cmocka_unit_test(neumann),
		cmocka_unit_test(two_phases),
		cmocka_unit_test(order_with_freezing),
		cmocka_unit_test(cylinders),
		cmocka_unit_test(months_of_melting),
		cmocka_unit_test(mantle_grows_and_melts),
		cmocka_unit_test(errors_by_two_grids),
		cmocka_unit_test(heat_and_held),
		cmocka_unit_test(nonsense_is_refused),
		cmocka_unit_test(what_is_left_out_is_said),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
