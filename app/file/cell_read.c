/* What the sections of a cell's file share: quantities with u, times, lists, rows. */
#include "app/file/cell_parts.h"

#include "app/base/time.h"
#include "app/file/text.h"

#include <math.h>
#include <string.h>

#define MOST_ROWS 10000

const struct file_range file_cell_mm = { 0.0, 3000.0, true, false,
					 "a length is in millimetres, above 0 and at most 3000" };
const struct file_range file_cell_ice_mm = { 0.0, 100.0, false, false,
					     "a thickness of ice is in millimetres, 0 to 100" };
const struct file_range file_cell_t_C = { -200.0, 1100.0, false, false,
					  "a temperature is in degrees Celsius, -200 to 1100" };

static double factor_of(const struct file_quantity_field *field)
{
	return field->factor != 0.0 ? field->factor : 1.0;
}

struct lab_quantity file_node_quantity(const struct file_reader *reader,
				       const struct file_node *node,
				       const struct file_quantity_field *field)
{
	struct lab_quantity q = { LAB_NOT_GIVEN, LAB_NOT_GIVEN, node->mark };
	struct file_map map;

	if (node->kind != FILE_MAPPING) {
		q.value =
		    factor_of(field) * file_node_number(reader, node, field->key, field->range);
		return q;
	}
	file_map_open(&map, reader, node, field->key, field->key);
	q.value = factor_of(field) * file_number(&map, "value", field->range);
	q.u = factor_of(field) * file_number(&map, "u", &file_uncertainty);
	if (!file_has(&map, "value"))
		file_missing(&map, "value", "a quantity is a number, or {value: 7.5, u: 0.05}");
	file_map_close(&map);
	return q;
}

void file_quantities(struct file_map *map, const struct file_quantity_field *fields, size_t n,
		     void *record)
{
	for (size_t i = 0; i < n; i++) {
		const struct file_node *node = file_get(map, fields[i].key);
		struct lab_quantity *to =
		    (struct lab_quantity *)(void *)((char *)record + fields[i].offset);

		if (node != NULL)
			*to = file_node_quantity(map->reader, node, &fields[i]);
	}
}

bool file_cell_section(struct file_cell *f, struct file_map *top, const char *key, const char *what,
		       void (*read)(struct file_cell *, struct file_map *))
{
	const struct file_node *node = file_get(top, key);
	struct file_map map;

	if (node == NULL)
		return false;
	file_map_open(&map, &f->reader, node, what, key);
	if (map.node != NULL)
		read(f, &map);
	file_map_close(&map);
	return true;
}

void file_cell_each(struct file_cell *f, struct file_map *map, const char *key, const char *what,
		    size_t most, void (*read)(struct file_cell *, struct file_map *))
{
	const struct file_node *list = file_list(map, key);

	if (list != NULL && list->n > most) {
		file_wrong(&f->reader, list->mark,
			   "%s holds %" G_GSIZE_FORMAT
			   " entries; there are at most %" G_GSIZE_FORMAT ": leave the oldest out",
			   key, list->n, most);
		return;
	}
	for (const struct file_node *n = list != NULL ? list->first : NULL; n != NULL;
	     n = n->next) {
		struct file_map one;

		file_map_open(&one, &f->reader, n, what, key);
		if (one.node != NULL)
			read(f, &one);
		file_map_close(&one);
	}
}

int64_t file_cell_time(struct file_map *map, const char *key)
{
	const struct file_node *node = file_get(map, key);
	const char *text = node == NULL ? NULL : file_node_text(map->reader, node, key);
	int64_t us = BASE_NO_TIME;
	const char *fault;

	if (text == NULL)
		return BASE_NO_TIME;
	fault = base_time_parse(text, strlen(text), &us);
	if (fault == NULL)
		return us;
	g_autofree char *shown = file_quote(text);
	file_wrong(map->reader, node->mark, "%s is %s and %s", key, shown, fault);
	return BASE_NO_TIME;
}

static const struct file_range minutes = {
	0.0, 1e6, false, false, "a time of a row is in minutes from the start, 0 to 1000000"
};

static bool read_row(const struct file_reader *reader, const struct file_node *n,
		     const struct file_quantity_field *value, struct lab_record_row *ret)
{
	if (n->kind != FILE_LIST || n->n != 2) {
		file_wrong(reader, n->mark, "a row is two numbers, as in [30, 8.5]: minutes and %s",
			   value->key);
		return false;
	}
	ret->mark = n->mark;
	ret->time_s = 60.0 * file_node_number(reader, n->first, "the time", &minutes);
	ret->value =
	    factor_of(value) * file_node_number(reader, n->first->next, value->key, value->range);
	return lab_given(ret->time_s) && lab_given(ret->value);
}

void file_cell_rows(struct file_map *map, const char *key, const struct file_quantity_field *value,
		    GArray *ret)
{
	const struct file_node *list = file_list(map, key);
	double last_s = -1.0;

	if (list != NULL && list->n > MOST_ROWS) {
		file_wrong(map->reader, list->mark,
			   "%s holds %" G_GSIZE_FORMAT " rows; there are at most %d: take fewer",
			   key, list->n, MOST_ROWS);
		return;
	}
	for (const struct file_node *n = list != NULL ? list->first : NULL; n != NULL;
	     n = n->next) {
		struct lab_record_row row;

		if (!read_row(map->reader, n, value, &row))
			continue;
		if (!(row.time_s > last_s))
			file_wrong(map->reader, n->mark,
				   "the time of this row is not after that of the row before; rows "
				   "stand in the order of time");
		last_s = row.time_s;
		g_array_append_val(ret, row);
	}
}

const char *file_cell_word(struct file_map *map, const char *key, const char *const *words)
{
	const int i = file_choice(map, key, words);

	return i < 0 ? NULL : words[i];
}

void file_cell_check_widths(struct file_map *map, const char *inner_key,
			    const struct lab_quantity *inner, const struct lab_quantity *outer,
			    const char *outer_key)
{
	if (lab_stated(inner) && lab_stated(outer) && inner->value >= outer->value)
		file_wrong(map->reader, inner->mark,
			   "%s is not below %s; a tube is wider outside than inside", inner_key,
			   outer_key);
}
