#include "app/calc/reduction.h"

#include <stdarg.h>

static struct firn_node input(struct reduction *r, const char *path, const char *unit, double value,
			      double rest, double u, double dof)
{
	return firn_tape_input(r->tape, &(struct firn_input){ .name = path,
							      .unit = unit,
							      .value = value,
							      .rest = rest,
							      .u = lab_or(u, 0.0),
							      .dof = isfinite(dof) ? dof : 0.0 });
}

struct firn_node reduction_input(struct reduction *r, const char *path, const char *unit,
				 double value, double u, double dof)
{
	return input(r, path, unit, value, 0.0, u, dof);
}

struct firn_node reduction_mean_input(struct reduction *r, const char *path, const char *unit,
				      double value, double rest, double u, double dof)
{
	return input(r, path, unit, value, rest, u, dof);
}

struct firn_node reduction_shared_input(struct reduction *r, const char *path, const char *unit,
					double value, double u, double dof)
{
	struct firn_node x = { r->tape, GPOINTER_TO_UINT(g_hash_table_lookup(r->shared, path)) };

	if (x.index != 0)
		return x;
	x = input(r, path, unit, value, 0.0, u, dof);
	g_hash_table_insert(r->shared, g_strdup(path), GUINT_TO_POINTER(x.index));
	return x;
}

char *reduction_text(struct reduction *r, const char *format, ...)
{
	g_autofree char *text = NULL;
	va_list arguments;

	va_start(arguments, format);
	text = g_strdup_vprintf(format, arguments);
	va_end(arguments);
	return lab_result_text(r->result, text);
}

void reduction_reserve(struct reduction *r, const char *format, ...)
{
	g_autofree char *text = NULL;
	va_list arguments;

	va_start(arguments, format);
	text = g_strdup_vprintf(format, arguments);
	va_end(arguments);
	g_ptr_array_add(r->result->reservations, lab_result_text(r->result, text));
}

void reduction_wrong(struct reduction *r, struct base_mark mark, const char *format, ...)
{
	g_autofree char *text = NULL;
	va_list arguments;

	va_start(arguments, format);
	text = g_strdup_vprintf(format, arguments);
	va_end(arguments);
	base_messages_add(r->messages, BASE_ERROR, r->job->path, mark, "%s", text);
}

static void tell_failure(struct reduction *r, enum firn_status status, struct base_mark mark,
			 const char *what)
{
	r->failed = status;
	r->failure_told = true;
	if (status == FIRN_E_MEMORY)
		base_messages_add(r->messages, BASE_FAILURE, "", (struct base_mark){ 0, 0 },
				  "no memory for %s", what);
	else
		reduction_wrong(r, mark, "%s can't be computed: %s; look at what is stated for it",
				what, firn_status_text(status));
}

bool reduction_computed(struct reduction *r, enum firn_status status, struct base_mark mark,
			const char *format, ...)
{
	g_autofree char *what = NULL;
	va_list arguments;

	if (status == FIRN_OK)
		return true;
	va_start(arguments, format);
	what = g_strdup_vprintf(format, arguments);
	va_end(arguments);
	if (status > 0) {
		what[0] = g_ascii_toupper(what[0]);
		reduction_reserve(r, "%s was computed with a reservation: %s.", what,
				  firn_status_text(status));
		return true;
	}
	if (firn_tape_status(r->tape) >= 0 && r->failed >= 0)
		tell_failure(r, status, mark, what);
	return false;
}

bool reduction_is_good(struct reduction *r, struct base_mark mark, const char *what)
{
	const enum firn_status status = firn_tape_status(r->tape);

	if (status >= 0)
		return r->failed >= 0;
	if (r->failure_told)
		return false;
	r->failure_told = true;
	base_messages_add(r->messages, status == FIRN_E_MEMORY ? BASE_FAILURE : BASE_ERROR,
			  r->job->path, mark, "%s can't be computed: %s", what,
			  firn_tape_message(r->tape));
	return false;
}

static struct base_mark of_visits(const struct reduction *r)
{
	return lab_calibration_mark(r->job, "visits");
}

struct lab_estimate reduction_estimate(struct reduction *r, struct firn_node x)
{
	struct lab_estimate estimate = { LAB_NOT_GIVEN, LAB_NOT_GIVEN, LAB_NOT_GIVEN };

	if (x.index == 0)
		return estimate;
	estimate.value = firn_value(x);
	reduction_computed(r, firn_u_dof(x, &estimate.u, &estimate.dof), of_visits(r),
			   "an uncertainty");
	return estimate;
}

GArray *reduction_budget(struct reduction *r, struct firn_node y)
{
	GArray *lines = g_array_new(FALSE, TRUE, sizeof(struct lab_budget_line));
	size_t n = firn_tape_size(r->tape); /* more than there are inputs */
	g_autofree struct firn_budget_line *found = g_new(struct firn_budget_line, n);

	if (!reduction_computed(r, firn_budget(y, n, found, &n), of_visits(r), "a budget"))
		return lines;
	for (size_t i = 0; i < n; i++) {
		struct firn_input said;

		if (firn_tape_input_of(found[i].input, &said) < 0)
			continue; /* a budget names inputs only */
		const struct lab_budget_line line = {
			.input = lab_result_text(r->result, said.name),
			.unit = lab_result_text(r->result, said.unit),
			.value = said.value,
			.u = said.u,
			.dof = said.dof > 0.0 ? said.dof : (double)INFINITY,
			.sensitivity = found[i].sensitivity,
			.contribution = found[i].contribution,
		};
		g_array_append_val(lines, line);
	}
	return lines;
}

const struct lab_visit *reduction_visit(const struct reduction *r, int i)
{
	return LAB_AT(r->job->visits, lab_visit, i);
}

const struct lab_cell *reduction_cell(const struct reduction *r, const struct lab_visit *visit)
{
	return visit->measure ? NULL : LAB_AT(r->job->cells, lab_cell, visit->cell);
}

enum lab_point reduction_point(const struct reduction *r, int visit)
{
	const struct lab_cell *cell = reduction_cell(r, reduction_visit(r, visit));

	return cell == NULL ? LAB_NO_POINT : cell->point;
}
