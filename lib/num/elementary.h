/*
 * Exponential and natural logarithm with the same bits on every processor.
 *
 * The C library's choose among variants by processor, and 7 values in 10,000 then differ in the
 * last bit. These are plain arithmetic in double precision, without tables, branches on the bulk of
 * the argument's range, or fused operations, so that a loop over them vectorises. They rely on
 * rounding to nearest.
 */
#ifndef LIB_NUM_ELEMENTARY_H
#define LIB_NUM_ELEMENTARY_H

/* e^x within 1.2e-16 relative; infinite above 709.78, rounded once more where subnormal, 0 below
   -745.2; NaN for NaN. */
double num_exp(double x);

/* ln x within 1.2e-16 relative, near 1 as well; NaN below 0 and for NaN, -infinity at 0. */
double num_ln(double x);

#endif
