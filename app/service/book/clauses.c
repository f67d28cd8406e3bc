#include "app/service/book/clauses.h"

#include "app/report/clauses.h"

#include <string.h>

static const struct {
	const char *path, *advice;
} advised[] = {
	{ "report.laboratory", "write it into the record laboratory (name)" },
	{ "report.address", "write it into the record laboratory (address)" },
	{ "report.place", "write it into the record laboratory (place)" },
	{ "report.method", "write it into the record laboratory (method)" },
	{ "report.customer", "name a customer in the calibration, or the order that it is for" },
	{ "report.customer_address", "name a customer in the calibration" },
	{ "report.conditions", "name ambient records in the calibration" },
	{ "report.traceability", "enter the certificates of its equipment" },
	{ "thermometer.serial", "write it into the thermometer's record (serial)" },
};

static const char *advice_for(const char *path)
{
	for (size_t i = 0; path != NULL && i < G_N_ELEMENTS(advised); i++)
		if (strcmp(advised[i].path, path) == 0)
			return advised[i].advice;
	return "readings need their times";
}

bool service_release_meets_clauses(const char *id, const lab_calibration *job,
				   const lab_calibration_result *result, base_messages *messages)
{
	g_autoptr(GArray) open = report_clauses_open(job, result);
	g_autofree char *label = service_book_label("calibration", id);
	bool good = true;

	for (guint i = 0; i < open->len; i++) {
		const struct report_clause *c = &g_array_index(open, struct report_clause, i);

		if (g_str_has_prefix(c->path, "release."))
			continue;
		good = false;
		base_messages_add(messages, BASE_ERROR, label, (struct base_mark){ 0, 0 },
				  "lacks %s for its certificate (ISO/IEC 17025:2017, %s); %s",
				  c->what, c->clause, advice_for(c->path));
	}
	return good;
}
