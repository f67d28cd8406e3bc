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

static const char *kind_in_words(enum firn_point_kind kind)
{
	switch (kind) {
	case FIRN_TRIPLE_POINT:
		return "triple";
	case FIRN_MELTING_POINT:
		return "melting";
	case FIRN_FREEZING_POINT:
		return "freezing";
	default:
		return "vapour pressure";
	}
}

/* The number, or `absent` for what the scale does not give. */
static const char *number_or(double x, const char *absent, char text[FIRN_NUMBER_SIZE])
{
	if (isnan(x))
		return absent;
	firn_number_print(x, text);
	return text;
}

static void append_point(bool json, const struct firn_fixed_point *p, bool last, GString *to)
{
	/* A vapour-pressure point has no temperature of its own for pressure and depth to shift. */
	const bool shifts = p->kind != FIRN_VAPOUR_PRESSURE_POINT;
	const double dT_dp = shifts ? p->dT_dp_K_per_Pa : (double)NAN;
	const double dT_dl = shifts ? p->dT_dl_K_per_m : (double)NAN;
	char t90[FIRN_NUMBER_SIZE], wr[FIRN_NUMBER_SIZE], dp[FIRN_NUMBER_SIZE],
	    dl[FIRN_NUMBER_SIZE];

	if (json)
		g_string_append_printf(
		    to,
		    "  {\"point\": \"%s\", \"kind\": \"%s\", \"t90_K\": %s, \"wr\": %s, "
		    "\"dT_dp_K_per_Pa\": %s, \"dT_dl_K_per_m\": %s, \"gas_pressure\": %s}%s\n",
		    p->name, kind_in_words(p->kind), number_or(p->t90_K, "null", t90),
		    number_or(p->wr, "null", wr), number_or(dT_dp, "null", dp),
		    number_or(dT_dl, "null", dl), p->gas_pressure ? "true" : "false",
		    last ? "" : ",");
	else
		g_string_append_printf(to, "%-12s %-16s %-9s %-11s %-9s %s\n", p->name,
				       kind_in_words(p->kind), number_or(p->t90_K, "-", t90),
				       number_or(p->wr, "-", wr), number_or(dT_dp, "-", dp),
				       number_or(dT_dl, "-", dl));
}

void calc_scale_points(bool json, GString *to)
{
	g_string_append(
	    to,
	    json ? "[\n" : "point        kind             T90/K     W_r         K/Pa      K/m\n");
	for (int i = 0; i < FIRN_POINTS; i++)
		append_point(json, firn_scale_point((enum firn_point)i), i + 1 == FIRN_POINTS, to);
	if (json)
		g_string_append(to, "]\n");
}
