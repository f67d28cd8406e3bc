#include "app/file/plan.h"

#include "app/base/file.h"
#include "app/file/cell.h"
#include "app/file/cell_parts.h"
#include "app/file/kind.h"
#include "app/file/text.h"

#include <math.h>
#include <string.h>

#define FIELD(record, member) offsetof(struct record, member)
#define MOST_REALISATIONS     50

static const struct file_range mK = {
	0.0, 1e5, true, false, "an expanded uncertainty (k = 2) is in millikelvin, above 0"
};
static const struct file_range u_mK = { 0.0, 1e5, false, false,
					"a standard uncertainty is in millikelvin, 0 or more" };
static const struct file_range of_ratio = {
	0.0, 1e-3, false, false, "it is a fraction of the ratio, 0 to 0.001: 2e-8 is 0.02 ppm"
};
static const struct file_range ohm = { 0.0, 1e6, true, false,
				       "a resistor is in ohm, above 0 and at most 1000000" };
static const struct file_range u_ohm = { 0.0, 1e5, false, false,
					 "a standard uncertainty is in ohm, 0 or more" };
static const struct file_range per_K = { -1e-3, 1e-3, false, false,
					 "it is relative and per kelvin, such as 3e-6" };
static const struct file_range bath = {
	0.0, 10.0, false, false, "the resistor's temperature is uncertain by 0 to 10 kelvin"
};
static const struct file_range seconds = { 0.0, 86400.0, true, false,
					   "a reading takes seconds, above 0 and at most 86400" };
static const struct file_range days = { 0.0, 10000.0, false, false,
					"the age of a mantle is in days, 0 to 10000" };

static const struct file_number_field bridge_numbers[] = {
	{ "u_linearity", FIELD(lab_plan_bridge, u_linearity), &of_ratio, 0.0, NULL },
	{ "s_reading", FIELD(lab_plan_bridge, s_reading), &of_ratio, 0.0, NULL },
	{ "reading_s", FIELD(lab_plan_bridge, reading_s), &seconds, 0.0, NULL },
};
static const struct file_number_field resistor_numbers[] = {
	{ "ohm", FIELD(lab_plan_resistor, ohm), &ohm, 0.0, NULL },
	{ "u_ohm", FIELD(lab_plan_resistor, u_ohm), &u_ohm, 0.0, NULL },
	{ "per_K", FIELD(lab_plan_resistor, per_K), &per_K, 0.0, NULL },
	{ "u_bath_K", FIELD(lab_plan_resistor, u_bath_K), &bath, 0.0, "per_K" },
};

struct plan_file {
	struct file_reader reader;
	lab_plan *plan;
	const char *path;
};

static void read_bridge(struct plan_file *f, struct file_map *top)
{
	const struct file_node *node = file_get(top, "bridge");
	struct lab_plan_bridge *b = &f->plan->bridge;
	struct file_map map;

	if (node == NULL) {
		if (!file_has(top, "bridge"))
			file_missing(top, "bridge",
				     "say with what it is measured: {u_linearity, s_reading}");
		return;
	}
	file_map_open(&map, &f->reader, node, "the bridge", "bridge");
	b->id = lab_plan_text(f->plan, file_name(&map, "id"));
	file_numbers(&map, bridge_numbers, G_N_ELEMENTS(bridge_numbers), b);
	b->readings = file_whole(&map, "readings", 1, 1000000, 20);
	b->reading_s = lab_or(b->reading_s, 20.0);
	if (map.node != NULL && !file_has_like(&map, "u_linearity"))
		file_missing(&map, "u_linearity", "0 where it is known to be nothing");
	if (map.node != NULL && !file_has_like(&map, "s_reading"))
		file_missing(&map, "s_reading", "the standard deviation of one reading");
	file_map_close(&map);
}

static void read_resistor(struct plan_file *f, struct file_map *top)
{
	const struct file_node *node = file_get(top, "resistor");
	struct lab_plan_resistor *r = &f->plan->resistor;
	struct file_map map;

	if (node == NULL) {
		if (!file_has(top, "resistor"))
			file_missing(top, "resistor", "the ratio is to it: {ohm: 100}");
		return;
	}
	file_map_open(&map, &f->reader, node, "the resistor", "resistor");
	r->id = lab_plan_text(f->plan, file_name(&map, "id"));
	file_numbers(&map, resistor_numbers, G_N_ELEMENTS(resistor_numbers), r);
	if (map.node != NULL && !file_has_like(&map, "ohm"))
		file_missing(&map, "ohm", "its nominal value will do");
	file_map_close(&map);
}

static void read_term(struct plan_file *f, struct lab_plan_realisation *r,
		      const struct file_node *node)
{
	struct lab_plan_term term = { .name = lab_plan_text(f->plan, node->key) };
	struct file_map map;

	file_map_open(&map, &f->reader, node, node->key, "");
	term.u_K.mark = map.mark;
	term.u_K.value = 1e-3 * file_number(&map, "u_mK", &u_mK);
	term.dof = lab_or(file_number(&map, "dof", &file_dof), INFINITY);
	term.source = lab_plan_text(f->plan, file_text(&map, "source"));
	if (map.node != NULL && !file_has_like(&map, "u_mK"))
		file_missing(&map, "u_mK", "give its standard uncertainty");
	if (map.node != NULL && !file_has_like(&map, "source"))
		file_missing(&map, "source", "say where it comes from: own record, judged, ...");
	file_map_close(&map);
	if (lab_given(term.u_K.value))
		g_array_append_val(r->terms, term);
}

static void read_cell(struct plan_file *f, struct lab_plan_realisation *r, struct file_map *map)
{
	const struct file_node *node = file_get(map, "cell");
	const char *name = node == NULL ? NULL : file_node_text(&f->reader, node, "cell");

	if (name == NULL) {
		if (map->node != NULL && !file_has_like(map, "cell"))
			file_missing(map, "cell", "name the file of the cell, of kind: cell");
		return;
	}
	g_autofree char *folder = g_path_get_dirname(f->path);
	g_autofree char *path = g_path_is_absolute(name) || strcmp(folder, ".") == 0
				    ? g_strdup(name)
				    : g_build_filename(folder, name, NULL);
	r->study = file_read_cell(path, f->reader.messages);
	if (r->study != NULL)
		r->study->thermometer = f->plan->own->thermometer;
}

static void read_realisation(struct plan_file *f, const struct file_node *node)
{
	g_autofree char *what = g_strdup_printf("realisation %s", node->key);
	struct lab_plan_realisation *r = lab_plan_add(f->plan, node->key);
	const struct file_node *terms;
	struct file_map map;

	file_map_open(&map, &f->reader, node, what, node->key);
	r->mark = map.mark;
	read_cell(f, r, &map);
	r->age_d = file_number(&map, "age_d", &days);
	r->procedure = lab_plan_text(f->plan, file_name(&map, "procedure"));
	terms = file_named_things(&map, "terms");
	for (const struct file_node *n = terms == NULL ? NULL : terms->first; n != NULL;
	     n = n->next)
		read_term(f, r, n);
	if (lab_given(r->age_d) && r->study != NULL && r->study->cell.point != LAB_H2O)
		file_wrong(&f->reader, file_key_mark(&map, "age_d"),
			   "age_d belongs to an ice mantle; leave it out here");
	file_map_close(&map);
}

static void read_realisations(struct plan_file *f, struct file_map *top)
{
	const struct file_node *things = file_named_things(top, "realisations");

	if (!file_has(top, "realisations"))
		file_missing(top, "realisations", "say which cells are at hand, by name");
	else if (things != NULL && things->n == 0)
		file_wrong(&f->reader, things->mark, "realisations is empty; name at least one");
	if (things != NULL && things->n > MOST_REALISATIONS) {
		file_wrong(&f->reader, things->mark, "there are %zu realisations, at most %d fit",
			   things->n, MOST_REALISATIONS);
		return;
	}
	for (const struct file_node *n = things == NULL ? NULL : things->first; n != NULL;
	     n = n->next)
		read_realisation(f, n);
}

/* One of a kind: cell file knows how to read a thermometer; the plan has the same section. */
static void read_thermometer(struct plan_file *f, struct file_map *top)
{
	struct file_cell as_cell = { .reader = f->reader, .study = f->plan->own };

	file_cell_thermometer(&as_cell, top);
	if (!file_has(top, "thermometer"))
		file_missing(top, "thermometer", "describe it as in a file of kind: cell");
	else if (f->plan->own->thermometer.given &&
		 !lab_given(f->plan->own->thermometer.currents_A[0]))
		file_wrong(
		    &f->reader, f->plan->own->thermometer.mark,
		    "the thermometer has no currents_mA; give the two that it is read at, as "
		    "in [1, 1.4142]");
}

static void read_subranges(struct plan_file *f, struct file_map *top)
{
	const struct file_node *list = file_list(top, "goes_on_to");

	for (const struct file_node *n = list == NULL ? NULL : list->first; n != NULL;
	     n = n->next) {
		const char *name = file_node_text(&f->reader, n, "goes_on_to");
		const enum lab_subrange s =
		    name == NULL ? LAB_NO_SUBRANGE : lab_subrange_named(name);

		if (s != LAB_NO_SUBRANGE)
			f->plan->goes_on = f->plan->subranges[s] = true;
		else if (name != NULL)
			file_wrong(&f->reader, n->mark,
				   "there is no subrange %.60s; they are named by their ends, such "
				   "as H2O_Al or Ar_H2O",
				   name);
	}
}

static void read_sections(struct plan_file *f, const struct file_node *root)
{
	struct file_map top;

	file_map_open(&top, &f->reader, root, "the plan", "");
	if (file_kind_is(&top, FILE_PLAN, "realisations")) {
		f->plan->mark = top.mark;
		f->plan->title = lab_plan_text(f->plan, file_text(&top, "title"));
		f->plan->U_K = 1e-3 * file_number(&top, "wanted_U_mK", &mK);
		read_thermometer(f, &top);
		read_bridge(f, &top);
		read_resistor(f, &top);
		read_realisations(f, &top);
		read_subranges(f, &top);
		if (!file_has(&top, "wanted_U_mK"))
			file_missing(&top, "wanted_U_mK",
				     "say which expanded uncertainty (k = 2) is wanted");
	} else {
		top.node = NULL; /* of another kind: its keys are no mistakes */
	}
	file_map_close(&top);
}

lab_plan *file_read_plan(const char *path, base_messages *messages)
{
	const size_t errors =
	    base_messages_count(messages, BASE_ERROR) + base_messages_count(messages, BASE_FAILURE);
	g_autoptr(GBytes) bytes = file_yaml_bytes(path, messages);
	g_autoptr(file_yaml) yaml = bytes == NULL ? NULL : file_yaml_parse(path, bytes, messages);
	g_autoptr(lab_plan) plan = lab_plan_new();

	if (yaml == NULL)
		return NULL;

	struct plan_file f = {
		.reader = { .file = path, .messages = messages },
		.plan = plan,
		.path = path,
	};
	gsize n;
	const void *data = g_bytes_get_data(bytes, &n);
	g_autofree char *sha256 = base_sha256(data, n);
	plan->path = lab_plan_text(plan, path);
	plan->sha256 = lab_plan_text(plan, sha256);
	plan->own->path = lab_cell_study_text(plan->own, path);
	read_sections(&f, file_yaml_root(yaml));
	base_messages_sort(messages);
	return base_messages_count(messages, BASE_ERROR) +
			   base_messages_count(messages, BASE_FAILURE) ==
		       errors
		   ? g_steal_pointer(&plan)
		   : NULL;
}
