#include "app/lab/cell_fit.h"

const char *lab_fit_verdict_name(enum lab_fit_verdict verdict)
{
	static const char *const names[] = { "not asked", "not judged", "fits", "limits the result",
					     "unfit" };

	return names[verdict];
}

struct lab_cell_fit *lab_cell_fit_new(void)
{
	struct lab_cell_fit *fit = g_new0(struct lab_cell_fit, 1);

	fit->alternatives = g_array_new(FALSE, TRUE, sizeof(struct lab_fit_case));
	fit->depths = g_array_new(FALSE, TRUE, sizeof(struct lab_fit_depth));
	fit->budget = g_array_new(FALSE, TRUE, sizeof(struct lab_budget_line));
	fit->reservations = g_ptr_array_new();
	fit->text = g_string_chunk_new(4096);
	return fit;
}

void lab_cell_fit_free(struct lab_cell_fit *fit)
{
	if (fit == NULL)
		return;
	g_array_unref(fit->alternatives);
	g_array_unref(fit->depths);
	g_array_unref(fit->budget);
	g_ptr_array_unref(fit->reservations);
	g_string_chunk_free(fit->text);
	g_free(fit);
}
