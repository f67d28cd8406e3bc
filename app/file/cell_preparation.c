/* preparation: how a mantle is to be frozen; settling: the laboratory's own insertions */
#include "app/file/cell_parts.h"

#define MOST_RECORDS 1000

#define PREPARE(member) offsetof(struct lab_preparation, member)
#define SETTLE(member)  offsetof(struct lab_settling, member)

static const struct file_range film = {
	0.0, 1e5, true, false, "a contact coefficient is in W/(m2 K), above 0 and at most 100000"
};
static const struct file_range supercooled = {
	0.0, 40.0, true, false, "a supercooling is in kelvin, above 0 and at most 40"
};
static const struct file_range ice = { 0.0, 100.0, true, false,
				       "a thickness of ice is in millimetres, above 0 and at most "
				       "100" };
static const struct file_range deviation = {
	-1e5, 1e5, false, false, "a reading is in millikelvin from where it ended, -1e5 to 1e5"
};

static const struct file_quantity_field preparation[] = {
	{ "ice_mm", PREPARE(ice_m), &ice, 1e-3 },
	{ "coolant_C", PREPARE(coolant_C), &file_cell_t_C, 0.0 },
	{ "contact_W_per_m2K", PREPARE(contact_W_per_m2K), &film, 0.0 },
	{ "supercooled_K", PREPARE(supercooled_K), &supercooled, 0.0 },
	{ "start_C", PREPARE(start_C), &file_cell_t_C, 0.0 },
};
static const struct file_quantity_field rod[] = {
	{ "outer_mm", PREPARE(rod.outer_m), &file_cell_mm, 1e-3 },
	{ "length_mm", PREPARE(rod.length_m), &file_cell_mm, 1e-3 },
};
static const struct file_quantity_field thickness = { "ice_mm", 0, &file_cell_ice_mm, 1e-3 };
static const struct file_quantity_field reading = { "mK", 0, &deviation, 1e-3 };
static const struct file_quantity_field settling[] = {
	{ "from_C", SETTLE(from_C), &file_cell_t_C, 0.0 },
};

static const char *const ways[] = { "dry ice",  "cooled rod",   "heat pipe",
				    "cold gas", "supercooling", NULL };

static void read_rod(struct file_cell *f, struct file_map *map)
{
	struct lab_preparation *p = &f->study->preparation;

	p->rod.material = file_cell_word(map, "material", lab_solid_materials);
	file_quantities(map, rod, G_N_ELEMENTS(rod), p);
	if (!file_has(map, "material"))
		file_missing(map, "material", "say what it is of, as in material: copper");
	if (!file_has(map, "outer_mm"))
		file_missing(map, "outer_mm", "give its diameter");
	if (!file_has(map, "length_mm"))
		file_missing(map, "length_mm", "give the length that goes into the well");
}

static void read_preparation(struct file_cell *f, struct file_map *map)
{
	struct lab_preparation *p = &f->study->preparation;

	p->given = true;
	p->mark = map->mark;
	p->way = (enum lab_freezing)(file_choice(map, "way", ways) + 1);
	file_quantities(map, preparation, G_N_ELEMENTS(preparation), p);
	file_cell_rows(map, "record", &thickness, p->record);
	if (!file_has(map, "way"))
		file_missing(map, "way", "say how it is to be frozen, as in way: dry ice");
	if (p->way == LAB_COOLED_ROD)
		file_cell_section(f, map, "rod", "the rod", read_rod);
	else
		file_refuse(map, "rod", "belongs to way: cooled rod");
	if (p->way != LAB_SUPERCOOLING)
		file_refuse(map, "supercooled_K", "belongs to way: supercooling");
	else if (!file_has(map, "supercooled_K"))
		file_missing(map, "supercooled_K", "say how far below 0 °C it starts to freeze");
}

static void read_settling(struct file_cell *f, struct file_map *map)
{
	struct lab_settling x = {
		.mark = map->mark,
		.from_C = { LAB_NOT_GIVEN, LAB_NOT_GIVEN, { 0, 0 } },
		.rows = g_array_new(FALSE, TRUE, sizeof(struct lab_record_row)),
	};

	file_quantities(map, settling, G_N_ELEMENTS(settling), &x);
	file_cell_rows(map, "readings", &reading, x.rows);
	if (!file_has(map, "from_C"))
		file_missing(map, "from_C", "say at which temperature it went in");
	if (!file_has(map, "readings"))
		file_missing(map, "readings",
			     "give rows of minutes and millikelvin from where it ended, as in "
			     "[[5, 12], [10, 1.4]]");
	g_array_append_val(f->study->settling, x);
}

void file_cell_preparation(struct file_cell *f, struct file_map *top)
{
	file_cell_section(f, top, "preparation", "the preparation", read_preparation);
}

void file_cell_settling(struct file_cell *f, struct file_map *top)
{
	file_cell_each(f, top, "settling", "an insertion", MOST_RECORDS, read_settling);
}
