/* The file of a plan: `kind: plan`, and the files of cells that it names. */
#ifndef FILE_PLAN_H
#define FILE_PLAN_H

#include "app/base/messages.h"
#include "app/lab/plan.h"

/*
 * file_read_plan - the record that a plan states, cells included, in SI units; NULL when anything
 * in it or in one of the cells is wrong, and the messages say what, all at once. Paths of cells
 * count from the folder of the plan. A cell's own thermometer, if it has one, gives way to the
 * plan's. Times of procedures are not read here.
 */
lab_plan *file_read_plan(const char *path, base_messages *messages);

/*
 * file_read_achieved - what a calibration measured at the triple point of water: each such visit of
 * the JSON of `firn reduce` is added to result->achieved, for calc_plan_compare().
 *
 * False with messages when the file is no such result.
 */
bool file_read_achieved(const char *path, lab_plan_result *result, base_messages *messages);
bool file_parse_achieved(const char *path, GBytes *bytes, lab_plan_result *result,
			 base_messages *messages);

#endif
