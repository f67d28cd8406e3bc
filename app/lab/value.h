/* Plain numbers of the records. A number that was not given is NaN. */
#ifndef LAB_VALUE_H
#define LAB_VALUE_H

#include <math.h>
#include <stdbool.h>

#define LAB_NOT_GIVEN ((double)NAN)

static inline bool lab_given(double x)
{
	return !isnan(x);
}

static inline double lab_or(double x, double otherwise)
{
	return lab_given(x) ? x : otherwise;
}

/* A result. dof is infinite where every input's are. */
struct lab_estimate {
	double value, u, dof;
};

#endif
