/*
 * Test support: a calibration and its result as they might come from the invented laboratory
 * Hollowmere. Every number is made up; W follows a parabola, not the scale, so nothing here may be
 * taken for a calculation.
 */
#ifndef REPORT_EXAMPLE_H
#define REPORT_EXAMPLE_H

#include "app/lab/calibration.h"
#include "app/lab/calibration_result.h"

/* Released, with every text a certificate wants: water, mercury, gallium, indium and tin. */
struct lab_calibration *example_calibration(void);
struct lab_calibration_result *example_result(void);

/* A subrange that one point fixes, and nothing else: 0 °C to gallium. */
struct lab_calibration_result *example_one_point_result(void);

/* The series four times over, each visit with a name of its own that fills a line. */
struct lab_calibration_result *example_long_result(void);

#endif
