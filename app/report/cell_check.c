#include "app/report/cell_records.h"

#include "app/report/cell_budget.h"
#include "app/report/cell_check_lines.h"
#include "app/report/cell_words.h"
#include "app/report/columns.h"

void report_cell_check_lines(const GArray *checks, GString *to)
{
	for (guint i = 0; i < checks->len; i++) {
		const struct lab_check *x = LAB_AT(checks, lab_check, i);
		g_autofree char *first = g_strdup_printf(
		    "%s%s: %s.", x->state == LAB_CHECK_ALARM ? "ALARM, " : "", x->name, x->found);

		report_wrap(to, first, 4);
		if (x->bounds != NULL) {
			g_autofree char *line = g_strdup_printf("    bounds: %s.", x->bounds);

			report_wrap(to, line, 6);
		}
		g_autofree char *line = g_strdup_printf("    can't show: %s.", x->unseen);
		report_wrap(to, line, 6);
	}
	if (checks->len > 0)
		g_string_append_c(to, '\n');
}

void report_cell_check_lines_json(struct report_json *json, const GArray *checks)
{
	report_json_array(json, "checks");
	for (guint i = 0; i < checks->len; i++) {
		const struct lab_check *x = LAB_AT(checks, lab_check, i);

		report_json_object(json, NULL);
		report_json_text(json, "name", x->name);
		report_json_text(json, "state", lab_check_state_name(x->state));
		report_json_text(json, "found", x->found);
		report_json_text(json, "bounds", x->bounds);
		report_json_text(json, "unseen", x->unseen);
		report_json_close(json);
	}
	report_json_close(json);
}

void report_cell_check_text(const struct lab_cell_study *study, const lab_cell_check *check,
			    GString *to)
{
	report_cell_head_text(study, to);
	report_cell_check_lines(check->checks, to);
	report_cell_budget_text(check->budget, to);
	report_cell_reservations_text(check->reservations, to);
}

void report_cell_check_json(const struct lab_cell_study *study, const lab_cell_check *check,
			    GString *to)
{
	struct report_json json;

	report_json_start(&json, to);
	report_cell_head_json(&json, study, "cell check result");
	report_json_boolean(&json, "alarm", lab_check_alarms(check->checks));
	report_cell_check_lines_json(&json, check->checks);
	report_cell_estimate_json(&json, "gas_Pa", &check->gas_Pa);
	report_cell_estimate_json(&json, "gas_pressure_K", &check->gas_K);
	report_cell_estimate_json(&json, "gas_pressure_and_air_K", &check->gas_air_K);
	report_cell_estimate_json(&json, "inversion_K", &check->inversion_K);
	report_cell_budget_json(&json, check->budget);
	report_json_texts(&json, "reservations", check->reservations);
	report_json_close(&json);
	report_json_finish(&json);
}
