/*
 * Fuzz target: the file of a cell, from bytes to what it takes to freeze its mantle and to how the
 * mantle fares. Whether a thermometer fits is left out: the grid takes a thousand times as long.
 */
#include "fuzz/fuzz.h"

#include "app/calc/cell_keep.h"
#include "app/calc/cell_prepare.h"
#include "app/file/cell.h"
#include "app/report/cell.h"

#include <math.h>

enum { MOST_ENTRIES = 50 }; /* looks and insertions: more would be alike */

static void prepared(const struct lab_cell_study *study)
{
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(GString) text = g_string_new(NULL);
	g_autoptr(lab_cell_prepare) p = calc_cell_prepare(study, messages);

	fuzz_check_messages(messages, p != NULL);
	if (p == NULL)
		return;
	FUZZ_HOLDS(p->cautions[0] != NULL);
	report_cell_prepare_json(study, p, text);
	fuzz_check_json(text);
	g_string_truncate(text, 0);
	report_cell_prepare_text(study, p, text);
	FUZZ_HOLDS(g_utf8_validate(text->str, (gssize)text->len, NULL));
}

static void kept(const struct lab_cell_study *study)
{
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(GString) text = g_string_new(NULL);
	g_autoptr(lab_cell_keep) k = calc_cell_keep(study, messages);

	fuzz_check_messages(messages, k != NULL);
	if (k == NULL)
		return;
	FUZZ_HOLDS(!k->ends || k->left.low_s <= k->left.high_s);
	report_cell_keep_json(study, k, text);
	fuzz_check_json(text);
	g_string_truncate(text, 0);
	report_cell_keep_text(study, k, text);
	FUZZ_HOLDS(g_utf8_validate(text->str, (gssize)text->len, NULL));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(GBytes) bytes = g_bytes_new(data, size);
	g_autoptr(lab_cell_study) study = file_parse_cell("cell.yaml", bytes, messages);

	fuzz_check_messages(messages, study != NULL);
	if (study == NULL)
		return 0;
	FUZZ_HOLDS(study->cell.given);
	prepared(study);
	if (study->mantle.looks->len + study->mantle.visits->len <= MOST_ENTRIES)
		kept(study);
	return 0;
}
