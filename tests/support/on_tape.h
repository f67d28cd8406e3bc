/* One tape for each test, and inputs without names of their own. */
#ifndef TESTS_ON_TAPE_H
#define TESTS_ON_TAPE_H

#include "firn/tape.h"

#include "tests/support/near.h"

static struct firn_tape *tape; /* of the test that runs */

static int open_tape(void **state)
{
	(void)state;
	tape = firn_tape_new();
	return tape == NULL;
}

static int close_tape(void **state)
{
	(void)state;
	firn_tape_free(tape);
	tape = NULL;
	return 0;
}

static inline struct firn_node number(double value, double u)
{
	return firn_tape_input(tape, &(struct firn_input){ .name = "x", .value = value, .u = u });
}

#endif
