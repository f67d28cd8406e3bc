/* What firn cell compare finds, as text for people and as JSON. */
#ifndef REPORT_CELL_COMPARE_H
#define REPORT_CELL_COMPARE_H

#include "app/lab/cell_compare.h"

void report_cell_compare_text(const lab_cell_comparison *comparison, const lab_cell_compare *found,
			      GString *to);
void report_cell_compare_json(const lab_cell_comparison *comparison, const lab_cell_compare *found,
			      GString *to);

#endif
