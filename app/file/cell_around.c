/* contact: what fills the well; surroundings: what the cell stands in; wanted: of the result */
#include "app/file/cell_parts.h"

#define CONTACT(member) offsetof(struct lab_well_contact, member)
#define AROUND(member)  offsetof(struct lab_surroundings, member)
#define WANTED(member)  offsetof(struct lab_wanted, member)

static const struct file_range pad = { 0.0, 200.0, false, false,
				       "a pad under the tip is 0 to 200 mm thick" };
static const struct file_range melted = { 0.0, 20.0, false, false,
					  "a melted film is in millimetres, 0 to 20" };
static const struct file_range cover = { 0.0, 2000.0, false, false,
					 "it is a length of stem in millimetres, 0 to 2000" };
static const struct file_range offset = {
	-20000.0, 20000.0, false, false,
	"it is the bath's temperature minus the cell's, in millikelvin, -20000 to 20000"
};
static const struct file_range spread = { 0.0, 1000.0, false, false,
					  "a spread is in millikelvin, 0 to 1000" };
static const struct file_range film = {
	0.0, 1e5, true, false, "a film coefficient is in W/(m2 K), above 0 and at most 100000"
};
static const struct file_range u_wanted = {
	0.0, 1e4, true, false, "a standard uncertainty is in millikelvin, above 0 and at most 10000"
};
static const struct file_range within = { 0.0, 1e6, true, false,
					  "it is in microkelvin, above 0 and at most 1000000" };
static const struct file_range days = { 0.0, 10000.0, true, false,
					"it is in days, above 0 and at most 10000" };

static const struct file_quantity_field bushing[] = {
	{ "outer_mm", CONTACT(bushing.outer_m), &file_cell_mm, 1e-3 },
	{ "inner_mm", CONTACT(bushing.inner_m), &file_cell_mm, 1e-3 },
	{ "length_mm", CONTACT(bushing.length_m), &file_cell_mm, 1e-3 },
};
static const struct file_quantity_field contact[] = {
	{ "pad_mm", CONTACT(pad_m), &pad, 1e-3 },
	{ "melted_mm", CONTACT(melted_m), &melted, 1e-3 },
};
static const struct file_quantity_field around[] = {
	{ "ambient_C", AROUND(ambient_C), &file_cell_t_C, 0.0 },
	{ "cover_mm", AROUND(cover_m), &cover, 1e-3 },
	{ "offset_mK", AROUND(offset_K), &offset, 1e-3 },
	{ "film_W_per_m2K", AROUND(film_W_per_m2K), &film, 0.0 },
	{ "spread_mK", AROUND(spread_K), &spread, 1e-3 },
};
static const struct file_quantity_field wanted[] = {
	{ "u_mK", WANTED(u_K), &u_wanted, 1e-3 },
	{ "within_uK", WANTED(within_K), &within, 1e-6 },
	{ "from_C", WANTED(from_C), &file_cell_t_C, 0.0 },
	{ "days", WANTED(days), &days, 0.0 },
};

static const char *const keepings[] = { "crushed ice", "bath", "block", "air", NULL };

static void read_bushing(struct file_cell *f, struct file_map *map)
{
	struct lab_well_contact *c = &f->study->contact;

	c->bushed = true;
	c->bushing.material = file_cell_word(map, "material", lab_solid_materials);
	file_quantities(map, bushing, G_N_ELEMENTS(bushing), c);
	file_cell_check_widths(map, "inner_mm", &c->bushing.inner_m, &c->bushing.outer_m,
			       "outer_mm");
	if (!file_has(map, "material"))
		file_missing(map, "material", "say what it is of, as in material: aluminium");
	if (!file_has(map, "outer_mm"))
		file_missing(map, "outer_mm", "give its outer diameter");
	if (!file_has(map, "inner_mm"))
		file_missing(map, "inner_mm", "give its inner diameter");
}

static void read_contact(struct file_cell *f, struct file_map *map)
{
	struct lab_well_contact *c = &f->study->contact;

	c->fluid = file_cell_word(map, "fluid", lab_well_fluids);
	file_quantities(map, contact, G_N_ELEMENTS(contact), c);
	file_cell_section(f, map, "bushing", "the bushing", read_bushing);
	if (!file_has(map, "fluid"))
		file_missing(map, "fluid", "say what fills the well, as in fluid: water");
}

static void read_surroundings(struct file_cell *f, struct file_map *map)
{
	struct lab_surroundings *s = &f->study->surroundings;

	s->mark = map->mark;
	file_quantities(map, around, G_N_ELEMENTS(around), s);
	s->keeping = (enum lab_keeping)(file_choice(map, "kept_in", keepings) + 1);
	s->cells = (int)file_whole(map, "cells", 1, 1000, 1);
	if (s->keeping == LAB_CRUSHED_ICE || s->keeping == LAB_ROOM_AIR)
		file_refuse(map, "offset_mK",
			    s->keeping == LAB_CRUSHED_ICE
				? "is that of a bath or block; crushed ice is at 0 °C by itself"
				: "is that of a bath or block; air has ambient_C");
}

static void read_wanted(struct file_cell *f, struct file_map *map)
{
	struct lab_wanted *w = &f->study->wanted;

	w->given = true;
	w->mark = map->mark;
	file_quantities(map, wanted, G_N_ELEMENTS(wanted), w);
}

void file_cell_contact(struct file_cell *f, struct file_map *top)
{
	file_cell_section(f, top, "contact", "contact", read_contact);
}

void file_cell_surroundings(struct file_cell *f, struct file_map *top)
{
	file_cell_section(f, top, "surroundings", "surroundings", read_surroundings);
}

void file_cell_wanted(struct file_cell *f, struct file_map *top)
{
	file_cell_section(f, top, "wanted", "wanted", read_wanted);
}
