/* Resistors, bridges and cells of a job with their certificates, for text, JSON and certificate. */
#ifndef REPORT_EQUIPMENT_H
#define REPORT_EQUIPMENT_H

#include "app/lab/calibration.h"
#include "app/report/json_writer.h"

#include <glib.h>

/* The member "equipment": resistors, bridges and cells; a certificate that was not given is null.
 */
void report_equipment_json(struct report_json *json, const struct lab_calibration *calibration);

/* The names of what a visit was read with, or null. */
void report_visit_equipment_json(struct report_json *json,
				 const struct lab_calibration *calibration, int visit);

/* A section of lines such as "resistor R1, certificate 30-2277"; nothing without equipment. */
void report_equipment_text(const struct lab_calibration *calibration, GString *to);

/*
 * "Through standard resistor R1, certificate 30-2277; cell W1 (H2O), certificate 29-1140." What
 * the visits used and has a certificate; NULL when nothing has one. Free with g_free.
 */
char *report_equipment_traceability(const struct lab_calibration *calibration);

#endif
