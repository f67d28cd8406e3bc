/* Words and numbers that all texts about a cell share. */
#ifndef REPORT_CELL_WORDS_H
#define REPORT_CELL_WORDS_H

#include "app/lab/cell_study.h"
#include "app/report/columns.h"
#include "app/report/json_writer.h"

/* "12.3(4) µK", "1.25(3) mK", "0.41(2) K": value with u, in the unit that suits it. */
char *report_cell_kelvin(const struct lab_estimate *x);
/* The same without u, two digits: a size. */
char *report_cell_size(double x_K);
/* "4.2 min", "2.1 h", "12 d": two digits. */
char *report_cell_time(double t_s);
/* x scaled, with u in brackets and the unit behind: "2.31(15) g". */
char *report_cell_scaled(const struct lab_estimate *x, double scale, const char *unit);

/* A row of three: what, its value (released here), a remark. */
void report_cell_row(report_columns *columns, const char *what, char *value, const char *remark);

/* {"value", "u"}, null where there is none. */
void report_cell_estimate_json(struct report_json *json, const char *name,
			       const struct lab_estimate *x);
/* kind, schema, program, inputs: how every result begins. */
void report_cell_head_json(struct report_json *json, const struct lab_cell_study *study,
			   const char *kind);
/* Title, cell and thermometer: how every text begins. */
void report_cell_head_text(const struct lab_cell_study *study, GString *to);
void report_cell_reservations_text(const GPtrArray *reservations, GString *to);

#endif
