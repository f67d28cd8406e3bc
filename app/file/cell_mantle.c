/* mantle: when and how it was frozen, and what has happened to it since */
#include "app/file/cell_parts.h"

#include "app/base/time.h"

#define MOST_ENTRIES 10000

#define MANTLE(member) offsetof(struct lab_mantle, member)
#define LOOK(member)   offsetof(struct lab_mantle_look, member)
#define VISIT(member)  offsetof(struct lab_mantle_visit, member)

static const struct file_range heat_capacity = {
	0.0, 1e4, true, false, "a heat capacity is in joule per kelvin, above 0 and at most 10000"
};

static const struct file_quantity_field mantle[] = {
	{ "ice_mm", MANTLE(ice_m), &file_cell_ice_mm, 1e-3 },
};
static const struct file_quantity_field look[] = {
	{ "ice_mm", LOOK(ice_m), &file_cell_ice_mm, 1e-3 },
};
static const struct file_quantity_field visit[] = {
	{ "from_C", VISIT(from_C), &file_cell_t_C, 0.0 },
	{ "heat_capacity_J_per_K", VISIT(heat_capacity_J_per_K), &heat_capacity, 0.0 },
};

static const char *const ways[] = { "dry ice",  "cooled rod",   "heat pipe",
				    "cold gas", "supercooling", NULL };

/* Entries stand in the order of time, from the freezing on. */
static void check_order(struct file_map *map, const struct lab_mantle *m, int64_t time_us,
			int64_t last_us, const char *what)
{
	if (time_us == BASE_NO_TIME)
		return;
	if (m->frozen_us != BASE_NO_TIME && time_us < m->frozen_us)
		file_wrong(map->reader, file_key_mark(map, "time"),
			   "%s is before the mantle was frozen; check both times", what);
	else if (last_us != BASE_NO_TIME && time_us < last_us)
		file_wrong(map->reader, file_key_mark(map, "time"),
			   "%s is before the one above it; entries stand in the order of time",
			   what);
}

static int yes_or_no(struct file_map *map, const char *key)
{
	return file_has(map, key) ? file_boolean(map, key, false) : (file_get(map, key), -1);
}

static void read_look(struct file_cell *f, struct file_map *map)
{
	struct lab_mantle *m = &f->study->mantle;
	const struct lab_quantity none = { LAB_NOT_GIVEN, LAB_NOT_GIVEN, { 0, 0 } };
	struct lab_mantle_look x = { .mark = map->mark, .ice_m = none };

	x.time_us = file_cell_time(map, "time");
	file_quantities(map, look, G_N_ELEMENTS(look), &x);
	x.free = yes_or_no(map, "free");
	x.bridge = yes_or_no(map, "bridge");
	x.note = lab_cell_study_text(f->study, file_text(map, "note"));
	if (!file_has(map, "time"))
		file_missing(map, "time", "say when it was, as in 2031-03-04T09:00:00Z");
	check_order(map, m, x.time_us,
		    m->looks->len == 0
			? BASE_NO_TIME
			: LAB_AT(m->looks, lab_mantle_look, m->looks->len - 1)->time_us,
		    "this look");
	g_array_append_val(m->looks, x);
}

static void read_visit(struct file_cell *f, struct file_map *map)
{
	struct lab_mantle *m = &f->study->mantle;
	const struct lab_quantity none = { LAB_NOT_GIVEN, LAB_NOT_GIVEN, { 0, 0 } };
	struct lab_mantle_visit x = { .mark = map->mark,
				      .from_C = none,
				      .heat_capacity_J_per_K = none };

	x.time_us = file_cell_time(map, "time");
	file_quantities(map, visit, G_N_ELEMENTS(visit), &x);
	if (!file_has(map, "time"))
		file_missing(map, "time", "say when it was, as in 2031-03-04T09:00:00Z");
	if (!file_has(map, "from_C"))
		file_missing(map, "from_C", "say at which temperature it went in");
	check_order(map, m, x.time_us,
		    m->visits->len == 0
			? BASE_NO_TIME
			: LAB_AT(m->visits, lab_mantle_visit, m->visits->len - 1)->time_us,
		    "this insertion");
	g_array_append_val(m->visits, x);
}

static void read_mantle(struct file_cell *f, struct file_map *map)
{
	struct lab_mantle *m = &f->study->mantle;

	m->given = true;
	m->mark = map->mark;
	m->way = (enum lab_freezing)(file_choice(map, "way", ways) + 1);
	m->frozen_us = file_cell_time(map, "frozen");
	m->at_us = file_cell_time(map, "at");
	file_quantities(map, mantle, G_N_ELEMENTS(mantle), m);
	file_cell_each(f, map, "looks", "a look", MOST_ENTRIES, read_look);
	file_cell_each(f, map, "insertions", "an insertion", MOST_ENTRIES, read_visit);
	if (!file_has(map, "frozen"))
		file_missing(map, "frozen", "say when it was frozen, as in 2031-03-04T09:00:00Z");
	if (m->at_us != BASE_NO_TIME && m->frozen_us != BASE_NO_TIME && m->at_us < m->frozen_us)
		file_wrong(&f->reader, file_key_mark(map, "at"),
			   "at is before the mantle was frozen; check both times");
}

void file_cell_mantle(struct file_cell *f, struct file_map *top)
{
	file_cell_section(f, top, "mantle", "the mantle", read_mantle);
}
