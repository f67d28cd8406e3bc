/* Fuzz target: a job and, after a byte 0xFF, its readings. */
#include "fuzz/fuzz.h"

#include "app/file/job.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(GBytes) job_bytes = NULL;
	g_autoptr(GBytes) readings_bytes = NULL;

	fuzz_split(data, size, &job_bytes, &readings_bytes);
	g_autoptr(lab_calibration) job =
	    file_parse_calibration("job.yaml", job_bytes, readings_bytes, messages);
	fuzz_check_messages(messages, job != NULL);
	if (job != NULL)
		FUZZ_HOLDS(job->visits->len > 0 && job->readings->len >= job->visits->len);
	return 0;
}
