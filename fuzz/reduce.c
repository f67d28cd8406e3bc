/* Fuzz target: a job and, after a byte 0xFF, its readings; what passes both parsers is reduced and
   written as JSON and text. Some hundred times slower than the parsers alone, so a target apart. */
#include "fuzz/fuzz.h"

#include "app/calc/reduce.h"
#include "app/file/job.h"
#include "app/report/result_json.h"
#include "app/report/text.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(GBytes) job_bytes = NULL;
	g_autoptr(GBytes) readings_bytes = NULL;

	fuzz_split(data, size, &job_bytes, &readings_bytes);
	g_autoptr(lab_calibration) job =
	    file_parse_calibration("job.yaml", job_bytes, readings_bytes, messages);
	if (job == NULL)
		return 0;

	g_autoptr(lab_calibration_result) result = calc_reduce(job, messages);
	fuzz_check_messages(messages, result != NULL);
	if (result == NULL)
		return 0;

	g_autoptr(GString) text = g_string_new(NULL);
	report_calibration_json(job, result, text);
	fuzz_check_json(text);
	g_string_truncate(text, 0);
	report_calibration_text(job, result, text);
	FUZZ_HOLDS(g_utf8_validate(text->str, (gssize)text->len, NULL));
	return 0;
}
