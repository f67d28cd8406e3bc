#include "app/lab/cell_compare.h"

static void clear_difference(gpointer data)
{
	struct lab_cell_difference *d = data;

	g_array_unref(d->turns);
}

struct lab_cell_comparison *lab_cell_comparison_new(void)
{
	struct lab_cell_comparison *c = g_new0(struct lab_cell_comparison, 1);

	c->point = LAB_NO_POINT;
	c->datum = c->report.cell = -1;
	c->datum_K = (struct lab_quantity){ LAB_NOT_GIVEN, LAB_NOT_GIVEN, { 0, 0 } };
	c->r_tpw_ohm = LAB_NOT_GIVEN;
	c->cells = g_array_new(FALSE, TRUE, sizeof(struct lab_compared_cell));
	c->differences = g_array_new(FALSE, TRUE, sizeof(struct lab_cell_difference));
	g_array_set_clear_func(c->differences, clear_difference);
	c->text = g_string_chunk_new(2048);
	return c;
}

void lab_cell_comparison_free(struct lab_cell_comparison *comparison)
{
	if (comparison == NULL)
		return;
	g_array_unref(comparison->cells);
	g_array_unref(comparison->differences);
	g_string_chunk_free(comparison->text);
	g_free(comparison);
}

struct lab_cell_compare *lab_cell_compare_new(void)
{
	struct lab_cell_compare *c = g_new0(struct lab_cell_compare, 1);

	c->chi2 = c->dof = c->limit = c->p = c->birge = LAB_NOT_GIVEN;
	c->values = g_array_new(FALSE, TRUE, sizeof(struct lab_compared_value));
	c->differences = g_array_new(FALSE, TRUE, sizeof(struct lab_compared_difference));
	c->steps = g_array_new(FALSE, TRUE, sizeof(struct lab_compared_step));
	c->reservations = g_ptr_array_new();
	c->text = g_string_chunk_new(1024);
	return c;
}

void lab_cell_compare_free(struct lab_cell_compare *compare)
{
	if (compare == NULL)
		return;
	g_array_unref(compare->values);
	g_array_unref(compare->differences);
	g_array_unref(compare->steps);
	g_ptr_array_unref(compare->reservations);
	g_string_chunk_free(compare->text);
	g_free(compare);
}
