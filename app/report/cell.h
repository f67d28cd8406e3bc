/* What `firn cell` finds, as text for people and as JSON. */
#ifndef REPORT_CELL_H
#define REPORT_CELL_H

#include "app/lab/cell_fit.h"
#include "app/lab/cell_keep.h"
#include "app/lab/cell_prepare.h"

void report_cell_fit_text(const struct lab_cell_study *study, const struct lab_cell_fit *fit,
			  GString *to);
void report_cell_fit_json(const struct lab_cell_study *study, const struct lab_cell_fit *fit,
			  GString *to);

void report_cell_prepare_text(const struct lab_cell_study *study, const struct lab_cell_prepare *p,
			      GString *to);
void report_cell_prepare_json(const struct lab_cell_study *study, const struct lab_cell_prepare *p,
			      GString *to);

void report_cell_keep_text(const struct lab_cell_study *study, const struct lab_cell_keep *k,
			   GString *to);
void report_cell_keep_json(const struct lab_cell_study *study, const struct lab_cell_keep *k,
			   GString *to);

#endif
