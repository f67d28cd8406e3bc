/* thermometer: what it is made of, and how long its element is */
#include "app/file/cell_parts.h"

#define FIELD(member) offsetof(struct lab_stem, member)

static const struct file_range nominal = { 0.0, 1e5, true, false,
					   "a nominal resistance is in ohm, above 0 and at most "
					   "100000" };
static const struct file_range current = { 0.0, 100.0, true, false,
					   "a current is in milliampere, above 0 and at most 100" };
static const struct file_range from_tip = { 0.0, 500.0, false, false,
					    "it is the distance from the tip to the lower end of "
					    "the element, in millimetres, 0 to 500" };
static const struct file_range inside = {
	0.0, 1000.0, false, false,
	"self-heating within a thermometer is in kelvin per milliwatt, 0 to 1000"
};
static const struct file_range heat_capacity = {
	0.0, 1e4, true, false, "a heat capacity is in joule per kelvin, above 0 and at most 10000"
};

static const char *const sensors[] = { "long stem", "capsule", "high temperature", NULL };

static const struct file_quantity_field sheath[] = {
	{ "outer_mm", FIELD(sheath.outer_m), &file_cell_mm, 1e-3 },
	{ "inner_mm", FIELD(sheath.inner_m), &file_cell_mm, 1e-3 },
	{ "length_mm", FIELD(sheath.length_m), &file_cell_mm, 1e-3 },
};
static const struct file_quantity_field leads[] = {
	{ "diameter_mm", FIELD(leads.diameter_m), &file_cell_mm, 1e-3 },
	{ "circle_mm", FIELD(leads.circle_m), &file_cell_mm, 1e-3 },
};
static const struct file_quantity_field element[] = {
	{ "length_mm", FIELD(element.length_m), &file_cell_mm, 1e-3 },
	{ "from_tip_mm", FIELD(element.from_tip_m), &from_tip, 1e-3 },
	{ "diameter_mm", FIELD(element.diameter_m), &file_cell_mm, 1e-3 },
};
static const struct file_quantity_field whole[] = {
	{ "inside_K_per_mW", FIELD(inside_K_per_W), &inside, 1e3 },
	{ "heat_capacity_J_per_K", FIELD(heat_capacity_J_per_K), &heat_capacity, 0.0 },
};

static void read_sheath(struct file_cell *f, struct file_map *map)
{
	struct lab_stem *t = &f->study->thermometer;

	t->sheath.material = file_cell_word(map, "material", lab_solid_materials);
	file_quantities(map, sheath, G_N_ELEMENTS(sheath), t);
	file_cell_check_widths(map, "inner_mm", &t->sheath.inner_m, &t->sheath.outer_m, "outer_mm");
	if (!file_has(map, "material"))
		file_missing(map, "material", "say what it is of, as in material: fused silica");
	if (!file_has(map, "outer_mm"))
		file_missing(map, "outer_mm", "give its outer diameter");
	if (!file_has(map, "inner_mm"))
		file_missing(map, "inner_mm", "give its inner diameter");
}

static void read_leads(struct file_cell *f, struct file_map *map)
{
	struct lab_stem *t = &f->study->thermometer;

	t->leads.material = file_cell_word(map, "material", lab_solid_materials);
	t->leads.count = (int)file_whole(map, "count", 1, 100, 4);
	file_quantities(map, leads, G_N_ELEMENTS(leads), t);
	if (!file_has(map, "material"))
		file_missing(map, "material", "say what they are of, as in material: platinum");
	if (!file_has(map, "diameter_mm"))
		file_missing(map, "diameter_mm", "give the diameter of one wire");
}

static void read_element(struct file_cell *f, struct file_map *map)
{
	struct lab_stem *t = &f->study->thermometer;

	file_quantities(map, element, G_N_ELEMENTS(element), t);
	t->element.material = file_cell_word(map, "material", lab_solid_materials);
	if (!file_has(map, "length_mm"))
		file_missing(map, "length_mm", "give the length of the winding");
}

static void read_currents(struct file_cell *f, struct file_map *map)
{
	const struct file_node *list = file_list(map, "currents_mA");
	double *to = f->study->thermometer.currents_A;

	if (list == NULL)
		return;
	if (list->n < 1 || list->n > 2) {
		file_wrong(&f->reader, list->mark,
			   "currents_mA holds %" G_GSIZE_FORMAT
			   " numbers; give one or two currents, as in [1, 1.4142]",
			   list->n);
		return;
	}
	for (const struct file_node *n = list->first; n != NULL; n = n->next)
		*to++ = 1e-3 * file_node_number(&f->reader, n, "a current", &current);
}

static void read_thermometer(struct file_cell *f, struct file_map *map)
{
	struct lab_stem *t = &f->study->thermometer;

	t->given = true;
	t->mark = map->mark;
	t->id = lab_cell_study_text(f->study, file_name(map, "id"));
	t->sensor = (enum lab_sensor)(file_choice(map, "sensor", sensors) + 1);
	t->nominal_ohm = file_number(map, "nominal_ohm", &nominal);
	read_currents(f, map);
	if (!file_cell_section(f, map, "sheath", "the sheath", read_sheath))
		file_missing(map, "sheath",
			     "give sheath: {material, outer_mm, inner_mm, length_mm}");
	if (!file_cell_section(f, map, "leads", "the leads", read_leads))
		file_missing(map, "leads", "give leads: {material, count, diameter_mm}");
	if (!file_cell_section(f, map, "element", "the element", read_element))
		file_missing(map, "element", "give element: {length_mm, from_tip_mm}");
	t->filling = file_cell_word(map, "filling", lab_well_fluids);
	file_quantities(map, whole, G_N_ELEMENTS(whole), t);
	if (!file_has(map, "nominal_ohm"))
		file_missing(map, "nominal_ohm",
			     "its self-heating needs it, as in nominal_ohm: 25.5");
}

void file_cell_thermometer(struct file_cell *f, struct file_map *top)
{
	file_cell_section(f, top, "thermometer", "the thermometer", read_thermometer);
}
