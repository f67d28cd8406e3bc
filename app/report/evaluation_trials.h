/* What the trials of a measurement model give beyond intervals, as text and as JSON. */
#ifndef REPORT_EVALUATION_TRIALS_H
#define REPORT_EVALUATION_TRIALS_H

#include "app/lab/model.h"
#include "app/report/json_writer.h"

/* A picture of the trials of one output, 20 to 53 columns wide; nothing where they don't spread. */
void report_histogram_text(const struct lab_evaluated *output, double probability, GString *to);

/* The member "histogram"; null where there is none. */
void report_histogram_json(struct report_json *json, const struct lab_histogram *histogram);

/* One sentence on the regions that hold all outputs; nothing where none were sought. */
void report_joint_text(const struct lab_evaluation *evaluation, GString *to);

/* The member "joint", where several outputs were tried together. */
void report_joint_json(struct report_json *json, const struct lab_evaluation *evaluation);

#endif
