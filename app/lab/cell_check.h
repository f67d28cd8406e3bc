/* What the checks of a cell bound, and its budget: what `firn cell check` finds. SI units. */
#ifndef LAB_CELL_CHECK_H
#define LAB_CELL_CHECK_H

#include "app/lab/cell_budget.h"
#include "app/lab/cell_records.h"

enum lab_check_state {
	LAB_CHECK_GOOD,
	LAB_CHECK_ALARM,
	LAB_CHECK_OPEN, /* done, but there is no limit to judge it by */
};
const char *lab_check_state_name(enum lab_check_state state); /* "good", "alarm", "no limit" */

struct lab_check {
	const char *name; /* "bubble", "click" */
	enum lab_check_state state;
	char *found;        /* what was seen */
	char *bounds;       /* what that bounds; NULL: nothing in numbers */
	const char *unseen; /* what this check can't show */
};

struct lab_cell_check {
	GArray *checks;                       /* struct lab_check */
	struct lab_estimate gas_Pa;           /* of the bubble test; NaN: not done */
	struct lab_estimate gas_K, gas_air_K; /* by its pressure; with the air dissolved as well */
	struct lab_estimate inversion_K;      /* after less before; NaN: not done */
	lab_cell_budget *budget;
	GPtrArray *reservations; /* char * */
	GStringChunk *text;
};
struct lab_cell_check *lab_cell_check_new(void);
void lab_cell_check_free(struct lab_cell_check *check);
typedef struct lab_cell_check lab_cell_check;
G_DEFINE_AUTOPTR_CLEANUP_FUNC(lab_cell_check, lab_cell_check_free)

/* Whether any check of the array raises an alarm. */
bool lab_check_alarms(const GArray *checks);

#endif
