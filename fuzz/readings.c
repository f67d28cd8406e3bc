/* Fuzz target: readings as CSV, under a good job. */
#include "fuzz/fuzz.h"

#include "app/file/job.h"
#include "app/file/readings.h"

static const char job[] = "kind: fixed-point calibration\n"
			  "thermometer: {id: T, sensor: long stem, nominal_ohm: 25.5}\n"
			  "resistors:\n"
			  "  S: {ohm: 100.0, u_ohm: 1e-5, at_C: 20, per_K: 3e-6}\n"
			  "cells:\n"
			  "  W1: {point: H2O, u_cell_mK: 0.04}\n"
			  "  SN: {point: Sn, u_cell_mK: 0}\n"
			  "visits:\n"
			  "  - {id: 1, cell: SN, resistor: S, depth_m: 0.17, tpw: 2}\n"
			  "  - {id: 2, cell: W1, resistor: S, depth_m: 0.26}\n"
			  "  - {id: 10, measure: true, tpw: 2}\n"
			  "readings: readings.csv\n";
static const char good[] = "visit,current_mA,resistance_ohm\n1,1,48\n2,1,25.5\n10,1,26\n";
enum { VISITS = 3 };
static const bool no_ratio[VISITS] = { false, false, true };

static lab_calibration *read_job(void)
{
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(GBytes) job_bytes = g_bytes_new_static(job, sizeof(job) - 1);
	g_autoptr(GBytes) readings = g_bytes_new_static(good, sizeof(good) - 1);
	lab_calibration *c = file_parse_calibration("job.yaml", job_bytes, readings, messages);

	FUZZ_HOLDS(c != NULL);
	return c;
}

static void check_readings(const lab_calibration *c)
{
	FUZZ_HOLDS(c->readings->len >= VISITS); /* one for each visit */
	for (guint i = 0; i < c->readings->len; i++) {
		const struct lab_reading *r = LAB_AT(c->readings, lab_reading, i);

		FUZZ_HOLDS(r->visit >= 0 && r->visit < VISITS);
		FUZZ_HOLDS(r->current_A > 0.0 && r->current_A <= 0.1);
		FUZZ_HOLDS(r->set_aside || lab_given(r->ratio) != lab_given(r->resistance_ohm));
		FUZZ_HOLDS(!lab_given(r->ratio) || (r->ratio > 0.0 && r->ratio < 1e37));
		FUZZ_HOLDS(!lab_given(r->bath_C) || (r->bath_C >= 0.0 && r->bath_C <= 60.0));
	}
}

/* The job is read once in a while and its readings are exchanged: ten times as many runs. What
   flags leave in its store of texts is the reason for reading it anew. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	enum { RUNS_OF_A_JOB = 1000 };
	static lab_calibration *c;
	static int runs;
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(GBytes) bytes = g_bytes_new(data, size);

	if (runs++ % RUNS_OF_A_JOB == 0) {
		lab_calibration_free(c);
		c = read_job();
	}
	g_array_set_size(c->readings, 0);
	file_read_readings(&(struct file_readings){ .path = "readings.csv",
						    .bytes = bytes,
						    .calibration = c,
						    .no_ratio = no_ratio,
						    .visits_complete = true,
						    .messages = messages });
	fuzz_check_messages(messages, base_messages_count(messages, BASE_ERROR) == 0);
	if (base_messages_count(messages, BASE_ERROR) == 0)
		check_readings(c);
	return 0;
}
