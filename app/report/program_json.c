#include "app/report/program_json.h"

#include "app/report/program.h"

void report_program_json(struct report_json *json)
{
	const struct report_library *libraries;
	const size_t n = report_program_libraries(&libraries);

	report_json_object(json, "program");
	report_json_text(json, "name", report_program_name);
	report_json_text(json, "version", report_program_version);
	report_json_text(json, "build", report_program_build());
	report_json_object(json, "libraries");
	for (size_t i = 0; i < n; i++)
		report_json_text(json, libraries[i].name, libraries[i].version);
	report_json_close(json);
	report_json_close(json);
}
