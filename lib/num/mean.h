/* The mean of many values that have most of their digits in common. */
#ifndef LIB_NUM_MEAN_H
#define LIB_NUM_MEAN_H

#include <stddef.h>

/* Mean of n >= 1 finite values: within an ulp or two where their spread is small beside them, as it
   is with readings. */
double num_mean(size_t n, const double *x);

#endif
