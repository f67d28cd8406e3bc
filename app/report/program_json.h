/* Which program made a result, as a member of it. */
#ifndef REPORT_PROGRAM_JSON_H
#define REPORT_PROGRAM_JSON_H

#include "app/report/json_writer.h"

/* "program": name, version, build, libraries. */
void report_program_json(struct report_json *json);

#endif
