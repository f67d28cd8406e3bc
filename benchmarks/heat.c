/*
 * Freezing and melting of made-up cells, in processor seconds of the thread.
 *
 * Commands: "freeze SECONDS" grows ice on a well for so long, on 100 x 400 cells; "melt" a month of
 * a mantle in a bath 5 mK too warm; "insert" the first hour after a warm thermometer has come into
 * the well. Then "part": what is liquid of the water that was last computed; "steps"; "balance":
 * what energy lacks, as part of what was exchanged.
 */
#include "benchmarks/driver.h"

#include "firn/conduction.h"

#include <math.h>

static const struct firn_conductor glass = { 1.1, 0, 2230, 840, 0, 0, 0, 0 };
static const struct firn_conductor silica = { 1.38, 0, 2200, 740, 0, 0, 0, 0 };
static const struct firn_conductor filling = {
	0.03, 0.5, 500, 500, 0, 0, 0, 0
}; /* gas and wires */
static const struct firn_conductor well_water = { 0.556, 0, 1000, 4220, 0, 0, 0, 0 };
static const struct firn_conductor water = { 2.14, 0, 916.7, 2097, 333440, 0, 0.5556, 4219 };

struct course {
	struct firn_transient *t;
	size_t water; /* its region */
};

static double follow(struct course *c, const struct firn_body *body, size_t region, double until_s,
		     double accuracy_K)
{
	const double start = seconds(CLOCK_THREAD_CPUTIME_ID);

	firn_transient_free(c->t);
	c->t = NULL;
	c->water = region;
	if (firn_transient_new(body, &c->t) < 0 ||
	    firn_transient_run(c->t, until_s, accuracy_K) < 0)
		return NAN;
	return seconds(CLOCK_THREAD_CPUTIME_ID) - start;
}

/* Cells of 0.25 mm x 0.65 mm; scipy_freezing.py has the same numbers. */
static double freeze(struct course *c, double until_s)
{
	const struct firn_region regions[] = {
		{ .r0_m = 6e-3, .r1_m = 31e-3, .z1_m = 0.26, .of = glass },
		{ .r0_m = 7.25e-3,
		  .r1_m = 29.75e-3,
		  .z0_m = 2.6e-3,
		  .z1_m = 0.26,
		  .of = water,
		  .liquid = 1 },
	};
	const struct firn_boundary sides[] = { { FIRN_INNER, 0, 0.195, 200, -2 },
					       { FIRN_INNER, 0.195, 0.26, 5, 20 },
					       { FIRN_TOP, 0, 0, 5, 20 },
					       { FIRN_OUTER, 0, 0, 50, 0.02 } };
	const struct firn_body body = {
		2, 4, 0, regions, sides, NULL, { 0.2500001e-3, 0.6500001e-3, 1, 0 }
	};

	return follow(c, &body, 1, until_s, 0.05);
}

static double melt(struct course *c)
{
	const struct firn_region regions[] = {
		{ .r0_m = 6e-3, .r1_m = 30e-3, .z1_m = 0.25, .of = glass },
		{ .r0_m = 7.25e-3,
		  .r1_m = 27.5e-3,
		  .z0_m = 2.5e-3,
		  .z1_m = 0.25,
		  .of = water,
		  .liquid = 1 },
		{ .r0_m = 7.25e-3, .r1_m = 15.5e-3, .z0_m = 20e-3, .z1_m = 0.22, .of = water },
	};
	const struct firn_boundary sides[] = { { FIRN_OUTER, 0, 0, 200, 0.005 },
					       { FIRN_BOTTOM, 0, 0, 200, 0.005 },
					       { FIRN_TOP, 0, 0, 5, 0.1 } };
	const struct firn_body body = { 3, 3, 0, regions, sides, NULL, { 0.5e-3, 2e-3, 1.1, 0 } };

	return follow(c, &body, 2, 30 * 86400.0, 1e-4);
}

/* Stem in air above the cell; element not resolved: gas and wires as one. */
static double insert(struct course *c)
{
	const double top_m = 0.45, well_m = 0.25;
	const struct firn_region regions[] = {
		{ .r1_m = 30e-3, .z1_m = top_m, .of = glass, .is_held = true, .start_K = 20 },
		{ .r0_m = 6e-3, .r1_m = 30e-3, .z1_m = well_m, .of = glass },
		{ .r1_m = 6e-3, .z1_m = well_m, .of = well_water },
		{ .r0_m = 7.25e-3,
		  .r1_m = 27.5e-3,
		  .z0_m = 2.5e-3,
		  .z1_m = 0.24,
		  .of = water,
		  .liquid = 1 },
		{ .r0_m = 7.25e-3, .r1_m = 15.5e-3, .z0_m = 2.5e-3, .z1_m = 0.22, .of = water },
		{ .r1_m = 3.75e-3, .z0_m = 10e-3, .z1_m = top_m, .of = silica, .start_K = 20 },
		{ .r1_m = 2.75e-3, .z0_m = 12e-3, .z1_m = top_m, .of = filling, .start_K = 20 },
	};
	const struct firn_contact films[] = { { false, 3.75e-3, well_m, top_m, 8 },
					      { true, well_m, 3.75e-3, 30e-3, 8 } };
	const struct firn_boundary bath = { FIRN_OUTER, 0, well_m, 100, 0 };
	const struct firn_body body = {
		7, 1, 2, regions, &bath, films, { 0.3e-3, 1.5e-3, 1.2, 0 }
	};

	return follow(c, &body, 4, 3600, 0.02);
}

static double part(const struct course *c)
{
	const struct firn_probe probe = { .kind = FIRN_LIQUID_PART, .index = c->water };
	double value;

	return firn_transient_read(c->t, 1, &probe, &value) < 0 ? NAN : value;
}

static double balance(const struct course *c)
{
	const struct firn_energy e = firn_transient_energy(c->t);

	return fabs(e.entered + e.generated - e.stored) / e.exchanged;
}

static double answer(void *context, size_t n, char **words)
{
	struct course *c = context;

	if (strcmp(words[0], "freeze") == 0 && n > 1)
		return freeze(c, atof(words[1]));
	if (strcmp(words[0], "melt") == 0)
		return melt(c);
	if (strcmp(words[0], "insert") == 0)
		return insert(c);
	if (c->t == NULL)
		return NAN;
	return strcmp(words[0], "part") == 0    ? part(c)
	       : strcmp(words[0], "steps") == 0 ? (double)firn_transient_steps(c->t)
						: balance(c);
}

int main(void)
{
	struct course course = { NULL, 0 };

	driver_run(answer, &course);
	firn_transient_free(course.t);
	return 0;
}
