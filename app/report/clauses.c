#include "app/report/clauses.h"

#include <stddef.h>
#include <string.h>

/* A text of the job that a clause wants; `offset` of it in struct lab_calibration. */
static const struct {
	struct report_clause clause;
	size_t offset;
} wanted[] = {
#define AT(member) offsetof(struct lab_calibration, member)
	{ { "7.8.2.1 b", "the name of the laboratory", "report.laboratory" },
	  AT(report.laboratory) },
	{ { "7.8.2.1 b", "the address of the laboratory", "report.address" }, AT(report.address) },
	{ { "7.8.2.1 c", "the place of the measurements", "report.place" }, AT(report.place) },
	{ { "7.8.2.1 d", "a number that is the certificate's own", "release.number" },
	  AT(release.number) },
	{ { "7.8.2.1 e", "the name of the customer", "report.customer" }, AT(report.customer) },
	{ { "7.8.2.1 e", "where the customer is reached", "report.customer_address" },
	  AT(report.customer_address) },
	{ { "7.8.2.1 f", "the method", "report.method" }, AT(report.method) },
	{ { "7.8.2.1 g", "what identifies the item", "thermometer.serial" },
	  AT(thermometer.serial) },
	{ { "7.8.2.1 j", "the date of issue", "release.date" }, AT(release.date) },
	{ { "7.8.2.1 o", "who authorises it", "release.name" }, AT(release.name) },
	{ { "7.8.4.1 b", "the conditions of the measurements", "report.conditions" },
	  AT(report.conditions) },
	{ { "7.8.4.1 c", "how the results are traceable", "report.traceability" },
	  AT(report.traceability) },
#undef AT
};

static void missing(const struct lab_calibration *calibration, base_messages *messages,
		    const struct report_clause *c)
{
	base_messages_add(
	    messages, BASE_ERROR, calibration->path, lab_calibration_mark(calibration, c->path),
	    "the certificate lacks %s (ISO/IEC 17025:2017, %s); give %s, or leave out "
	    "release for a draft",
	    c->what, c->clause, c->path);
}

GArray *report_clauses_open(const struct lab_calibration *calibration,
			    const struct lab_calibration_result *result)
{
	const struct report_clause times = { "7.8.2.1 i", "the dates of the measurements",
					     "the time of each reading" };
	GArray *open = g_array_new(FALSE, FALSE, sizeof(struct report_clause));

	for (size_t i = 0; i < G_N_ELEMENTS(wanted); i++) {
		const char *text;

		memcpy(&text, (const char *)calibration + wanted[i].offset, sizeof text);
		if (text == NULL || text[0] == '\0')
			g_array_append_val(open, wanted[i].clause);
	}
	if (result->first_us == INT64_MIN)
		g_array_append_val(open, times);
	return open;
}

bool report_clauses_met(const struct lab_calibration *calibration,
			const struct lab_calibration_result *result, base_messages *messages)
{
	g_autoptr(GArray) open = report_clauses_open(calibration, result);

	for (guint i = 0; i < open->len; i++)
		missing(calibration, messages, &g_array_index(open, struct report_clause, i));
	return open->len == 0;
}
