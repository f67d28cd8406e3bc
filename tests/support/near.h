/* Doubles compared as doubles: cmocka's own comparison is in single precision. */
#ifndef TESTS_NEAR_H
#define TESTS_NEAR_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>
#include <math.h>
#include <stdbool.h>

static inline void near_fail(double got, double want, double tolerance, const char *what,
			     const char *file, int line)
{
	print_error("%s: got %.17g, want %.17g, difference %.3g, tolerance %.3g\n", what, got, want,
		    got - want, tolerance);
	_fail(file, line);
}

/* |got - want| at most `tolerance`; NaN is near nothing. */
#define assert_near(got, want, tolerance)                                                          \
	do {                                                                                       \
		const double near_got = (got), near_want = (want), near_tol = (tolerance);         \
		if (!(fabs(near_got - near_want) <= near_tol))                                     \
			near_fail(near_got, near_want, near_tol, #got, __FILE__, __LINE__);        \
	} while (0)

/* |got - want| at most `relative` times |want|. */
#define assert_near_relative(got, want, relative) assert_near((got), (want), (relative)*fabs(want))

#endif
