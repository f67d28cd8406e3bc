/*
 * Recording of a reduction and its sweeps for all table temperatures: calc_reduce() of a job that
 * has been read. Each line on stdin is a job file; the answer is seconds of this thread.
 */
#include "benchmarks/driver.h"

#include "app/calc/reduce.h"
#include "app/file/job.h"

#include <math.h>

static double answer(void *context, size_t n, char **words)
{
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(lab_calibration) job = file_read_calibration(words[0], messages);
	double start, end;

	(void)context;
	(void)n;
	if (job == NULL)
		return NAN;
	start = seconds(CLOCK_THREAD_CPUTIME_ID);
	g_autoptr(lab_calibration_result) result = calc_reduce(job, messages);
	end = seconds(CLOCK_THREAD_CPUTIME_ID);
	return result == NULL ? NAN : end - start;
}

int main(void)
{
	return driver_run(answer, NULL);
}
