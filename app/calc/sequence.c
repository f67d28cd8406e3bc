#include "app/calc/sequence.h"

#include "firn/scale.h"

#include <string.h>

/* Defects that a high temperature leaves in the wire are annealed out before R(TPW) is measured:
   CCT Guide, ch. 5 (2018), 4.4.1. */
static const char after_al[] = "before R(TPW): 30 min at 675 °C, slowly down to 480 °C, then out; "
			       "in the same oxidation state, "
			       "within a few hours";
static const char after_ag[] = "before R(TPW): 30 min at 975 °C, slowly down to 480 °C, then out; "
			       "in the same oxidation state, "
			       "within a few hours";

static void add(GArray *steps, enum lab_point point, const char *advice)
{
	const struct calc_step step = { point, advice };

	g_array_append_val(steps, step);
}

static void count_points(const struct firn_subrange *subrange, bool check, int count[LAB_POINTS])
{
	int own[LAB_POINTS] = { 0 };
	const double in_K = firn_scale_point(FIRN_IN)->t90_K;

	for (size_t i = 0; i < subrange->n_points; i++)
		own[subrange->points[i]]++;
	if (check && in_K > subrange->low_K && in_K < subrange->high_K)
		own[LAB_IN] = 1;
	for (int p = 0; p < LAB_POINTS; p++)
		count[p] = MAX(count[p], own[p]);
}

GArray *calc_sequence(const bool subranges[LAB_SUBRANGES], bool check)
{
	GArray *steps = g_array_new(FALSE, FALSE, sizeof(struct calc_step));
	int count[LAB_POINTS] = { 0 };

	for (int s = 0; s < LAB_SUBRANGES; s++)
		if (subranges[s])
			count_points(firn_scale_subrange((enum firn_subrange_id)s), check, count);
	add(steps, LAB_H2O, "stabilised first: R(TPW) repeats within its limit");
	for (int p = LAB_POINTS - 1; p >= 0; p--) {
		for (int i = 0; p != LAB_H2O && i < count[p]; i++) {
			add(steps, (enum lab_point)p, NULL);
			add(steps, LAB_H2O, p == LAB_AG ? after_ag : p == LAB_AL ? after_al : NULL);
		}
	}
	return steps;
}

struct calc_span calc_subrange_span(enum lab_subrange subrange)
{
	const struct firn_subrange *s = firn_scale_subrange((enum firn_subrange_id)subrange);

	return (struct calc_span){ s->low_K, s->high_K };
}

double calc_point_K(enum lab_point point)
{
	return firn_scale_point((enum firn_point)point)->t90_K;
}

double calc_reach_K(const struct calc_span *spans, size_t n, double from_K)
{
	double to_K = from_K;
	bool further = true;

	while (further) {
		further = false;
		for (size_t i = 0; i < n; i++) {
			if (spans[i].low_K <= to_K + CALC_NEAR_K &&
			    spans[i].high_K > to_K + CALC_NEAR_K) {
				to_K = spans[i].high_K;
				further = true;
			}
		}
	}
	return to_K;
}
