/* A fixed-point calibration: records in, results and budgets out. */
#ifndef CALC_REDUCE_H
#define CALC_REDUCE_H

#include "app/base/messages.h"
#include "app/lab/calibration_result.h"

/*
 * calc_reduce - from readings to coefficients, uncertainties and temperatures.
 *
 * NULL with every reason in messages, each at its line and column of the job. Reservations stand in
 * the result. Same input, same bytes.
 */
lab_calibration_result *calc_reduce(const struct lab_calibration *job, base_messages *messages);

#endif
