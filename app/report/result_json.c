#include "app/report/result_json.h"
#include "app/report/trials.h"

#include "app/base/time.h"
#include "app/report/equipment.h"
#include "app/report/json_writer.h"
#include "app/report/program_json.h"

/* Elements of an array that may be missing. */
#define COUNT(array) ((array) == NULL ? 0u : (array)->len)

static void write_estimate(struct report_json *json, const char *name, struct lab_estimate x)
{
	report_json_object(json, name);
	report_json_number(json, "value", x.value);
	report_json_number(json, "u", x.u);
	report_json_number(json, "dof", x.dof);
	report_json_close(json);
}

static void write_budget(struct report_json *json, const char *name, const GArray *budget)
{
	report_json_array(json, name);
	for (unsigned i = 0; i < COUNT(budget); i++) {
		const struct lab_budget_line *line = LAB_AT(budget, lab_budget_line, i);

		report_json_object(json, NULL);
		report_json_text(json, "input", line->input);
		report_json_number(json, "u", line->u);
		report_json_number(json, "sensitivity", line->sensitivity);
		report_json_number(json, "contribution", line->contribution);
		report_json_text(json, "unit", line->unit);
		report_json_number(json, "value", line->value);
		report_json_number(json, "dof", line->dof);
		report_json_close(json);
	}
	report_json_close(json);
}

/* A square matrix, one row a line. */
static void write_matrix(struct report_json *json, const char *name, size_t n, const double *a)
{
	report_json_array(json, name);
	for (size_t i = 0; a != NULL && i < n; i++)
		report_json_numbers(json, NULL, n, a + i * n);
	report_json_close(json);
}

static void write_time(struct report_json *json, const char *name, int64_t time_us)
{
	char text[BASE_TIME_SIZE];

	base_time_print(time_us, text);
	report_json_text(json, name, text[0] == '\0' ? NULL : text);
}

static void write_inputs(struct report_json *json, const struct lab_calibration *calibration)
{
	report_json_array(json, "inputs");
	for (unsigned i = 0; i < COUNT(calibration->inputs); i++) {
		const struct lab_file_id *id = LAB_AT(calibration->inputs, lab_file_id, i);

		report_json_object(json, NULL);
		report_json_text(json, "path", id->path);
		report_json_text(json, "sha256", id->sha256);
		report_json_close(json);
	}
	report_json_close(json);
}

static void write_release(struct report_json *json, const struct lab_release *release)
{
	if (!release->given) {
		report_json_text(json, "release", NULL);
		return;
	}
	report_json_object(json, "release");
	report_json_text(json, "number", release->number);
	report_json_text(json, "date", release->date);
	report_json_text(json, "name", release->name);
	report_json_text(json, "function", release->function);
	report_json_close(json);
}

static void write_thermometer(struct report_json *json, const struct lab_thermometer *thermometer)
{
	static const char *const sensors[] = {
		[LAB_LONG_STEM] = "long stem",
		[LAB_CAPSULE] = "capsule",
		[LAB_HIGH_TEMPERATURE] = "high temperature",
	};

	report_json_object(json, "thermometer");
	report_json_text(json, "id", thermometer->id);
	report_json_text(json, "sensor", sensors[thermometer->sensor]);
	report_json_text(json, "maker", thermometer->maker);
	report_json_text(json, "type", thermometer->type);
	report_json_text(json, "serial", thermometer->serial);
	report_json_number(json, "nominal_ohm", thermometer->nominal_ohm);
	report_json_close(json);
}

static void write_currents(struct report_json *json, const GArray *currents)
{
	report_json_array(json, "currents");
	for (unsigned i = 0; i < COUNT(currents); i++) {
		const struct lab_current_result *x = LAB_AT(currents, lab_current_result, i);

		report_json_object(json, NULL);
		report_json_number(json, "current_A", x->current_A);
		report_json_integer(json, "n", x->n);
		report_json_integer(json, "n_set_aside", x->n_set_aside);
		report_json_integer(json, "n_outliers", x->n_outliers);
		report_json_number(json, "mean", x->mean);
		report_json_number(json, "u", x->u);
		report_json_number(json, "dof", x->dof);
		report_json_number(json, "s", x->s);
		report_json_number(json, "drift_per_s", x->drift_per_s);
		report_json_number(json, "autocorrelation", x->autocorrelation);
		report_json_boolean(json, "constant", x->constant);
		report_json_close(json);
	}
	report_json_close(json);
}

static void write_corrections(struct report_json *json, const struct lab_visit_result *visit)
{
	report_json_array(json, "corrections");
	for (unsigned i = 0; i < COUNT(visit->corrections); i++) {
		const struct lab_correction *x = LAB_AT(visit->corrections, lab_correction, i);

		report_json_object(json, NULL);
		report_json_text(json, "name", x->name);
		report_json_number(json, "value_K", x->value_K);
		report_json_number(json, "u_K", x->u_K);
		report_json_text(json, "words", x->words);
		report_json_close(json);
	}
	report_json_close(json);
	report_json_number(json, "correction_total_K", visit->correction_total_K);
}

static void write_visit(struct report_json *json, const struct lab_calibration *calibration,
			const struct lab_visit_result *visit)
{
	report_json_object(json, NULL);
	report_json_text(json, "id", visit->id);
	report_json_text(json, "point",
			 visit->point == LAB_NO_POINT ? NULL : lab_point_name(visit->point));
	report_json_text(json, "cell", visit->cell);
	report_visit_equipment_json(json, calibration, visit->visit);
	report_json_text(json, "r_tpw_visit", visit->tpw);
	write_currents(json, visit->currents);
	report_json_boolean(json, "zero_power", visit->zero_power);
	write_estimate(json, "rs_ohm", visit->rs_ohm);
	write_estimate(json, "r0_ohm", visit->r0_ohm);
	report_json_number(json, "self_heating_K", visit->self_heating_K);
	report_json_number(json, "self_heating_u_K", visit->self_heating_u_K);
	report_json_number(json, "t90_defined_K", visit->t90_defined_K);
	report_json_number(json, "depth_m", visit->depth_m);
	report_json_number(json, "pressure_Pa", visit->pressure_Pa);
	write_corrections(json, visit);
	write_estimate(json, "r_ohm", visit->r_ohm);
	write_estimate(json, "w", visit->w);
	report_json_number(json, "wr", visit->wr);
	report_json_number(json, "s", visit->s);
	report_json_number(json, "u_w_K", visit->u_w_K);
	report_json_texts(json, "not_included", visit->not_included);
	write_budget(json, "budget", visit->budget);
	report_json_close(json);
}

static void write_visits(struct report_json *json, const struct lab_calibration *calibration,
			 const GArray *visits)
{
	report_json_array(json, "visits");
	for (unsigned i = 0; i < COUNT(visits); i++)
		write_visit(json, calibration, LAB_AT(visits, lab_visit_result, i));
	report_json_close(json);
}

static void write_tpw(struct report_json *json, const struct lab_calibration_result *result)
{
	report_json_object(json, "r_tpw");
	report_json_array(json, "sequence");
	for (unsigned i = 0; i < COUNT(result->tpw); i++) {
		const struct lab_tpw_value *x = LAB_AT(result->tpw, lab_tpw_value, i);

		report_json_object(json, NULL);
		report_json_text(json, "visit", x->visit);
		write_estimate(json, "ohm", x->ohm);
		report_json_number(json, "change_K", x->change_K);
		write_time(json, "time", x->time_us);
		report_json_close(json);
	}
	report_json_close(json);
	report_json_number(json, "change_K", result->tpw_change_K);
	report_json_number(json, "limit_K", result->tpw_limit_K);
	report_json_close(json);
}

static void write_coefficients(struct report_json *json, const struct lab_subrange_result *subrange)
{
	const GArray *coefficients = subrange->coefficients;

	report_json_object(json, "coefficients");
	for (unsigned i = 0; i < COUNT(coefficients); i++) {
		const struct lab_coefficient *x = LAB_AT(coefficients, lab_coefficient, i);

		write_estimate(json, x->name, x->estimate);
	}
	report_json_close(json);

	g_autoptr(GPtrArray) order = g_ptr_array_new();
	for (unsigned i = 0; i < COUNT(coefficients); i++)
		g_ptr_array_add(order, LAB_AT(coefficients, lab_coefficient, i)->name);
	report_json_texts(json, "order", order);
	write_matrix(json, "covariance", order->len, subrange->covariance);
}

static void write_residuals(struct report_json *json, const GArray *residuals)
{
	report_json_array(json, "residuals");
	for (unsigned i = 0; i < COUNT(residuals); i++) {
		const struct lab_residual *x = LAB_AT(residuals, lab_residual, i);

		report_json_object(json, NULL);
		report_json_text(json, "point", x->point);
		report_json_text(json, "visit", x->visit);
		report_json_number(json, "value_K", x->value_K);
		report_json_number(json, "u_K", x->u_K);
		report_json_boolean(json, "used", x->used);
		report_json_close(json);
	}
	report_json_close(json);
}

static void write_subrange(struct report_json *json, const struct lab_subrange_result *subrange)
{
	report_json_object(json, NULL);
	report_json_text(json, "name", subrange->name);
	report_json_number(json, "low_K", subrange->low_K);
	report_json_number(json, "high_K", subrange->high_K);
	report_json_text(json, "formula", subrange->formula);
	report_json_texts(json, "points", subrange->points);
	report_json_texts(json, "visits", subrange->visits);
	report_json_boolean(json, "certificate", subrange->certificate);
	write_coefficients(json, subrange);
	report_json_number(json, "w_al", subrange->w_al);
	report_json_object(json, "joint");
	report_json_texts(json, "order", subrange->joint_order);
	write_matrix(json, "covariance", COUNT(subrange->joint_order), subrange->joint_covariance);
	report_json_close(json);
	write_residuals(json, subrange->residuals);
	report_json_close(json);
}

static void write_subranges(struct report_json *json, const GArray *subranges)
{
	report_json_array(json, "subranges");
	for (unsigned i = 0; i < COUNT(subranges); i++)
		write_subrange(json, LAB_AT(subranges, lab_subrange_result, i));
	report_json_close(json);
}

static void write_curve(struct report_json *json, const struct lab_curve *curve)
{
	report_json_object(json, NULL);
	report_json_text(json, "subrange", curve->name);
	report_json_array(json, "points");
	for (unsigned i = 0; i < COUNT(curve->points); i++) {
		const struct lab_curve_point *x = LAB_AT(curve->points, lab_curve_point, i);

		report_json_object(json, NULL);
		report_json_number(json, "t90_K", x->t90_K);
		report_json_number(json, "w", x->w);
		report_json_number(json, "dw_per_K", x->dw_per_K);
		report_json_number(json, "deviation_K", x->deviation_K);
		report_json_number(json, "u_calibration_K", x->u_calibration_K);
		report_json_number(json, "u_in_use_K", x->u_in_use_K);
		report_json_number(json, "u_non_uniqueness_K", x->u_non_uniqueness_K);
		report_json_number(json, "u_inconsistency_K", x->u_inconsistency_K);
		report_json_number(json, "dof", x->dof);
		report_json_close(json);
	}
	report_json_close(json);
	report_json_close(json);
}

static void write_curves(struct report_json *json, const GArray *curves)
{
	report_json_array(json, "curves");
	for (unsigned i = 0; i < COUNT(curves); i++)
		write_curve(json, LAB_AT(curves, lab_curve, i));
	report_json_close(json);
}

static void write_temperature(struct report_json *json, const struct lab_temperature *x)
{
	report_json_object(json, NULL);
	report_json_text(json, "visit", x->visit);
	report_json_text(json, "subrange", x->subrange);
	report_json_text(json, "r_tpw_visit", x->tpw);
	report_json_number(json, "w", x->w);
	report_json_number(json, "wr", x->wr);
	report_json_number(json, "dt_dw_K", x->dt_dw_K);
	report_json_object(json, "t90_K");
	report_json_number(json, "value", x->t90_K);
	report_json_number(json, "u_calibration", x->u_calibration_K);
	report_json_number(json, "u_in_use", x->u_in_use_K);
	report_json_number(json, "dof_calibration", x->dof_calibration);
	report_json_number(json, "dof_in_use", x->dof_in_use);
	report_json_number(json, "non_uniqueness", x->u_non_uniqueness_K);
	report_json_number(json, "inconsistency", x->u_inconsistency_K);
	report_json_close(json);
	write_budget(json, "budget_calibration", x->budget_calibration);
	write_budget(json, "budget_in_use", x->budget_in_use);
	report_json_close(json);
}

static void write_temperatures(struct report_json *json, const GArray *temperatures)
{
	report_json_array(json, "temperatures");
	for (unsigned i = 0; i < COUNT(temperatures); i++)
		write_temperature(json, LAB_AT(temperatures, lab_temperature, i));
	report_json_close(json);
}

static void write_overlaps(struct report_json *json, const GArray *overlaps)
{
	report_json_array(json, "overlaps");
	for (unsigned i = 0; i < COUNT(overlaps); i++) {
		const struct lab_overlap *x = LAB_AT(overlaps, lab_overlap, i);

		report_json_object(json, NULL);
		report_json_text(json, "a", x->a);
		report_json_text(json, "b", x->b);
		report_json_number(json, "low_K", x->low_K);
		report_json_number(json, "high_K", x->high_K);
		report_json_number(json, "largest_K", x->largest_K);
		report_json_number(json, "at_K", x->at_K);
		report_json_close(json);
	}
	report_json_close(json);
}

static void write_acceptance(struct report_json *json, const struct lab_calibration_result *result)
{
	report_json_boolean(json, "accepted", result->accepted);
	report_json_array(json, "acceptance");
	for (unsigned i = 0; i < COUNT(result->acceptance); i++) {
		const struct lab_acceptance *x = LAB_AT(result->acceptance, lab_acceptance, i);

		report_json_object(json, NULL);
		report_json_text(json, "name", x->name);
		report_json_text(json, "verdict", lab_verdict_name(x->verdict));
		report_json_boolean(json, "binding", x->binding);
		report_json_boolean(json, "measured", x->measured);
		report_json_number(json, "value", x->value);
		report_json_number(json, "U", x->U);
		report_json_number(json, "limit", x->limit);
		report_json_text(json, "text", x->text);
		report_json_text(json, "source", x->source);
		report_json_close(json);
	}
	report_json_close(json);
}

/* Choices that the numbers depend on. */
static void write_choices(struct report_json *json, const struct lab_calibration_result *result)
{
	report_json_text(json, "wr_at_points", result->wr_from_equation ? "equation" : "table");
	report_json_object(json, "coverage");
	report_json_number(json, "probability", result->coverage_probability);
	report_json_number(json, "factor", result->coverage_factor);
	report_json_close(json);
	write_time(json, "first_reading", result->first_us);
	write_time(json, "last_reading", result->last_us);
}

void report_calibration_json(const struct lab_calibration *calibration,
			     const struct lab_calibration_result *result, GString *to)
{
	struct report_json json;

	report_json_start(&json, to);
	report_json_object(&json, NULL);
	report_json_text(&json, "kind", "fixed-point calibration result");
	report_json_integer(&json, "schema", REPORT_CALIBRATION_SCHEMA);
	if (calibration->simulated)
		report_json_boolean(&json, "simulated", true);
	report_program_json(&json);
	write_inputs(&json, calibration);
	write_release(&json, &calibration->release);
	write_thermometer(&json, &calibration->thermometer);
	write_choices(&json, result);
	report_equipment_json(&json, calibration);
	write_visits(&json, calibration, result->visits);
	write_tpw(&json, result);
	write_subranges(&json, result->subranges);
	write_curves(&json, result->curves);
	write_temperatures(&json, result->temperatures);
	write_overlaps(&json, result->overlaps);
	write_acceptance(&json, result);
	report_trials_json(&json, result);
	report_json_texts(&json, "leaves_out", result->leaves_out);
	report_json_texts(&json, "reservations", result->reservations);
	report_json_close(&json);
	report_json_finish(&json);
}
