#include "app/lab/cell_budget.h"

struct lab_cell_budget *lab_cell_budget_new(void)
{
	struct lab_cell_budget *b = g_new0(struct lab_cell_budget, 1);

	b->sum_K = (struct lab_estimate){ LAB_NOT_GIVEN, LAB_NOT_GIVEN, LAB_NOT_GIVEN };
	b->k = b->U_K = LAB_NOT_GIVEN;
	b->terms = g_array_new(FALSE, TRUE, sizeof(struct lab_cell_term));
	b->inputs = g_array_new(FALSE, TRUE, sizeof(struct lab_budget_line));
	b->text = g_string_chunk_new(2048);
	return b;
}

void lab_cell_budget_free(struct lab_cell_budget *budget)
{
	if (budget == NULL)
		return;
	g_array_unref(budget->terms);
	g_array_unref(budget->inputs);
	g_string_chunk_free(budget->text);
	g_free(budget);
}
