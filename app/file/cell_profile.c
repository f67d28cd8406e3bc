/* profile: readings at heights above the deepest position */
#include "app/file/cell_parts.h"
#include "app/lab/cell_records.h"

#include <string.h>

#define MOST_READINGS 100

#define PROFILE(member) offsetof(struct lab_profile, member)
#define READING(member) offsetof(struct lab_profile_reading, member)

static const struct file_range height = { 0.0, 1000.0, false, false,
					  "a height above the deepest position is in millimetres, "
					  "0 to 1000" };
static const struct file_range limit = { 0.0, 1e5, true, false,
					 "a limit is in microkelvin, above 0 and at most 100000" };
static const struct file_range decay = { 1.0, 200.0, false, false,
					 "a length of decay is in millimetres, 1 to 200" };
static const struct file_range mK = {
	-1e4, 1e4, false, false, "a reading is in millikelvin from any one value, within 10000"
};
static const struct file_range ohm = { 0.0, 1e6, true, false,
				       "a resistance is in ohm, above 0 and at most 1000000" };
static const struct file_range small_u = { 0.0, 1e6, true, false,
					   "the standard uncertainty of one reading is above 0" };

static const struct file_quantity_field profile[] = {
	{ "zone_mm", PROFILE(zone_m), &height, 1e-3 },
	{ "limit_uK", PROFILE(limit_K), &limit, 1e-6 },
	{ "decay_mm", PROFILE(decay_m), &decay, 1e-3 },
};
static const struct file_number_field numbers[] = {
	{ "u_uK", PROFILE(u_K), &small_u, 1e-6, NULL },
	{ "u_ohm", PROFILE(u_ohm), &small_u, 0.0, NULL },
	{ "r_tpw_ohm", PROFILE(r_tpw_ohm), &ohm, 0.0, NULL },
};
static const struct file_quantity_field reading[] = {
	{ "mK", READING(K), &mK, 1e-3 },
};

static const char *const ways[] = { "withdrawing", "inserting", NULL };

static const struct file_range milliampere = { 1e-6, 1000.0, false, false,
					       "a current is in milliampere, 0.000001 to 1000" };

/* Two numbers under a key, each times a factor; untouched where the key is absent or wrong. */
static void read_two(struct file_map *map, const char *key, const struct file_range *range,
		     double factor, const char *what, double ret[2])
{
	const struct file_node *list = file_list(map, key);
	const struct file_node *second = list != NULL && list->n == 2 ? list->first->next : NULL;

	if (list == NULL)
		return;
	if (second == NULL) {
		file_wrong(map->reader, list->mark, "%s is %s", key, what);
		return;
	}
	ret[0] = factor * file_node_number(map->reader, list->first, key, range);
	ret[1] = factor * file_node_number(map->reader, second, key, range);
}

static void read_reading(struct file_cell *f, struct file_map *map)
{
	struct lab_profile *p = &f->study->records->profile;
	struct lab_profile_reading x = { .mark = map->mark,
					 .K = { LAB_NOT_GIVEN, LAB_NOT_GIVEN, { 0, 0 } },
					 .ohm = { LAB_NOT_GIVEN, LAB_NOT_GIVEN } };

	x.height_m = 1e-3 * file_number(map, "height_mm", &height);
	file_quantities(map, reading, G_N_ELEMENTS(reading), &x);
	read_two(map, "ohm", &ohm, 1.0,
		 "two resistances, at the smaller and the larger current, as in [25.5012340, "
		 "25.5012650]",
		 x.ohm);
	if (!file_has(map, "height_mm"))
		file_missing(map, "height_mm",
			     "give the height above the deepest position, which is at 0");
	if (file_has(map, "mK") == file_has(map, "ohm"))
		file_wrong(map->reader, map->mark,
			   "a reading has either mK, at zero current, or ohm, at both currents");
	for (guint i = 0; i < p->readings->len; i++)
		if (LAB_AT(p->readings, lab_profile_reading, i)->height_m == x.height_m)
			file_wrong(map->reader, file_key_mark(map, "height_mm"),
				   "this height stands twice; give the mean of its readings");
	g_array_append_val(p->readings, x);
}

static gint by_height(gconstpointer a, gconstpointer b)
{
	const struct lab_profile_reading *x = a, *y = b;

	return (x->height_m > y->height_m) - (x->height_m < y->height_m);
}

/* All readings of one form, with what turns them into temperatures. */
static void check_form(struct file_map *map, const struct lab_profile *p)
{
	bool by_ohm = false, by_mK = false;

	for (guint i = 0; i < p->readings->len; i++) {
		const struct lab_profile_reading *x = LAB_AT(p->readings, lab_profile_reading, i);

		by_ohm = by_ohm || lab_given(x->ohm[0]);
		by_mK = by_mK || lab_stated(&x->K);
	}
	if (by_ohm && by_mK)
		file_wrong(map->reader, map->mark,
			   "some readings are in mK, others in ohm; give all of them alike");
	if (by_mK && !file_has(map, "u_uK"))
		file_missing(map, "u_uK",
			     "give the standard uncertainty that each reading has for itself");
	if (by_ohm && !file_has(map, "u_ohm"))
		file_missing(map, "u_ohm",
			     "give the standard uncertainty that each resistance has for itself");
}

static void read_profile(struct file_cell *f, struct file_map *map)
{
	struct lab_profile *p = &f->study->records->profile;

	p->given = true;
	p->mark = map->mark;
	p->inserting = file_choice(map, "while", ways);
	file_quantities(map, profile, G_N_ELEMENTS(profile), p);
	file_numbers(map, numbers, G_N_ELEMENTS(numbers), p);
	read_two(map, "currents_mA", &milliampere, 1e-3,
		 "two currents, the smaller first, as in [1, 1.41421]", p->currents_A);
	p->limit_source = lab_cell_study_text(f->study, file_text(map, "limit_source"));
	file_cell_each(f, map, "readings", "a reading", MOST_READINGS, read_reading);
	g_array_sort(p->readings, by_height);
	if (lab_stated(&p->decay_m) && !(p->decay_m.u > 0.0))
		file_wrong(map->reader, p->decay_m.mark,
			   "decay_mm needs its u, as in {value: 12, u: 3}: it is an observation "
			   "beside the readings");
	if (!file_has(map, "readings"))
		file_missing(map, "readings", "give height_mm and mK, or ohm, of each");
	check_form(map, p);
}

void file_cell_profile(struct file_cell *f, struct file_map *top)
{
	file_cell_section(f, top, "profile", "the profile", read_profile);
}
