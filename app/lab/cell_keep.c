#include "app/lab/cell_keep.h"

const char *lab_course_name(enum lab_course course)
{
	static const char *const names[] = { "melts", "grows", "stays" };

	return names[course];
}

struct lab_cell_keep *lab_cell_keep_new(void)
{
	struct lab_cell_keep *k = g_new0(struct lab_cell_keep, 1);
	const struct lab_estimate none = { LAB_NOT_GIVEN, LAB_NOT_GIVEN, LAB_NOT_GIVEN };
	const struct lab_days never = { LAB_NOT_GIVEN, LAB_NOT_GIVEN, LAB_NOT_GIVEN };

	k->offset_K = k->power_W = k->rate = none;
	k->left = k->at_warmest = k->at_coldest = never;
	k->growth_most_m = k->growth_day_m = k->growth_week_m = k->cost_of_next_s = k->age_fine_s =
	    LAB_NOT_GIVEN;
	k->costs = g_array_new(FALSE, TRUE, sizeof(struct lab_mantle_cost));
	k->course_points = g_array_new(FALSE, TRUE, sizeof(struct lab_mantle_state));
	k->looks = g_array_new(FALSE, TRUE, sizeof(struct lab_mantle_state));
	k->warnings = g_ptr_array_new();
	k->advice = g_ptr_array_new();
	k->reservations = g_ptr_array_new();
	k->text = g_string_chunk_new(4096);
	return k;
}

void lab_cell_keep_free(struct lab_cell_keep *keep)
{
	if (keep == NULL)
		return;
	g_array_unref(keep->costs);
	g_array_unref(keep->course_points);
	g_array_unref(keep->looks);
	g_ptr_array_unref(keep->warnings);
	g_ptr_array_unref(keep->advice);
	g_ptr_array_unref(keep->reservations);
	g_string_chunk_free(keep->text);
	g_free(keep);
}
