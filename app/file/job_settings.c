/* How the calibration is to be computed, and the papers that come of it. */
#include "app/file/job_parts.h"

#include "app/base/time.h"
#include "app/file/text.h"

#include <string.h>

static const struct file_range probability = { 0.0, 1.0, true, true,
					       "a probability lies between 0 and 1: 95 % is 0.95" };
static const struct file_range factor = { 0.0, 100.0, true, false,
					  "a coverage factor is above 0, such as 2" };
static const struct file_range limit = { 0.0, 1e6, true, false,
					 "a limit is above 0, in millikelvin" };

static void read_tpw_scheme(struct file_job *job, struct file_map *top)
{
	static const char *const words[] = { "after", "before", "one", "interpolated", NULL };
	const int scheme = file_choice(top, "tpw", words);

	job->c->tpw_scheme = scheme < 0 ? LAB_TPW_AFTER : (enum lab_tpw_scheme)scheme;
}

static void read_wr_at_points(struct file_job *job, struct file_map *top)
{
	static const char *const words[] = { "table", "equation", NULL };

	job->c->wr_from_equation = file_choice(top, "wr_at_points", words) == 1;
}

static void read_subranges(struct file_job *job, struct file_map *top)
{
	const struct file_node *node = file_get(top, "subranges");
	const char *words[LAB_SUBRANGES + 2] = { NULL };

	for (int s = 0; s < LAB_SUBRANGES; s++)
		words[s] = lab_subrange_name((enum lab_subrange)s);
	if (node == NULL || (node->kind == FILE_SCALAR && strcmp(node->text, "all") == 0))
		return;
	if (node->kind == FILE_SCALAR) {
		g_autofree char *shown = file_quote(node->text);

		file_wrong(&job->reader, node->mark,
			   "subranges is %s; write all, or a list such as [H2O_Zn, Hg_Ga]", shown);
		return;
	}
	const struct file_node *list = file_list(top, "subranges");
	job->c->subranges_all = false;
	if (list != NULL && list->n == 0)
		file_wrong(&job->reader, list->mark,
			   "subranges is an empty list; write all, or name one");
	for (const struct file_node *n = list != NULL ? list->first : NULL; n != NULL;
	     n = n->next) {
		const int s = file_node_choice(&job->reader, n, "a subrange", words);

		if (s >= 0)
			job->c->subranges[s] = true;
	}
}

static void read_coverage(struct file_job *job, struct file_map *top)
{
	struct lab_calibration *c = job->c;
	const double p = file_number(top, "coverage_probability", &probability);
	const double k = file_number(top, "coverage_factor", &factor);

	if (file_has(top, "coverage_probability") && file_has(top, "coverage_factor"))
		file_refuse(top, "coverage_factor",
			    "and coverage_probability exclude each other; keep one of them");
	c->coverage_factor = k;
	c->coverage_probability = lab_given(k) ? LAB_NOT_GIVEN : lab_or(p, 0.95);
}

static void read_limits(struct file_job *job, struct file_map *top)
{
	static const struct file_number_field fields[] = {
		{ "r_tpw_change_mK", offsetof(struct lab_limits, r_tpw_change_K), &limit, 1e-3,
		  NULL },
		{ "capability_mK", offsetof(struct lab_limits, capability_K), &limit, 1e-3, NULL },
	};
	const struct file_node *node = file_get(top, "limits");
	struct file_map map;

	if (node == NULL)
		return;
	file_map_open(&map, &job->reader, node, "limits", "limits");
	file_numbers(&map, fields, G_N_ELEMENTS(fields), &job->c->limits);
	file_map_close(&map);
}

/* One's own R(TPW) is a visit like any other to water: what it shares with the calibration counts.
 */
static void read_use(struct file_job *job, struct file_map *top)
{
	static const struct file_number_field fields[] = {
		{ "u_drift_mK", offsetof(struct lab_use, u_drift_K), &file_u_mK, 1e-3, NULL },
		{ "u_immersion_mK", offsetof(struct lab_use, u_immersion_K), &file_u_mK, 1e-3,
		  NULL },
	};
	const struct file_node *node = file_get(top, "use"), *tpw;
	struct file_map map;

	if (node == NULL)
		return;
	file_map_open(&map, &job->reader, node, "use", "use");
	tpw = file_get(&map, "tpw");
	if (tpw == NULL)
		file_wrong(&job->reader, node->mark,
			   "use has no tpw; name the visit to water that stands for the user's own "
			   "R(TPW)");
	else
		job->c->use.tpw = file_job_resolve(job, tpw, "tpw", "visit");
	file_numbers(&map, fields, G_N_ELEMENTS(fields), &job->c->use);
	file_map_close(&map);
	if (job->c->use.tpw < 0)
		return;
	const struct lab_visit *visit = LAB_AT(job->c->visits, lab_visit, job->c->use.tpw);
	if (visit->measure || visit->cell < 0 ||
	    LAB_AT(job->c->cells, lab_cell, visit->cell)->point != LAB_H2O)
		file_wrong(&job->reader, tpw->mark,
			   "visit %s is not to the triple point of water; tpw names a visit to H2O",
			   visit->id);
}

void file_job_settings(struct file_job *job, struct file_map *top)
{
	read_tpw_scheme(job, top);
	read_wr_at_points(job, top);
	read_subranges(job, top);
	job->c->least_squares = file_boolean(top, "least_squares", false);
	job->c->simulated = file_boolean(top, "simulated", false);
	read_coverage(job, top);
	read_limits(job, top);
	read_use(job, top);
}

/* A text of the record and the key that it stands under. */
struct text_field {
	const char *key;
	size_t offset;
};

static void read_texts(struct file_job *job, struct file_map *map, const struct text_field *fields,
		       size_t n, void *record)
{
	for (size_t i = 0; i < n; i++) {
		char **to = (char **)(void *)((char *)record + fields[i].offset);

		*to = file_job_text(job, map, fields[i].key);
	}
}

#define RELEASE(member)                                                                            \
	{                                                                                          \
#member, offsetof(struct lab_release, member)                                      \
	}

static void check_complete(struct file_map *map, const struct text_field *fields, size_t n)
{
	g_autoptr(GString) absent = g_string_new(NULL);

	for (size_t i = 0; map->node != NULL && i < n; i++) {
		if (!file_has_like(map, fields[i].key))
			g_string_append_printf(absent, "%s%s", absent->len > 0 ? " and no " : "",
					       fields[i].key);
	}
	if (absent->len > 0)
		file_wrong(
		    map->reader, map->mark,
		    "release has no %s; give number, date, name and function, or leave release "
		    "out for a draft",
		    absent->str);
}

/* A released certificate names who answers for it and when, or it is a draft. */
static void read_release(struct file_job *job, struct file_map *top)
{
	static const struct text_field fields[] = { RELEASE(number), RELEASE(date), RELEASE(name),
						    RELEASE(function) };
	const struct file_node *node = file_get(top, "release");
	struct lab_release *release = &job->c->release;
	struct file_map map;

	if (node == NULL)
		return;
	file_map_open(&map, &job->reader, node, "release", "release");
	release->given = true;
	read_texts(job, &map, fields, G_N_ELEMENTS(fields), release);
	check_complete(&map, fields, G_N_ELEMENTS(fields));
	if (release->date != NULL && !base_date_is_valid(release->date)) {
		g_autofree char *shown = file_quote(release->date);

		file_wrong(&job->reader, file_get(&map, "date")->mark,
			   "date is %s; write a day of the calendar as year-month-day: 2026-11-24",
			   shown);
	}
	file_map_close(&map);
}

#define REPORT(member)                                                                             \
	{                                                                                          \
#member, offsetof(struct lab_report, member)                                       \
	}

static void read_report(struct file_job *job, struct file_map *top)
{
	static const struct text_field fields[] = {
		REPORT(laboratory),   REPORT(address),          REPORT(place),
		REPORT(customer),     REPORT(customer_address), REPORT(received),
		REPORT(method),       REPORT(departures),       REPORT(conditions),
		REPORT(traceability), REPORT(stabilisation),    REPORT(measured_by),
		REPORT(checked_by),   REPORT(replaces),
	};
	static const char *const papers[] = { "A4", "Letter", NULL };
	const struct file_node *node = file_get(top, "report");
	struct file_map map;

	if (node == NULL)
		return;
	file_map_open(&map, &job->reader, node, "report", "report");
	read_texts(job, &map, fields, G_N_ELEMENTS(fields), &job->c->report);
	const int paper = file_choice(&map, "paper", papers);
	job->c->report.paper = paper < 0 ? NULL : lab_calibration_text(job->c, papers[paper]);
	file_map_close(&map);
}

void file_job_papers(struct file_job *job, struct file_map *top)
{
	read_release(job, top);
	read_report(job, top);
}
