/* A fixed-point calibration: records in, results and budgets out. */
#ifndef CALC_REDUCE_H
#define CALC_REDUCE_H

#include "app/base/messages.h"
#include "app/base/threads.h"
#include "app/lab/calibration_result.h"

/*
 * calc_reduce - from readings to coefficients, uncertainties and temperatures.
 *
 * NULL with every reason in messages, each at its line and column of the job. Reservations stand in
 * the result. Same input, same bytes.
 */
lab_calibration_result *calc_reduce(const struct lab_calibration *job, base_messages *messages);

/*
 * calc_reduce_visits - the same up to R and W of each visit, for readings that make no subrange;
 * what comes behind is empty.
 */
lab_calibration_result *calc_reduce_visits(const struct lab_calibration *job,
					   base_messages *messages);

/* calc_reduce, and n Monte Carlo trials of coefficients and table temperatures (result->trials). */
lab_calibration_result *calc_reduce_by_trials(const struct lab_calibration *job, int64_t n,
					      base_threads *threads, base_messages *messages);

/*
 * calc_explain - how one number came about, down to the readings, as an indented text.
 *
 * Given: what, one of visit.ID.R, visit.ID.W, visit.ID.dT, subrange.NAME.COEFFICIENT,
 * temperature.ID.SUBRANGE. Appends formulas as they stand in the source, with value and standard
 * uncertainty; a quantity met before is named and not unfolded again. false with messages when
 * there is no such number.
 */
bool calc_explain(const struct lab_calibration *job, const char *what, GString *to,
		  base_messages *messages);

#endif
