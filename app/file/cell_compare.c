#include "app/file/cell_compare.h"

#include "app/base/file.h"
#include "app/base/time.h"
#include "app/file/cell_parts.h"
#include "app/file/kind.h"
#include "app/file/text.h"

#include <string.h>

#define MOST_CELLS       64
#define MOST_DIFFERENCES 2000
#define MOST_TURNS       1000
#define MOST_ORDER       3

#define CELL(member)       offsetof(struct lab_compared_cell, member)
#define DIFFERENCE(member) offsetof(struct lab_cell_difference, member)
#define WHOLE(member)      offsetof(struct lab_cell_comparison, member)

static const struct file_range rate = { -1000.0, 1000.0, false, false,
					"a drift is in microkelvin per year, within 1000" };
static const struct file_range dD = { -0.5, 0.5, false, false,
				      "a delta value is a fraction: -58.3 per mille is -0.0583" };
static const struct file_range d18O = { -0.1, 0.1, false, false,
					"a delta value is a fraction: -8.1 per mille is -0.0081" };
static const struct file_range microkelvin = {
	-1e7, 1e7, false, false, "a difference of cells is in microkelvin, within 10000000"
};
static const struct file_range claim = { 0.0, 1e6, true, false,
					 "a standard uncertainty is in microkelvin, above 0" };
static const struct file_range depth = { 0.0, 1000.0, false, false,
					 "a depth is in millimetres, 0 to 1000" };
static const struct file_range minutes = { 0.0, 1e6, false, false,
					   "a time is in minutes, 0 to 1000000" };
static const struct file_range ohm = { 0.0, 1e6, true, false,
				       "a resistance is in ohm, above 0 and at most 1000000" };
static const struct file_range small_u = { 0.0, 1e6, true, false,
					   "the standard uncertainty of one reading is above 0" };

static const struct file_quantity_field isotopes[] = {
	{ "dD", CELL(dD), &dD, 0.0 },
	{ "d18O", CELL(d18O), &d18O, 0.0 },
};
static const struct file_quantity_field cell[] = {
	{ "drift_uK_per_year", CELL(drift_K_per_year), &rate, 1e-6 },
};
static const struct file_number_field cell_numbers[] = {
	{ "u_budget_uK", CELL(u_budget_K), &claim, 1e-6, NULL },
};
static const struct file_quantity_field difference[] = {
	{ "uK", DIFFERENCE(K), &microkelvin, 1e-6 },
};
static const struct file_quantity_field datum[] = {
	{ "value_uK", WHOLE(datum_K), &microkelvin, 1e-6 },
};
static const struct file_quantity_field depth_of = { "depth_mm", 0, &depth, 1e-3 };

static const char *const glasses[] = { "borosilicate", "fused silica", NULL };
static const char *const points[] = { "H2O", "Hg", "Ga", "In", "Sn",   "Zn", "Al",
				      "Ag",  "Ar", "O2", "Ne", "e-H2", NULL };
static const struct lab_quantity none = { LAB_NOT_GIVEN, LAB_NOT_GIVEN, { 0, 0 } };

struct reading {
	struct file_reader reader;
	lab_cell_comparison *c;
};

static char *keep(struct reading *r, const char *text)
{
	return text == NULL ? NULL : g_string_chunk_insert(r->c->text, text);
}

/* Index of the cell that a key names; -1 when absent or wrong. */
static int cell_named(struct reading *r, struct file_map *map, const char *key)
{
	const char *name = file_name(map, key);

	for (guint i = 0; name != NULL && i < r->c->cells->len; i++)
		if (strcmp(LAB_AT(r->c->cells, lab_compared_cell, i)->id, name) == 0)
			return (int)i;
	if (name != NULL)
		file_wrong(map->reader, file_get(map, key)->mark,
			   "%s names the cell %s, which is not under cells", key, name);
	return -1;
}

/* YYYY-MM-DD as a day; 0 when absent or wrong. */
static int day_of(struct file_map *map, const char *key)
{
	const struct file_node *node = file_get(map, key);
	const char *text = node == NULL ? NULL : file_node_text(map->reader, node, key);

	if (text == NULL)
		return 0;
	if (!base_date_is_valid(text)) {
		g_autofree char *shown = file_quote(text);

		file_wrong(map->reader, node->mark, "%s is %s; a date is written as 2031-03-04",
			   key, shown);
		return 0;
	}
	g_autoptr(GDate) date = g_date_new_dmy((GDateDay)g_ascii_strtoull(text + 8, NULL, 10),
					       (GDateMonth)g_ascii_strtoull(text + 5, NULL, 10),
					       (GDateYear)g_ascii_strtoull(text, NULL, 10));
	return (int)g_date_get_julian(date);
}

/* ---- cells ---- */

static void read_isotopes(struct reading *r, struct file_map *map, struct lab_compared_cell *x)
{
	const struct file_node *node = file_get(map, "isotopes");
	struct file_map own;

	if (node == NULL)
		return;
	if (r->c->point != LAB_H2O) {
		file_refuse(map, "isotopes", "are those of water cells");
		return;
	}
	if (node->kind == FILE_SCALAR && strcmp(node->text, "unknown") == 0) {
		x->isotopes_unknown = true;
		return;
	}
	file_map_open(&own, &r->reader, node, "isotopes", "isotopes");
	file_quantities(&own, isotopes, G_N_ELEMENTS(isotopes), x);
	if (!file_has(&own, "dD") || !file_has(&own, "d18O"))
		file_missing(&own, "dD",
			     "give both dD and d18O, as fractions, or isotopes: unknown");
	file_map_close(&own);
}

static void read_cell(struct reading *r, struct file_map *map, const char *name)
{
	struct lab_compared_cell x = { .id = keep(r, name),
				       .mark = map->mark,
				       .drift_K_per_year = none,
				       .dD = none,
				       .d18O = none,
				       .u_budget_K = LAB_NOT_GIVEN,
				       .replaces = -1 };

	if (r->c->point == LAB_H2O)
		x.glass = (enum lab_glass)(file_choice(map, "glass", glasses) + 1);
	else
		file_refuse(map, "glass", "is said of water cells, whose drift depends on it");
	x.drifts = file_boolean(map, "drifts", file_has(map, "drift_uK_per_year"));
	file_quantities(map, cell, G_N_ELEMENTS(cell), &x);
	file_numbers(map, cell_numbers, G_N_ELEMENTS(cell_numbers), &x);
	read_isotopes(r, map, &x);
	if (file_has(map, "replaces"))
		x.replaces = cell_named(r, map, "replaces");
	if (lab_stated(&x.drift_K_per_year) && !(x.drift_K_per_year.u > 0.0))
		file_wrong(map->reader, x.drift_K_per_year.mark,
			   "a drift that is known beforehand needs its u, as in {value: -4, u: 4}");
	if (!x.drifts && lab_stated(&x.drift_K_per_year))
		file_wrong(map->reader, file_key_mark(map, "drifts"),
			   "drifts: false, but it has a drift; leave one of them out");
	g_array_append_val(r->c->cells, x);
}

static void read_cells(struct reading *r, struct file_map *top)
{
	const struct file_node *things = file_named_things(top, "cells");

	for (const struct file_node *n = things != NULL ? things->first : NULL; n != NULL;
	     n = n->next) {
		g_autofree char *what = g_strdup_printf("cell %s", n->key);
		struct file_map map;

		file_map_open(&map, &r->reader, n, what, "cells");
		if (map.node != NULL)
			read_cell(r, &map, n->key);
		file_map_close(&map);
	}
	if (!file_has(top, "cells"))
		file_missing(top, "cells",
			     "name the cells, each with what is known of it, as in W1: {isotopes: "
			     "unknown}");
	else if (r->c->cells->len < 2 || r->c->cells->len > MOST_CELLS)
		file_wrong(&r->reader, file_key_mark(top, "cells"),
			   "a comparison is of 2 to %d cells", MOST_CELLS);
}

static void read_datum(struct reading *r, struct file_map *top)
{
	const struct file_node *node = file_get(top, "datum");
	struct file_map map;

	if (node == NULL) {
		file_missing(top, "datum",
			     "say against what the values are: {cell, value_uK, source}, or mean");
		return;
	}
	if (node->kind == FILE_SCALAR && strcmp(node->text, "mean") == 0)
		return;
	file_map_open(&map, &r->reader, node, "the datum", "datum");
	if (map.node != NULL) {
		r->c->datum = cell_named(r, &map, "cell");
		file_quantities(&map, datum, G_N_ELEMENTS(datum), r->c);
		r->c->datum_source = keep(r, file_text(&map, "source"));
		if (!file_has(&map, "cell"))
			file_missing(&map, "cell", "name the reference cell");
		if (!file_has(&map, "value_uK"))
			file_missing(
			    &map, "value_uK",
			    "give {value, u}: what the reference cell is above the defined "
			    "temperature, after isotopes and head");
		else if (lab_stated(&r->c->datum_K) && !lab_given(r->c->datum_K.u))
			file_wrong(map.reader, r->c->datum_K.mark,
				   "a reference has an uncertainty, as in value_uK: {value: 0, u: "
				   "20}");
		if (!file_has(&map, "source"))
			file_missing(&map, "source",
				     "say where the value comes from, such as a certificate");
	}
	file_map_close(&map);
}

/* ---- differences ---- */

static void read_depths(struct file_map *map, struct lab_cell_difference *x)
{
	const struct file_node *list = file_list(map, "depth_mm");
	const struct file_node *second = list != NULL && list->n == 2 ? list->first->next : NULL;

	if (list == NULL)
		return;
	if (second == NULL) {
		file_wrong(map->reader, list->mark,
			   "depth_mm is two depths of the middle of the element, in a and in b");
		return;
	}
	x->depth_m[0] = file_node_quantity(map->reader, list->first, &depth_of);
	x->depth_m[1] = file_node_quantity(map->reader, second, &depth_of);
}

static void read_turn(struct reading *r, const struct file_node *node,
		      struct lab_cell_difference *x)
{
	struct lab_turn turn = { 0 };
	struct file_map map;

	file_map_open(&map, &r->reader, node, "a reading", "readings");
	if (map.node != NULL) {
		const int of = cell_named(r, &map, "cell");

		turn.time_s = 60.0 * file_number(&map, "minutes", &minutes);
		if (file_has(&map, "ohm") == file_has(&map, "uK"))
			file_wrong(&r->reader, map.mark,
				   "a reading has either ohm or uK, at zero current");
		x->by_ohm = x->by_ohm || file_has(&map, "ohm");
		turn.value = file_has(&map, "ohm") ? file_number(&map, "ohm", &ohm)
						   : 1e-6 * file_number(&map, "uK", &microkelvin);
		if (of >= 0 && of != x->a && of != x->b)
			file_wrong(&r->reader, file_key_mark(&map, "cell"),
				   "this reading is in neither of the two cells");
		turn.of_a = of == x->a;
		if (!file_has(&map, "cell"))
			file_missing(&map, "cell", "say in which of the two cells it was");
		if (!file_has(&map, "minutes"))
			file_missing(&map, "minutes", "say when, in minutes from any start");
	}
	file_map_close(&map);
	if (x->turns->len > 0 &&
	    turn.time_s < LAB_AT(x->turns, lab_turn, x->turns->len - 1)->time_s)
		file_wrong(&r->reader, node->mark,
			   "this reading is before the one above it; they stand in the order of "
			   "time");
	g_array_append_val(x->turns, turn);
}

static void read_turns(struct reading *r, struct file_map *map, struct lab_cell_difference *x)
{
	const struct file_node *list = file_list(map, "readings");

	if (list != NULL && list->n > MOST_TURNS) {
		file_wrong(&r->reader, list->mark, "there are more than %d readings; take means",
			   MOST_TURNS);
		return;
	}
	for (const struct file_node *n = list != NULL ? list->first : NULL; n != NULL; n = n->next)
		read_turn(r, n, x);
	x->order = (double)file_whole(map, "drift_order", 0, MOST_ORDER, 1);
	x->u_turn = x->by_ohm ? file_number(map, "u_ohm", &small_u)
			      : 1e-6 * file_number(map, "u_uK", &small_u);
	if (list != NULL && !file_has(map, x->by_ohm ? "u_ohm" : "u_uK"))
		file_missing(map, x->by_ohm ? "u_ohm" : "u_uK",
			     "give the standard uncertainty that each reading has for itself");
}

static void read_difference(struct reading *r, struct file_map *map)
{
	struct lab_cell_difference x = { .mark = map->mark,
					 .K = none,
					 .depth_m = { none, none },
					 .u_turn = LAB_NOT_GIVEN,
					 .turns =
					     g_array_new(FALSE, TRUE, sizeof(struct lab_turn)) };

	x.a = cell_named(r, map, "a");
	x.b = cell_named(r, map, "b");
	x.day = day_of(map, "date");
	file_quantities(map, difference, G_N_ELEMENTS(difference), &x);
	read_depths(map, &x);
	if (file_has(map, "readings"))
		read_turns(r, map, &x);
	if (!file_has(map, "a") || !file_has(map, "b"))
		file_missing(map, file_has(map, "a") ? "b" : "a", "name both cells; it is a - b");
	if (x.a >= 0 && x.a == x.b)
		file_wrong(map->reader, map->mark, "a and b are one cell");
	if (!file_has(map, "date"))
		file_missing(map, "date", "say when, as in 2031-03-04");
	if (file_has(map, "uK") == file_has(map, "readings"))
		file_wrong(map->reader, map->mark,
			   "a comparison has either uK, the difference a - b, or the readings of a "
			   "design");
	if (lab_stated(&x.K) && !(x.K.u > 0.0))
		file_wrong(map->reader, x.K.mark,
			   "a difference needs its u, as in uK: {value: -35, u: 12}");
	g_array_append_val(r->c->differences, x);
}

static void read_differences(struct reading *r, struct file_map *top)
{
	const struct file_node *list = file_list(top, "differences");

	if (list != NULL && list->n > MOST_DIFFERENCES) {
		file_wrong(&r->reader, list->mark, "there are more than %d comparisons",
			   MOST_DIFFERENCES);
		return;
	}
	for (const struct file_node *n = list != NULL ? list->first : NULL; n != NULL;
	     n = n->next) {
		struct file_map map;

		file_map_open(&map, &r->reader, n, "a comparison", "differences");
		if (map.node != NULL)
			read_difference(r, &map);
		file_map_close(&map);
	}
	if (!file_has(top, "differences"))
		file_missing(top, "differences", "give date, a, b and uK of each comparison");
}

static void read_report(struct reading *r, struct file_map *top)
{
	static const char *const papers[] = { "A4", "Letter", NULL };
	struct lab_cell_paper *p = &r->c->report;
	const struct {
		const char *key;
		char **to;
	} texts[] = {
		{ "laboratory", &p->laboratory },
		{ "address", &p->address },
		{ "place", &p->place },
		{ "customer", &p->customer },
		{ "item", &p->item },
		{ "customer_address", &p->customer_address },
		{ "method", &p->method },
		{ "conditions", &p->conditions },
		{ "measured_by", &p->measured_by },
		{ "checked_by", &p->checked_by },
	};
	const struct file_node *node = file_get(top, "report");
	struct file_map map;

	if (node == NULL)
		return;
	file_map_open(&map, &r->reader, node, "the report", "report");
	if (map.node != NULL) {
		const int paper = file_choice(&map, "paper", papers);

		p->given = true;
		p->mark = map.mark;
		p->cell = cell_named(r, &map, "cell");
		p->paper = paper < 0 ? NULL : papers[paper];
		for (size_t i = 0; i < G_N_ELEMENTS(texts); i++)
			*texts[i].to = keep(r, file_text(&map, texts[i].key));
		if (!file_has(&map, "cell"))
			file_missing(&map, "cell", "name the cell that the certificate is of");
	}
	file_map_close(&map);
}

static void read_file(struct reading *r, const struct file_node *root)
{
	struct file_map top;

	file_map_open(&top, &r->reader, root, "the file", "");
	if (file_kind_is(&top, FILE_CELL_COMPARISON, "differences")) {
		const int point = file_choice(&top, "point", points);

		r->c->title = keep(r, file_text(&top, "title"));
		r->c->point = point < 0 ? LAB_NO_POINT : lab_point_named(points[point]);
		r->c->at_day = day_of(&top, "at");
		r->c->r_tpw_ohm = file_number(&top, "r_tpw_ohm", &ohm);
		if (!file_has(&top, "point"))
			file_missing(&top, "point",
				     "say which fixed point the cells hold, as in point: H2O");
		read_cells(r, &top);
		read_datum(r, &top);
		read_differences(r, &top);
		read_report(r, &top);
	} else {
		top.node = NULL; /* of another kind: its keys are no mistakes */
	}
	file_map_close(&top);
}

lab_cell_comparison *file_read_cell_comparison(const char *path, base_messages *messages)
{
	g_autoptr(GBytes) bytes = file_yaml_bytes(path, messages);

	return bytes == NULL ? NULL : file_parse_cell_comparison(path, bytes, messages);
}

lab_cell_comparison *file_parse_cell_comparison(const char *path, GBytes *bytes,
						base_messages *messages)
{
	const size_t errors =
	    base_messages_count(messages, BASE_ERROR) + base_messages_count(messages, BASE_FAILURE);
	g_autoptr(lab_cell_comparison) comparison = lab_cell_comparison_new();
	g_autoptr(file_yaml) yaml = file_yaml_parse(path, bytes, messages);
	struct reading r = { .reader = { .file = path, .messages = messages }, .c = comparison };
	gsize n;
	const void *data = g_bytes_get_data(bytes, &n);
	g_autofree char *sha256 = base_sha256(data, n);

	if (yaml == NULL)
		return NULL;
	comparison->path = keep(&r, path);
	comparison->sha256 = keep(&r, sha256);
	read_file(&r, file_yaml_root(yaml));
	base_messages_sort(messages);
	return base_messages_count(messages, BASE_ERROR) +
			   base_messages_count(messages, BASE_FAILURE) ==
		       errors
		   ? g_steal_pointer(&comparison)
		   : NULL;
}
