/* JSON as it leaves the program, read back by jansson: a reader that shares nothing with it. */
#include "app/report/example.h"
#include "app/report/json_writer.h"
#include "app/report/result_json.h"

#include <jansson.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <string.h>

#include <cmocka.h>

static void test_layout(void **state)
{
	g_autoptr(GString) to = g_string_new(NULL);
	const double row[] = { 1.0, 0.1, NAN, INFINITY, -2.5e-7 };
	struct report_json json;

	(void)state;
	report_json_start(&json, to);
	report_json_object(&json, NULL);
	report_json_array(&json, "empty");
	report_json_close(&json);
	report_json_object(&json, "inner");
	report_json_close(&json);
	report_json_numbers(&json, "row", 5, row);
	report_json_array(&json, "mixed");
	report_json_boolean(&json, NULL, true);
	report_json_integer(&json, NULL, INT64_MIN);
	report_json_text(&json, NULL, NULL);
	report_json_close(&json);
	report_json_close(&json);
	report_json_finish(&json);
	assert_string_equal(to->str, "{\n"
				     "  \"empty\": [],\n"
				     "  \"inner\": {},\n"
				     "  \"row\": [1, 0.1, null, null, -2.5e-07],\n"
				     "  \"mixed\": [\n"
				     "    true,\n"
				     "    -9223372036854775808,\n"
				     "    null\n"
				     "  ]\n"
				     "}\n");
}

/* RFC 8259, section 7: quotation mark, reverse solidus and U+0000 to U+001F are escaped. */
static void test_texts(void **state)
{
	static const char hard[] = "\" \\ / \b\f\n\r\t \x01\x1f\x7f µΩ Ж 🜁";
	g_autoptr(GString) to = g_string_new(NULL);
	struct report_json json;

	(void)state;
	report_json_start(&json, to);
	report_json_text(&json, NULL, hard);
	report_json_finish(&json);
	for (const char *p = to->str; *p != '\0' && p[1] != '\0'; p++)
		assert_true((unsigned char)*p >= 0x20);
	json_t *read = json_loads(to->str, JSON_DECODE_ANY, NULL);
	assert_non_null(read);
	assert_string_equal(json_string_value(read), hard);
	json_decref(read);
}

static void test_text_that_is_not_utf8(void **state)
{
	g_autoptr(GString) to = g_string_new(NULL);
	struct report_json json;

	(void)state;
	report_json_start(&json, to);
	report_json_text(&json, NULL, "K\xe4lte");
	report_json_finish(&json);
	assert_string_equal(to->str, "\"K\xef\xbf\xbdlte\"\n");
}

static void test_numbers_read_back(void **state)
{
	static const double x[] = { 0.1,  -0.0,   1.0 / 3.0, 5e-324, 1.7976931348623157e308,
				    1e22, 273.16, 2.0 / 7e5, 1e-7,   123456789012345678.0 };
	g_autoptr(GString) to = g_string_new(NULL);
	struct report_json json;

	(void)state;
	report_json_start(&json, to);
	report_json_numbers(&json, NULL, G_N_ELEMENTS(x), x);
	report_json_finish(&json);
	json_t *read = json_loads(to->str, JSON_DECODE_INT_AS_REAL, NULL);
	assert_non_null(read);
	for (size_t i = 0; i < G_N_ELEMENTS(x); i++) {
		const double got = json_real_value(json_array_get(read, i));

		assert_memory_equal(&got, &x[i], sizeof got);
	}
	json_decref(read);
}

/* Follows a path such as "visits/1/w/value"; fails the test where it does not lead on. */
static json_t *at(json_t *from, const char *path)
{
	g_auto(GStrv) steps = g_strsplit(path, "/", -1);

	for (size_t i = 0; steps[i] != NULL; i++) {
		from = json_is_array(from)
			   ? json_array_get(from, (size_t)g_ascii_strtoull(steps[i], NULL, 10))
			   : json_object_get(from, steps[i]);
		if (from == NULL)
			fail_msg("%s: nothing at %s", path, steps[i]);
	}
	return from;
}

static void assert_number(json_t *from, const char *path, double want)
{
	const double got = json_number_value(at(from, path));

	assert_true(json_is_number(at(from, path)));
	assert_memory_equal(&got, &want, sizeof got);
}

static void assert_text(json_t *from, const char *path, const char *want)
{
	assert_true(json_is_string(at(from, path)));
	assert_string_equal(json_string_value(at(from, path)), want);
}

static json_t *example_json(void)
{
	g_autoptr(lab_calibration) c = example_calibration();
	g_autoptr(lab_calibration_result) r = example_result();
	g_autoptr(GString) to = g_string_new(NULL);
	json_error_t error;

	report_calibration_json(c, r, to);
	json_t *json =
	    json_loads(to->str, JSON_REJECT_DUPLICATES | JSON_DECODE_INT_AS_REAL, &error);
	if (json == NULL)
		fail_msg("line %d: %s", error.line, error.text);
	return json;
}

/* Names and places that readers of the result rely on. */
static void test_calibration(void **state)
{
	json_t *json = example_json();
	g_autoptr(lab_calibration_result) r = example_result();
	const struct lab_visit_result *tin = LAB_AT(r->visits, lab_visit_result, 1);
	const struct lab_subrange_result *to_tin = LAB_AT(r->subranges, lab_subrange_result, 1);
	const struct lab_coefficient *a = LAB_AT(to_tin->coefficients, lab_coefficient, 0);

	(void)state;
	assert_text(json, "kind", "fixed-point calibration result");
	assert_number(json, "schema", 1.0);
	assert_text(json, "program/name", "firn");
	assert_true(json_is_string(at(json, "program/libraries/cairo")));
	assert_text(json, "inputs/0/path", "job.yaml");
	assert_text(json, "equipment/resistors/0/id", "R-100-3");
	assert_text(json, "equipment/resistors/0/certificate", "30-2277");
	assert_true(json_is_null(at(json, "equipment/bridges/0/certificate")));
	assert_int_equal(json_array_size(at(json, "equipment/cells")), 0);
	assert_text(json, "visits/1/resistor", "R-100-3");
	assert_text(json, "visits/1/bridge", "B2");
	assert_text(json, "visits/1/id", "2");
	assert_text(json, "visits/1/point", "Sn");
	assert_number(json, "visits/1/r0_ohm/value", tin->r0_ohm.value);
	assert_number(json, "visits/1/r0_ohm/u", tin->r0_ohm.u);
	assert_text(json, "visits/1/corrections/0/name", "head");
	assert_number(json, "visits/1/corrections/0/value_K", 3.85e-4);
	assert_number(json, "visits/1/corrections/0/u_K", 2e-6);
	assert_number(json, "visits/1/w/value", tin->w.value);
	assert_number(json, "visits/1/s", tin->s);
	assert_true(json_is_null(at(json, "visits/0/s")));     /* 0/0 at the water triple point */
	assert_true(json_is_null(at(json, "visits/9/point"))); /* a temperature to be found */
	assert_true(json_is_null(at(json, "visits/1/rs_ohm/dof"))); /* infinite */
	assert_number(json, "r_tpw/sequence/0/ohm/value",
		      LAB_AT(r->tpw, lab_tpw_value, 0)->ohm.value);
	assert_text(json, "r_tpw/sequence/0/time", "2031-09-23T08:00:00Z");
	assert_text(json, "subranges/1/name", "H2O_Sn");
	assert_number(json, "subranges/1/coefficients/a/value", a->estimate.value);
	assert_number(json, "subranges/1/coefficients/a/u", a->estimate.u);
	assert_text(json, "subranges/1/order/1", "b");
	assert_number(json, "subranges/1/covariance/0/1", to_tin->covariance[1]);
	assert_int_equal(json_array_size(at(json, "subranges/1/covariance")), 2);
	assert_text(json, "subranges/1/joint/order/2", "r_tpw.9");
	assert_number(json, "subranges/1/joint/covariance/2/2", 1.44e-10);
	assert_text(json, "subranges/1/residuals/0/point", "In");
	assert_true(json_is_null(at(json, "curves/0/points/0/u_inconsistency_K")));
	assert_number(json, "temperatures/0/t90_K/value", 373.12412);
	assert_number(json, "temperatures/0/t90_K/u_calibration", 2.31e-4);
	assert_number(json, "temperatures/0/t90_K/u_in_use", 3.07e-4);
	assert_text(json, "temperatures/0/budget_in_use/0/input", "cell.W3.u");
	assert_text(json, "overlaps/0/a", "Hg_Ga");
	assert_text(json, "acceptance/0/verdict", "met");
	assert_int_equal(json_array_size(at(json, "leaves_out")), 2);
	assert_int_equal(json_array_size(at(json, "reservations")), 1);
	json_decref(json);
}

static struct lab_evaluation *evaluation(unsigned n)
{
	struct lab_evaluation *e = lab_evaluation_new();

	for (unsigned i = 0; i < n; i++) {
		struct lab_budget_line line = {
			.u = 0.1, .dof = 4.0, .sensitivity = 2.0, .contribution = 0.2
		};
		struct lab_evaluated output = {
			.value = 1.5, .u = 0.2, .dof = INFINITY, .k = 1.96, .U = 0.392
		};

		line.input = g_string_chunk_insert(e->text, "V");
		output.name = g_string_chunk_insert(e->text, i == 0 ? "P" : "x");
		output.unit = g_string_chunk_insert(e->text, "W");
		output.budget = g_array_new(FALSE, TRUE, sizeof line);
		g_array_append_val(output.budget, line);
		g_array_append_val(e->outputs, output);
	}
	e->correlations = g_new0(double, (size_t)n *n);
	for (unsigned i = 0; i < n * n; i++)
		e->correlations[i] = i % (n + 1) == 0 ? 1.0 : -0.25;
	return e;
}

static json_t *evaluation_json(unsigned n)
{
	g_autoptr(lab_evaluation) e = evaluation(n);
	g_autoptr(lab_model) model = lab_model_new();
	g_autoptr(GString) to = g_string_new(NULL);

	report_evaluation_json(model, e, to);
	return json_loads(to->str, JSON_DECODE_INT_AS_REAL, NULL);
}

static void test_evaluation(void **state)
{
	json_t *one = evaluation_json(1), *two = evaluation_json(2);

	(void)state;
	assert_number(one, "outputs/P/value", 1.5);
	assert_text(one, "outputs/P/unit", "W");
	assert_true(json_is_null(at(one, "outputs/P/dof")));
	assert_number(one, "outputs/P/budget/0/contribution", 0.2);
	assert_null(json_object_get(one, "correlations"));
	assert_int_equal(json_array_size(at(two, "correlations")), 1);
	assert_text(two, "correlations/0/between/1", "x");
	assert_number(two, "correlations/0/r", -0.25);
	json_decref(one);
	json_decref(two);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_layout),
		cmocka_unit_test(test_texts),
		cmocka_unit_test(test_text_that_is_not_utf8),
		cmocka_unit_test(test_numbers_read_back),
		cmocka_unit_test(test_calibration),
		cmocka_unit_test(test_evaluation),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
