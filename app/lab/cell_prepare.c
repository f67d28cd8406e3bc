#include "app/lab/cell_prepare.h"

struct lab_cell_prepare *lab_cell_prepare_new(void)
{
	struct lab_cell_prepare *p = g_new0(struct lab_cell_prepare, 1);
	const struct lab_estimate none = { LAB_NOT_GIVEN, LAB_NOT_GIVEN, LAB_NOT_GIVEN };

	p->contact_W_per_m2K = p->time_s = p->fraction = p->ice_kg = p->heat_J = p->melt_J = none;
	p->coolant_C = p->speed_m_per_s = p->through_s = p->clearance_m = LAB_NOT_GIVEN;
	p->fraction_without_glass = p->even_m = p->rise_m = LAB_NOT_GIVEN;
	p->water_kg = p->glass_kg = p->dry_ice_kg = p->nitrogen_kg = LAB_NOT_GIVEN;
	p->rods = p->power_W = p->melt_m = p->melt_s = LAB_NOT_GIVEN;
	p->steps = g_array_new(FALSE, TRUE, sizeof(struct lab_ice_step));
	p->warnings = g_ptr_array_new();
	p->reservations = g_ptr_array_new();
	p->text = g_string_chunk_new(4096);
	return p;
}

void lab_cell_prepare_free(struct lab_cell_prepare *prepare)
{
	if (prepare == NULL)
		return;
	g_free(prepare->cautions);
	g_array_unref(prepare->steps);
	g_ptr_array_unref(prepare->warnings);
	g_ptr_array_unref(prepare->reservations);
	g_string_chunk_free(prepare->text);
	g_free(prepare);
}
