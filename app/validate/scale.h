/* Checks of the reference functions. */
#ifndef VALIDATE_SCALE_H
#define VALIDATE_SCALE_H

#include "app/lab/validation.h"
#include "app/validate/tables.h"

/* W_r at the fixed points against Table 1 of the standard. */
void validate_points(lab_validation *to, size_t n, const struct validate_point *points);

/* Largest difference of W_r, and of its root, from values with 40 digits. */
void validate_forward(lab_validation *to, size_t n, const struct validate_pair *pairs);
void validate_inverse(lab_validation *to, size_t n, const struct validate_pair *pairs);

/* A row of one of the first four kinds. */
void validate_scale_row(lab_validation *to, const struct validate_row *row);

#endif
