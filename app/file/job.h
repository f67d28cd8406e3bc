/* A fixed-point calibration from disk: the job file and the readings that it names. */
#ifndef FILE_JOB_H
#define FILE_JOB_H

#include "app/base/messages.h"
#include "app/lab/calibration.h"

/*
 * file_read_calibration - the record that a job file and its readings state.
 *
 * All that is wrong with either file is added to the messages, each with its place. Returned: NULL
 * when that includes an error; otherwise a record in which every reference holds, every number is
 * in its range, every visit has readings and every reading a visit.
 *
 * Marks are set for every value under the path that the job's own keys make, named things by their
 * names: thermometer.nominal_ohm, resistor.S.u_ohm, bridge.B1.u_linearity, cell.W1.u_cell_mK,
 * cell.W1.isotopes.dD, cell.W1.impurities.1.k (from 1), cell.W1.certificate.u_mK, visit.2.depth_m,
 * visit.2.terms.dynamic.u_mK, visit.2.mantle_age.effect_mK, event.1.after (from 1), release.date,
 * report.customer, limits.capability_mK, tpw, subranges, readings, coverage_factor.
 */
lab_calibration *file_read_calibration(const char *path, base_messages *messages);

/* The same from bytes in memory; the paths are for messages and for the record. Readings NULL: they
   are read from the file that the job names. */
lab_calibration *file_parse_calibration(const char *path, GBytes *job, GBytes *readings,
					base_messages *messages);

#endif
