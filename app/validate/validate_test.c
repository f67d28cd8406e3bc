/* Checks say no when they should; that the built-in ones say yes is tests/command/validate_test.py.
 */
#include "app/lab/calibration.h"
#include "app/report/validation.h"
#include "app/validate/models.h"
#include "app/validate/scale.h"

#include "tests/support/near.h"

#include <string.h>

static const struct lab_check *last(const lab_validation *v)
{
	return LAB_AT(v->checks, lab_check, v->checks->len - 1);
}

static void test_verdicts(void **state)
{
	g_autoptr(lab_validation) v = lab_validation_new();

	(void)state;
	assert_false(v->passed); /* nothing was checked */
	lab_validation_add(v, "a", "s", 1.0, 0.5, 1.5);
	assert_true(last(v)->passed && v->passed);
	lab_validation_add(v, "b", "s", 1.0, 0.5, 1.6);
	assert_true(!last(v)->passed && !v->passed);
	lab_validation_add(v, "c", "s", 1.0, 0.5, 1.0);
	assert_true(last(v)->passed && !v->passed); /* one no is enough */
	lab_validation_add(v, "d", "s", 1.0, 0.5, (double)NAN);
	assert_false(last(v)->passed);
	lab_validation_add(v, "e", "s", 1.0, (double)INFINITY, (double)NAN);
	assert_false(last(v)->passed);
}

static void test_wrong_table(void **state)
{
	/* gallium as printed, zinc with a digit exchanged */
	static const struct validate_point points[] = { { "Ga", 302.9146, 1.11813889 },
							{ "Zn", 692.677, 2.56891703 } };
	static const struct validate_pair pairs[] = { { 302.9146, 1.11813889, true } };
	g_autoptr(lab_validation) v = lab_validation_new();

	(void)state;
	validate_points(v, 2, points);
	assert_true(LAB_AT(v->checks, lab_check, 0)->passed);
	assert_false(LAB_AT(v->checks, lab_check, 1)->passed);
	validate_forward(v, 1, pairs); /* Table 1 is rounded: no value with 40 digits */
	assert_false(last(v)->passed);
	validate_inverse(v, 1, (const struct validate_pair[]){ { 1.11813889, 302.9146, true } });
	assert_false(last(v)->passed);
}

static void test_out_of_range(void **state)
{
	const struct validate_row row = {
		.kind = VALIDATE_WR, .at = 2000.0, .want = 1.0, .tolerance = 1.0, .source = "nobody"
	};
	g_autoptr(lab_validation) v = lab_validation_new();

	(void)state;
	validate_scale_row(v, &row);
	assert_true(isnan(last(v)->found));
	assert_false(last(v)->passed);
}

static const char model_text[] = "kind: measurement model\ntitle: A sum\n"
				 "inputs: {a: {value: 1, u: 3}, b: {value: 2, u: 4}}\n"
				 "outputs: {y: {formula: a + b}}\n";

static void test_models(void **state)
{
	const struct validate_model model = { "sum", (const unsigned char *)model_text,
					      strlen(model_text) };
	static const struct {
		const char *output, *quantity;
		enum validate_kind kind;
		double want;
		bool passed;
	} cases[] = {
		{ "y", "value", VALIDATE_MODEL, 3.0, true },
		{ "y", "u", VALIDATE_MODEL, 5.0, true },
		{ "y", "u", VALIDATE_MODEL, 7.0, false },
		{ "y", "width", VALIDATE_MODEL, 5.0, false },
		{ "z", "u", VALIDATE_MODEL, 5.0, false },
		/* 1e6 trials: u is good to 0.0035 */
		{ "y", "u", VALIDATE_TRIALS, 5.0, true },
		{ "y", "u", VALIDATE_TRIALS, 5.1, false },
		{ "y", "k", VALIDATE_TRIALS, 1.96, false },
	};

	(void)state;
	for (size_t i = 0; i < G_N_ELEMENTS(cases); i++) {
		const struct validate_row row = { .kind = cases[i].kind,
						  .model = "sum",
						  .output = cases[i].output,
						  .quantity = cases[i].quantity,
						  .want = cases[i].want,
						  .tolerance = 0.02,
						  .source = "3, 4, 5" };
		g_autoptr(lab_validation) v = lab_validation_new();
		g_autoptr(base_messages) messages = base_messages_new();

		assert_true(validate_model_row(v, &row, &model, NULL, messages));
		assert_int_equal(last(v)->passed, cases[i].passed);
	}
}

static void test_broken_model(void **state)
{
	const struct validate_model model = { "broken", (const unsigned char *)"kind: nothing",
					      13 };
	const struct validate_row row = {
		.kind = VALIDATE_MODEL, .model = "broken", .output = "y", .quantity = "u"
	};
	g_autoptr(lab_validation) v = lab_validation_new();
	g_autoptr(base_messages) messages = base_messages_new();

	(void)state;
	assert_false(validate_model_row(v, &row, &model, NULL, messages));
	assert_true(base_messages_n(messages) > 0);
}

static void test_text_says_no(void **state)
{
	g_autoptr(lab_validation) v = lab_validation_new();
	g_autoptr(GString) text = g_string_new(NULL), json = g_string_new(NULL);

	(void)state;
	v->processor = g_string_chunk_insert(v->text, "plain");
	lab_validation_add(v, "right", "a book", 1.0, 0.5, 1.0);
	lab_validation_add(v, "wrong", "a book", 1.0, 0.5, 2.0);
	report_validation_text(v, text);
	assert_non_null(strstr(text->str, "\nNO   wrong: found 2"));
	assert_non_null(strstr(text->str, "1 of 2 checks say no"));
	report_validation_json(v, json);
	assert_non_null(strstr(json->str, "\"passed\": false\n}"));
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_verdicts),     cmocka_unit_test(test_wrong_table),
		cmocka_unit_test(test_out_of_range), cmocka_unit_test(test_models),
		cmocka_unit_test(test_broken_model), cmocka_unit_test(test_text_says_no),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
