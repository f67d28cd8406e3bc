/*
 * Every allocation of the engine fails once under `firn reduce` and its explanation: either a
 * message says so and there is no result, or the result is the same to the byte. An uncertainty, a
 * budget or an output that is quietly left out shows as another result.
 *
 * The allocations of GLib end the program by themselves; the linker puts the functions below in
 * place of the others (allocation_test.c does so for the engine alone).
 */
#include "app/calc/evaluate.h"
#include "app/calc/reduce.h"
#include "app/file/job.h"
#include "app/file/model.h"
#include "app/report/result_json.h"

#include "tests/support/near.h"

#include <glib.h>
#include <stdlib.h>

static struct {
	bool counting;
	long calls, fails; /* fails: the number of the one that does, from 1; 0: none */
} allocations;

void *__real_malloc(size_t size);
void *__real_calloc(size_t n, size_t size);
void *__real_realloc(void *block, size_t size);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t n, size_t size);
void *__wrap_realloc(void *block, size_t size);

static bool fails(void)
{
	return allocations.counting && ++allocations.calls == allocations.fails;
}

void *__wrap_malloc(size_t size)
{
	return fails() ? NULL : __real_malloc(size);
}

void *__wrap_calloc(size_t n, size_t size)
{
	return fails() ? NULL : __real_calloc(n, size);
}

void *__wrap_realloc(void *block, size_t size)
{
	return fails() ? NULL : __real_realloc(block, size);
}

/* Invented: tin and indium with everything that a budget can hold, one temperature, a use. */
static const char job_text[] =
    "kind: fixed-point calibration\n"
    "thermometer: {id: T-1, sensor: long stem, nominal_ohm: 25.5}\n"
    "resistors:\n"
    "  S: {ohm: 100.00189, u_ohm: 0.00001, at_C: 20, per_K: -2.3e-6, u_per_K: 2e-7}\n"
    "bridges:\n"
    "  B1: {u_linearity: 2e-8}\n"
    "cells:\n"
    "  W1: {point: H2O, u_cell_mK: 0.04, dof: 9,\n"
    "       isotopes: {dD: -0.0102, u_dD: 1e-3, d18O: -0.0018, u_d18O: 1e-4, r_dD_d18O: 0.5}}\n"
    "  SN: {point: Sn, u_cell_mK: 0.2, total_umol_per_mol: 0.3,\n"
    "       certificate: {correction_mK: 0.1, u_mK: 0.05, contains: [head]}}\n"
    "  IN: {point: In, u_cell_mK: 0.2, impurities: [{element: Pb, x_umol_per_mol: 0.1, k: 0.9}]}\n"
    "visits:\n"
    "  - {id: 1, cell: SN, resistor: S, bridge: B1, pressure_Pa: 101325, u_mK: 0.6}\n"
    "  - {id: 2, cell: W1, resistor: S, bridge: B1, depth_m: 0.251, u_mK: 0.03}\n"
    "  - {id: 3, cell: IN, resistor: S, bridge: B1, depth_m: 0.178, pressure_Pa: 102940, u_mK: 1}\n"
    "  - {id: 4, cell: W1, resistor: S, bridge: B1, depth_m: 0.251, u_mK: 0.03}\n"
    "  - {id: 5, measure: true, resistor: S, bridge: B1, tpw: 4}\n"
    "use: {tpw: 4, u_drift_mK: 0.1}\n"
    "least_squares: true\n"
    "subranges: [H2O_Sn, H2O_In]\n"
    "readings: readings.csv\n";
static const char readings_text[] = "visit,current_mA,ratio,bath_C\n"
				    "1,1.0,0.482188122,20.032\n"
				    "1,2.0,0.482194372,20.032\n"
				    "2,1.0,0.254782844,20.035\n"
				    "2,2.0,0.254788018,20.035\n"
				    "3,1.0,0.410107164,20.030\n"
				    "3,2.0,0.410113265,20.030\n"
				    "4,1.0,0.254782840,20.028\n"
				    "4,2.0,0.254788026,20.028\n"
				    "5,1.0,0.300000000,20.031\n"
				    "5,2.0,0.300005240,20.031\n";
static lab_calibration *calibration(base_messages *messages)
{
	g_autoptr(GBytes) job = g_bytes_new_static(job_text, sizeof job_text - 1);
	g_autoptr(GBytes) readings = g_bytes_new_static(readings_text, sizeof readings_text - 1);
	lab_calibration *c = file_parse_calibration("job", job, readings, messages);

	assert_non_null(c);
	return c;
}

static void reduce(GString *to, base_messages *messages)
{
	g_autoptr(lab_calibration) c = calibration(messages);
	g_autoptr(lab_calibration_result) result = NULL;

	allocations.counting = true;
	result = calc_reduce(c, messages);
	allocations.counting = false;
	if (result != NULL)
		report_calibration_json(c, result, to);
}

static void explain(GString *to, base_messages *messages)
{
	g_autoptr(lab_calibration) c = calibration(messages);

	allocations.counting = true;
	if (!calc_explain(c, "subrange.H2O_Sn.a", to, messages))
		g_string_truncate(to, 0);
	allocations.counting = false;
}

static void test_every_allocation(void **state)
{
	void (*work)(GString *, base_messages *) = *(void (**)(GString *, base_messages *)) * state;
	g_autoptr(GString) good = g_string_new(NULL);
	g_autoptr(base_messages) none = base_messages_new();
	long calls;

	allocations.fails = allocations.calls = 0;
	work(good, none);
	calls = allocations.calls;
	assert_int_equal(base_messages_exit_status(none), 0);
	assert_true(good->len > 0 && calls > 10);
	for (long i = 1; i <= calls; i++) {
		g_autoptr(GString) got = g_string_new(NULL);
		g_autoptr(base_messages) messages = base_messages_new();

		allocations.calls = 0;
		allocations.fails = i;
		work(got, messages);
		if (got->len == 0 ? base_messages_count(messages, BASE_FAILURE) == 1
				  : strcmp(got->str, good->str) == 0)
			continue;
		base_messages_print(messages, stderr);
		fail_msg("allocation %ld of %ld: %zu failures are told, and there is %s", i, calls,
			 base_messages_count(messages, BASE_FAILURE),
			 got->len == 0 ? "no result" : "another result");
	}
}

/* A record that no file makes, because its reader holds the same limits: not a number of it is left
   out. */
static void spoil_depth(lab_calibration *c)
{
	LAB_AT(c->visits, lab_visit, 1)->depth_m = 5.0;
}

static void spoil_pressure(lab_calibration *c)
{
	LAB_AT(c->visits, lab_visit, 0)->pressure_Pa = 1e7;
}

static void spoil_certificate(lab_calibration *c)
{
	LAB_AT(c->cells, lab_cell, 1)->certificate.correction_K = 1.0;
}

static void spoil_isotopes(lab_calibration *c)
{
	LAB_AT(c->cells, lab_cell, 0)->d_D = -10.2;
}

static void spoil_correlation(lab_calibration *c)
{
	LAB_AT(c->cells, lab_cell, 0)->r_d_D_d_18O = 2.0;
}

static void spoil_impurity(lab_calibration *c)
{
	struct lab_cell *cell = LAB_AT(c->cells, lab_cell, 2);

	LAB_AT(cell->impurities, lab_impurity, 0)->k = 50.0;
}

static void spoil_total(lab_calibration *c)
{
	LAB_AT(c->cells, lab_cell, 1)->total_umol_per_mol = 1e6;
}

static struct record_case {
	const char *name;
	void (*spoil)(lab_calibration *c);
	const char *told;
} records[] = {
	{ "a depth of 5 m", spoil_depth, "the head of visit 2 can't be computed" },
	{ "10 MPa", spoil_pressure, "the effect of the pressure at visit 1 can't" },
	{ "a correction of 1 K", spoil_certificate, "the certificate of cell SN states can't" },
	{ "a delta in per mille", spoil_isotopes, "the isotopes of cell W1 can't" },
	{ "a correlation of 2", spoil_correlation, "a correlation of 2 is outside -1 to 1" },
	{ "k = 50", spoil_impurity, "the impurities of cell IN can't" },
	{ "a sample of foreign atoms", spoil_total, "the impurities of cell SN can't" },
};

static void test_record(void **state)
{
	const struct record_case *test = *state;
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(lab_calibration) c = calibration(messages);
	g_autoptr(lab_calibration_result) result = NULL;

	test->spoil(c);
	result = calc_reduce(c, messages);
	assert_null(result);
	assert_int_equal(base_messages_n(messages), 1);
	assert_int_equal(base_messages_at(messages, 0)->kind, BASE_ERROR);
	assert_true(base_messages_at(messages, 0)->mark.line > 0);
	assert_non_null(strstr(base_messages_at(messages, 0)->text, test->told));
}

/* z0 is a number, every further one is a formula of the one before; the last comes first, or last.
 */
static lab_evaluation *evaluate_chain(int n, bool last_first, base_messages *messages)
{
	g_autoptr(GString) text = g_string_new("kind: measurement model\ninputs:\n");
	g_autoptr(GBytes) bytes = NULL;
	g_autoptr(lab_model) model = NULL;

	if (!last_first)
		g_string_append(text, "  z0: {value: 1, u: 0.5}\n");
	for (int i = 1; i < n; i++) {
		const int k = last_first ? n - i : i;

		g_string_append_printf(text, "  z%d: {formula: z%d + 1}\n", k, k - 1);
	}
	if (last_first)
		g_string_append(text, "  z0: {value: 1, u: 0.5}\n");
	g_string_append_printf(text, "outputs:\n  y: {formula: z%d}\n", n - 1);
	bytes = g_bytes_new(text->str, text->len);
	model = file_parse_model("model", bytes, messages);
	assert_non_null(model);
	return calc_evaluate(model, messages);
}

static struct chain_case {
	const char *name;
	int n;
	bool last_first;
	bool computed;
} chains[] = {
	{ "100 formulas, the last first", 101, true, true },
	{ "101 formulas, the last first", 102, true, false },
	{ "as many as a model may have, the last first", 1000, true, false },
	{ "as many, each below what it stands on", 1000, false, true },
};

static void test_chain(void **state)
{
	const struct chain_case *test = *state;
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(lab_evaluation) result = evaluate_chain(test->n, test->last_first, messages);

	assert_int_equal(result != NULL, test->computed);
	assert_int_equal(base_messages_n(messages), test->computed ? 0 : 1);
	if (!test->computed) {
		assert_non_null(strstr(base_messages_at(messages, 0)->text,
				       "write each input above the formulas that stand on it"));
		assert_int_equal(base_messages_at(messages, 0)->mark.line, 103);
		return;
	}
	/* whole numbers and a half: exact */
	assert_near(g_array_index(result->outputs, struct lab_evaluated, 0).value, test->n, 0.0);
	assert_near(g_array_index(result->outputs, struct lab_evaluated, 0).u, 0.5, 0.0);
}

int main(void)
{
	static void (*const works[])(GString *, base_messages *) = { reduce, explain };
	static const char *const names[] = { "reduce", "explain" };
	struct CMUnitTest tests[2 + G_N_ELEMENTS(records) + G_N_ELEMENTS(chains)] = { 0 };

	for (size_t i = 0; i < 2; i++)
		tests[i] = (struct CMUnitTest){ .name = names[i],
						.test_func = test_every_allocation,
						.initial_state = (void *)(uintptr_t)&works[i] };
	for (size_t i = 0; i < G_N_ELEMENTS(records); i++)
		tests[2 + i] = (struct CMUnitTest){ .name = records[i].name,
						    .test_func = test_record,
						    .initial_state = &records[i] };
	for (size_t i = 0; i < G_N_ELEMENTS(chains); i++)
		tests[2 + G_N_ELEMENTS(records) + i] = (struct CMUnitTest){
			.name = chains[i].name, .test_func = test_chain, .initial_state = &chains[i]
		};
	return _cmocka_run_group_tests("results, whole or not at all", tests, G_N_ELEMENTS(tests),
				       NULL, NULL);
}
