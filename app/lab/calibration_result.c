#include "app/lab/calibration_result.h"

/* Arrays of structures that own arrays: what the results put in is released with them. A pointer
   that was never set is NULL. */

static void unref_array(GArray *array)
{
	if (array != NULL)
		g_array_unref(array);
}

static void unref_pointers(GPtrArray *array)
{
	if (array != NULL)
		g_ptr_array_unref(array);
}

static void clear_visit(gpointer data)
{
	struct lab_visit_result *visit = data;

	unref_array(visit->currents);
	unref_array(visit->corrections);
	unref_pointers(visit->not_included);
	unref_array(visit->budget);
}

static void clear_subrange(gpointer data)
{
	struct lab_subrange_result *subrange = data;

	unref_pointers(subrange->points);
	unref_pointers(subrange->visits);
	unref_array(subrange->coefficients);
	g_free(subrange->covariance);
	unref_pointers(subrange->joint_order);
	g_free(subrange->joint_covariance);
	unref_array(subrange->residuals);
}

static void clear_curve(gpointer data)
{
	struct lab_curve *curve = data;

	unref_array(curve->points);
}

static void clear_temperature(gpointer data)
{
	struct lab_temperature *temperature = data;

	unref_array(temperature->budget_calibration);
	unref_array(temperature->budget_in_use);
}

static GArray *array_of(size_t size, GDestroyNotify clear)
{
	GArray *array = g_array_new(FALSE, TRUE, (guint)size);

	if (clear != NULL)
		g_array_set_clear_func(array, clear);
	return array;
}

struct lab_calibration_result *lab_calibration_result_new(void)
{
	struct lab_calibration_result *r = g_new0(struct lab_calibration_result, 1);

	r->visits = array_of(sizeof(struct lab_visit_result), clear_visit);
	r->tpw = array_of(sizeof(struct lab_tpw_value), NULL);
	r->tpw_change_K = LAB_NOT_GIVEN;
	r->tpw_limit_K = LAB_NOT_GIVEN;
	r->subranges = array_of(sizeof(struct lab_subrange_result), clear_subrange);
	r->curves = array_of(sizeof(struct lab_curve), clear_curve);
	r->temperatures = array_of(sizeof(struct lab_temperature), clear_temperature);
	r->overlaps = array_of(sizeof(struct lab_overlap), NULL);
	r->acceptance = array_of(sizeof(struct lab_acceptance), NULL);
	r->trials.coefficients = array_of(sizeof(struct lab_trial_comparison), NULL);
	r->trials.temperatures = array_of(sizeof(struct lab_trial_comparison), NULL);
	r->reservations = g_ptr_array_new();
	r->leaves_out = g_ptr_array_new();
	r->coverage_probability = LAB_NOT_GIVEN;
	r->coverage_factor = LAB_NOT_GIVEN;
	r->first_us = INT64_MIN;
	r->last_us = INT64_MIN;
	r->text = g_string_chunk_new(4096);
	return r;
}

void lab_calibration_result_free(struct lab_calibration_result *r)
{
	if (r == NULL)
		return;
	g_array_unref(r->visits);
	g_array_unref(r->tpw);
	g_array_unref(r->subranges);
	g_array_unref(r->curves);
	g_array_unref(r->temperatures);
	g_array_unref(r->overlaps);
	g_array_unref(r->acceptance);
	g_array_unref(r->trials.coefficients);
	g_array_unref(r->trials.temperatures);
	g_ptr_array_unref(r->reservations);
	g_ptr_array_unref(r->leaves_out);
	g_string_chunk_free(r->text);
	g_free(r);
}

char *lab_result_text(struct lab_calibration_result *result, const char *text)
{
	return text == NULL ? NULL : g_string_chunk_insert(result->text, text);
}
