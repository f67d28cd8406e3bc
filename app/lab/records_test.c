#include "app/lab/calibration.h"
#include "app/lab/calibration_result.h"
#include "app/lab/model.h"

#include "tests/support/near.h"

/* Every point and subrange is found by its own name, and nothing else is. */
static void test_names(void **state)
{
	(void)state;
	for (int p = 0; p < LAB_POINTS; p++)
		assert_int_equal(lab_point_named(lab_point_name((enum lab_point)p)), p);
	for (int s = 0; s < LAB_SUBRANGES; s++)
		assert_int_equal(lab_subrange_named(lab_subrange_name((enum lab_subrange)s)), s);
	assert_int_equal(lab_point_named("H20"), LAB_NO_POINT);
	assert_int_equal(lab_point_named(""), LAB_NO_POINT);
	assert_int_equal(lab_subrange_named("H2O"), LAB_NO_SUBRANGE);
	assert_string_equal(lab_point_name(LAB_NO_POINT), "");
	assert_string_equal(lab_point_name(LAB_E_H2_VAPOUR), "e-H2-vapour");
	assert_string_equal(lab_subrange_name(LAB_H2O_AG), "H2O_Ag");
	assert_string_equal(lab_term_name(LAB_LEAKAGE), "leakage");
	assert_string_equal(lab_distribution_name(LAB_CURVILINEAR_TRAPEZOID),
			    "curvilinear_trapezoid");
	assert_string_equal(lab_verdict_name(LAB_NOT_MET_WITHIN_U), "not met within U");
}

static void test_nearest_mark(void **state)
{
	g_autoptr(lab_calibration) c = lab_calibration_new();

	(void)state;
	lab_calibration_set_mark(c, "visit.2", (struct base_mark){ 10, 5 });
	lab_calibration_set_mark(c, "visit.2.depth_m", (struct base_mark){ 10, 40 });
	assert_int_equal(lab_calibration_mark(c, "visit.2.depth_m").column, 40);
	assert_int_equal(lab_calibration_mark(c, "visit.2.terms.dynamic.u_mK").column, 5);
	assert_int_equal(lab_calibration_mark(c, "visit.2").line, 10);
	assert_int_equal(lab_calibration_mark(c, "visit.22").line, 0);
	assert_int_equal(lab_calibration_mark(c, "").line, 0);
}

static void test_nothing_given(void **state)
{
	g_autoptr(lab_calibration) c = lab_calibration_new();
	const struct lab_visit *visit = lab_add_visit(c);
	struct lab_cell *cell = lab_add_cell(c);

	(void)state;
	assert_int_equal(visit->cell, -1);
	assert_int_equal(visit->tpw, -1);
	assert_false(lab_given(visit->depth_m));
	assert_false(lab_given(visit->terms[LAB_LEAKAGE].u));
	assert_false(lab_given(cell->certificate.correction_K));
	assert_false(lab_given(lab_add_impurity(cell)->k));
	assert_false(lab_given(lab_add_resistor(c)->ohm));
	assert_false(lab_given(lab_add_bridge(c)->resolution));
	assert_int_equal(lab_add_event(c)->after, -1);
	assert_near(c->coverage_probability, 0.95, 0.0);
	assert_null(lab_calibration_text(c, NULL));
}

/* ITS-90, Table 1: what is not marked t (triple) or v (vapour pressure) is m or f (melting,
 * freezing). */
static void test_points_that_take_pressure(void **state)
{
	(void)state;
	for (int p = 0; p < LAB_POINTS; p++) {
		const struct lab_cell cell = { .point = (enum lab_point)p };

		assert_int_equal(lab_cell_takes_pressure(&cell), p == LAB_GA || p == LAB_IN ||
								     p == LAB_SN || p == LAB_ZN ||
								     p == LAB_AL || p == LAB_AG);
	}
	assert_false(
	    lab_cell_takes_pressure(&(struct lab_cell){ .point = LAB_GA, .triple = true }));
	assert_false(lab_cell_takes_pressure(&(struct lab_cell){ .point = LAB_NO_POINT }));
}

/* What results and models own goes with them; the sanitizer watches. */
static void test_release(void **state)
{
	g_autoptr(lab_calibration_result) r = lab_calibration_result_new();
	g_autoptr(lab_model) model = lab_model_new();
	g_autoptr(lab_evaluation) evaluation = lab_evaluation_new();
	struct lab_visit_result visit = { .id = lab_result_text(r, "1") };
	struct lab_subrange_result subrange = { .covariance = g_new0(double, 9) };
	struct lab_curve curve = { .name = NULL };
	struct lab_evaluated output = { .budget = g_array_new(FALSE, FALSE, 8) };
	GArray *group = g_array_new(FALSE, FALSE, sizeof(int));

	(void)state;
	visit.currents = g_array_new(FALSE, FALSE, sizeof(struct lab_current_result));
	visit.not_included = g_ptr_array_new();
	subrange.points = g_ptr_array_new();
	curve.points = g_array_new(FALSE, FALSE, sizeof(struct lab_curve_point));
	g_array_append_val(r->visits, visit);
	g_array_append_val(r->subranges, subrange);
	g_array_append_val(r->curves, curve);
	lab_add_model_input(model)->readings = g_array_new(FALSE, FALSE, sizeof(double));
	lab_add_model_output(model)->name = lab_model_text(model, "P");
	g_array_append_val(model->paired, group);
	g_array_append_val(evaluation->outputs, output);
	evaluation->correlations = g_new0(double, 1);
	assert_string_equal(LAB_AT(r->visits, lab_visit_result, 0)->id, "1");
	assert_string_equal(LAB_AT(model->outputs, lab_model_output, 0)->name, "P");
	lab_calibration_free(NULL);
	lab_calibration_result_free(NULL);
	lab_model_free(NULL);
	lab_evaluation_free(NULL);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_names),
		cmocka_unit_test(test_nearest_mark),
		cmocka_unit_test(test_nothing_given),
		cmocka_unit_test(test_points_that_take_pressure),
		cmocka_unit_test(test_release),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
