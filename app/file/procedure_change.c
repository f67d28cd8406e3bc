/* What a laboratory changes in one of the program's procedures. */
#include "app/file/procedure_parts.h"

#include "app/base/suggest.h"

#include <string.h>

static guint place_of(struct file_procedure *f, struct file_map *map, const char *key,
		      bool *ret_found)
{
	const struct file_node *node = file_get(map, key);
	const char *id = node == NULL ? NULL : file_node_text(&f->reader, node, key);
	guint at = 0;

	if (id == NULL)
		return 0;
	*ret_found = true; /* or said to be wrong */
	if (lab_procedure_step(f->procedure, id, &at) != NULL)
		return at;

	g_autoptr(GPtrArray) names = g_ptr_array_new();
	for (guint i = 0; i < f->procedure->steps->len; i++)
		g_ptr_array_add(names,
				(gpointer)((struct lab_step *)f->procedure->steps->pdata[i])->id);
	g_ptr_array_add(names, NULL);
	const char *near = base_suggest(id, (const char *const *)names->pdata);
	file_wrong(&f->reader, node->mark, "there is no step %.60s in %s; %s%s%s", id,
		   f->procedure->name, near != NULL ? "did you mean " : "firn cell procedure ",
		   near != NULL ? near : f->procedure->name, near != NULL ? "?" : " lists them");
	return 0;
}

static void add_step(struct file_procedure *f, struct file_map *map, const struct file_node *node)
{
	bool after_found = false, before_found = false;
	const guint after = place_of(f, map, "after", &after_found);
	const guint before = place_of(f, map, "before", &before_found);
	struct lab_step *step;

	if (!after_found && !before_found && !file_has_like(map, "after"))
		file_missing(map, "after",
			     "it is a new step; name the one that it comes after, or before");
	if (after_found && before_found)
		file_refuse(map, "before", "and after exclude each other; keep one of them");
	step = lab_procedure_add_step(f->procedure, after_found ? after + 1 : before, node->key);
	step->changed = "added";
	file_procedure_step(f, map, step);
}

static void leave_out(struct file_procedure *f, struct file_map *map, guint at)
{
	const struct lab_step *step = f->procedure->steps->pdata[at];
	g_autoptr(GString) shown = g_string_new(NULL);

	for (guint i = 0; i < step->cautions->len; i++)
		g_string_append_printf(shown, "%s%s", i > 0 ? ", " : "",
				       ((struct lab_caution *)step->cautions->pdata[i])->id);
	if (step->cautions->len > 0)
		file_wrong(&f->reader, file_key_mark(map, "leave_out"),
			   "step %s is shown with %s and can't be left out; change what it says "
			   "instead",
			   step->id, shown->str);
	else
		lab_procedure_remove_step(f->procedure, at);
}

static void read_step(struct file_procedure *f, const struct file_node *node)
{
	g_autofree char *what = g_strdup_printf("step %s", node->key);
	struct file_map map;
	guint at;
	struct lab_step *step = lab_procedure_step(f->procedure, node->key, &at);

	if (step == NULL && !file_procedure_id(f, node, "step"))
		return;
	file_map_open(&map, &f->reader, node, what, "");
	if (step == NULL) {
		add_step(f, &map, node);
	} else if (file_text(&map, "leave_out") != NULL) {
		leave_out(f, &map, at);
	} else if (map.node != NULL) {
		file_refuse(&map, "after", "would move a step; its place stays");
		file_refuse(&map, "before", "would move a step; its place stays");
		step->changed = "changed";
		file_procedure_step(f, &map, step);
	}
	file_map_close(&map);
}

void file_procedure_change(struct file_procedure *f, struct file_map *top)
{
	const struct file_node *named = file_get(top, "procedure");
	const char *name = named == NULL ? NULL : file_node_text(&f->reader, named, "procedure");
	const struct file_node *steps;

	f->procedure->laboratory = lab_procedure_text(f->procedure, file_text(top, "source"));
	if (!file_has_like(top, "procedure"))
		file_missing(top, "procedure", "name the one that it changes");
	else if (name != NULL && strcmp(name, f->procedure->name) != 0)
		file_wrong(&f->reader, named->mark,
			   "the file changes %.60s, and %s was asked for; ask for %.60s", name,
			   f->procedure->name, name);
	if (!file_has_like(top, "source"))
		file_missing(
		    top, "source",
		    "say whose words these are, as in source: quality manual 7.3, revision 4");
	file_procedure_cautions(f, top);
	steps = file_named_things(top, "steps");
	if (name == NULL || strcmp(name, f->procedure->name) != 0)
		return; /* the steps are those of another */
	for (const struct file_node *n = steps == NULL ? NULL : steps->first; n != NULL;
	     n = n->next)
		read_step(f, n);
}
