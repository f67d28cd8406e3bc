/* A measurement model stated in a file: values, uncertainties and budgets by the linear law, and by
 * trials. */
#ifndef CALC_EVALUATE_H
#define CALC_EVALUATE_H

#include "app/base/messages.h"
#include "app/base/threads.h"
#include "app/lab/model.h"

/* By the linear law alone. NULL with every reason in messages, each at its line and column. */
lab_evaluation *calc_evaluate(const struct lab_model *model, base_messages *messages);

/* The same, and by trials where the model asks for them. */
lab_evaluation *calc_evaluate_by_trials(const struct lab_model *model, base_threads *threads,
					base_messages *messages);

#endif
