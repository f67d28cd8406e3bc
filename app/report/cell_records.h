/* What firn cell check, profile, plateau and compare find, as text for people and as JSON. */
#ifndef REPORT_CELL_RECORDS_H
#define REPORT_CELL_RECORDS_H

#include "app/lab/cell_check.h"
#include "app/lab/cell_plateau.h"
#include "app/lab/cell_profile.h"

void report_cell_check_text(const struct lab_cell_study *study, const lab_cell_check *check,
			    GString *to);
void report_cell_check_json(const struct lab_cell_study *study, const lab_cell_check *check,
			    GString *to);

void report_cell_profile_text(const struct lab_cell_study *study, const lab_cell_profile *profile,
			      GString *to);
void report_cell_profile_json(const struct lab_cell_study *study, const lab_cell_profile *profile,
			      GString *to);

void report_cell_plateau_text(const struct lab_cell_study *study, const lab_cell_plateau *plateau,
			      GString *to);
void report_cell_plateau_json(const struct lab_cell_study *study, const lab_cell_plateau *plateau,
			      GString *to);

#endif
