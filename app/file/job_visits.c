/* visits and events: what refers to what */
#include "app/file/job_parts.h"

#include "app/file/text.h"

#include <string.h>

/* The id of a visit, also before its map is opened: messages and paths carry it. */
static void open_visit(struct file_job *job, struct file_map *map, const struct file_node *node,
		       int number)
{
	const char *id = file_peek(node, "id");
	g_autofree char *what = id != NULL ? g_strdup_printf("visit %s", id)
					   : g_strdup_printf("visit number %d of the list", number);
	g_autofree char *path =
	    id != NULL ? g_strdup_printf("visit.%s", id) : g_strdup_printf("visits.%d", number);

	file_map_open(map, &job->reader, node, what, path);
}

/* What refers to the visit whose id is wrong cannot be blamed. */
static void lose_a_visit(struct file_job *job)
{
	job->visits_complete = false;
	g_hash_table_add(job->incomplete, (gpointer) "visit");
}

static void read_id(struct file_job *job, struct file_map *map, struct lab_visit *visit)
{
	visit->id = lab_calibration_text(job->c, file_name(map, "id"));
	if (visit->id == NULL) {
		lose_a_visit(job);
		if (map->node != NULL && !file_has(map, "id"))
			file_missing(map, "id",
				     "give it a number or a name of its own, as in id: 1");
		return;
	}
	if (file_job_add_id(job, "visit", visit->id, job->c->visits->len - 1))
		return;

	lose_a_visit(job);
	g_autofree char *first = g_strdup_printf("visit.%s", visit->id);
	g_autofree char *shown = file_quote(visit->id);
	file_wrong(&job->reader, file_get(map, "id")->mark,
		   "there is a visit %s already, on line %d; give each visit an id of its own",
		   shown, job->c->visits->len > 1 ? lab_calibration_mark(job->c, first).line : 0);
}

/* A visit is to a cell, or to a place whose temperature is to be found. */
static void read_place(struct file_job *job, struct file_map *map, struct lab_visit *visit)
{
	visit->measure = file_boolean(map, "measure", false);
	visit->cell = file_job_reference(job, map, "cell", "cell");
	if (map->node == NULL)
		return;
	if (file_has(map, "cell") && visit->measure) {
		file_wrong(
		    &job->reader, file_key_mark(map, "measure"),
		    "%s has both cell and measure; a visit is to a cell, or measures an unknown "
		    "temperature",
		    map->what);
		visit->cell = -1; /* so that nothing more is said of it */
	} else if (!file_has(map, "cell") && !file_has_like(map, "measure"))
		file_missing(map, "cell",
			     "name the cell, or write measure: true for a temperature to be found");
	else if (!file_has(map, "cell") && !visit->measure &&
		 g_strcmp0(file_peek(map->node, "measure"), "false") == 0)
		file_wrong(&job->reader, file_key_mark(map, "measure"),
			   "%s has measure: false and no cell; name the cell", map->what);
}

static void one_visit(struct file_job *job, const struct file_node *node, int number)
{
	struct lab_visit *visit = lab_add_visit(job->c);
	struct file_map map;
	bool no_ratio;

	/* The mark of a visit seen twice stays that of the first. */
	const char *id = file_peek(node, "id");
	g_autofree char *path = id != NULL ? g_strdup_printf("visit.%s", id) : NULL;
	const struct base_mark first =
	    path != NULL ? lab_calibration_mark(job->c, path) : (struct base_mark){ 0, 0 };

	open_visit(job, &map, node, number);
	if (first.line > 0)
		lab_calibration_set_mark(job->c, path, first);
	visit->mark = map.mark;
	read_id(job, &map, visit);
	read_place(job, &map, visit);
	visit->resistor = file_job_reference(job, &map, "resistor", "resistor");
	visit->bridge = file_job_reference(job, &map, "bridge", "bridge");
	no_ratio = map.node != NULL && !file_has_like(&map, "resistor");
	g_array_append_val(job->no_ratio, no_ratio);
	file_get(&map, "tpw"); /* its visit may come later: see read_tpw() */
	file_job_visit_values(job, &map, visit);
	file_map_close(&map);
}

static bool is_water(const struct file_job *job, const struct lab_visit *visit)
{
	return visit->cell >= 0 && LAB_AT(job->c->cells, lab_cell, visit->cell)->point == LAB_H2O;
}

static const struct file_node *child(const struct file_node *node, const char *key)
{
	if (node->kind != FILE_MAPPING)
		return NULL;
	for (const struct file_node *c = node->first; c != NULL; c = c->next) {
		if (strcmp(c->key, key) == 0)
			return c;
	}
	return NULL;
}

/* Only visits to other points are divided, and only by visits to water: so no circle can arise. */
static void read_tpw(struct file_job *job, struct lab_visit *visit, int number,
		     const struct file_node *node)
{
	const int tpw = file_job_resolve(job, node, "tpw", "visit");
	const char *id = visit->id != NULL ? visit->id : "";

	if (tpw < 0)
		return;
	const struct lab_visit *other = LAB_AT(job->c->visits, lab_visit, tpw);
	if (tpw == number)
		file_wrong(
		    &job->reader, node->mark,
		    "visit %s names itself as tpw; name the visit to water that it is divided "
		    "by",
		    id);
	else if (is_water(job, visit))
		file_wrong(&job->reader, node->mark,
			   "visit %s is itself to the triple point of water; tpw is for the other "
			   "visits",
			   id);
	else if (other->measure ||
		 (other->cell >= 0 && !is_water(job, other) &&
		  LAB_AT(job->c->cells, lab_cell, other->cell)->point != LAB_NO_POINT))
		file_wrong(
		    &job->reader, node->mark,
		    "visit %s is to %s; tpw names a visit to the triple point of water, H2O",
		    other->id,
		    other->measure
			? "an unknown temperature"
			: lab_point_name(LAB_AT(job->c->cells, lab_cell, other->cell)->point));
	else
		visit->tpw = tpw;
}

void file_job_visits(struct file_job *job, struct file_map *top)
{
	const struct file_node *list = file_list(top, "visits");
	int number = 0;

	job->visits_complete = list != NULL && list->n > 0;
	if (!job->visits_complete)
		g_hash_table_add(job->incomplete, (gpointer) "visit");
	if (!file_has(top, "visits"))
		file_missing(top, "visits", "list each stay of the thermometer in a cell");
	else if (list != NULL && list->n == 0)
		file_wrong(&job->reader, list->mark,
			   "visits is an empty list; list each stay of the thermometer in a cell");
	if (list == NULL)
		return;
	for (const struct file_node *n = list->first; n != NULL; n = n->next)
		one_visit(job, n, ++number);

	number = 0;
	for (const struct file_node *n = list->first; n != NULL; n = n->next, number++) {
		const struct file_node *tpw = child(n, "tpw");

		if (tpw != NULL)
			read_tpw(job, LAB_AT(job->c->visits, lab_visit, number), number, tpw);
	}
}

static void one_event(struct file_job *job, struct file_map *map)
{
	static const char *const kinds[] = {
		"anneal", "transport", "repair", "shock", "other", NULL
	};
	struct lab_event *event = lab_add_event(job->c);
	const int kind = file_choice(map, "kind", kinds);

	event->kind = kind < 0 ? NULL : lab_calibration_text(job->c, kinds[kind]);
	event->after = file_job_reference(job, map, "after", "visit");
	event->note = file_job_text(job, map, "note");
	if (map->node != NULL && !file_has(map, "kind"))
		file_missing(map, "kind",
			     "say what happened: anneal, transport, repair, shock or other");
}

void file_job_events(struct file_job *job, struct file_map *top)
{
	const struct file_node *list = file_list(top, "events");
	int number = 0;

	for (const struct file_node *n = list != NULL ? list->first : NULL; n != NULL;
	     n = n->next) {
		g_autofree char *path = g_strdup_printf("event.%d", ++number);
		g_autofree char *what = g_strdup_printf("event %d", number);
		struct file_map map;

		file_map_open(&map, &job->reader, n, what, path);
		one_event(job, &map);
		file_map_close(&map);
	}
}
