/* plateau: a freezing or melting curve, its furnace and what the sample holds */
#include "app/file/cell_content.h"
#include "app/file/cell_series.h"

#define PLATEAU(member)  offsetof(struct lab_plateau, member)
#define COUPLING(member) offsetof(struct lab_coupling, member)
#define MOST_TESTED      10000

static const struct file_range seconds = { 0.0, 1e8, false, false,
					   "a time is in seconds, 0 to 100000000" };
static const struct file_range window = { 0.0, 1e6, true, false,
					  "a window is in seconds, above 0 and at most 1000000" };
static const struct file_range rise = { 0.0, 1e5, true, false,
					"a rise is in millikelvin, above 0 and at most 100000" };
static const struct file_range part = { 0.0, 1.0, false, false,
					"a part of the sample is 0 to 1: half of it is 0.5" };
static const struct file_range heat = { 0.0, 1e5, true, false,
					"a heat is in kilojoule, above 0 and at most 100000" };
static const struct file_range pressure = { 0.0, 1e6, false, false,
					    "a pressure is absolute and in pascal, 0 to 1000000 "
					    "(one atmosphere is 101325)" };
static const struct file_range depth = { 0.0, 1000.0, false, false,
					 "a depth is in millimetres, 0 to 1000" };
static const struct file_range load = { -1e6, 1e6, false, false,
					"a heat load is in microwatt, within 1000000" };
static const struct file_range resistance = {
	0.0, 1e4, false, false, "a thermal resistance is in kelvin per watt, 0 to 10000"
};
static const struct file_range minutes = { 0.0, 1e5, true, false,
					   "a period is in minutes, above 0 and at most 100000" };
static const struct file_range offset = { -100.0, 100.0, false, false,
					  "an offset of the furnace is in kelvin, within 100" };
static const struct file_range tested = { -1e5, 1e5, false, false,
					  "a reading of a test is in millikelvin, within 100000" };

static const struct file_quantity_field plateau[] = {
	{ "window_s", PLATEAU(window_s), &window, 0.0 },
	{ "rise_mK", PLATEAU(rise_K), &rise, 1e-3 },
	{ "start_s", PLATEAU(start_s), &seconds, 0.0 },
	{ "end_s", PLATEAU(end_s), &seconds, 0.0 },
	{ "at_once", PLATEAU(at_once), &part, 0.0 },
	{ "heat_kJ", PLATEAU(heat_J), &heat, 1e3 },
	{ "pressure_Pa", PLATEAU(pressure_Pa), &pressure, 0.0 },
	{ "depth_mm", PLATEAU(depth_m), &depth, 1e-3 },
	{ "load_uW", PLATEAU(load_W), &load, 1e-6 },
	{ "resistance_K_per_W", PLATEAU(resistance_K_per_W), &resistance, 0.0 },
};
static const struct file_quantity_field coupling[] = {
	{ "period_min", COUPLING(period_s), &minutes, 60.0 },
	{ "furnace_K", COUPLING(furnace_K), &offset, 0.0 },
};

static const char *const ways[] = { "freeze", "melt", NULL };
static const char *const ends[] = { "inflection", "scatter", "power", NULL };

static void scale_column(GArray *rows, size_t columns, size_t column, double factor)
{
	for (size_t i = column; i < rows->len; i += columns)
		g_array_index(rows, double, i) *= factor;
}

static void read_coupling(struct file_cell *f, struct file_map *map)
{
	static const char *const columns[] = { "time_s", "cell_mK", "furnace_mK" };
	struct lab_coupling *c = &f->study->records->plateau.coupling;

	c->given = true;
	c->mark = map->mark;
	file_quantities(map, coupling, G_N_ELEMENTS(coupling), c);
	file_cell_series(map, "readings", columns, LAB_SWING_COLUMNS, LAB_SWING_COLUMNS, c->rows);
	scale_column(c->rows, LAB_SWING_COLUMNS, LAB_SWING_CELL, 1e-3);
	scale_column(c->rows, LAB_SWING_COLUMNS, LAB_SWING_FURNACE, 1e-3);
	if (!file_has(map, "period_min"))
		file_missing(map, "period_min",
			     "say with which period the furnace was made to oscillate");
	if (!file_has(map, "readings"))
		file_missing(map, "readings",
			     "name a CSV file with the columns time_s, cell_mK and furnace_mK");
}

/* A list of readings of a furnace test. */
static void read_test(struct file_map *map, const char *key, GArray *ret)
{
	const struct file_node *list = file_list(map, key);

	if (list == NULL)
		return;
	if (list->n < 2 || list->n > MOST_TESTED) {
		file_wrong(map->reader, list->mark, "%s is a list of 2 to %d readings", key,
			   MOST_TESTED);
		return;
	}
	for (const struct file_node *n = list->first; n != NULL; n = n->next) {
		const double K = 1e-3 * file_node_number(map->reader, n, key, &tested);

		g_array_append_val(ret, K);
	}
}

static void read_range(struct file_map *map, struct lab_plateau *p)
{
	const struct file_node *list = file_list(map, "fit");
	const struct file_node *second = list != NULL && list->n == 2 ? list->first->next : NULL;

	if (list == NULL)
		return;
	if (second == NULL) {
		file_wrong(map->reader, list->mark,
			   "fit is two parts of the sample, as in [0.1, 0.5]");
		return;
	}
	p->from_part = file_node_number(map->reader, list->first, "fit", &part);
	p->to_part = file_node_number(map->reader, second, "fit", &part);
	if (p->to_part <= p->from_part)
		file_wrong(map->reader, list->mark,
			   "fit ends before it begins; its parts rise, as in [0.1, 0.5]");
}

static void read_plateau(struct file_cell *f, struct file_map *map)
{
	static const char *const columns[] = { "time_s", "mK", "power_W" };
	struct lab_plateau *p = &f->study->records->plateau;

	p->given = true;
	p->mark = map->mark;
	p->way = (enum lab_plateau_way)(file_choice(map, "way", ways) + 1);
	file_cell_series(map, "readings", columns, LAB_PLATEAU_COLUMNS, 2, p->rows);
	scale_column(p->rows, LAB_PLATEAU_COLUMNS, LAB_ROW_K, 1e-3);
	file_quantities(map, plateau, G_N_ELEMENTS(plateau), p);
	p->end = (enum lab_plateau_end)(file_choice(map, "end", ends) + 1);
	p->inner = lab_cell_study_text(f->study, file_text(map, "inner"));
	read_range(map, p);
	read_test(map, "stability_mK", p->stability_K);
	read_test(map, "vertical_mK", p->vertical_K);
	file_cell_section(f, map, "coupling", "the coupling", read_coupling);
	file_cell_content(f, map, &p->content);
	p->slope_term = file_boolean(map, "slope_term", false);
	file_cell_terms(f, map, p->terms);
	if (!file_has(map, "way"))
		file_missing(map, "way", "say whether it is a freeze or a melt");
	if (!file_has(map, "readings"))
		file_missing(map, "readings",
			     "name a CSV file with the columns time_s, mK, and power_W where the "
			     "power was recorded");
	if (file_has(map, "end_s"))
		file_refuse(map, "end", "says how the end is to be found, and end_s states it");
	if (file_has(map, "load_uW") != file_has(map, "resistance_K_per_W"))
		file_wrong(map->reader, map->mark,
			   "a static error needs both load_uW and resistance_K_per_W");
	if (lab_stated(&p->start_s) && lab_stated(&p->end_s) && p->end_s.value <= p->start_s.value)
		file_wrong(map->reader, p->end_s.mark, "end_s is not after start_s");
}

void file_cell_plateau(struct file_cell *f, struct file_map *top)
{
	file_cell_section(f, top, "plateau", "the plateau", read_plateau);
}
