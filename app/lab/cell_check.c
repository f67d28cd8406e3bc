#include "app/lab/cell_check.h"

const char *lab_check_state_name(enum lab_check_state state)
{
	static const char *const names[] = { "good", "alarm", "no limit" };

	return names[state];
}

struct lab_cell_check *lab_cell_check_new(void)
{
	static const struct lab_estimate none = { LAB_NOT_GIVEN, LAB_NOT_GIVEN, LAB_NOT_GIVEN };
	struct lab_cell_check *c = g_new0(struct lab_cell_check, 1);

	c->gas_Pa = c->gas_K = c->gas_air_K = c->inversion_K = none;
	c->checks = g_array_new(FALSE, TRUE, sizeof(struct lab_check));
	c->budget = lab_cell_budget_new();
	c->reservations = g_ptr_array_new();
	c->text = g_string_chunk_new(2048);
	return c;
}

void lab_cell_check_free(struct lab_cell_check *check)
{
	if (check == NULL)
		return;
	g_array_unref(check->checks);
	lab_cell_budget_free(check->budget);
	g_ptr_array_unref(check->reservations);
	g_string_chunk_free(check->text);
	g_free(check);
}

bool lab_check_alarms(const GArray *checks)
{
	for (guint i = 0; i < checks->len; i++)
		if (LAB_AT(checks, lab_check, i)->state == LAB_CHECK_ALARM)
			return true;
	return false;
}
