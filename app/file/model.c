#include "app/file/model.h"

#include "app/base/file.h"
#include "app/file/kind.h"
#include "app/file/model_name.h"
#include "app/file/model_parts.h"

static const struct file_range probability = { 0.0, 1.0, true, true,
					       "a probability lies between 0 and 1: 95 % is 0.95" };
static const struct file_range factor = { 0.0, 100.0, true, false,
					  "a coverage factor is above 0, such as 2" };

static void read_output(struct file_model *m, struct file_map *map, const struct file_node *node)
{
	struct lab_model_output *out = lab_add_model_output(m->model);
	const struct file_node *formula = file_get(map, "formula");
	const struct file_node *equation = file_get(map, "equation");
	const struct file_node *text = formula != NULL ? formula : equation;

	out->name = lab_model_text(m->model, node->key);
	out->mark = map->mark;
	out->text_mark = text != NULL ? text->text_mark : map->mark;
	out->unit = lab_model_text(m->model, file_text(map, "unit"));
	out->near = file_number(map, "near", &file_any);
	if (formula != NULL)
		out->formula =
		    lab_model_text(m->model, file_node_text(&m->reader, formula, "formula"));
	if (equation != NULL)
		out->equation =
		    lab_model_text(m->model, file_node_text(&m->reader, equation, "equation"));
	if (map->node == NULL)
		return;
	if (file_has(map, "formula") && file_has(map, "equation"))
		file_refuse(map, "equation", "and formula exclude each other; keep one of them");
	else if (file_has(map, "equation") && !file_has(map, "near"))
		file_missing(map, "near", "the solution of an equation is sought from there");
	else if (!file_has(map, "equation") && !file_has_like(map, "formula"))
		file_missing(map, "formula", "an output is a formula, or an equation with near");
	if (!file_has_like(map, "equation"))
		file_refuse(map, "near", "belongs to an equation, and a formula needs no start");
}

bool file_model_is_small(const struct file_model *m, const struct file_node *things,
			 const char *what)
{
	if (things == NULL || things->n <= FILE_MODEL_MOST)
		return true;
	file_wrong(&m->reader, things->mark,
		   "%s holds %" G_GSIZE_FORMAT " quantities; a model has at most %d: part it into "
		   "several",
		   what, things->n, FILE_MODEL_MOST);
	return false;
}

static void read_outputs(struct file_model *m, struct file_map *top)
{
	const struct file_node *things = file_named_things(top, "outputs");

	if (!file_has(top, "outputs"))
		file_missing(top, "outputs", "say what is to be computed under outputs");
	else if (things != NULL && things->n == 0)
		file_wrong(&m->reader, things->mark,
			   "outputs is empty; name what is to be computed and give its formula");
	if (!file_model_is_small(m, things, "outputs"))
		return;
	for (const struct file_node *n = things != NULL ? things->first : NULL; n != NULL;
	     n = n->next) {
		struct file_map map;

		file_model_check_name(&m->reader, n);
		if (g_hash_table_contains(m->inputs, n->key))
			file_wrong(&m->reader, n->key_mark,
				   "%s is an input already; give the output another name", n->key);
		file_map_open(&map, &m->reader, n, n->key, n->key);
		read_output(m, &map, n);
		file_map_close(&map);
	}
}

static void read_coverage(struct file_model *m, struct file_map *top)
{
	const double p = file_number(top, "coverage_probability", &probability);
	const double k = file_number(top, "coverage_factor", &factor);

	if (file_has(top, "coverage_probability") && file_has(top, "coverage_factor"))
		file_refuse(top, "coverage_factor",
			    "and coverage_probability exclude each other; keep one of them");
	m->model->coverage_factor = k;
	m->model->coverage_probability = lab_given(k) ? LAB_NOT_GIVEN : lab_or(p, 0.95);
}

/* Trials are fixed in number, or added until so many digits stand still (JCGM 101:2008, 7.9). */
static void read_monte_carlo(struct file_model *m, struct file_map *top)
{
	const struct file_node *node = file_get(top, "monte_carlo");
	struct lab_monte_carlo *mc = &m->model->monte_carlo;
	struct file_map map;

	if (node == NULL)
		return;
	file_map_open(&map, &m->reader, node, "monte_carlo", "monte_carlo");
	mc->given = true;
	mc->adaptive = file_boolean(&map, "adaptive", false);
	mc->trials = file_whole(&map, "trials", 100, INT64_C(10000000000), 1000000);
	mc->digits = (int)file_whole(&map, "digits", 1, 4, 2);
	mc->seed = (uint64_t)file_whole(&map, "seed", 0, INT64_MAX, 1);
	if (mc->adaptive)
		file_refuse(&map, "trials",
			    "is found by the adaptive procedure; keep one of trials and adaptive");
	else if (!file_has_like(&map, "adaptive"))
		file_refuse(&map, "digits", "belongs to the adaptive procedure: adaptive: true");
	file_map_close(&map);
}

static void read_sections(struct file_model *m, const struct file_node *root)
{
	struct file_map top;

	file_map_open(&top, &m->reader, root, "the model", "");
	if (file_kind_is(&top, FILE_MEASUREMENT_MODEL, "inputs")) {
		m->model->title = lab_model_text(m->model, file_text(&top, "title"));
		file_model_inputs(m, &top);
		file_model_joins(m, &top);
		read_outputs(m, &top);
		read_coverage(m, &top);
		read_monte_carlo(m, &top);
	} else {
		top.node = NULL; /* of another kind: its keys are no mistakes */
	}
	file_map_close(&top);
}

lab_model *file_read_model(const char *path, base_messages *messages)
{
	g_autoptr(GBytes) bytes = file_yaml_bytes(path, messages);

	return bytes == NULL ? NULL : file_parse_model(path, bytes, messages);
}

lab_model *file_parse_model(const char *path, GBytes *bytes, base_messages *messages)
{
	const size_t errors =
	    base_messages_count(messages, BASE_ERROR) + base_messages_count(messages, BASE_FAILURE);
	g_autoptr(lab_model) model = lab_model_new();
	g_autoptr(file_yaml) yaml = file_yaml_parse(path, bytes, messages);

	if (yaml == NULL)
		return NULL;

	struct file_model m = {
		.reader = { .file = path, .messages = messages },
		.model = model,
		.inputs = g_hash_table_new(g_str_hash, g_str_equal),
	};
	gsize n;
	const void *data = g_bytes_get_data(bytes, &n);
	g_autofree char *sha256 = base_sha256(data, n);
	model->path = lab_model_text(model, path);
	model->sha256 = lab_model_text(model, sha256);
	read_sections(&m, file_yaml_root(yaml));
	g_hash_table_unref(m.inputs);
	base_messages_sort(messages);
	return base_messages_count(messages, BASE_ERROR) +
			   base_messages_count(messages, BASE_FAILURE) ==
		       errors
		   ? g_steal_pointer(&model)
		   : NULL;
}
