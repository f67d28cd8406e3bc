/* A measurement model stated in a file: values, uncertainties and budgets by the linear law. */
#ifndef CALC_EVALUATE_H
#define CALC_EVALUATE_H

#include "app/base/messages.h"
#include "app/lab/model.h"

/* NULL with every reason in messages, each at its line and column. */
lab_evaluation *calc_evaluate(const struct lab_model *model, base_messages *messages);

#endif
