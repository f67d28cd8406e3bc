/* cells: which point, what is in them, what their certificates say */
#include "app/file/job_parts.h"

#include "app/file/text.h"

#include <math.h>
#include <string.h>

#define FIELD(member) offsetof(struct lab_cell, member)

const struct file_range file_pressure = { 0.0, 1e6, false, false,
					  "a pressure is absolute and in pascal, 0 to 1000000 (one "
					  "atmosphere is 101325)" };

const struct file_range file_u_mK = { 0.0, 1e4, false, false,
				      "a standard uncertainty of a temperature is in millikelvin, "
				      "0 to 10000" };
const struct file_range file_u_pressure = { 0.0, 1e6, false, false,
					    "a standard uncertainty of a pressure is in pascal, 0 "
					    "to 1000000" };

const struct file_range file_impurity = {
	0.0, 1e4, false, false,
	"an amount fraction of impurities is in umol/mol, 0 to 10000: 1 part in a million is 1"
};

static const char *const points[] = { "e-H2", "e-H2-vapour", "Ne", "O2", "Ar", "Hg", "H2O",
				      "Ga",   "In",          "Sn", "Zn", "Al", "Ag", NULL };

static const struct file_number_field numbers[] = {
	{ "u_cell_mK", FIELD(u_cell_K), &file_u_mK, 1e-3, NULL },
	{ "total_umol_per_mol", FIELD(total_umol_per_mol), &file_impurity, 0.0, NULL },
	{ "pressure_Pa", FIELD(pressure_Pa), &file_pressure, 0.0, NULL },
	{ "u_pressure_Pa", FIELD(u_pressure_Pa), &file_u_pressure, 0.0, "pressure_Pa" },
};

/* An order of magnitude that no cell has by accident, and every mistaken unit has. */
void file_job_check_pressure(struct file_map *map, double *pressure_Pa)
{
	static const struct {
		double low, high;
		const char *unit;
	} mistaken[] = {
		{ 0.8, 1.2, "bar or atmospheres" },
		{ 80.0, 120.0, "kilopascal" },
		{ 600.0, 1200.0, "hectopascal, millibar or torr" },
	};
	const struct file_node *node = file_get(map, "pressure_Pa");

	for (size_t i = 0; node != NULL && i < G_N_ELEMENTS(mistaken); i++) {
		if (*pressure_Pa < mistaken[i].low || *pressure_Pa > mistaken[i].high ||
		    isnan(*pressure_Pa))
			continue;
		file_wrong(map->reader, node->mark,
			   "pressure_Pa is %s, which looks like %s; a pressure is in pascal (one "
			   "atmosphere is 101325)",
			   node->text, mistaken[i].unit);
		*pressure_Pa = LAB_NOT_GIVEN;
		return;
	}
}

/* A point by its name, or by letters that are often used for it: its symbol, else NULL. */
static const char *symbol_of(const char *name)
{
	static const struct {
		const char *name, *symbol;
	} names[] = {
		{ "water", "H2O" },   { "tpw", "H2O" },    { "wtp", "H2O" },
		{ "mercury", "Hg" },  { "gallium", "Ga" }, { "indium", "In" },
		{ "tin", "Sn" },      { "zinc", "Zn" },    { "aluminium", "Al" },
		{ "aluminum", "Al" }, { "silver", "Ag" },  { "argon", "Ar" },
		{ "oxygen", "O2" },   { "neon", "Ne" },    { "hydrogen", "e-H2" },
	};

	for (size_t i = 0; i < G_N_ELEMENTS(names); i++)
		if (g_ascii_strcasecmp(name, names[i].name) == 0)
			return names[i].symbol;
	return NULL;
}

static void read_point(struct file_job *job, struct file_map *map, struct lab_cell *cell)
{
	const struct file_node *node = file_get(map, "point");

	(void)job;
	const char *symbol =
	    node != NULL && node->kind == FILE_SCALAR ? symbol_of(node->text) : NULL;

	if (symbol != NULL)
		file_wrong(map->reader, node->mark, "point is \"%s\"; write its symbol, %s",
			   node->text, symbol);
	else if (node != NULL)
		cell->point = (enum lab_point)file_node_choice(map->reader, node, "point", points);
	else if (map->node != NULL && !file_has(map, "point"))
		file_missing(map, "point", "say which fixed point it holds, as in point: H2O");

	cell->triple = file_boolean(map, "triple", false);
	if (cell->point != LAB_GA && cell->point != LAB_NO_POINT)
		file_refuse(map, "triple",
			    "is said of gallium cells only; every other point is what the scale "
			    "defines");
}

static void one_cell(struct file_job *job, struct file_map *map, const char *name)
{
	struct lab_cell *cell = lab_add_cell(job->c);

	file_job_add_id(job, "cell", name, job->c->cells->len - 1);
	cell->id = lab_calibration_text(job->c, name);
	read_point(job, map, cell);
	file_numbers(map, numbers, G_N_ELEMENTS(numbers), cell);
	file_job_check_pressure(map, &cell->pressure_Pa);
	cell->dof = file_dof_of(map, "u_cell_mK");
	if (cell->point != LAB_NO_POINT && !lab_cell_takes_pressure(cell))
		file_refuse(map, "pressure_Pa",
			    "is of no use here: only melting and freezing points depend on the "
			    "pressure of a gas");
	file_job_cell_content(job, map, cell);
}

void file_job_cells(struct file_job *job, struct file_map *top)
{
	file_job_named(job, top, "cells", "cell", one_cell);
}
