/* What is wrong with an answer, from the same on coarser grids. */
#ifndef LIB_HEAT_REFINE_H
#define LIB_HEAT_REFINE_H

#include "firn/conduction.h"

/*
 * refine_answer - from values on three grids, each divided by two from the one before.
 *
 * Richardson: the error of the finest is (fine - middle)/(2^p - 1) with the order p that the three
 * show, held between 1 and 2. Where they show none (they move to and fro, or no more) it is the
 * last difference, and the order is NaN.
 */
struct firn_answer refine_answer(double coarse, double middle, double fine);

#endif
