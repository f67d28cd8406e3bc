/* What makes a cell differ from the temperature that the scale defines, term by term. Kelvin. */
#ifndef LAB_CELL_BUDGET_H
#define LAB_CELL_BUDGET_H

#include "app/lab/cell_study.h"
#include "app/lab/model.h"

/* An effect: the cell's temperature minus the defined one. */
struct lab_cell_term {
	char *name, *note; /* note: how it is known */
	struct lab_estimate K;
};

struct lab_cell_budget {
	GArray *terms;             /* struct lab_cell_term */
	struct lab_estimate sum_K; /* correlations included */
	double k, U_K;             /* coverage factor for 95 %, and k u */
	GArray *inputs;            /* struct lab_budget_line of the sum, largest first */
	GStringChunk *text;
};
struct lab_cell_budget *lab_cell_budget_new(void);
void lab_cell_budget_free(struct lab_cell_budget *budget);
typedef struct lab_cell_budget lab_cell_budget;
G_DEFINE_AUTOPTR_CLEANUP_FUNC(lab_cell_budget, lab_cell_budget_free)

#endif
