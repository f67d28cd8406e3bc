/*
 * Fuzz target: comparisons of cells, from bytes to values, deviations and steps. What is computed
 * is whole: every cell has a value, every comparison a residual, and an adjustment that is
 * consistent has a chi-squared up to its limit.
 */
#include "fuzz/fuzz.h"

#include "app/calc/cell_compare.h"
#include "app/file/cell_compare.h"
#include "app/report/cell_compare.h"

enum { MOST_DIFFERENCES = 30, MOST_CELLS = 12 }; /* more would be alike, and slow */

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(GBytes) bytes = g_bytes_new(data, size);
	g_autoptr(lab_cell_comparison) record =
	    file_parse_cell_comparison("comparison.yaml", bytes, messages);

	fuzz_check_messages(messages, record != NULL);
	if (record == NULL || record->differences->len > MOST_DIFFERENCES ||
	    record->cells->len > MOST_CELLS)
		return 0;

	g_autoptr(base_messages) said = base_messages_new();
	g_autoptr(lab_cell_compare) found = calc_cell_compare(record, said);
	g_autoptr(GString) text = g_string_new(NULL);

	fuzz_check_messages(said, found != NULL);
	if (found == NULL)
		return 0;
	FUZZ_HOLDS(found->values->len == record->cells->len);
	FUZZ_HOLDS(found->differences->len == record->differences->len);
	FUZZ_HOLDS(!(found->dof > 0.0) || found->consistent == (found->chi2 <= found->limit));
	report_cell_compare_json(record, found, text);
	fuzz_check_json(text);
	g_string_truncate(text, 0);
	report_cell_compare_text(record, found, text);
	FUZZ_HOLDS(g_utf8_validate(text->str, (gssize)text->len, NULL));
	return 0;
}
