/* What the tests of this folder share: one tape for each test, and inputs without names. */
#ifndef LIB_REALISE_REALISE_TEST_H
#define LIB_REALISE_REALISE_TEST_H

#include "tests/support/near.h"
#include "firn/tape.h"

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

static struct firn_tape *tape; /* of the test that runs */

static int new_tape(void **state)
{
	(void)state;
	tape = firn_tape_new();
	return tape == NULL;
}

static int free_tape(void **state)
{
	(void)state;
	firn_tape_free(tape);
	tape = NULL;
	return 0;
}

static inline struct firn_node input(double value, double u)
{
	return firn_tape_input(tape, &(struct firn_input){ .name = "x", .value = value, .u = u });
}

/* Hands each row of a table to cmocka as a test of its own. */
#define ADD_CASES(tests, n, cases, function)                                                       \
	for (size_t i_case = 0; i_case < COUNT(cases); i_case++)                                   \
		(tests)[(n)++] = (struct CMUnitTest)                                               \
		{                                                                                  \
			.name = (cases)[i_case].name, .test_func = (function),                     \
			.setup_func = new_tape, .teardown_func = free_tape,                        \
			.initial_state = &(cases)[i_case]                                          \
		}

#define ADD_TEST(tests, n, function)                                                               \
	(tests)[(n)++] = (struct CMUnitTest)                                                       \
	{                                                                                          \
		.name = #function, .test_func = (function), .setup_func = new_tape,                \
		.teardown_func = free_tape                                                         \
	}

#endif
