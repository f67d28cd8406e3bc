/* cell: well, envelope, what is in it; and an ice bath, which has neither */
#include "app/file/cell_parts.h"

#define FIELD(member) offsetof(struct lab_cell_body, member)

static const struct file_range mass = { 0.0, 1e5, true, false,
					"a mass is in gram, above 0 and at most 100000" };
static const struct file_range below = {
	0.0, 500.0, false, false, "it is the depth below the well's bottom in millimetres, 0 to 500"
};
static const struct file_range dD = { -0.5, 0.5, false, false,
				      "a delta value is a fraction: -58.3 per mille is -0.0583" };
static const struct file_range d18O = { -0.1, 0.1, false, false,
					"a delta value is a fraction: -8.1 per mille is -0.0081" };

static const char *const points[] = { "H2O", "Ga", "In", "Sn", "Zn",   "Al",  "Ag",
				      "Hg",  "Ar", "O2", "Ne", "e-H2", "ice", NULL };

static const struct file_quantity_field well[] = {
	{ "bore_mm", FIELD(well.bore_m), &file_cell_mm, 1e-3 },
	{ "wall_mm", FIELD(well.wall_m), &file_cell_mm, 1e-3 },
	{ "depth_mm", FIELD(well.depth_m), &file_cell_mm, 1e-3 },
};
static const struct file_quantity_field envelope[] = {
	{ "bore_mm", FIELD(envelope.bore_m), &file_cell_mm, 1e-3 },
	{ "wall_mm", FIELD(envelope.wall_m), &file_cell_mm, 1e-3 },
};
static const struct file_quantity_field isotopes[] = {
	{ "dD", FIELD(dD), &dD, 0.0 },
	{ "d18O", FIELD(d18O), &d18O, 0.0 },
	{ "d17O", FIELD(d17O), &d18O, 0.0 },
};
static const struct file_quantity_field whole[] = {
	{ "level_mm", FIELD(level_m), &file_cell_mm, 1e-3 },
	{ "below_mm", FIELD(below_m), &below, 1e-3 },
	{ "water_g", FIELD(water_kg), &mass, 1e-3 },
	{ "glass_g", FIELD(glass_kg), &mass, 1e-3 },
};

static void read_well(struct file_cell *f, struct file_map *map)
{
	struct lab_cell_body *c = &f->study->cell;

	c->well.material = file_cell_word(map, "material", lab_solid_materials);
	file_quantities(map, well, G_N_ELEMENTS(well), c);
	if (!file_has(map, "material"))
		file_missing(map, "material", "say what it is of, as in material: borosilicate");
	if (!file_has(map, "bore_mm"))
		file_missing(map, "bore_mm", "give the inner diameter of the well");
	if (!file_has(map, "wall_mm"))
		file_missing(map, "wall_mm", "give the thickness of its wall");
}

static void read_envelope(struct file_cell *f, struct file_map *map)
{
	struct lab_cell_body *c = &f->study->cell;

	c->envelope.material = file_cell_word(map, "material", lab_solid_materials);
	file_quantities(map, envelope, G_N_ELEMENTS(envelope), c);
	if (!file_has(map, "bore_mm"))
		file_missing(map, "bore_mm", "give the inner diameter of the envelope");
}

static void read_isotopes(struct file_cell *f, struct file_map *map)
{
	file_quantities(map, isotopes, G_N_ELEMENTS(isotopes), &f->study->cell);
	if (!file_has(map, "dD"))
		file_missing(map, "dD", "give both dD and d18O, as fractions");
	if (!file_has(map, "d18O"))
		file_missing(map, "d18O", "give both dD and d18O, as fractions");
}

static void read_point(struct file_cell *f, struct file_map *map)
{
	struct lab_cell_body *c = &f->study->cell;
	const int i = file_choice(map, "point", points);

	if (!file_has(map, "point"))
		file_missing(map, "point",
			     "say which fixed point it holds, as in point: H2O, or point: ice for "
			     "an ice bath");
	if (i < 0)
		return;
	c->point = lab_point_named(points[i]);
	c->medium = c->point == LAB_NO_POINT ? LAB_ICE_BATH
		    : c->point == LAB_H2O    ? LAB_TRIPLE_POINT_CELL
					     : LAB_METAL_CELL;
	c->triple = file_boolean(map, "triple", false);
	if (c->point != LAB_GA)
		file_refuse(map, "triple",
			    "is said of gallium cells only; every other point is what the scale "
			    "defines");
}

/* The envelope stands around the well, with room for water. */
static void check_room(struct file_map *map, const struct lab_cell_body *c)
{
	if (lab_stated(&c->envelope.bore_m) && lab_stated(&c->well.bore_m) &&
	    lab_stated(&c->well.wall_m) &&
	    c->envelope.bore_m.value <= c->well.bore_m.value + 2 * c->well.wall_m.value)
		file_wrong(map->reader, c->envelope.bore_m.mark,
			   "bore_mm of the envelope leaves no room around the well; it is wider "
			   "than the well's bore and both its walls");
	if (lab_stated(&c->level_m) && lab_stated(&c->well.depth_m) &&
	    c->level_m.value > c->well.depth_m.value)
		file_wrong(map->reader, c->level_m.mark,
			   "level_mm is above the mouth of the well; it is counted from the well's "
			   "bottom and at most depth_mm");
}

static void read_body(struct file_cell *f, struct file_map *map)
{
	struct lab_cell_body *c = &f->study->cell;

	c->given = true;
	c->mark = map->mark;
	c->id = lab_cell_study_text(f->study, file_name(map, "id"));
	read_point(f, map);
	file_quantities(map, whole, G_N_ELEMENTS(whole), c);
	if (c->medium == LAB_ICE_BATH) {
		file_refuse(map, "well", "is of no use here: an ice bath has none");
		file_refuse(map, "envelope", "is of no use here: an ice bath has none");
	} else {
		if (!file_cell_section(f, map, "well", "the well", read_well))
			file_missing(map, "well", "give well: {material, bore_mm, wall_mm}");
		file_cell_section(f, map, "envelope", "the envelope", read_envelope);
	}
	if (c->medium == LAB_TRIPLE_POINT_CELL)
		file_cell_section(f, map, "isotopes", "isotopes", read_isotopes);
	else
		file_refuse(map, "isotopes", "are those of a water cell");
	if (!file_has(map, "level_mm"))
		file_missing(map, "level_mm",
			     c->medium == LAB_ICE_BATH
				 ? "give the depth from the surface of the ice to the tip"
				 : "give the height of the surface above the well's bottom");
	check_room(map, c);
}

void file_cell_body(struct file_cell *f, struct file_map *top)
{
	file_cell_section(f, top, "cell", "the cell", read_body);
}
