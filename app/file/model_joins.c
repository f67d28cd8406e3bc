/* correlations and paired readings: what joins inputs */
#include "app/file/model_parts.h"

#include "app/base/suggest.h"
#include "app/file/text.h"

/* The index of the input that a node names; -1 after a message. */
static int input_named(const struct file_model *m, const struct file_node *node, const char *what)
{
	const char *name = file_node_text(&m->reader, node, what);

	if (name == NULL)
		return -1;
	const guint index = GPOINTER_TO_UINT(g_hash_table_lookup(m->inputs, name));
	if (index > 0)
		return (int)index - 1;

	if (m->inputs_incomplete)
		return -1;
	g_autofree gpointer *names = g_hash_table_get_keys_as_array(m->inputs, NULL);
	g_autofree char *shown = file_quote(name);
	const char *near = base_suggest(name, (const char *const *)names);
	if (near != NULL)
		file_wrong(&m->reader, node->mark, "there is no input %s; did you mean %s?", shown,
			   near);
	else
		file_wrong(&m->reader, node->mark, "there is no input %s; declare it under inputs",
			   shown);
	return -1;
}

static const struct lab_model_input *input_at(const struct file_model *m, int index)
{
	return &g_array_index(m->model->inputs, struct lab_model_input, index);
}

static bool is_given_already(const struct file_model *m, int a, int b)
{
	const GArray *pairs = m->model->correlations;

	for (guint i = 0; i < pairs->len; i++) {
		const struct lab_model_pair *p = &g_array_index(pairs, struct lab_model_pair, i);

		if ((p->a == a && p->b == b) || (p->a == b && p->b == a))
			return true;
	}
	return false;
}

static bool are_paired(const struct file_model *m, int a, int b)
{
	for (guint i = 0; i < m->model->paired->len; i++) {
		const GArray *group = g_array_index(m->model->paired, GArray *, i);
		int found = 0;

		for (guint k = 0; k < group->len; k++)
			found +=
			    g_array_index(group, int, k) == a || g_array_index(group, int, k) == b;
		if (found == 2)
			return true;
	}
	return false;
}

/* Reads between: [a, b]; false when there is no pair to speak of. */
static bool read_between(struct file_model *m, struct file_map *map, struct lab_model_pair *pair)
{
	const struct file_node *list = file_list(map, "between");

	if (map->node != NULL && !file_has(map, "between"))
		file_missing(map, "between", "name the two inputs, as in between: [V, R]");
	if (list == NULL)
		return false;
	if (list->n != 2) {
		file_wrong(&m->reader, list->mark,
			   "between has %" G_GSIZE_FORMAT
			   " names; a correlation is between two inputs",
			   list->n);
		return false;
	}
	pair->mark = list->mark;
	pair->a = input_named(m, list->first, "between");
	pair->b = input_named(m, list->first->next, "between");
	return pair->a >= 0 && pair->b >= 0;
}

static const char *fault_of_pair(const struct file_model *m, const struct lab_model_pair *pair)
{
	if (pair->a == pair->b)
		return "between names one input twice; a correlation is between two of them";
	if (input_at(m, pair->a)->distribution == LAB_FORMULA ||
	    input_at(m, pair->b)->distribution == LAB_FORMULA)
		return "an input that is a formula has the correlations that its own inputs give "
		       "it; "
		       "state theirs";
	if (is_given_already(m, pair->a, pair->b))
		return "this correlation is stated already; keep one of them";
	if (are_paired(m, pair->a, pair->b))
		return "the covariance of paired inputs follows from their readings; remove this "
		       "correlation, or the pairing";
	return NULL;
}

static void one_correlation(struct file_model *m, const struct file_node *node, int number)
{
	g_autofree char *what = g_strdup_printf("correlation %d", number);
	struct lab_model_pair pair = { .a = -1, .b = -1 };
	struct file_map map;

	file_map_open(&map, &m->reader, node, what, "");
	const bool named = read_between(m, &map, &pair);
	pair.r = file_number(&map, "r", &file_correlation);
	if (map.node != NULL && !file_has(&map, "r"))
		file_missing(&map, "r", "give the correlation coefficient, -1 to 1");
	const char *fault = named ? fault_of_pair(m, &pair) : NULL;
	if (fault != NULL)
		file_wrong(&m->reader, pair.mark, "%s", fault);
	else if (named)
		g_array_append_val(m->model->correlations, pair);
	file_map_close(&map);
}

static bool is_paired(const struct file_model *m, const GArray *group, int index)
{
	for (guint i = 0; i < group->len; i++) {
		if (g_array_index(group, int, i) == index)
			return true;
	}
	for (guint i = 0; i < m->model->paired->len; i++) {
		const GArray *other = g_array_index(m->model->paired, GArray *, i);

		for (guint k = 0; k < other->len; k++) {
			if (g_array_index(other, int, k) == index)
				return true;
		}
	}
	return false;
}

static void add_to_group(struct file_model *m, GArray *group, const struct file_node *node)
{
	const int index = input_named(m, node, "paired");

	if (index < 0)
		return;
	const struct lab_model_input *in = input_at(m, index);
	const guint first =
	    group->len > 0 ? input_at(m, g_array_index(group, int, 0))->readings->len : 0;
	if (in->readings == NULL)
		file_wrong(&m->reader, node->mark,
			   "%s has no readings; only readings can have been taken together",
			   in->name);
	else if (is_paired(m, group, index))
		file_wrong(&m->reader, node->mark, "%s is paired already; name it once", in->name);
	else if (in->readings->len < 2)
		return; /* that has been said */
	else if (group->len > 0 && in->readings->len != first)
		file_wrong(
		    &m->reader, node->mark,
		    "%s has %u readings and %s has %u; readings taken together are equally many",
		    in->name, in->readings->len, input_at(m, g_array_index(group, int, 0))->name,
		    first);
	else
		g_array_append_val(group, index);
}

static void one_group(struct file_model *m, const struct file_node *node)
{
	GArray *group;

	if (node->broken)
		return;
	if (node->n < 2) {
		file_wrong(&m->reader, node->mark,
			   "a group of paired inputs has at least two, as in [[b, c]]");
		return;
	}
	group = g_array_new(FALSE, FALSE, sizeof(int));
	for (const struct file_node *n = node->first; n != NULL; n = n->next)
		add_to_group(m, group, n);
	g_array_append_val(m->model->paired, group);
	g_array_append_val(m->model->paired_marks, node->mark);
}

void file_model_joins(struct file_model *m, struct file_map *top)
{
	const struct file_node *paired = file_list(top, "paired");
	const struct file_node *correlations = file_list(top, "correlations");
	int number = 0;

	for (const struct file_node *n = paired != NULL ? paired->first : NULL; n != NULL;
	     n = n->next) {
		if (n->kind == FILE_LIST) {
			one_group(m, n);
			continue;
		}
		file_wrong(&m->reader, paired->mark,
			   "paired is a list of groups, each a list of its own, as in [[b, c]]");
		break;
	}
	for (const struct file_node *n = correlations != NULL ? correlations->first : NULL;
	     n != NULL; n = n->next)
		one_correlation(m, n, ++number);
}
