#include "app/lab/cell_plateau.h"

struct lab_cell_plateau *lab_cell_plateau_new(void)
{
	static const struct lab_estimate none = { LAB_NOT_GIVEN, LAB_NOT_GIVEN, LAB_NOT_GIVEN };
	struct lab_cell_plateau *p = g_new0(struct lab_cell_plateau, 1);

	p->nucleation_s = p->supercooling_K = p->start_s = p->peak_K = p->u_peak_K = LAB_NOT_GIVEN;
	p->end_inflection_s = p->end_scatter_s = p->end_power_s = p->end_s = LAB_NOT_GIVEN;
	p->rise_or_fall_K = p->implied_fraction = p->coupling_lag_s = LAB_NOT_GIVEN;
	p->stability_K = p->vertical_K = LAB_NOT_GIVEN;
	p->linear.K = p->linear.slope_K = p->reciprocal.K = p->reciprocal.slope_K = none;
	p->liquidus_K = p->coupling = none;
	p->checks = g_array_new(FALSE, TRUE, sizeof(struct lab_check));
	p->budget = lab_cell_budget_new();
	p->reservations = g_ptr_array_new();
	p->text = g_string_chunk_new(2048);
	return p;
}

void lab_cell_plateau_free(struct lab_cell_plateau *plateau)
{
	if (plateau == NULL)
		return;
	g_array_unref(plateau->checks);
	lab_cell_budget_free(plateau->budget);
	g_ptr_array_unref(plateau->reservations);
	g_string_chunk_free(plateau->text);
	g_free(plateau);
}
