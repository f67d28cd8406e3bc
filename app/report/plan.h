/* What a plan finds: text, JSON and a picture. */
#ifndef REPORT_PLAN_H
#define REPORT_PLAN_H

#include "app/lab/plan.h"
#include "app/report/picture.h"

void report_plan_text(const lab_plan *plan, const lab_plan_result *result, GString *to);
void report_plan_json(const lab_plan *plan, const lab_plan_result *result, GString *to);

/* U of each realisation on one axis, what is wanted, what is usual, and the largest terms. */
report_picture *report_plan_drawing(const lab_plan *plan, const lab_plan_result *result);

/* "U of 0.11 mK with the large cell W-2 is enough": the answer in a sentence. g_free it. */
char *report_plan_sentence(const lab_plan *plan, const lab_plan_result *result);

#endif
