/* Checks of measurement models: the linear law, and Monte Carlo. */
#ifndef VALIDATE_MODELS_H
#define VALIDATE_MODELS_H

#include "app/base/messages.h"
#include "app/base/threads.h"
#include "app/lab/validation.h"
#include "app/validate/tables.h"

/* A row of the kind `model` or `trials`. False with messages when the model can't be evaluated. */
bool validate_model_row(lab_validation *to, const struct validate_row *row,
			const struct validate_model *model, base_threads *threads,
			base_messages *messages);

#endif
