#include "app/file/procedure.h"

#include "app/base/suggest.h"
#include "app/file/kind.h"
#include "app/file/procedure_parts.h"
#include "app/lab/calibration.h"

#include <string.h>

struct built_in {
	const char *name;
	const void *text;
	size_t length;
};

#include "procedures_table.h"

static const struct built_in *built_in_named(const char *name)
{
	for (size_t i = 0; i < G_N_ELEMENTS(built_ins); i++)
		if (strcmp(built_ins[i].name, name) == 0)
			return &built_ins[i];
	return NULL;
}

const char *const *file_procedure_names(void)
{
	return built_in_names;
}

static void say_no_such(const struct file_procedure *f, struct base_mark mark, const char *name)
{
	const char *near = base_suggest(name, file_procedure_names());

	if (near != NULL)
		file_wrong(&f->reader, mark, "there is no procedure %.60s; did you mean %s?", name,
			   near);
	else
		file_wrong(&f->reader, mark,
			   "there is no procedure %.60s; firn cell procedure lists them", name);
}

static bool read_file(struct file_procedure *f, const char *file, GBytes *bytes,
		      enum file_kind kind, int depth);

/* Steps that several procedures share, in the order of the list. */
static void read_shared(struct file_procedure *f, struct file_map *top, const char *key, int depth)
{
	const struct file_node *list = file_list(top, key);

	for (const struct file_node *n = list == NULL ? NULL : list->first; n != NULL;
	     n = n->next) {
		const char *name = file_node_text(&f->reader, n, key);
		const struct built_in *shared = name == NULL ? NULL : built_in_named(name);

		if (name == NULL)
			continue;
		if (shared == NULL) {
			say_no_such(f, n->mark, name);
		} else if (depth > 0) {
			file_wrong(&f->reader, n->mark,
				   "%s takes steps of others itself; name those instead", name);
		} else {
			const struct file_reader own = f->reader;
			g_autoptr(GBytes) bytes = g_bytes_new_static(shared->text, shared->length);

			read_file(f, shared->name, bytes, FILE_PROCEDURE, depth + 1);
			f->reader = own;
		}
	}
}

static void read_steps(struct file_procedure *f, struct file_map *top)
{
	const struct file_node *steps = file_named_things(top, "steps");

	if (!file_has_like(top, "steps"))
		file_missing(top, "steps", "say what is done, step by step");
	for (const struct file_node *n = steps == NULL ? NULL : steps->first; n != NULL;
	     n = n->next) {
		g_autofree char *what = g_strdup_printf("step %s", n->key);
		struct file_map map;

		if (!file_procedure_id(f, n, "step"))
			continue;
		if (lab_procedure_step(f->procedure, n->key, NULL) != NULL) {
			file_wrong(&f->reader, n->key_mark,
				   "there is a step %s already; give this one another name",
				   n->key);
			continue;
		}
		file_map_open(&map, &f->reader, n, what, "");
		file_procedure_step(
		    f, &map,
		    lab_procedure_add_step(f->procedure, f->procedure->steps->len, n->key));
		file_map_close(&map);
	}
}

static void read_point(struct file_procedure *f, struct file_map *top)
{
	const struct file_node *node = file_get(top, "point");
	const char *point = node == NULL ? NULL : file_node_text(&f->reader, node, "point");

	if (point != NULL && lab_point_named(point) == LAB_NO_POINT)
		file_wrong(&f->reader, node->mark,
			   "there is no fixed point %.60s; they are e-H2, Ne, O2, Ar, Hg, H2O, Ga, "
			   "In, Sn, Zn, Al and Ag",
			   point);
	f->procedure->point = lab_procedure_text(f->procedure, point);
}

/* What is the whole procedure's own, and not one of the shared parts'. */
static void read_head(struct file_procedure *f, struct file_map *top)
{
	lab_procedure *p = f->procedure;

	p->name = lab_procedure_text(p, file_name(top, "name"));
	p->title = lab_procedure_text(p, file_text(top, "title"));
	p->method = lab_procedure_text(p, file_text(top, "method"));
	read_point(f, top);
	if (f->kept)
		p->laboratory = lab_procedure_text(p, file_text(top, "laboratory"));
	if (!file_has_like(top, "name"))
		file_missing(top, "name", "it is called by it");
	if (!file_has_like(top, "title"))
		file_missing(top, "title", "it stands above the steps");
}

static void read_parts(struct file_procedure *f, struct file_map *top, int depth)
{
	if (depth == 0) {
		read_head(f, top);
	} else {
		file_get(top, "name"); /* the whole has its own */
		file_get(top, "title");
		file_get(top, "point");
	}
	file_procedure_cautions(f, top);
	read_shared(f, top, "starts_with", depth);
	read_steps(f, top);
	read_shared(f, top, "ends_with", depth);
}

/* Whether nothing about the file was wrong. */
static bool read_file(struct file_procedure *f, const char *file, GBytes *bytes,
		      enum file_kind kind, int depth)
{
	const size_t before = base_messages_count(f->reader.messages, BASE_ERROR);
	g_autoptr(file_yaml) yaml = file_yaml_parse(file, bytes, f->reader.messages);
	struct file_map top;

	if (yaml == NULL)
		return false;
	f->reader.file = file;
	file_map_open(&top, &f->reader, file_yaml_root(yaml), "the procedure", "");
	if (!file_kind_is(&top, kind, "steps"))
		top.node = NULL; /* of another kind: its keys are no mistakes */
	else if (kind == FILE_PROCEDURE)
		read_parts(f, &top, depth);
	else
		file_procedure_change(f, &top);
	file_map_close(&top);
	return base_messages_count(f->reader.messages, BASE_ERROR) == before;
}

lab_procedure *file_parse_procedure(const char *name, const char *file, GBytes *change,
				    base_messages *messages)
{
	g_autoptr(lab_procedure) procedure = lab_procedure_new();
	struct file_procedure f = { .reader = { .file = "", .messages = messages },
				    .procedure = procedure };
	const struct built_in *own = built_in_named(name);
	bool good = false;

	if (own == NULL) {
		say_no_such(&f, (struct base_mark){ 0, 0 }, name);
	} else {
		g_autoptr(GBytes) bytes = g_bytes_new_static(own->text, own->length);

		good = read_file(&f, name, bytes, FILE_PROCEDURE, 0) &&
		       (change == NULL || read_file(&f, file, change, FILE_PROCEDURE_CHANGE, 0));
	}
	base_messages_sort(messages);
	return good ? g_steal_pointer(&procedure) : NULL;
}

lab_procedure *file_read_procedure(const char *name, const char *change, base_messages *messages)
{
	g_autoptr(GBytes) bytes = change == NULL ? NULL : file_yaml_bytes(change, messages);

	return change != NULL && bytes == NULL
		   ? NULL
		   : file_parse_procedure(name, change, bytes, messages);
}

lab_procedure *file_parse_kept_procedure(const char *label, GBytes *bytes, base_messages *messages)
{
	g_autoptr(lab_procedure) procedure = lab_procedure_new();
	struct file_procedure f = { .reader = { .file = label, .messages = messages },
				    .procedure = procedure,
				    .kept = true };

	return read_file(&f, label, bytes, FILE_PROCEDURE, 0) ? g_steal_pointer(&procedure) : NULL;
}
