/* The file of a cell: what stands in it stands in the record, and what is wrong is said. */
#include "app/file/cell.h"

#include "app/base/time.h"
#include "app/file/bad_test.h"

#include <math.h>

static const char good[] =
    "kind: cell\n"
    "title: A large cell\n"
    "thermometer:\n"
    "  id: T-0417\n"
    "  sensor: long stem\n"
    "  nominal_ohm: 25.5\n"
    "  currents_mA: [1, 1.4142]\n"
    "  sheath: {material: fused silica, outer_mm: {value: 7.5, u: 0.05}, inner_mm: 5.5}\n"
    "  leads: {material: platinum, count: 4, diameter_mm: 0.3}\n"
    "  element: {length_mm: 40, from_tip_mm: 5}\n"
    "  filling: air\n"
    "cell:\n"
    "  id: W-3\n"
    "  point: H2O\n"
    "  well: {material: borosilicate, bore_mm: 12, wall_mm: 1.25, depth_mm: 320}\n"
    "  level_mm: 265\n"
    "  envelope: {material: borosilicate, bore_mm: 55, wall_mm: 2.5}\n"
    "  isotopes: {dD: {value: -0.0583, u: 0.001}, d18O: -0.0081}\n"
    "contact:\n"
    "  fluid: water\n"
    "  pad_mm: 5\n"
    "  bushing: {material: aluminium, outer_mm: 11.5, inner_mm: 8, length_mm: 60}\n"
    "surroundings: {ambient_C: 21, kept_in: bath, offset_mK: -2.5, spread_mK: 1, cells: 3}\n"
    "mantle:\n"
    "  way: dry ice\n"
    "  frozen: 2031-02-20T09:00:00Z\n"
    "  ice_mm: {value: 9, u: 1}\n"
    "  looks:\n"
    "    - {time: 2031-02-27T09:00:00Z, ice_mm: {value: 8, u: 0.5}, free: true, bridge: false}\n"
    "  insertions:\n"
    "    - {time: 2031-03-02T09:00:00Z, from_C: 1}\n"
    "wanted: {u_mK: 0.05, within_uK: 10, from_C: 1, days: 30}\n"
    "preparation:\n"
    "  way: dry ice\n"
    "  ice_mm: 8\n"
    "  record: [[10, 3.5], [30, 8]]\n"
    "settling:\n"
    "  - {from_C: 1, readings: [[5, 12], [10, 1.4]]}\n";

static lab_cell_study *read_text(const char *text, const char *want)
{
	g_autoptr(base_messages) messages = base_messages_new();

	bad_write("cell.yaml", text);
	lab_cell_study *study = file_read_cell("cell.yaml", messages);
	g_autofree char *got = bad_messages(messages, "cell.yaml");
	assert_string_equal(got, want);
	return study;
}

/* Values are exact: each is the file's number times a power of ten, rounded once as here. */
static void test_good(void **state)
{
	g_autoptr(lab_cell_study) s = read_text(good, "");

	(void)state;
	assert_non_null(s);
	assert_string_equal(s->thermometer.id, "T-0417");
	assert_int_equal(s->thermometer.sensor, LAB_LONG_STEM);
	assert_near(s->thermometer.sheath.outer_m.value, 7.5 * 1e-3, 0.0);
	assert_near(s->thermometer.sheath.outer_m.u, 0.05 * 1e-3, 0.0);
	assert_false(lab_given(s->thermometer.sheath.inner_m.u));
	assert_false(lab_stated(&s->thermometer.sheath.length_m));
	assert_near(s->thermometer.currents_A[1], 1.4142 * 1e-3, 0.0);
	assert_int_equal(s->cell.medium, LAB_TRIPLE_POINT_CELL);
	assert_near(s->cell.dD.u, 0.001, 0.0);
	assert_true(s->contact.bushed);
	assert_int_equal(s->surroundings.keeping, LAB_BATH);
	assert_near(s->surroundings.offset_K.value, -2.5 * 1e-3, 0.0);
	assert_int_equal(s->surroundings.cells, 3);
	assert_int_equal(s->mantle.looks->len, 1);
	assert_int_equal(LAB_AT(s->mantle.looks, lab_mantle_look, 0)->free, 1);
	assert_int_equal(LAB_AT(s->mantle.looks, lab_mantle_look, 0)->bridge, 0);
	assert_int_equal(s->mantle.at_us, BASE_NO_TIME);
	assert_near(s->wanted.within_K.value, 10 * 1e-6, 0.0);
	assert_int_equal(s->preparation.record->len, 2);
	assert_near(LAB_AT(s->preparation.record, lab_record_row, 1)->time_s, 1800.0, 0.0);
	assert_int_equal(s->settling->len, 1);
	assert_near(LAB_AT(LAB_AT(s->settling, lab_settling, 0)->rows, lab_record_row, 1)->value,
		    1.4 * 1e-3, 0.0);
}

static void test_ice_bath(void **state)
{
	g_autoptr(lab_cell_study) s =
	    read_text("kind: cell\ncell: {point: ice, level_mm: 300}\n", "");

	(void)state;
	assert_non_null(s);
	assert_int_equal(s->cell.medium, LAB_ICE_BATH);
	assert_int_equal(s->cell.point, LAB_NO_POINT);
	assert_false(s->thermometer.given);
}

static const struct bad_case cases[] = {
	{ "key misspelt", "  pad_mm", "  pad_m",
	  "21:3: contact has no key \"pad_m\"; did you mean pad_mm? Its value is in millimetres" },
	{ "section misspelt", "contact:\n", "contacts:\n",
	  "19:1: the file has no key \"contacts\"; did you mean contact?" },
	{ "material misspelt", "material: fused silica", "material: fused silicon",
	  "8:22: material is \"fused silicon\"; did you mean fused silica?" },
	{ "tube turned inside out", "inner_mm: 5.5", "inner_mm: 8.5",
	  "8:79: inner_mm is not below outer_mm; a tube is wider outside than inside" },
	{ "expanded uncertainty", "u: 0.05", "U: 0.1",
	  "8:59: \"U\" would be an expanded uncertainty; give the standard uncertainty, u, which "
	  "is U divided by its k" },
	{ "quantity without value", "{value: 9, u: 1}", "{u: 1}",
	  "27:3: ice_mm has no value; a quantity is a number, or {value: 7.5, u: 0.05}" },
	{ "metres for millimetres", "level_mm: 265", "level_mm: 0",
	  "16:13: level_mm is 0; a length is in millimetres, above 0 and at most 3000" },
	{ "level above the mouth", "level_mm: 265", "level_mm: 400",
	  "16:13: level_mm is above the mouth of the well; it is counted from the well's bottom "
	  "and at most depth_mm" },
	{ "no room", "bore_mm: 55", "bore_mm: 14",
	  "17:47: bore_mm of the envelope leaves no room around the well; it is wider than the "
	  "well's bore and both its walls" },
	{ "point unknown", "point: H2O", "point: water",
	  "14:10: point is \"water\"; it is one of H2O, Ga, In, Sn, Zn, Al, Ag, Hg, Ar, O2, "
	  "Ne, e-H2 or ice" },
	{ "per mille", "value: -0.0583", "value: -58.3",
	  "18:26: value is -58.3; a delta value is a fraction: -58.3 per mille is -0.0583" },
	{ "crushed ice with an offset", "kept_in: bath", "kept_in: crushed ice",
	  "23:53: offset_mK is that of a bath or block; crushed ice is at 0 °C by itself" },
	{ "look before the freezing", "time: 2031-02-27", "time: 2031-02-17",
	  "29:8: this look is before the mantle was frozen; check both times" },
	{ "time without offset", "2031-03-02T09:00:00Z", "2031-03-02T09:00:00",
	  "31:14: time is \"2031-03-02T09:00:00\" and has no offset from UTC; add it, as in "
	  "2026-11-24T09:30:00+01:00, or Z for UTC" },
	{ "row of three", "[30, 8]", "[30, 8, 1]",
	  "36:23: a row is two numbers, as in [30, 8.5]: minutes and ice_mm" },
	{ "rows out of order", "[10, 3.5]", "[40, 3.5]",
	  "36:23: the time of this row is not after that of the row before; rows stand in the "
	  "order "
	  "of time" },
	{ "supercooling without depth", "  way: dry ice\n  ice_mm: 8\n",
	  "  way: supercooling\n  ice_mm: 8\n",
	  "33:1: the preparation has no supercooled_K; say how far below 0 °C it starts to "
	  "freeze" },
	{ "no cell", NULL, "kind: cell\nwanted: {u_mK: 1}\n",
	  "1:1: the file has no cell; say which cell it is about, under cell" },
	{ "another kind", "kind: cell", "kind: measurement model",
	  "1:7: kind is \"measurement model\", for which there is another command; this command "
	  "reads kind: cell" },
};

static void test_bad(void **state)
{
	const struct bad_case *c = *state;
	g_autofree char *text = bad_edit(good, c);
	g_autoptr(lab_cell_study) study = read_text(text, c->want);

	assert_null(study);
}

int main(void)
{
	const struct CMUnitTest whole[] = {
		cmocka_unit_test(test_good),
		cmocka_unit_test(test_ice_bath),
	};
	const size_t n = G_N_ELEMENTS(cases);
	struct CMUnitTest *tests = bad_tests(cases, n, test_bad);

	tests = g_renew(struct CMUnitTest, tests, n + G_N_ELEMENTS(whole));
	memcpy(tests + n, whole, sizeof whole);
	const int failed = _cmocka_run_group_tests("cells", tests, n + G_N_ELEMENTS(whole),
						   bad_set_up, bad_tear_down);

	g_free(tests);
	return failed;
}
