/* A cell's budget as text and as JSON: shared by what firn cell check and plateau say. */
#ifndef REPORT_CELL_BUDGET_H
#define REPORT_CELL_BUDGET_H

#include "app/lab/cell_budget.h"
#include "app/report/json_writer.h"

void report_cell_budget_text(const lab_cell_budget *budget, GString *to);
void report_cell_budget_json(struct report_json *json, const lab_cell_budget *budget);

/* "12.3": microkelvin to the place of u's second digit, without the unit. Release with g_free. */
char *report_cell_microkelvin(double K, double u_K);

#endif
