/* Checks with what each found, bounds and can't show. */
#ifndef REPORT_CELL_CHECK_LINES_H
#define REPORT_CELL_CHECK_LINES_H

#include "app/report/json_writer.h"

#include <glib.h>

/* struct lab_check of an array; with a blank line behind them where there are any. */
void report_cell_check_lines(const GArray *checks, GString *to);
void report_cell_check_lines_json(struct report_json *json, const GArray *checks);

#endif
