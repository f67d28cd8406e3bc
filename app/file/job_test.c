/* Good jobs: what stands in the files stands in the record, in SI units, with its place. */
#include "app/file/job.h"
#include "app/file/kind.h"

#include "app/file/bad_test.h"

#include <math.h>

static const char job[] =
    "kind: fixed-point calibration\n"
    "thermometer: {id: T-0417, sensor: long stem, nominal_ohm: 25.5, element_mm: 40}\n"
    "resistors:\n"
    "  S:  {ohm: 100.000512, u_ohm: 0.00001, at_C: 23, per_K: 3.1e-6, u_per_K: 2e-7}\n"
    "bridges:\n"
    "  B1: {u_linearity: 2e-8}                       # of the ratio\n"
    "cells:\n"
    "  W1: {point: H2O, u_cell_mK: 0.04, isotopes: {dD: -0.0583, d18O: -0.0081}}\n"
    "  W2: {point: H2O, isotopes: unknown}\n"
    "  GA: {point: Ga, triple: true}\n"
    "  NE: {point: Ne, isotopes: {x22: 0.0925, x21: 0.0027}}\n"
    "  AL:\n"
    "    point: Al\n"
    "    u_cell_mK: 0.5\n"
    "    dof: 8\n"
    "    impurities:\n"
    "      - {element: Cu, x_umol_per_mol: 0.3, u_x_umol_per_mol: 0.1, k: 0.15}\n"
    "      - {element: Fe, x_umol_per_mol: 0.2, K_per_umol_per_mol: -7e-4}\n"
    "    certificate: {number: C-3, correction_mK: -0.2, u_mK: 0.1, contains: [isotopes, head]}\n"
    "visits:\n"
    "  - {id: 1, cell: W1, resistor: S, bridge: B1, depth_m: 0.265, u_mK: 0.03,\n"
    "     mantle_age: {effect_mK: -0.02, u_mK: 0.01}}\n"
    "  - {id: \"2a\", cell: AL, resistor: S, bridge: B1, depth_m: 0.170, pressure_Pa: 103100,\n"
    "     u_mK: 2, dof: 5, tpw: 3, terms: {liquidus: {u_mK: 0.3, dof: 4}, leakage: {u_mK: 0}}}\n"
    "  - {id: 3, cell: W1, depth_m: 0.265}\n"
    "  - {id: 12, measure: true, resistor: S, tpw: 1, u_temperature_mK: 0.1}\n"
    "events:\n"
    "  - {kind: transport}\n"
    "  - {after: 3, kind: anneal, note: four hours}\n"
    "tpw: before\n"
    "wr_at_points: equation\n"
    "subranges: [H2O_Al, Hg_Ga]\n"
    "least_squares: true\n"
    "limits: {r_tpw_change_mK: 0.5, capability_mK: 1}\n"
    "readings: readings.csv\n"
    "coverage_factor: 2\n"
    "release: {number: 26-014, date: 2026-11-24, name: A. Example, function: head}\n"
    "report: {laboratory: Hollowmere, paper: Letter}\n";

static const char readings[] =
    "\xef\xbb\xbf# from the bridge\r\n"
    "# times of the clock\r\n"
    "time, visit, current_mA, ratio, resistance_ohm, bath_C, flag\r\n"
    "2026-11-24T09:30:00+01:00,1,1,0.255124284,,23.014,\r\n"
    "2026-11-24T09:30:01+01:00,1,1.4142,0.255126724,,,\"set aside, \"\"a knock\"\"\"\r\n"
    "\r\n"
    ",\"2a\",1,0.861170498,,,ok\r\n"
    ",3,1,,25.5,,\r\n"
    ",3,1,,9.9E37,,set aside: overload\r\n"
    ",12,1,0.05,,,";

static lab_calibration *read_good(void)
{
	g_autoptr(base_messages) messages = base_messages_new();

	bad_write("job.yaml", job);
	bad_write("readings.csv", readings);
	lab_calibration *c = file_read_calibration("job.yaml", messages);
	g_autofree char *got = bad_messages(messages, "job.yaml");
	assert_string_equal(got, "");
	assert_non_null(c);
	return c;
}

static void test_equipment(void **state)
{
	g_autoptr(lab_calibration) c = read_good();
	const struct lab_resistor *s = LAB_AT(c->resistors, lab_resistor, 0);
	const struct lab_cell *w1 = LAB_AT(c->cells, lab_cell, 0);
	const struct lab_cell *ga = LAB_AT(c->cells, lab_cell, 2);
	const struct lab_cell *al = LAB_AT(c->cells, lab_cell, 4);

	(void)state;
	assert_string_equal(c->thermometer.id, "T-0417");
	assert_int_equal(c->thermometer.sensor, LAB_LONG_STEM);
	assert_near(c->thermometer.element_m, 40 * 1e-3, 0.0);
	assert_false(lab_given(c->thermometer.tip_to_element_m));
	assert_string_equal(s->id, "S");
	assert_near(s->ohm, 100.000512, 0.0);
	assert_true(isinf(s->dof));
	assert_near(LAB_AT(c->bridges, lab_bridge, 0)->u_linearity, 2e-8, 0.0);
	assert_int_equal(w1->point, LAB_H2O);
	assert_near(w1->u_cell_K, 0.04 * 1e-3, 0.0);
	assert_near(w1->d_18O, -0.0081, 0.0);
	assert_true(LAB_AT(c->cells, lab_cell, 1)->isotopes_unknown);
	assert_false(lab_given(LAB_AT(c->cells, lab_cell, 1)->dof));
	assert_true(ga->triple);
	assert_near(LAB_AT(c->cells, lab_cell, 3)->x22, 0.0925, 0.0);
	assert_near(al->dof, 8.0, 0.0);
	assert_int_equal(al->impurities->len, 2);
	assert_string_equal(LAB_AT(al->impurities, lab_impurity, 1)->element, "Fe");
	assert_near(LAB_AT(al->impurities, lab_impurity, 1)->K_per_umol_per_mol, -7e-4, 0.0);
	assert_near(al->certificate.correction_K, -0.2 * 1e-3, 0.0);
	assert_true(al->certificate.holds_isotopes && al->certificate.holds_head);
	assert_false(al->certificate.holds_pressure || al->certificate.holds_impurities);
}

static void test_visits(void **state)
{
	g_autoptr(lab_calibration) c = read_good();
	const struct lab_visit *first = LAB_AT(c->visits, lab_visit, 0);
	const struct lab_visit *al = LAB_AT(c->visits, lab_visit, 1);
	const struct lab_visit *ohm = LAB_AT(c->visits, lab_visit, 2);
	const struct lab_visit *measure = LAB_AT(c->visits, lab_visit, 3);

	(void)state;
	assert_int_equal(c->visits->len, 4);
	assert_near(first->mantle_age_K, -0.02 * 1e-3, 0.0);
	assert_int_equal(first->tpw, -1);
	assert_string_equal(al->id, "2a");
	assert_int_equal(al->cell, 4);
	assert_int_equal(al->tpw, 2);
	assert_near(al->pressure_Pa, 103100.0, 0.0);
	assert_near(al->dof, 5.0, 0.0);
	assert_near(al->terms[LAB_LIQUIDUS].u, 0.3 * 1e-3, 0.0);
	assert_near(al->terms[LAB_LIQUIDUS].dof, 4.0, 0.0);
	assert_near(al->terms[LAB_LEAKAGE].u, 0.0, 0.0);
	assert_false(lab_given(al->terms[LAB_STRAIN].u));
	assert_int_equal(ohm->resistor, -1);
	assert_int_equal(ohm->bridge, -1);
	assert_false(lab_given(ohm->u_K));
	assert_true(measure->measure);
	assert_int_equal(measure->cell, -1);
	assert_int_equal(measure->tpw, 0);
	assert_near(measure->u_temperature_K, 0.1 * 1e-3, 0.0);
	assert_int_equal(LAB_AT(c->events, lab_event, 0)->after, -1);
	assert_int_equal(LAB_AT(c->events, lab_event, 1)->after, 2);
	assert_string_equal(LAB_AT(c->events, lab_event, 1)->kind, "anneal");
}

static void test_settings(void **state)
{
	g_autoptr(lab_calibration) c = read_good();

	(void)state;
	assert_int_equal(c->tpw_scheme, LAB_TPW_BEFORE);
	assert_true(c->wr_from_equation);
	assert_true(c->least_squares);
	assert_false(c->subranges_all);
	for (int s = 0; s < LAB_SUBRANGES; s++)
		assert_int_equal(c->subranges[s], s == LAB_H2O_AL || s == LAB_HG_GA);
	assert_near(c->coverage_factor, 2.0, 0.0);
	assert_false(lab_given(c->coverage_probability));
	assert_near(c->limits.r_tpw_change_K, 0.5 * 1e-3, 0.0);
	assert_true(c->release.given);
	assert_string_equal(c->release.number, "26-014");
	assert_string_equal(c->report.laboratory, "Hollowmere");
	assert_string_equal(c->report.paper, "Letter");
	assert_null(c->report.customer);
}

static void test_marks(void **state)
{
	static const struct {
		const char *path;
		int line, column;
	} marks[] = {
		{ "thermometer.nominal_ohm", 2, 59 },
		{ "resistor.S", 4, 3 },
		{ "resistor.S.u_ohm", 4, 32 },
		{ "bridge.B1.u_linearity", 6, 21 },
		{ "cell.W1.isotopes.dD", 8, 52 },
		{ "cell.AL.impurities.2.x_umol_per_mol", 18, 39 },
		{ "cell.AL.impurities.2.u_x_umol_per_mol", 18, 9 },
		{ "cell.AL.certificate.u_mK", 19, 59 },
		{ "visit.1.mantle_age.effect_mK", 22, 30 },
		{ "visit.2a.depth_m", 23, 60 },
		{ "visit.2a.terms.liquidus.u_mK", 24, 56 },
		{ "event.2.after", 29, 13 },
		{ "tpw", 30, 6 },
		{ "limits.capability_mK", 34, 47 },
		{ "release.date", 37, 33 },
	};
	g_autoptr(lab_calibration) c = read_good();

	(void)state;
	for (size_t i = 0; i < G_N_ELEMENTS(marks); i++) {
		const struct base_mark got = lab_calibration_mark(c, marks[i].path);

		print_message("# %s\n", marks[i].path);
		assert_int_equal(got.line, marks[i].line);
		assert_int_equal(got.column, marks[i].column);
	}
}

static void test_readings(void **state)
{
	g_autoptr(lab_calibration) c = read_good();
	const struct lab_reading *r = LAB_AT(c->readings, lab_reading, 0);

	(void)state;
	assert_int_equal(c->readings->len, 6);
	/* date -u -d 2026-11-24T09:30:00+01:00 +%s */
	assert_int_equal(r[0].time_us, INT64_C(1795509000000000));
	assert_int_equal(c->utc_offset_min, 60);
	assert_int_equal(r[1].time_us - r[0].time_us, 1000000);
	assert_near(r[1].current_A, 1.4142 * 1e-3, 0.0);
	assert_near(r[0].ratio, 0.255124284, 0.0);
	assert_true(isnan(r[0].resistance_ohm));
	assert_near(r[0].bath_C, 23.014, 0.0);
	assert_int_equal(r[0].line, 4);
	assert_false(r[0].set_aside);
	assert_null(r[0].flag);
	assert_true(r[1].set_aside);
	assert_string_equal(r[1].flag, "set aside, \"a knock\"");
	assert_int_equal(r[2].visit, 1);
	assert_int_equal(r[2].time_us, INT64_MIN);
	assert_int_equal(r[2].line, 7);
	assert_string_equal(r[2].flag, "ok");
	assert_false(r[2].set_aside);
	assert_near(r[3].resistance_ohm, 25.5, 0.0);
	assert_true(r[4].set_aside && isnan(r[4].resistance_ohm));
	assert_int_equal(r[5].visit, 3);
}

/* The path of the readings counts from the folder of the job, wherever the program runs. */
static void test_inputs(void **state)
{
	g_autoptr(lab_calibration) c = read_good();
	g_autofree char *want = g_compute_checksum_for_string(G_CHECKSUM_SHA256, job, -1);
	g_autoptr(base_messages) messages = base_messages_new();
	g_autofree char *path = g_build_filename(bad_folder, "job.yaml", NULL);
	g_autofree char *csv = g_build_filename(bad_folder, "readings.csv", NULL);

	(void)state;
	assert_int_equal(c->inputs->len, 2);
	assert_string_equal(LAB_AT(c->inputs, lab_file_id, 0)->path, "job.yaml");
	assert_string_equal(LAB_AT(c->inputs, lab_file_id, 0)->sha256, want);
	assert_string_equal(LAB_AT(c->inputs, lab_file_id, 1)->path, "readings.csv");
	assert_string_equal(c->path, "job.yaml");

	assert_int_equal(g_chdir("/"), 0);
	g_autoptr(lab_calibration) from_elsewhere = file_read_calibration(path, messages);
	assert_int_equal(g_chdir(bad_folder), 0);
	assert_non_null(from_elsewhere);
	assert_string_equal(from_elsewhere->readings_path, csv);
}

/* Editors of some systems put the mark before a text; it changes nothing, nor any position. */
static void test_byte_order_mark(void **state)
{
	g_autofree char *marked = g_strconcat("\xef\xbb\xbf", job, NULL);
	g_autoptr(base_messages) messages = base_messages_new();

	(void)state;
	bad_write("marked.yaml", marked);
	g_autoptr(lab_calibration) c = file_read_calibration("marked.yaml", messages);
	assert_int_equal(base_messages_n(messages), 0);
	assert_non_null(c);
	assert_int_equal(lab_calibration_mark(c, "limits.capability_mK").line, 34);
	assert_int_equal(lab_calibration_mark(c, "limits.capability_mK").column, 47);
}

static void test_kinds(void **state)
{
	g_autoptr(base_messages) messages = base_messages_new();

	(void)state;
	bad_write("a.yaml", job);
	assert_int_equal(file_kind("a.yaml", messages), FILE_FIXED_POINT_CALIBRATION);
	bad_write("a.yaml", "kind: measurement model\n");
	assert_int_equal(file_kind("a.yaml", messages), FILE_MEASUREMENT_MODEL);
	assert_int_equal(base_messages_n(messages), 0);

	bad_write("a.yaml", "title: no kind\n");
	assert_int_equal(file_kind("a.yaml", messages), FILE_NO_KIND);
	bad_write("b.yaml", "kind: measurment model\n");
	assert_int_equal(file_kind("b.yaml", messages), FILE_NO_KIND);
	assert_int_equal(file_kind("missing.yaml", messages), FILE_NO_KIND);
	g_autofree char *got = bad_messages(messages, "a.yaml");
	assert_string_equal(
	    got,
	    "1:1: the file does not say its kind; add kind: and one of fixed-point calibration, "
	    "measurement model, cell, procedure, procedure change, plan or cell comparison\n"
	    "b.yaml:1:7: kind is \"measurment model\"; did you mean measurement model?\n"
	    "missing.yaml:0:0: there is no such file; check the name and the folder");
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_equipment), cmocka_unit_test(test_visits),
		cmocka_unit_test(test_settings),  cmocka_unit_test(test_marks),
		cmocka_unit_test(test_readings),  cmocka_unit_test(test_inputs),
		cmocka_unit_test(test_kinds),     cmocka_unit_test(test_byte_order_mark),
	};

	return cmocka_run_group_tests(tests, bad_set_up, bad_tear_down);
}
