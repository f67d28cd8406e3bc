/* The steps of a comparison of cells: for cell_compare*.c only. */
#ifndef CALC_CELL_COMPARE_PARTS_H
#define CALC_CELL_COMPARE_PARTS_H

#include "app/lab/cell_compare.h"
#include "firn/ensemble.h"

struct compare_work {
	struct firn_tape *tape;
	const lab_cell_comparison *record;
	base_messages *messages;
	lab_cell_compare *ret;
	bool failed;
	struct firn_ensemble_cell *cells;    /* as the record's */
	struct firn_node *isotopes;          /* effect of each cell; index 0: not stated */
	struct firn_difference *differences; /* as the record's */
	struct firn_ensemble ensemble;
	struct firn_ensemble_result result;
};

double compare_year(int day);
int compare_day(double year);
const char *compare_cell_name(const struct compare_work *w, size_t i);
void compare_lacks(struct compare_work *w, struct base_mark mark, const char *format, ...)
    G_GNUC_PRINTF(3, 4);
void compare_reserve(struct compare_work *w, const char *format, ...) G_GNUC_PRINTF(2, 3);

/* Cells, datum and differences as the engine has them; false with messages. */
bool compare_gather(struct compare_work *w);

/* Looks at every gap between comparisons of every cell; false: no memory. */
bool compare_steps(struct compare_work *w);

#endif
