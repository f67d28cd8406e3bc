#include "app/lab/cell_profile.h"

const char *lab_profile_verdict_name(enum lab_profile_verdict verdict)
{
	static const char *const names[] = { "follows", "undecided", "departs" };

	return names[verdict];
}

struct lab_cell_profile *lab_cell_profile_new(void)
{
	static const struct lab_estimate none = { LAB_NOT_GIVEN, LAB_NOT_GIVEN, LAB_NOT_GIVEN };
	struct lab_cell_profile *p = g_new0(struct lab_cell_profile, 1);

	p->line_u_K = p->term_K = p->lift_m = LAB_NOT_GIVEN;
	p->error_K = p->true_K = p->decay_m = p->two_points_K = none;
	p->points = g_array_new(FALSE, TRUE, sizeof(struct lab_profile_point));
	p->reservations = g_ptr_array_new();
	p->text = g_string_chunk_new(1024);
	return p;
}

void lab_cell_profile_free(struct lab_cell_profile *profile)
{
	if (profile == NULL)
		return;
	g_array_unref(profile->points);
	g_ptr_array_unref(profile->reservations);
	g_string_chunk_free(profile->text);
	g_free(profile);
}
