/* Good models: what stands in the file stands in the record. */
#include "app/file/model.h"

#include "app/file/bad_test.h"

#include <math.h>

#define INPUT(m, i)  (&g_array_index((m)->inputs, struct lab_model_input, (i)))
#define OUTPUT(m, i) (&g_array_index((m)->outputs, struct lab_model_output, (i)))

static lab_model *read_text(const char *text, const char *want)
{
	g_autoptr(base_messages) messages = base_messages_new();

	bad_write("model.yaml", text);
	lab_model *model = file_read_model("model.yaml", messages);
	g_autofree char *got = bad_messages(messages, "model.yaml");
	assert_string_equal(got, want);
	return model;
}

static void test_interface(void **state)
{
	g_autoptr(lab_model) m =
	    read_text("kind: measurement model\n"
		      "title: Power in a resistor\n"
		      "inputs:\n"
		      "  V:   {value: 4.999, u: 0.0032, unit: V, dof: 4}\n"
		      "  R:   {distribution: rectangular, low: 99.9, high: 100.1, unit: ohm}\n"
		      "  k:   {distribution: arcsine, low: -0.5, high: 0.5}\n"
		      "  b:   {readings: [0.21, 0.23, 0.20, 0.22], unit: W}\n"
		      "  c:   {readings: [1.1, 1.3, 1.2, 1.2]}\n"
		      "paired: [[b, c]]\n"
		      "correlations:\n"
		      "  - {between: [V, R], r: 0.2}\n"
		      "outputs:\n"
		      "  P:   {formula: \"V^2/R*(1 + k/1000) + b*c\", unit: W}\n"
		      "  x:   {equation: \"R*(1 + k*x + 0.01*x^2) = 101*c\", near: 1}\n"
		      "coverage_probability: 0.95\n"
		      "monte_carlo: {trials: 1e6, seed: 7}\n",
		      "");

	(void)state;
	assert_non_null(m);
	assert_string_equal(m->title, "Power in a resistor");
	assert_int_equal(m->inputs->len, 5);
	assert_string_equal(INPUT(m, 0)->name, "V");
	assert_int_equal(INPUT(m, 0)->distribution, LAB_NORMAL);
	assert_near(INPUT(m, 0)->value, 4.999, 0.0);
	assert_near(INPUT(m, 0)->u, 0.0032, 0.0);
	assert_near(INPUT(m, 0)->dof, 4.0, 0.0);
	assert_int_equal(INPUT(m, 1)->distribution, LAB_RECTANGULAR);
	assert_near(INPUT(m, 1)->high, 100.1, 0.0);
	assert_false(lab_given(INPUT(m, 1)->dof));
	assert_int_equal(INPUT(m, 2)->distribution, LAB_ARCSINE);
	assert_int_equal(INPUT(m, 3)->distribution, LAB_READINGS);
	assert_int_equal(INPUT(m, 3)->readings->len, 4);
	assert_near(g_array_index(INPUT(m, 3)->readings, double, 1), 0.23, 0.0);
	assert_int_equal(m->paired->len, 1);
	const GArray *group = g_array_index(m->paired, GArray *, 0);
	assert_int_equal(group->len, 2);
	assert_int_equal(g_array_index(group, int, 1), 4);
	assert_int_equal(m->correlations->len, 1);
	assert_int_equal(g_array_index(m->correlations, struct lab_model_pair, 0).b, 1);
	assert_near(g_array_index(m->correlations, struct lab_model_pair, 0).r, 0.2, 0.0);
	assert_string_equal(OUTPUT(m, 0)->formula, "V^2/R*(1 + k/1000) + b*c");
	assert_int_equal(OUTPUT(m, 0)->text_mark.line, 13);
	assert_int_equal(OUTPUT(m, 0)->text_mark.column, 19);
	assert_null(OUTPUT(m, 1)->formula);
	assert_string_equal(OUTPUT(m, 1)->equation, "R*(1 + k*x + 0.01*x^2) = 101*c");
	assert_near(OUTPUT(m, 1)->near, 1.0, 0.0);
	assert_near(m->coverage_probability, 0.95, 0.0);
	assert_true(m->monte_carlo.given && !m->monte_carlo.adaptive);
	assert_int_equal(m->monte_carlo.trials, 1000000);
	assert_int_equal(m->monte_carlo.seed, 7);
}

static void test_every_distribution(void **state)
{
	g_autoptr(lab_model) m =
	    read_text("kind: measurement model\n"
		      "inputs:\n"
		      "  a: {distribution: normal, value: 1, u: 2}\n"
		      "  b: {distribution: triangular, low: 0, high: 1, dof: 3}\n"
		      "  c: {distribution: trapezoidal, low: 0, high: 1, beta: 0.5}\n"
		      "  d: {distribution: curvilinear_trapezoid, low: 0, high: 1, d: 0.1}\n"
		      "  e: {distribution: student_t, value: 1, scale: 0.2, dof: 3}\n"
		      "  f: {distribution: exponential, mean: 2}\n"
		      "  g: {distribution: gamma, shape: 2, scale: 3}\n"
		      "  h: {formula: a + b, unit: K}\n"
		      "outputs:\n"
		      "  y:\n"
		      "    formula: |\n"
		      "      a + b\n"
		      "  z: {formula: a - h}\n"
		      "coverage_factor: 2\n"
		      "monte_carlo: {adaptive: true, digits: 1}\n",
		      "");

	(void)state;
	assert_non_null(m);
	for (guint i = 0; i < 7; i++) {
		static const enum lab_distribution want[] = {
			LAB_NORMAL,    LAB_TRIANGULAR,  LAB_TRAPEZOIDAL, LAB_CURVILINEAR_TRAPEZOID,
			LAB_STUDENT_T, LAB_EXPONENTIAL, LAB_GAMMA
		};

		assert_int_equal(INPUT(m, i)->distribution, want[i]);
	}
	assert_near(INPUT(m, 1)->dof, 3.0, 0.0);
	assert_near(INPUT(m, 2)->beta, 0.5, 0.0);
	assert_near(INPUT(m, 3)->d, 0.1, 0.0);
	assert_near(INPUT(m, 4)->scale, 0.2, 0.0);
	assert_near(INPUT(m, 5)->mean, 2.0, 0.0);
	assert_near(INPUT(m, 6)->shape, 2.0, 0.0);
	assert_int_equal(INPUT(m, 7)->distribution, LAB_FORMULA);
	assert_string_equal(INPUT(m, 7)->formula, "a + b");
	assert_int_equal(INPUT(m, 7)->text_mark.column, 16);
	assert_int_equal(OUTPUT(m, 0)->text_mark.line, 14);
	assert_int_equal(OUTPUT(m, 0)->text_mark.column, 7);
	assert_near(m->coverage_factor, 2.0, 0.0);
	assert_false(lab_given(m->coverage_probability));
	assert_true(m->monte_carlo.adaptive);
	assert_int_equal(m->monte_carlo.digits, 1);
}

/* Computed, but said: a value without u is exact. */
static void test_value_without_u(void **state)
{
	g_autoptr(lab_model) m = read_text(
	    "kind: measurement model\ninputs: {a: {value: 3}}\noutputs: {y: {formula: a}}\n",
	    "2:10: a has no u and is taken as exact; write u: 0 where that is meant");

	(void)state;
	assert_non_null(m);
	assert_near(INPUT(m, 0)->u, 0.0, 0.0);
	assert_near(m->coverage_probability, 0.95, 0.0);
	assert_false(m->monte_carlo.given);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_interface),
		cmocka_unit_test(test_every_distribution),
		cmocka_unit_test(test_value_without_u),
	};

	return cmocka_run_group_tests(tests, bad_set_up, bad_tear_down);
}
