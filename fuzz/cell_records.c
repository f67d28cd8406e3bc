/*
 * Fuzz target: what was recorded of a cell, from bytes to its checks, its profile and its plateau.
 * A budget's sum has the u of its terms at least where none are correlated, so it is never
 * negative or absent; an accepted profile follows its whole zone.
 */
#include "fuzz/fuzz.h"

#include "app/calc/cell_check.h"
#include "app/calc/cell_plateau.h"
#include "app/calc/cell_profile.h"
#include "app/file/cell.h"
#include "app/report/cell_records.h"

static void written(GString *text)
{
	FUZZ_HOLDS(g_utf8_validate(text->str, (gssize)text->len, NULL));
	g_string_truncate(text, 0);
}

static void checked(const struct lab_cell_study *study, GString *text)
{
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(lab_cell_check) check = calc_cell_check(study, messages);

	fuzz_check_messages(messages, check != NULL);
	if (check == NULL)
		return;
	FUZZ_HOLDS(check->budget->sum_K.u >= 0.0 && check->budget->U_K >= check->budget->sum_K.u);
	report_cell_check_json(study, check, text);
	fuzz_check_json(text);
	g_string_truncate(text, 0);
	report_cell_check_text(study, check, text);
	written(text);
}

static void profiled(const struct lab_cell_study *study, GString *text)
{
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(lab_cell_profile) profile = calc_cell_profile(study, messages);

	fuzz_check_messages(messages, profile != NULL);
	if (profile == NULL)
		return;
	FUZZ_HOLDS(!profile->accepted || profile->n_zone >= 1);
	report_cell_profile_json(study, profile, text);
	fuzz_check_json(text);
	g_string_truncate(text, 0);
	report_cell_profile_text(study, profile, text);
	written(text);
}

static void followed(const struct lab_cell_study *study, GString *text)
{
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(lab_cell_plateau) plateau = calc_cell_plateau(study, messages);

	fuzz_check_messages(messages, plateau != NULL);
	if (plateau == NULL)
		return;
	FUZZ_HOLDS(plateau->end_s > plateau->start_s);
	report_cell_plateau_json(study, plateau, text);
	fuzz_check_json(text);
	g_string_truncate(text, 0);
	report_cell_plateau_text(study, plateau, text);
	written(text);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(GBytes) bytes = g_bytes_new(data, size);
	g_autoptr(lab_cell_study) study = file_parse_cell("cell.yaml", bytes, messages);
	g_autoptr(GString) text = g_string_new(NULL);

	fuzz_check_messages(messages, study != NULL);
	if (study == NULL)
		return 0;
	checked(study, text);
	profiled(study, text);
	followed(study, text);
	return 0;
}
