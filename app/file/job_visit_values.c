/* The numbers of a visit, and which of them its point has a use for. */
#include "app/file/job_parts.h"

#define FIELD(member) offsetof(struct lab_visit, member)

static const struct file_range depth = {
	0.0, 2.0, false, false,
	"depths count downwards from the surface of the liquid, in "
	"metres, and are 0 to 2"
};
static const struct file_range u_depth = {
	0.0, 1.0, false, false,
	"a standard uncertainty of a depth is in metres, 0 to 1: 2 mm is 0.002"
};
static const struct file_range vapour = { 1e4, 2e5, false, false,
					  "a vapour pressure of hydrogen is in pascal, 10000 to "
					  "200000 (33321 at 17.035 K)" };
static const struct file_range mantle = { -1.0, 0.0, false, false,
					  "a mantle makes its cell colder, so the effect is 0 or "
					  "negative, in millikelvin, down to -1" };

static const struct file_number_field numbers[] = {
	{ "depth_m", FIELD(depth_m), &depth, 0.0, NULL },
	{ "u_depth_m", FIELD(u_depth_m), &u_depth, 0.0, "depth_m" },
	{ "pressure_Pa", FIELD(pressure_Pa), &file_pressure, 0.0, NULL },
	{ "u_pressure_Pa", FIELD(u_pressure_Pa), &file_u_pressure, 0.0, NULL },
	{ "vapour_pressure_Pa", FIELD(vapour_pressure_Pa), &vapour, 0.0, NULL },
	{ "u_vapour_pressure_Pa", FIELD(u_vapour_pressure_Pa), &file_u_pressure, 0.0,
	  "vapour_pressure_Pa" },
	{ "u_mK", FIELD(u_K), &file_u_mK, 1e-3, NULL },
	{ "u_temperature_mK", FIELD(u_temperature_K), &file_u_mK, 1e-3, NULL },
};

static void terms(struct file_job *job, struct file_map *parent, struct lab_visit *visit)
{
	const struct file_node *node = file_get(parent, "terms");
	g_autofree char *path = file_path(parent, "terms");
	struct file_map map;

	if (node == NULL)
		return;
	file_map_open(&map, &job->reader, node, "terms", path);
	for (int t = 0; t < LAB_TERMS; t++) {
		const char *name = lab_term_name((enum lab_term)t);
		const struct file_node *term = file_get(&map, name);
		g_autofree char *term_path = file_path(&map, name);
		struct file_map one;

		if (term == NULL)
			continue;
		file_map_open(&one, &job->reader, term, name, term_path);
		visit->terms[t].u = file_number(&one, "u_mK", &file_u_mK) * 1e-3;
		visit->terms[t].dof = file_dof_of(&one, "u_mK");
		if (one.node != NULL && !file_has(&one, "u_mK") && !file_has(&one, "dof"))
			file_missing(&one, "u_mK", "give its standard uncertainty, 0 included");
		file_map_close(&one);
	}
	file_map_close(&map);
}

static void mantle_age(struct file_job *job, struct file_map *parent, struct lab_visit *visit)
{
	const struct file_node *node = file_get(parent, "mantle_age");
	g_autofree char *path = file_path(parent, "mantle_age");
	struct file_map map;

	if (node == NULL)
		return;
	file_map_open(&map, &job->reader, node, "mantle_age", path);
	visit->mantle_age_K = file_number(&map, "effect_mK", &mantle) * 1e-3;
	visit->u_mantle_age_K = file_number(&map, "u_mK", &file_u_mK) * 1e-3;
	if (map.node != NULL && !file_has(&map, "effect_mK"))
		file_missing(&map, "effect_mK",
			     "give how much the age of the mantle changes the cell, 0 or negative");
	file_map_close(&map);
}

/* A place of measurement has no cell, so nothing of a cell can be said of it. */
static void check_measure(struct file_map *map)
{
	static const char *const of_cells[] = {
		"depth_m",       "u_depth_m",          "pressure_Pa",
		"u_pressure_Pa", "vapour_pressure_Pa", "u_vapour_pressure_Pa",
		"mantle_age"
	};

	for (size_t i = 0; i < G_N_ELEMENTS(of_cells); i++)
		file_refuse(map, of_cells[i],
			    "belongs to a visit to a cell, and this one measures an unknown "
			    "temperature");
	file_refuse(map, "u_mK",
		    "is about the temperature of a cell; for the place of a measurement write "
		    "u_temperature_mK");
}

static void check_gas(struct file_map *map, const struct lab_cell *cell)
{
	const struct file_node *own = file_get(map, "pressure_Pa");

	if (!lab_cell_takes_pressure(cell)) {
		file_refuse(map, "pressure_Pa",
			    "is of no use here: only melting and freezing points depend on the "
			    "pressure of a gas");
		return;
	}
	if (file_has(map, "u_pressure_Pa") && own == NULL && !file_has(map, "pressure_Pa"))
		file_wrong(map->reader, file_key_mark(map, "u_pressure_Pa"),
			   "u_pressure_Pa stands without pressure_Pa; give both or neither");
}

static void check_cell(struct file_map *map, const struct lab_cell *cell)
{
	check_gas(map, cell);
	file_refuse(map, "u_temperature_mK",
		    "belongs to a measured temperature; for a visit to a cell write u_mK");
	if (cell->point != LAB_H2O)
		file_refuse(map, "mantle_age",
			    "is said of visits to the triple point of water only");
	if (cell->point != LAB_E_H2_VAPOUR)
		file_refuse(map, "vapour_pressure_Pa",
			    "belongs to visits to e-H2-vapour, whose temperature follows from it");
	else if (!file_has(map, "vapour_pressure_Pa"))
		file_missing(map, "vapour_pressure_Pa",
			     "the temperature of e-H2-vapour follows from it; give it in pascal");
}

void file_job_visit_values(struct file_job *job, struct file_map *map, struct lab_visit *visit)
{
	file_numbers(map, numbers, G_N_ELEMENTS(numbers), visit);
	file_job_check_pressure(map, &visit->pressure_Pa);
	visit->dof = file_dof_of(map, "u_mK");
	terms(job, map, visit);
	mantle_age(job, map, visit);
	visit->note = file_job_text(job, map, "note");
	if (map->node == NULL)
		return;
	if (visit->measure && !file_has(map, "cell"))
		check_measure(map);
	else if (visit->cell >= 0 && !visit->measure &&
		 LAB_AT(job->c->cells, lab_cell, visit->cell)->point != LAB_NO_POINT)
		check_cell(map, LAB_AT(job->c->cells, lab_cell, visit->cell));
}
