#include "app/validate/validate.h"

#include "app/simulate/simulate.h"
#include "app/validate/models.h"
#include "app/validate/scale.h"

#include "firn/tape.h"

#include "lib/num/processor.h"
#include "validation_tables.h"

#include <string.h>

#define COVERAGE_OF_FACTORS 0.95

enum { SIMULATED = 200 }; /* docs/methods/simulation.md */

static const struct validate_model *model_named(const char *name)
{
	for (size_t i = 0; i < G_N_ELEMENTS(validate_models); i++)
		if (strcmp(validate_models[i].name, name) == 0)
			return &validate_models[i];
	return NULL; /* the tables are made so that this can't be */
}

static void check_factor(lab_validation *to, const struct validate_row *row)
{
	g_autofree char *name =
	    g_strdup_printf("coverage factor for 95 %%, %g degrees of freedom", row->at);

	lab_validation_add(to, name, row->source, row->want, row->tolerance,
			   firn_coverage_factor(COVERAGE_OF_FACTORS, row->at));
}

static bool check_rows(lab_validation *to, base_threads *threads, base_messages *messages)
{
	for (size_t i = 0; i < G_N_ELEMENTS(validate_rows); i++) {
		const struct validate_row *row = &validate_rows[i];

		if (row->kind == VALIDATE_FACTOR)
			check_factor(to, row);
		else if (row->kind != VALIDATE_MODEL && row->kind != VALIDATE_TRIALS)
			validate_scale_row(to, row);
		else if (!validate_model_row(to, row, model_named(row->model), threads, messages))
			return false;
	}
	return true;
}

static void check_squares(lab_validation *to, const char *what, struct simulate_mean x)
{
	g_autofree char *name = g_strdup_printf(
	    "mean of ((estimate - truth)/u)^2 over %d simulated calibrations: %s", SIMULATED, what);

	lab_validation_add(to, name, "JCGM 100:2008, 2.2; within three of its standard deviations",
			   1.0, 3.0 * x.sd, x.mean);
}

static bool check_simulation(lab_validation *to, base_threads *threads, base_messages *messages)
{
	const struct simulate_settings settings = { SIMULATE_SEED, SIMULATED, 0, SIMULATE_NOTHING };
	g_auto(simulate_result) result = { 0 };

	if (!simulate_run(simulate_laboratory_named("long stem"), &settings, threads, messages,
			  &result))
		return false;
	for (size_t k = 0; k < result.n_subranges; k++) {
		const char *name = lab_subrange_name(result.subranges[k].subrange);
		g_autofree char *total = g_strdup_printf("%s with non-uniqueness", name);

		check_squares(to, name, result.subranges[k].squares);
		check_squares(to, total, result.subranges[k].squares_total);
	}
	check_squares(to, "temperatures measured with it", result.squares_in_use);
	check_squares(to, "R(TPW)", result.squares_r_tpw);
	return true;
}

/* What the engine chooses on this processor; lib/tape/kernels.c chooses the same way. */
static const char *processor_level(void)
{
	return num_processor_has_v4()   ? "x86-64-v4"
	       : num_processor_has_v3() ? "x86-64-v3"
					: "plain";
}

lab_validation *validate_all(base_threads *threads, base_messages *messages)
{
	g_autoptr(lab_validation) validation = lab_validation_new();

	validation->time_us = g_get_real_time();
	validation->processor = g_string_chunk_insert(validation->text, processor_level());
	validate_points(validation, G_N_ELEMENTS(validate_table_1), validate_table_1);
	validate_forward(validation, G_N_ELEMENTS(validate_forward_40), validate_forward_40);
	validate_inverse(validation, G_N_ELEMENTS(validate_inverse_40), validate_inverse_40);
	if (!check_rows(validation, threads, messages) ||
	    !check_simulation(validation, threads, messages))
		return NULL;
	return g_steal_pointer(&validation);
}
