/* inputs: each by its distribution, its readings or a formula */
#include "app/file/model_parts.h"

#include "app/base/suggest.h"
#include "app/file/model_name.h"
#include "app/file/text.h"

#include <math.h>
#include <string.h>

#define FIELD(member) offsetof(struct lab_model_input, member)

static const struct file_range beta = {
	0.0, 1.0, false, false, "beta is the top of the trapezium divided by its base, 0 to 1"
};
static const struct file_range within = { 0.0, (double)INFINITY, true, true,
					  "d, within which the limits are known, is above 0" };

static const struct file_number_field numbers[] = {
	{ "value", FIELD(value), &file_any, 0.0, NULL },
	{ "u", FIELD(u), &file_uncertainty, 0.0, NULL },
	{ "dof", FIELD(dof), &file_dof, 0.0, NULL },
	{ "low", FIELD(low), &file_any, 0.0, NULL },
	{ "high", FIELD(high), &file_any, 0.0, NULL },
	{ "beta", FIELD(beta), &beta, 0.0, NULL },
	{ "d", FIELD(d), &within, 0.0, NULL },
	{ "scale", FIELD(scale), &file_positive, 0.0, NULL },
	{ "mean", FIELD(mean), &file_positive, 0.0, NULL },
	{ "shape", FIELD(shape), &file_positive, 0.0, NULL },
};

/* The keys that make a distribution, and the keys that it may have besides. */
static const struct parameters {
	const char *needed[4], *also[2];
} parameters[] = {
	[LAB_NORMAL] = { { "value" }, { "u", "dof" } },
	[LAB_RECTANGULAR] = { { "low", "high" }, { "dof" } },
	[LAB_TRIANGULAR] = { { "low", "high" }, { "dof" } },
	[LAB_TRAPEZOIDAL] = { { "low", "high", "beta" }, { "dof" } },
	[LAB_ARCSINE] = { { "low", "high" }, { "dof" } },
	[LAB_CURVILINEAR_TRAPEZOID] = { { "low", "high", "d" }, { "dof" } },
	[LAB_STUDENT_T] = { { "value", "scale", "dof" }, { NULL } },
	[LAB_EXPONENTIAL] = { { "mean" }, { "dof" } },
	[LAB_GAMMA] = { { "shape", "scale" }, { "dof" } },
	[LAB_READINGS] = { { "readings" }, { "dof" } },
	[LAB_FORMULA] = { { "formula" }, { NULL } },
};

static bool is_in(const char *key, const char *const *list, size_t n)
{
	for (size_t i = 0; i < n && list[i] != NULL; i++) {
		if (strcmp(list[i], key) == 0)
			return true;
	}
	return false;
}

static void check_parameters(struct file_map *map, enum lab_distribution d)
{
	static const char *const all[] = {
		"value", "u",     "dof",  "low",   "high",     "beta",
		"d",     "scale", "mean", "shape", "readings", "formula"
	};
	const struct parameters *p = &parameters[d];
	g_autoptr(GString) wanted = g_string_new(NULL);

	for (size_t i = 0; i < G_N_ELEMENTS(p->needed) && p->needed[i] != NULL; i++)
		g_string_append_printf(wanted, "%s%s", i > 0 ? ", " : "", p->needed[i]);
	for (size_t i = 0; i < G_N_ELEMENTS(p->needed) && p->needed[i] != NULL; i++) {
		g_autofree char *remedy = g_strdup_printf("the distribution %s is stated by %s",
							  lab_distribution_name(d), wanted->str);

		if (!file_has(map, p->needed[i]))
			file_missing(map, p->needed[i], remedy);
	}
	for (size_t i = 0; i < G_N_ELEMENTS(all); i++) {
		if (is_in(all[i], p->needed, G_N_ELEMENTS(p->needed)) ||
		    is_in(all[i], p->also, G_N_ELEMENTS(p->also)))
			continue;
		g_autofree char *text =
		    d == LAB_READINGS || d == LAB_FORMULA
			? g_strdup_printf("and %s exclude each other; keep one of them",
					  lab_distribution_name(d))
			: g_strdup_printf(
			      "does not belong to the distribution %s, which is stated by %s",
			      lab_distribution_name(d), wanted->str);
		file_refuse(map, all[i], text);
	}
}

static void check_limits(struct file_map *map, const struct lab_model_input *in)
{
	if (!lab_given(in->low) || !lab_given(in->high))
		return;
	if (in->low > in->high)
		file_wrong(map->reader, file_get(map, "low")->mark,
			   "low is %s and high is %s; low lies below high",
			   file_peek(map->node, "low"), file_peek(map->node, "high"));
	else if (in->low == in->high)
		file_wrong(map->reader, file_get(map, "low")->mark,
			   "low and high are equal; an exact value is stated by value and u: 0");
	else if (in->distribution == LAB_CURVILINEAR_TRAPEZOID &&
		 in->d > (in->high - in->low) / 2.0)
		file_wrong(map->reader, file_get(map, "d")->mark,
			   "d is %s, more than half of the width; the limits would pass each other",
			   file_peek(map->node, "d"));
}

static void read_readings(struct file_map *map, struct lab_model_input *in)
{
	const struct file_node *list = file_list(map, "readings");

	in->readings = g_array_new(FALSE, FALSE, sizeof(double));
	if (list == NULL)
		return;
	for (const struct file_node *n = list->first; n != NULL; n = n->next) {
		const double x = file_node_number(map->reader, n, "a reading", &file_any);

		g_array_append_val(in->readings, x);
	}
	if (list->n < 2)
		file_wrong(map->reader, list->mark,
			   "readings is a list of %" G_GSIZE_FORMAT
			   "; a standard deviation needs at least 2",
			   list->n);
}

/* Names of distributions from elsewhere, for a suggestion that spelling alone would not find. */
static int distribution_word(struct file_map *map, const struct file_node *node)
{
	static const char *const words[] = { "normal",      "rectangular", "triangular",
					     "trapezoidal", "arcsine",     "curvilinear_trapezoid",
					     "student_t",   "exponential", "gamma",
					     NULL };
	static const char *const synonyms[][2] = {
		{ "uniform", "rectangular" },   { "rectangle", "rectangular" },
		{ "gaussian", "normal" },       { "gauss", "normal" },
		{ "t", "student_t" },           { "student", "student_t" },
		{ "u-shaped", "arcsine" },      { "triangle", "triangular" },
		{ "trapezoid", "trapezoidal" }, { "trapezium", "trapezoidal" },
	};

	for (size_t i = 0; node->kind == FILE_SCALAR && i < G_N_ELEMENTS(synonyms); i++) {
		if (g_ascii_strcasecmp(node->text, synonyms[i][0]) != 0)
			continue;
		file_wrong(map->reader, node->mark, "distribution is \"%s\"; did you mean %s?",
			   node->text, synonyms[i][1]);
		return -1;
	}
	return file_node_choice(map->reader, node, "distribution", words);
}

/* What the keys say the input is; -1 when that cannot be told, and a message says why. */
static int distribution_of(struct file_map *map)
{
	const struct file_node *node = file_get(map, "distribution");

	if (node != NULL) {
		const int d = distribution_word(map, node);

		if (file_has(map, "readings") || file_has(map, "formula")) {
			file_refuse(map, "distribution",
				    "has no place beside readings or a formula, which say it all");
			return -1;
		}
		return d;
	}
	if (file_has(map, "distribution"))
		return -1;
	if (file_has(map, "readings"))
		return LAB_READINGS;
	if (file_has(map, "formula"))
		return LAB_FORMULA;
	if (file_has(map, "value"))
		return LAB_NORMAL;
	if (file_has(map, "low") || file_has(map, "high"))
		file_missing(
		    map, "distribution",
		    "with low and high say which: rectangular, triangular, trapezoidal, arcsine "
		    "or curvilinear_trapezoid");
	else
		file_missing(
		    map, "value",
		    "state an input by value and u, by a distribution, by readings or by a "
		    "formula");
	return -1;
}

static void read_formula(struct file_model *m, struct file_map *map, struct lab_model_input *in)
{
	const struct file_node *node = file_get(map, "formula");

	if (node == NULL)
		return;
	in->formula = lab_model_text(m->model, file_node_text(&m->reader, node, "formula"));
	in->text_mark = node->text_mark;
}

static void one_input(struct file_model *m, struct file_map *map, const char *name)
{
	struct lab_model_input *in = lab_add_model_input(m->model);
	const int d = map->node == NULL ? -1 : distribution_of(map);

	g_hash_table_insert(m->inputs, (gpointer)name, GUINT_TO_POINTER(m->model->inputs->len));
	in->name = lab_model_text(m->model, name);
	in->mark = map->mark;
	in->text_mark = map->mark;
	in->distribution = d < 0 ? LAB_NORMAL : (enum lab_distribution)d;
	in->unit = lab_model_text(m->model, file_text(map, "unit"));
	in->source = lab_model_text(m->model, file_text(map, "source"));
	file_numbers(map, numbers, G_N_ELEMENTS(numbers), in);
	if (file_has(map, "readings"))
		read_readings(map, in);
	read_formula(m, map, in);
	file_get(map, "readings"); /* known as a key, even where it is absent */
	if (d < 0)
		return;
	check_parameters(map, in->distribution);
	check_limits(map, in);
	if (d == LAB_NORMAL && !file_has_like(map, "u")) {
		base_messages_add(
		    m->reader.messages, BASE_RESERVATION, m->reader.file, map->mark,
		    "%s has no u and is taken as exact; write u: 0 where that is meant", name);
		in->u = 0.0;
	}
}

void file_model_inputs(struct file_model *m, struct file_map *top)
{
	const struct file_node *things = file_named_things(top, "inputs");

	m->inputs_incomplete = things == NULL || things->repeated_keys;
	if (!file_has(top, "inputs"))
		file_missing(top, "inputs", "declare each input quantity under inputs");
	if (!file_model_is_small(m, things, "inputs")) {
		m->inputs_incomplete = true;
		return;
	}
	for (const struct file_node *n = things != NULL ? things->first : NULL; n != NULL;
	     n = n->next) {
		struct file_map map;

		file_model_check_name(&m->reader, n);
		file_map_open(&map, &m->reader, n, n->key, n->key);
		one_input(m, &map, n->key);
		file_map_close(&map);
	}
}
