/* One step of a procedure, and the cautions that a laboratory adds. */
#include "app/file/procedure_parts.h"

#include "app/base/suggest.h"
#include "app/file/text.h"
#include "app/lab/value.h"

#include <string.h>

static const struct file_range duration = { 0.0, 1e4, false, false,
					    "a time is 0 to 10000 in its unit" };
static const char *const units[] = { "s", "min", "h", "d", NULL };

static const char *keep(struct file_procedure *f, const char *text)
{
	return lab_procedure_text(f->procedure, text);
}

bool file_procedure_id(const struct file_procedure *f, const struct file_node *node,
		       const char *what)
{
	static const char letters[] = "abcdefghijklmnopqrstuvwxyz0123456789-";
	const char *id = node->key;
	const size_t n = strlen(id);

	if (n > 0 && n <= 40 && strspn(id, letters) == n && g_ascii_isalpha(id[0]) &&
	    id[n - 1] != '-')
		return true;
	g_autofree char *shown = file_quote(id);
	file_wrong(
	    &f->reader, node->key_mark,
	    "%s cannot be the name of a %s; use small letters, digits and - between them, at "
	    "most 40, such as keep-open",
	    shown, what);
	return false;
}

/* A list of texts in the place of what was there. */
static void read_texts(struct file_procedure *f, struct file_map *map, const char *key,
		       GPtrArray *ret)
{
	const struct file_node *list = file_list(map, key);

	if (list == NULL)
		return;
	g_ptr_array_set_size(ret, 0);
	for (const struct file_node *n = list->first; n != NULL; n = n->next) {
		const char *text = file_node_text(&f->reader, n, key);

		if (text != NULL)
			g_ptr_array_add(ret, (gpointer)keep(f, text));
	}
}

static void read_time(struct file_procedure *f, struct file_map *map, struct lab_step *step)
{
	const struct file_node *node = file_get(map, "time");
	struct file_map time;

	if (node == NULL)
		return;
	file_map_open(&time, &f->reader, node, "time", "");
	step->time.least = file_number(&time, "least", &duration);
	step->time.most = file_number(&time, "most", &duration);
	const int unit = file_choice(&time, "unit", units);
	step->time.unit = unit < 0 ? NULL : units[unit];
	step->time.source = keep(f, file_text(&time, "source"));
	if (time.node != NULL && !file_has_like(&time, "unit"))
		file_missing(&time, "unit", "say s, min, h or d");
	if (time.node != NULL && !file_has_like(&time, "least") && !file_has_like(&time, "most"))
		file_missing(&time, "least", "give least, most or both");
	if (time.node != NULL && !file_has_like(&time, "source"))
		file_missing(&time, "source", "say where the time comes from");
	if (step->time.least > step->time.most)
		file_wrong(&f->reader, node->mark, "least is more than most; exchange them");
	file_map_close(&time);
}

static void read_limit(struct file_procedure *f, const struct file_node *node, GArray *to)
{
	struct lab_step_limit limit = { 0 };
	struct file_map map;

	file_map_open(&map, &f->reader, node, "limit", "");
	limit.what = keep(f, file_text(&map, "what"));
	limit.low = file_number(&map, "low", &file_any);
	limit.high = file_number(&map, "high", &file_any);
	limit.unit = keep(f, file_text(&map, "unit"));
	limit.source = keep(f, file_text(&map, "source"));
	if (map.node != NULL && !file_has_like(&map, "what"))
		file_missing(&map, "what", "say what it is the limit of");
	if (map.node != NULL && !file_has_like(&map, "low") && !file_has_like(&map, "high"))
		file_missing(&map, "low", "give low, high or both");
	if (map.node != NULL && !file_has_like(&map, "unit"))
		file_missing(&map, "unit", "write \"1\" for a number without one");
	if (map.node != NULL && !file_has_like(&map, "source"))
		file_missing(&map, "source", "say where the limit comes from");
	if (limit.low > limit.high)
		file_wrong(&f->reader, node->mark, "low is more than high; exchange them");
	file_map_close(&map);
	g_array_append_val(to, limit);
}

static void read_limits(struct file_procedure *f, struct file_map *map, struct lab_step *step)
{
	const struct file_node *list = file_list(map, "limits");

	if (list == NULL)
		return;
	g_array_set_size(step->limits, 0);
	for (const struct file_node *n = list->first; n != NULL; n = n->next)
		read_limit(f, n, step->limits);
}

static void say_unknown_caution(struct file_procedure *f, const struct file_node *node)
{
	g_autoptr(GPtrArray) names = g_ptr_array_new();
	g_autofree char *shown = file_quote(node->text);
	const char *near;

	for (const struct lab_caution *c = lab_cautions; c->id != NULL; c++)
		g_ptr_array_add(names, (gpointer)c->id);
	for (guint i = 0; i < f->procedure->own_cautions->len; i++)
		g_ptr_array_add(
		    names,
		    (gpointer)((struct lab_caution *)f->procedure->own_cautions->pdata[i])->id);
	g_ptr_array_add(names, NULL);
	near = base_suggest(node->text, (const char *const *)names->pdata);
	file_wrong(&f->reader, node->mark, "there is no caution %s; %s%s%s", shown,
		   near != NULL ? "did you mean " : "describe it under cautions, or take one of ",
		   near != NULL ? near : "firn cell procedure --cautions", near != NULL ? "?" : "");
}

static void read_cautions(struct file_procedure *f, struct file_map *map, struct lab_step *step)
{
	const struct file_node *list = file_list(map, "cautions");
	g_autoptr(GPtrArray) before = g_ptr_array_copy(step->cautions, NULL, NULL);
	g_autoptr(GString) lost = g_string_new(NULL);
	bool known = true;

	if (list == NULL)
		return;
	g_ptr_array_set_size(step->cautions, 0);
	for (const struct file_node *n = list->first; n != NULL; n = n->next) {
		const char *id = file_node_text(&f->reader, n, "cautions");
		const struct lab_caution *caution =
		    id == NULL ? NULL : lab_procedure_caution(f->procedure, id);

		if (id != NULL && caution == NULL)
			say_unknown_caution(f, n);
		known = known && caution != NULL;
		if (caution != NULL && !g_ptr_array_find(step->cautions, caution, NULL))
			g_ptr_array_add(step->cautions, (gpointer)caution);
	}
	for (guint i = 0; i < before->len; i++)
		if (!g_ptr_array_find(step->cautions, before->pdata[i], NULL))
			g_string_append_printf(lost, "%s%s", lost->len > 0 ? ", " : "",
					       ((struct lab_caution *)before->pdata[i])->id);
	if (lost->len > 0 && known) /* or one of them is misspelt, which has been said */
		file_wrong(
		    &f->reader, list->mark,
		    "step %s is no longer shown with %s; a laboratory adds cautions and takes "
		    "none away: list it too",
		    step->id, lost->str);
}

void file_procedure_step(struct file_procedure *f, struct file_map *map, struct lab_step *step)
{
	static const char *const changes[] = { "changed", "added", NULL };
	const char *text;

	if ((text = file_text(map, "do")) != NULL)
		step->what = keep(f, text);
	if ((text = file_text(map, "why")) != NULL)
		step->why = keep(f, text);
	if ((text = file_text(map, "source")) != NULL)
		step->source = keep(f, text);
	read_time(f, map, step);
	read_limits(f, map, step);
	read_texts(f, map, "check", step->checks);
	read_texts(f, map, "write_down", step->write_down);
	read_cautions(f, map, step);
	if (f->kept) {
		const int change = file_choice(map, "changed", changes);

		step->changed = change < 0 ? NULL : changes[change];
	}
	if (map->node == NULL)
		return;
	if (step->what == NULL && !file_has_like(map, "do"))
		file_missing(map, "do", "say what is done");
	if (step->why == NULL && !file_has_like(map, "why"))
		file_missing(map, "why", "give the reason");
	if (step->source == NULL && !file_has_like(map, "source"))
		file_missing(map, "source", "say where it comes from");
}

static void read_caution(struct file_procedure *f, const struct file_node *node)
{
	struct lab_caution *caution = g_new0(struct lab_caution, 1);
	g_autofree char *what = g_strdup_printf("caution %s", node->key);
	struct file_map map;

	file_map_open(&map, &f->reader, node, what, "");
	caution->id = keep(f, node->key);
	caution->hazard = keep(f, file_text(&map, "hazard"));
	caution->words = keep(f, file_text(&map, "caution"));
	caution->figures = keep(f, file_text(&map, "figures"));
	caution->source = keep(f, file_text(&map, "source"));
	if (map.node != NULL && !file_has_like(&map, "hazard"))
		file_missing(&map, "hazard", "name it in a few words");
	if (map.node != NULL && !file_has_like(&map, "caution"))
		file_missing(&map, "caution", "say what to do about it");
	if (map.node != NULL && !file_has_like(&map, "source"))
		file_missing(&map, "source", "say where it comes from");
	file_map_close(&map);
	g_ptr_array_add(f->procedure->own_cautions, caution);
}

void file_procedure_cautions(struct file_procedure *f, struct file_map *top)
{
	const struct file_node *things = file_named_things(top, "cautions");

	for (const struct file_node *n = things == NULL ? NULL : things->first; n != NULL;
	     n = n->next) {
		if (!file_procedure_id(f, n, "caution"))
			continue;
		if (!f->kept && lab_caution_named(n->key) != NULL)
			file_wrong(
			    &f->reader, n->key_mark,
			    "caution %s is the program's own, and its words stay; add one of "
			    "another name beside it",
			    n->key);
		else
			read_caution(f, n);
	}
}
