#include "app/calc/scale.h"

#include "firn/number.h"
#include "firn/scale.h"

#include <math.h>
#include <string.h>

typedef enum firn_status scale_function(bool from_zero, double x, struct calc_scale_answer *ret);

struct calc_scale_function {
	const char *name;
	scale_function *compute;
	const char *range; /* what would be right */
	const char *range_from_zero;
};

static enum firn_status reference(bool from_zero, double t90_K, struct calc_scale_answer *ret)
{
	double slope;

	ret->n = 1;
	return firn_scale_wr(t90_K, from_zero, &ret->values[0], &slope);
}

static enum firn_status inverse(bool from_zero, double wr, struct calc_scale_answer *ret)
{
	double slope;

	ret->n = 1;
	return firn_scale_t90(wr, from_zero, &ret->values[0], &slope);
}

static enum firn_status approximate_inverse(bool from_zero, double wr,
					    struct calc_scale_answer *ret)
{
	ret->n = 1;
	return firn_scale_t90_approximate(wr, from_zero, &ret->values[0]);
}

static enum firn_status difference(bool from_zero, double t90_K, struct calc_scale_answer *ret)
{
	(void)from_zero;
	ret->n = 2;
	return firn_scale_difference(t90_K, &ret->values[0], &ret->values[1]);
}

static const struct calc_scale_function functions[] = {
	{ "reference", reference, "a T90 from 13.8033 K to 1234.93 K is needed",
	  "with --from-zero a T90 from 273.15 K to 1234.93 K is needed" },
	{ "inverse", inverse, "a W_r from 0.0011901 (13.8033 K) to 4.2864 (1234.93 K) is needed",
	  "with --from-zero a W_r from 0.99996 (0 degC) to 4.2864 (1234.93 K) is needed" },
	{ "approximate-inverse", approximate_inverse,
	  "a W_r from 0.0011901 (13.8033 K) to 4.2864 (1234.93 K) is needed",
	  "with --from-zero a W_r from 0.99996 (0 degC) to 4.2864 (1234.93 K) is needed" },
	{ "difference", difference, "a T90 from 4.2 K to 1357.77 K is needed",
	  "a T90 from 4.2 K to 1357.77 K is needed" },
};

const struct calc_scale_function *calc_scale_function_named(const char *name)
{
	for (size_t i = 0; i < G_N_ELEMENTS(functions); i++)
		if (strcmp(functions[i].name, name) == 0)
			return &functions[i];
	return NULL;
}

bool calc_scale_answer(const struct calc_scale_function *function, bool from_zero, double x,
		       struct calc_scale_answer *ret, char **ret_wrong)
{
	char number[FIRN_NUMBER_SIZE];

	/* Whoever asks for the scale itself gets it where the scale is defined and nowhere else. */
	if (function->compute(from_zero, x, ret) == FIRN_OK)
		return true;
	firn_number_print(x, number);
	*ret_wrong = g_strdup_printf("%s is out of range; %s", number,
				     from_zero ? function->range_from_zero : function->range);
	return false;
}
