/*
 * Every allocation of the engine fails once, and then all from each one on: no crash, nothing lost,
 * and either FIRN_E_MEMORY or the result as it would have been.
 *
 * The linker puts the functions below in place of malloc, calloc, realloc and free in the engine's
 * objects; those of the libraries are left alone.
 */
#include "firn/conduction.h"
#include "firn/correction.h"
#include "firn/differences.h"
#include "firn/monte_carlo.h"
#include "firn/scale.h"
#include "firn/series.h"
#include "firn/zero_power.h"

#include "tests/support/near.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_RESULTS = 40, LONGEST = 20000 };

static struct counting {
	bool counting;
	long calls;     /* since counting began */
	long fail_from; /* 1: the first call; 0: none */
	bool go_on;     /* all from there on fail, not only the one */
	long live;      /* blocks that were not given back */
} allocations;

void *__real_malloc(size_t size);
void *__real_calloc(size_t n, size_t size);
void *__real_realloc(void *block, size_t size);
void __real_free(void *block);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t n, size_t size);
void *__wrap_realloc(void *block, size_t size);
void __wrap_free(void *block);

static bool may_fail(void)
{
	if (!allocations.counting)
		return false;
	allocations.calls++;
	return allocations.fail_from > 0 &&
	       (allocations.go_on ? allocations.calls >= allocations.fail_from
				  : allocations.calls == allocations.fail_from);
}

static void *given(void *block)
{
	allocations.live += allocations.counting && block != NULL;
	return block;
}

void *__wrap_malloc(size_t size)
{
	return may_fail() ? NULL : given(__real_malloc(size));
}

void *__wrap_calloc(size_t n, size_t size)
{
	return may_fail() ? NULL : given(__real_calloc(n, size));
}

void *__wrap_realloc(void *block, size_t size)
{
	if (may_fail())
		return NULL;
	return block == NULL ? given(__real_malloc(size)) : __real_realloc(block, size);
}

void __wrap_free(void *block)
{
	allocations.live -= allocations.counting && block != NULL;
	__real_free(block);
}

/* What a run came to: the statuses that it saw, and its numbers. */
struct outcome {
	bool no_memory;         /* FIRN_E_MEMORY was said, or a tape could not be made */
	enum firn_status other; /* a negative status that is none of memory; it stays FIRN_OK */
	size_t n;
	double results[MOST_RESULTS];
};

static void note(struct outcome *o, enum firn_status status)
{
	if (status == FIRN_E_MEMORY)
		o->no_memory = true;
	else if (status < 0 && o->other == FIRN_OK)
		o->other = status;
}

static void keep(struct outcome *o, double x)
{
	assert_true(o->n < MOST_RESULTS);
	o->results[o->n++] = x;
}

/* Of what returns a number alone: NaN is its word that it had no memory. */
static void keep_or_note(struct outcome *o, double x)
{
	if (isnan(x))
		o->no_memory = true;
	else
		keep(o, x);
}

static struct firn_node input(struct firn_tape *tape, const char *name, double value, double u)
{
	return firn_tape_input(
	    tape,
	    &(struct firn_input){
		.name = name, .unit = "m", .source = "made up", .value = value, .u = u, .dof = 7 });
}

static void keep_law(struct outcome *o, size_t n, const struct firn_node *y)
{
	struct firn_budget_line lines[8];
	double covariance[16], refined[4], u, dof;
	size_t found = 0;
	enum firn_status status;

	note(o, firn_covariance(n, y, covariance));
	note(o, firn_refined_values(n, y, refined));
	for (size_t i = 0; i < n; i++) {
		status = firn_u_dof(y[i], &u, &dof);
		note(o, status);
		if (status >= 0)
			keep(o, dof);
		keep(o, firn_value(y[i]));
		keep_or_note(o, firn_u(y[i]));
		status = firn_budget(y[i], 8, lines, &found);
		note(o, status);
		for (size_t j = 0; status >= 0 && j < found; j++)
			keep(o, lines[j].contribution);
	}
}

static struct firn_node find_x(void *context, const char *name, size_t length)
{
	const struct firn_node *x = context;

	return length == 1 && name[0] == 'a'   ? x[0]
	       : length == 1 && name[0] == 'b' ? x[1]
					       : (struct firn_node){ .tape = x[0].tape };
}

/* Inputs, formulas, an equation, least squares, correlations, explanations. */
static void run_tape(struct outcome *o)
{
	static const double readings[] = { 1.0, 1.1, 0.9, 1.05, 0.95 },
			    others[] = { 2.0, 2.1, 1.9, 2.0, 2.0 };
	struct firn_tape *tape = firn_tape_new();

	if (tape == NULL) {
		o->no_memory = true;
		return;
	}
	struct firn_node x[2] = { input(tape, "a", 3.0, 0.1), input(tape, "b", 4.0, 0.2) };
	const struct firn_node p = firn_tape_readings(tape, "p", "m", 5, readings);
	const struct firn_node q = firn_tape_readings(tape, "q", "m", 5, others);
	if (firn_tape_status(tape) >= 0) {
		note(o, firn_tape_readings_together(p, q, 5, readings, others));
		note(o, firn_tape_correlate(x[0], x[1], 0.3));
	}
	const struct firn_node one = firn_constant(tape, 1.0), a = x[0], b = x[1];
	const struct firn_node matrix[] = { one, a, one, b, one, p }, side[] = { a, b, q };
	struct firn_node y[4], line[2];

	y[0] = firn_formula_lookup(tape, "y = sqrt(a^2 + b^2)*exp(-a/10) + max(a, b)", find_x, x);
	y[1] = firn_root(tape, "x^3 + a*x = 10*b", "x", 2.0, find_x, x);
	firn_least_squares(3, 2, matrix, side, line);
	y[2] = line[1];
	y[3] = firn_formula("y = p*q + a/b", p, q, a, b);
	note(o, firn_tape_status(tape));
	if (firn_tape_status(tape) >= 0) {
		struct firn_explanation explanation;

		keep_law(o, 4, y);
		keep_or_note(o, firn_sensitivity(y[3], a));
		note(o, firn_explain(y[0], &explanation));
	}
	firn_tape_free(tape);
}

/* From readings at three currents to a coefficient and a temperature. */
static void run_physics(struct outcome *o)
{
	struct firn_tape *tape = firn_tape_new();
	const struct firn_subrange *subrange = firn_scale_subrange(FIRN_H2O_IN);

	if (tape == NULL) {
		o->no_memory = true;
		return;
	}
	const struct firn_reading readings[] = {
		{ input(tape, "i1", 1e-3, 1e-8), input(tape, "r1", 41.0001, 1e-5) },
		{ input(tape, "i2", 1.4e-3, 1e-8), input(tape, "r2", 41.0002, 1e-5) },
		{ input(tape, "i3", 2e-3, 1e-8), input(tape, "r3", 41.0004, 1e-5) },
	};
	const struct firn_node tpw = input(tape, "tpw", 25.47, 1e-5);
	struct firn_zero_power line = { .r0_ohm = { .tape = tape } };
	struct firn_node dt_K, c[FIRN_MOST_COEFFICIENTS], w_al;

	if (firn_tape_status(tape) >= 0)
		note(o, firn_zero_power_of(3, readings, (struct firn_node){ 0 }, &line));
	if (firn_tape_status(tape) >= 0)
		note(o, firn_head(firn_constant(tape, 3.3e-3), input(tape, "depth", 0.18, 0.002),
				  &dt_K));
	if (firn_tape_status(tape) >= 0 && !o->no_memory) {
		const struct firn_node r0 = line.r0_ohm;
		const struct firn_node w = firn_formula("W = r0/tpw - 3.8e-3*dt_K", r0, tpw, dt_K);
		const struct firn_node wr = firn_wr_at(tape, FIRN_IN, false);

		note(o, firn_deviation_solve(subrange, 1, &w, &wr, c, &w_al));
		if (firn_tape_status(tape) >= 0) {
			const struct firn_node y[2] = {
				c[0], firn_t90_of_wr(true, firn_wr_of_w(subrange, c, w, w_al))
			};

			note(o, firn_tape_status(tape));
			if (firn_tape_status(tape) >= 0)
				keep_law(o, 2, y);
		}
	}
	note(o, firn_tape_status(tape));
	firn_tape_free(tape);
}

static void run_series(struct outcome *o)
{
	static const double x[] = { 1.00, 1.02, 0.99, 1.01, 1.03, 0.98, 1.00, 1.01, 1.30, 1.00 };
	const struct firn_readings readings = { .n = 10, .x = x };
	struct firn_mean mean = { .mean = (double)NAN };
	struct firn_drift drift = { .slope = (double)NAN };
	double allan = (double)NAN, r[3] = { 0.0 };
	bool flags[10] = { false };
	size_t outliers = 0;

	note(o, firn_series_mean(&readings, &mean));
	note(o, firn_series_drift(&readings, &drift));
	note(o, firn_series_outliers(&readings, 0.05, flags, &outliers));
	note(o, firn_series_allan(&readings, 2, true, &allan));
	note(o, firn_series_autocorrelation(&readings, 3, r));
	keep(o, mean.u);
	keep(o, drift.u_slope);
	keep(o, (double)outliers);
	keep(o, allan);
	keep(o, r[0]);
}

/* Trials, their covariance and the adaptive procedure. */
static void run_trials(struct outcome *o)
{
	const struct firn_monte_carlo_settings settings = {
		.trials = 20000, .seed = 1, .coverage_probability = 0.95, .shortest = true
	};
	struct firn_monte_carlo_result results[2] = { 0 };
	struct firn_tape *tape = firn_tape_new();
	double covariance[4] = { 0.0 };
	uint64_t enough = 0;
	bool stable = false;

	if (tape == NULL) {
		o->no_memory = true;
		return;
	}
	const struct firn_node a = input(tape, "a", 3.0, 0.1), b = input(tape, "b", 4.0, 0.2);
	if (firn_tape_status(tape) >= 0)
		note(o, firn_tape_correlate(a, b, 0.3));
	const struct firn_node y[2] = { firn_formula("y = a*b", a, b),
					firn_formula("y = a^2 + b", a, b) };
	note(o, firn_tape_status(tape));
	if (firn_tape_status(tape) >= 0) {
		note(o, firn_monte_carlo(2, y, &settings, results));
		note(o, firn_monte_carlo_covariance(2, y, &settings, covariance));
		note(o, firn_monte_carlo_enough(2, y, &settings, 1, &enough, &stable));
		for (int i = 0; i < 2; i++) {
			keep(o, results[i].u);
			keep(o, results[i].low);
			keep(o, results[i].shortest_high);
		}
		keep(o, covariance[1]);
		keep(o, (double)enough);
	}
	firn_tape_free(tape);
}

/* A small body, steady and in time; its conductivity as a quantity. */
static enum firn_status heat_model(void *context, const double *x, double *ret_y)
{
	const struct firn_region water = { .r1_m = 0.01,
					   .z1_m = 0.01,
					   .of = { x[0], 0, 917, 2097, 333440, 0, 0.56, 4219 },
					   .liquid = 1,
					   .heat_W = 0.001 };
	const struct firn_boundary cold = { FIRN_OUTER, 0, 0, 100, -1 };
	const struct firn_contact gap = { true, 0.005, 0, 0.01, 50 };
	const struct firn_body body = { 1, 1, 1, &water, &cold, &gap, { 5e-3, 5e-3, 1, 2 } };
	const struct firn_probe mean = { .kind = FIRN_MEAN_OVER },
				part = { .kind = FIRN_LIQUID_PART };
	const double time_s = 60;
	struct firn_answer answers[2];
	enum firn_status status = firn_conduction_steady(&body, 1, &mean, &answers[0], NULL);

	(void)context;
	if (status == FIRN_OK)
		status = firn_conduction_in_time(&body, 1, 1, &time_s, 1, &part, &answers[1], NULL);
	if (status == FIRN_OK) {
		ret_y[0] = answers[0].value;
		ret_y[1] = answers[1].value;
	}
	return status;
}

static void run_heat(struct outcome *o)
{
	static const char *const name = "k";
	struct firn_tape *tape = firn_tape_new();

	if (tape == NULL) {
		o->no_memory = true;
		return;
	}
	const struct firn_node k = input(tape, name, 2.14, 0.05);
	struct firn_node y[2];
	enum firn_status status = firn_tape_status(tape);

	if (status >= 0)
		status = firn_by_differences(1, &k, &name, 2, heat_model, NULL, y, NULL);
	note(o, status);
	for (int i = 0; i < 2 && status >= 0; i++) {
		keep(o, firn_value(y[i]));
		keep_or_note(o, firn_u(y[i]));
	}
	firn_tape_free(tape);
}

/* One run with its allocations counted, the given one failing. */
static struct outcome run(void (*work)(struct outcome *), long fail_from, bool go_on)
{
	struct outcome o = { .other = FIRN_OK };

	allocations = (struct counting){ .counting = true, .fail_from = fail_from, .go_on = go_on };
	work(&o);
	allocations.counting = false;
	return o;
}

static bool is_same(const struct outcome *a, const struct outcome *b)
{
	return a->n == b->n && memcmp(a->results, b->results, a->n * sizeof(a->results[0])) == 0;
}

static void test_every_allocation(void **state)
{
	void (*work)(struct outcome *) = *(void (**)(struct outcome *)) * state;
	const struct outcome good = run(work, 0, false);
	const long calls = allocations.calls;

	assert_int_equal(good.other, FIRN_OK);
	assert_false(good.no_memory);
	assert_int_equal(allocations.live, 0);
	assert_true(good.n > 0 && calls > 0 && calls < LONGEST);
	for (int go_on = 0; go_on < 2; go_on++) {
		for (long i = 1; i <= calls; i++) {
			const struct outcome o = run(work, i, go_on == 1);

			if (o.other != FIRN_OK || !(o.no_memory || is_same(&o, &good)))
				fail_msg("allocation %ld of %ld%s: status %d, no word of memory, "
					 "or other numbers",
					 i, calls, go_on == 1 ? " and all after it" : "", o.other);
			if (allocations.live != 0)
				fail_msg("allocation %ld of %ld%s: %ld blocks were not given back",
					 i, calls, go_on == 1 ? " and all after it" : "",
					 allocations.live);
		}
	}
}

int main(void)
{
	static void (*const works[])(struct outcome *) = { run_tape, run_physics, run_series,
							   run_trials, run_heat };
	static const char *const names[] = { "tape", "physics", "series", "trials", "heat" };
	struct CMUnitTest tests[5] = { 0 };

	for (size_t i = 0; i < 5; i++)
		tests[i] = (struct CMUnitTest){ .name = names[i],
						.test_func = test_every_allocation,
						.initial_state = (void *)(uintptr_t)&works[i] };
	return _cmocka_run_group_tests("memory that is not to be had", tests, 5, NULL, NULL);
}
