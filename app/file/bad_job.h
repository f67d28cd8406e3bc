/* The good job and readings that the tables of bad ones change, and how a row is tried. */
#ifndef FILE_BAD_JOB_H
#define FILE_BAD_JOB_H

#include "app/file/bad_test.h"
#include "app/file/job.h"

static const char bad_job[] =
    "kind: fixed-point calibration\n"
    "thermometer: {id: T-0417, sensor: long stem, nominal_ohm: 25.5}\n"
    "resistors:\n"
    "  S: {ohm: 100.000512, u_ohm: 0.00001, at_C: 23, per_K: 3.1e-6}\n"
    "bridges:\n"
    "  B1: {u_linearity: 2e-8}\n"
    "cells:\n"
    "  W1: {point: H2O, u_cell_mK: 0.04, isotopes: {dD: -0.0583, d18O: -0.0081}}\n"
    "  AL: {point: Al, u_cell_mK: 0.5}\n"
    "  H: {point: e-H2-vapour}\n"
    "visits:\n"
    "  - {id: 1, cell: W1, resistor: S, bridge: B1, depth_m: 0.265, u_mK: 0.03}\n"
    "  - {id: 2, cell: AL, resistor: S, bridge: B1, depth_m: 0.17, pressure_Pa: 103100, tpw: 3}\n"
    "  - {id: 3, cell: W1, resistor: S, depth_m: 0.265}\n"
    "  - {id: 4, cell: H, resistor: S, vapour_pressure_Pa: 33321}\n"
    "  - {id: 12, measure: true, resistor: S, tpw: 3}\n"
    "  - {id: 13, measure: true, tpw: 3}\n"
    "tpw: after\n"
    "subranges: all\n"
    "readings: readings.csv\n";

static const char bad_readings[] = "time,visit,current_mA,ratio,resistance_ohm,bath_C,flag\n"
				   "2026-11-24T09:00:00+01:00,1,1,0.2551,,23.0,\n"
				   "2026-11-24T09:01:00+01:00,1,1.4142,0.2551,,23.0,\n"
				   "2026-11-24T10:00:00+01:00,2,1,0.8611,,23.0,\n"
				   "2026-11-24T11:00:00+01:00,3,1,0.2551,,23.0,\n"
				   "2026-11-24T12:00:00+01:00,4,1,0.0012,,23.0,\n"
				   "2026-11-24T13:00:00+01:00,12,1,,5.6,,\n"
				   ",13,1,,5.6,,\n";

/* No record, exit status 2, and the messages of the row, all of them and no others. */
static inline void bad_job_try(const struct bad_case *c, const char *job, const char *readings,
			       const char *file)
{
	g_autoptr(base_messages) messages = base_messages_new();

	bad_write("job.yaml", job);
	bad_write("readings.csv", readings);
	g_autoptr(lab_calibration) record = file_read_calibration("job.yaml", messages);
	g_autofree char *got = bad_messages(messages, file);
	assert_string_equal(got, c->want);
	assert_null(record);
	assert_int_equal(base_messages_exit_status(messages), 2);
}

/* A row that changes the job. */
static inline void bad_job_case(void **state)
{
	const struct bad_case *c = *state;
	g_autofree char *job = bad_edit(bad_job, c);

	bad_job_try(c, job, bad_readings, "job.yaml");
}

#endif
