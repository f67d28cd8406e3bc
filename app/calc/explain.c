/* A number as a tree: formula, value, uncertainty, and what it stands on, down to the readings. */
#include "app/calc/reduction.h"

#include "firn/number.h"

#include <string.h>

enum { DEEPEST = 40 };

struct tree {
	struct reduction *r;
	GString *to;
	GHashTable *shown; /* index of a node -> its name */
	/* the number asked for as the result has it, rounded once; the tape's last digit may differ
	 */
	struct firn_node root;
	double root_value;
};

static void append_number(GString *to, double x)
{
	char text[FIRN_NUMBER_SIZE];

	firn_number_print(x, text);
	g_string_append(to, text);
}

/* Two digits tell the size of an uncertainty: 0.00020, 2.0e-05. */
static void append_u(GString *to, double u)
{
	if (u > 0.0)
		g_string_append_printf(to, ", u = %#.2g", u);
}

static void append_input(const struct tree *tree, struct firn_node x)
{
	struct firn_input said;

	if (firn_tape_input_of(x, &said) < 0)
		return;
	append_number(tree->to, said.value);
	if (said.unit[0] != '\0')
		g_string_append_printf(tree->to, " %s", said.unit);
	append_u(tree->to, said.u);
	if (said.dof > 0.0)
		g_string_append_printf(tree->to, ", %.3g degrees of freedom", said.dof);
	g_string_append_printf(tree->to, "  [%s]\n", said.name);
}

static bool explain_node(const struct tree *tree, const char *name, struct firn_node x,
			 struct firn_explanation *ret)
{
	return reduction_computed(tree->r, firn_explain(x, ret),
				  lab_calibration_mark(tree->r->job, "visits"),
				  "the explanation of %s", name);
}

static void append_below(const struct tree *tree, const struct firn_explanation *e, int depth);

static void append_node(const struct tree *tree, const char *name, struct firn_node x, int depth)
{
	struct firn_explanation e;

	if (!explain_node(tree, name, x, &e))
		return;
	g_string_append_printf(tree->to, "%*s%s = ", 2 * depth, "", name);
	if (e.is_input) {
		append_input(tree, x);
		return;
	}
	const char *before = g_hash_table_lookup(tree->shown, GUINT_TO_POINTER(x.index));
	const double value = x.index == tree->root.index ? tree->root_value : e.value;
	if (before != NULL && e.n_arguments > 0) {
		append_number(tree->to, value);
		g_string_append_printf(tree->to, "  (above, as %s)\n", before);
		return;
	}
	g_hash_table_insert(tree->shown, GUINT_TO_POINTER(x.index), (gpointer)(uintptr_t)name);
	if (e.n_arguments > 0)
		g_string_append_printf(tree->to, "%s = ", e.formula);
	append_number(tree->to, value);
	append_u(tree->to, e.u);
	if (e.n_arguments == 0 && strcmp(e.formula, "a number") != 0)
		g_string_append_printf(tree->to, "  (%s)", e.formula);
	g_string_append_c(tree->to, '\n');
	append_below(tree, &e, depth + 1);
}

static void append_below(const struct tree *tree, const struct firn_explanation *e, int depth)
{
	if (depth > DEEPEST && e->n_arguments > 0) {
		g_string_append_printf(tree->to, "%*s(and so on: too deep to show)\n", 2 * depth,
				       "");
		return;
	}
	for (size_t i = 0; i < e->n_arguments; i++)
		append_node(tree, e->argument_names[i], e->arguments[i], depth);
}

/* Of R, W and coefficients the result has the refined value. */
static void set_root(struct tree *tree, struct firn_node x)
{
	if (reduction_computed(tree->r, firn_refined_values(1, &x, &tree->root_value),
			       lab_calibration_mark(tree->r->job, "visits"), "the value"))
		tree->root = x;
}

/* A coefficient stands on W and W_r of its points. */
static void append_coefficient(const struct reduction *r, struct tree *tree, enum lab_subrange name,
			       size_t place)
{
	const struct reduced_subrange *s = &r->subranges[name];
	const struct firn_subrange *subrange = firn_scale_subrange((enum firn_subrange_id)name);

	g_string_append_printf(tree->to, "%s", subrange->formula);
	g_string_append_printf(tree->to, ", solved for %s at the points below\n",
			       subrange->coefficients[place]);
	set_root(tree, s->coefficients[place]);
	append_node(tree, subrange->coefficients[place], s->coefficients[place], 0);
	for (size_t i = 0; i < s->n; i++) {
		append_node(tree, "W", r->points[s->points[i]].w, 1);
		append_node(tree, "W_r", r->points[s->points[i]].wr, 1);
	}
}

static int visit_named(const struct reduction *r, const char *id)
{
	for (guint i = 0; i < r->job->visits->len; i++)
		if (strcmp(reduction_visit(r, (int)i)->id, id) == 0)
			return (int)i;
	return -1;
}

static bool explain_visit(const struct reduction *r, struct tree *tree, const char *id,
			  const char *part)
{
	const int visit = visit_named(r, id);
	struct firn_node x;

	if (visit < 0)
		return false;
	x = strcmp(part, "R") == 0    ? r->visits[visit].r_ohm
	    : strcmp(part, "W") == 0  ? r->visits[visit].w
	    : strcmp(part, "dT") == 0 ? r->visits[visit].dt_K
				      : (struct firn_node){ 0 };
	if (x.index == 0)
		return false;
	if (strcmp(part, "dT") != 0)
		set_root(tree, x);
	append_node(tree, part, x, 0);
	return true;
}

static bool explain_coefficient(const struct reduction *r, struct tree *tree, const char *name,
				const char *part)
{
	const enum lab_subrange id = lab_subrange_named(name);
	const struct firn_subrange *subrange;

	if (id == LAB_NO_SUBRANGE || !r->subranges[id].solved)
		return false;
	subrange = firn_scale_subrange((enum firn_subrange_id)id);
	for (size_t i = 0; i < subrange->n_coefficients; i++) {
		if (strcmp(subrange->coefficients[i], part) == 0) {
			append_coefficient(r, tree, id, i);
			return true;
		}
	}
	return false;
}

static bool explain_temperature(struct reduction *r, const struct tree *tree, const char *id,
				const char *name)
{
	const int visit = visit_named(r, id);
	const enum lab_subrange subrange = lab_subrange_named(name);

	if (visit < 0 || subrange == LAB_NO_SUBRANGE || !r->subranges[subrange].solved ||
	    reduction_point(r, visit) != LAB_NO_POINT)
		return false;
	append_node(tree, "T90", reduction_t90_in_use(r, visit, subrange), 0);
	return true;
}

bool reduction_explain(struct reduction *r, const char *what, GString *to)
{
	g_autoptr(GHashTable) shown = g_hash_table_new(NULL, NULL);
	struct tree tree = { .r = r, .to = to, .shown = shown };
	const char *first = strchr(what, '.'), *last = strrchr(what, '.');
	bool found = false;

	if (first != NULL && last != first) { /* the name between the two may hold points itself */
		g_autofree char *kind = g_strndup(what, (size_t)(first - what));
		g_autofree char *id = g_strndup(first + 1, (size_t)(last - first - 1));

		if (strcmp(kind, "visit") == 0)
			found = explain_visit(r, &tree, id, last + 1);
		else if (strcmp(kind, "subrange") == 0)
			found = explain_coefficient(r, &tree, id, last + 1);
		else if (strcmp(kind, "temperature") == 0)
			found = explain_temperature(r, &tree, id, last + 1);
	}
	if (!found)
		base_messages_add(
		    r->messages, BASE_ERROR, "", (struct base_mark){ 0, 0 },
		    "there is no number %s to explain; visit.ID.R, visit.ID.W, visit.ID.dT, "
		    "subrange.NAME.COEFFICIENT and temperature.ID.SUBRANGE are",
		    what);
	return found;
}
