/* check: the bubble, the click, an inversion, and what is known of the water */
#include "app/file/cell_content.h"

#define BUBBLE(member)    offsetof(struct lab_bubble, member)
#define INVERSION(member) offsetof(struct lab_inversion, member)
#define CHECK(member)     offsetof(struct lab_cell_checks, member)

static const struct file_range headspace = {
	0.1, 1000.0, false, false, "the room above the water is in millilitres, 0.1 to 1000"
};
static const struct file_range bubble_mm = {
	0.01, 50.0, false, false, "the diameter of a bubble is in millimetres, 0.01 to 50"
};
static const struct file_range plug_mL = {
	1e-6, 100.0, false, false, "the volume of gas in a tube is in millilitres, 1e-6 to 100"
};
static const struct file_range head_mm = { 0.0, 1000.0, false, false,
					   "a depth of water is in millimetres, 0 to 1000" };
static const struct file_range water_C = {
	-5.0, 60.0, false, false, "the water's temperature is in degrees Celsius, -5 to 60"
};
static const struct file_range mK = {
	-1e4, 1e4, false, false, "a reading is in millikelvin from any one value, within 10000"
};
static const struct file_range years = { 0.0, 100.0, false, false, "an age is in years, 0 to 100" };
static const struct file_range rate = { -1000.0, 1000.0, false, false,
					"a drift is in microkelvin per year, within 1000" };

static const struct file_quantity_field bubble[] = {
	{ "headspace_mL", BUBBLE(headspace_m3), &headspace, 1e-6 },
	{ "diameter_mm", BUBBLE(diameter_m), &bubble_mm, 1e-3 },
	{ "plug_mL", BUBBLE(plug_m3), &plug_mL, 1e-6 },
	{ "head_mm", BUBBLE(head_m), &head_mm, 1e-3 },
	{ "water_C", BUBBLE(water_C), &water_C, 0.0 },
	{ "accepted_mm", BUBBLE(accepted_m), &bubble_mm, 1e-3 },
};
static const struct file_quantity_field inversion[] = {
	{ "before_mK", INVERSION(before_K), &mK, 1e-3 },
	{ "after_mK", INVERSION(after_K), &mK, 1e-3 },
};
static const struct file_quantity_field check[] = {
	{ "years", CHECK(years), &years, 0.0 },
	{ "drift_uK_per_year", CHECK(drift_K_per_year), &rate, 1e-6 },
	{ "depth_mm", CHECK(depth_m), &head_mm, 1e-3 },
};

static const char *const clicks[] = { "clear", "dull", NULL };
static const char *const freezes[] = { "hours", "days", NULL };

static void read_bubble(struct file_cell *f, struct file_map *map)
{
	struct lab_bubble *b = &f->study->records->checks.bubble;

	b->given = true;
	b->mark = map->mark;
	file_quantities(map, bubble, G_N_ELEMENTS(bubble), b);
	if (!file_has(map, "headspace_mL"))
		file_missing(map, "headspace_mL",
			     "give the room above the water of the upright cell");
	if (!file_has(map, "head_mm"))
		file_missing(map, "head_mm", "give the depth of water above the bubble");
	if (file_has(map, "diameter_mm") == file_has(map, "plug_mL"))
		file_wrong(
		    map->reader, map->mark,
		    "a bubble test has either diameter_mm, of a round bubble, or plug_mL, of "
		    "gas in a tube");
	if (!file_has(map, "diameter_mm"))
		file_refuse(map, "accepted_mm", "is a limit of diameter_mm");
}

static void read_inversion(struct file_cell *f, struct file_map *map)
{
	struct lab_inversion *x = &f->study->records->checks.inversion;

	x->given = true;
	x->mark = map->mark;
	file_quantities(map, inversion, G_N_ELEMENTS(inversion), x);
	if (file_has(map, "first_film"))
		x->first_film = file_boolean(map, "first_film", false);
	for (size_t i = 0; i < G_N_ELEMENTS(inversion); i++)
		if (!file_has(map, inversion[i].key))
			file_missing(map, inversion[i].key,
				     "give {value, u}, corrected for self-heating");
	if ((lab_stated(&x->before_K) && !lab_given(x->before_K.u)) ||
	    (lab_stated(&x->after_K) && !lab_given(x->after_K.u)))
		file_wrong(map->reader, map->mark,
			   "both readings need their u, as in after_mK: {value: 0.012, u: 0.003}");
}

static int seen(struct file_map *map, const char *key)
{
	return file_has(map, key) ? file_boolean(map, key, false) : (file_get(map, key), -1);
}

/* What is looked at in a cell of glass with water and ice, and nowhere else. */
static void read_water_checks(struct file_cell *f, struct file_map *map)
{
	static const char *const keys[] = { "bubble", "inversion", "click", "free",
					    "drops",  "bridge",    "freeze" };
	struct lab_cell_checks *c = &f->study->records->checks;

	if (f->study->cell.given && f->study->cell.point != LAB_H2O) {
		for (size_t i = 0; i < G_N_ELEMENTS(keys); i++)
			file_refuse(map, keys[i], "belongs to the checks of a water cell");
		return;
	}
	file_cell_section(f, map, "bubble", "the bubble test", read_bubble);
	file_cell_section(f, map, "inversion", "the inversion", read_inversion);
	c->click = (enum lab_click)(file_choice(map, "click", clicks) + 1);
	c->freeze = (enum lab_freeze_time)(file_choice(map, "freeze", freezes) + 1);
	c->free = seen(map, "free");
	c->drops = seen(map, "drops");
	c->bridge = seen(map, "bridge");
}

static void read_check(struct file_cell *f, struct file_map *map)
{
	struct lab_cell_checks *c = &f->study->records->checks;

	c->given = true;
	c->mark = map->mark;
	read_water_checks(f, map);
	file_quantities(map, check, G_N_ELEMENTS(check), c);
	file_cell_content(f, map, &c->content);
	file_cell_terms(f, map, c->terms);
	if (lab_stated(&c->drift_K_per_year) && !lab_given(c->drift_K_per_year.u))
		file_wrong(map->reader, file_key_mark(map, "drift_uK_per_year"),
			   "a drift of the laboratory's own record needs its u, as in {value: -3, "
			   "u: 2}");
	if (lab_stated(&c->drift_K_per_year) && !lab_stated(&c->years))
		file_missing(map, "years", "say how long it drifts, from the last comparison on");
}

void file_cell_check(struct file_cell *f, struct file_map *top)
{
	file_cell_section(f, top, "check", "the check", read_check);
}
