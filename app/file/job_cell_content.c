/* isotopes, impurities and certificate of a cell */
#include "app/file/job_parts.h"

#include <string.h>

#define CELL(member)     offsetof(struct lab_cell, member)
#define IMPURITY(member) offsetof(struct lab_impurity, member)

/* The ranges are those that the corrections hold for (include/firn/correction.h, impurity.h). */
static const struct file_range delta_D = { -0.5, 0.5, false, false,
					   "a delta is a fraction: -58.3 per mille are -0.0583" };
static const struct file_range delta_O = { -0.1, 0.1, false, false,
					   "a delta is a fraction: -8.1 per mille are -0.0081" };
static const struct file_range u_delta = {
	0.0, 0.5, false, false,
	"the standard uncertainty of a delta is a fraction, 0 to "
	"0.5: 1 per mille is 0.001"
};
static const struct file_range fraction = {
	0.0, 1.0, false, false, "an amount fraction lies from 0 to 1: 9.25 % are 0.0925"
};
static const struct file_range fraction_21 = {
	0.0, 0.1, false, false, "an amount fraction of 21Ne lies from 0 to 0.1: 0.27 % are 0.0027"
};
static const struct file_range u_fraction = {
	0.0, 1.0, false, false,
	"the standard uncertainty of an amount fraction is one itself, 0 to 1: 0.01 % are 0.0001"
};
static const struct file_range u_fraction_21 = {
	0.0, 0.1, false, false,
	"the standard uncertainty of an amount fraction of 21Ne lies from 0 to 0.1"
};
static const struct file_range u_deuterium = {
	0.0, 1000.0, false, false, "the standard uncertainty of deuterium is in umol/mol, 0 to 1000"
};
static const struct file_range u_impurity = {
	0.0, 1e4, false, false,
	"the standard uncertainty of an amount fraction of impurities is in umol/mol, 0 to 10000"
};
static const struct file_range u_distribution = {
	0.0, 20.0, false, false, "the standard uncertainty of a distribution coefficient is 0 to 20"
};
static const struct file_range u_slope = {
	0.0, 0.1, false, false,
	"the standard uncertainty of the slope of the liquidus is in kelvin per umol/mol, 0 to 0.1"
};
static const struct file_range deuterium = {
	0.0, 1000.0, false, false,
	"deuterium is in umol/mol, 0 to 1000: the reference composition has 89.02"
};
static const struct file_range distribution = { 0.0, 20.0, false, false,
						"a distribution coefficient is 0 to 20: below 1 "
						"where the impurity lowers the point" };
static const struct file_range slope = {
	-0.1, 0.1, false, false,
	"the slope of the liquidus is in kelvin per umol/mol, such "
	"as -7e-7"
};

static const struct file_number_field water[] = {
	{ "dD", CELL(d_D), &delta_D, 0.0, "d18O" },
	{ "u_dD", CELL(u_d_D), &u_delta, 0.0, "dD" },
	{ "d18O", CELL(d_18O), &delta_O, 0.0, "dD" },
	{ "u_d18O", CELL(u_d_18O), &u_delta, 0.0, "d18O" },
	{ "d17O", CELL(d_17O), &delta_O, 0.0, "d18O" },
	{ "u_d17O", CELL(u_d_17O), &u_delta, 0.0, "d17O" },
	{ "r_dD_d18O", CELL(r_d_D_d_18O), &file_correlation, 0.0, "u_d18O" },
};

static const struct file_number_field hydrogen[] = {
	{ "xD_umol_per_mol", CELL(x_D_umol_per_mol), &deuterium, 0.0, NULL },
	{ "u_xD_umol_per_mol", CELL(u_x_D_umol_per_mol), &u_deuterium, 0.0, "xD_umol_per_mol" },
};

static const struct file_number_field neon[] = {
	{ "x22", CELL(x22), &fraction, 0.0, "x21" },
	{ "u_x22", CELL(u_x22), &u_fraction, 0.0, "x22" },
	{ "x21", CELL(x21), &fraction_21, 0.0, "x22" },
	{ "u_x21", CELL(u_x21), &u_fraction_21, 0.0, "x21" },
};

/* The keys of isotopes, by point. */
static const struct analysis {
	const char *of;
	const struct file_number_field *fields;
	size_t n;
	const char *needed; /* without it there is no analysis */
} analyses[] = {
	{ "water", water, G_N_ELEMENTS(water), "dD" },
	{ "hydrogen", hydrogen, G_N_ELEMENTS(hydrogen), "xD_umol_per_mol" },
	{ "neon", neon, G_N_ELEMENTS(neon), "x22" },
};

static const struct analysis *analysis_of(enum lab_point point)
{
	switch (point) {
	case LAB_H2O:
		return &analyses[0];
	case LAB_E_H2:
	case LAB_E_H2_VAPOUR:
		return &analyses[1];
	case LAB_NE:
		return &analyses[2];
	default:
		return NULL;
	}
}

/* Keys of another point's analysis get a message of their own: they are known, but not here. */
static void refuse_others(struct file_map *map, const struct analysis *own, enum lab_point point)
{
	for (size_t i = 0; i < G_N_ELEMENTS(analyses); i++) {
		const struct analysis *other = &analyses[i];

		for (size_t k = 0; other != own && k < other->n; k++) {
			const char *key = other->fields[k].key;
			g_autofree char *text = g_strdup_printf(
			    "belongs to an analysis of %s, and this is a cell of %s", other->of,
			    lab_point_name(point));

			if (file_has(map, key))
				file_refuse(map, key, text);
		}
	}
}

static void isotopes(struct file_job *job, struct file_map *parent, struct lab_cell *cell)
{
	const struct analysis *own = analysis_of(cell->point);
	const struct file_node *node = file_get(parent, "isotopes");
	struct file_map map;

	if (node == NULL || cell->point == LAB_NO_POINT)
		return;
	if (own == NULL) {
		file_refuse(parent, "isotopes",
			    "matter at the points of H2O, e-H2 and Ne only; leave the key out");
		return;
	}
	if (cell->point == LAB_H2O && node->kind == FILE_SCALAR) {
		static const char *const words[] = { "unknown", NULL };

		cell->isotopes_unknown =
		    file_node_choice(&job->reader, node, "isotopes", words) == 0;
		return;
	}
	g_autofree char *path = file_path(parent, "isotopes");
	file_map_open(&map, &job->reader, node, "isotopes", path);
	file_numbers(&map, own->fields, own->n, cell);
	refuse_others(&map, own, cell->point);
	if (map.node != NULL && !file_has(&map, own->needed) && map.node->n == 0)
		file_missing(&map, own->needed, "give the analysis, or leave isotopes out");
	file_map_close(&map);
}

static const struct file_number_field impurity_numbers[] = {
	{ "x_umol_per_mol", IMPURITY(x_umol_per_mol), &file_impurity, 0.0, NULL },
	{ "u_x_umol_per_mol", IMPURITY(u_x_umol_per_mol), &u_impurity, 0.0, "x_umol_per_mol" },
	{ "K_per_umol_per_mol", IMPURITY(K_per_umol_per_mol), &slope, 0.0, NULL },
	{ "u_K_per_umol_per_mol", IMPURITY(u_K_per_umol_per_mol), &u_slope, 0.0,
	  "K_per_umol_per_mol" },
	{ "k", IMPURITY(k), &distribution, 0.0, NULL },
	{ "u_k", IMPURITY(u_k), &u_distribution, 0.0, "k" },
};

static void impurity(struct file_job *job, struct file_map *map, struct lab_cell *cell)
{
	struct lab_impurity *i = lab_add_impurity(cell);
	const bool by_slope = file_has(map, "K_per_umol_per_mol"), by_k = file_has(map, "k");

	i->element = lab_calibration_text(job->c, file_name(map, "element"));
	file_numbers(map, impurity_numbers, G_N_ELEMENTS(impurity_numbers), i);
	if (map->node == NULL)
		return;
	if (!file_has(map, "element"))
		file_missing(map, "element", "name it, as in element: Fe");
	if (!file_has(map, "x_umol_per_mol"))
		file_missing(map, "x_umol_per_mol", "give its amount fraction in umol/mol");
	if (by_slope && by_k)
		file_refuse(map, "k",
			    "and K_per_umol_per_mol say the same twice; keep one of them");
	else if (!by_slope && !by_k)
		file_missing(map, "k",
			     "give its distribution coefficient k, or the slope of the liquidus as "
			     "K_per_umol_per_mol");
}

/* The constants are those of a melting point (CCT Guide sec. 2.1), not of a vapour pressure. */
static void refuse_at_vapour(struct file_map *map, const struct lab_cell *cell)
{
	static const char *const keys[] = { "impurities", "total_umol_per_mol" };

	for (size_t i = 0; i < G_N_ELEMENTS(keys) && cell->point == LAB_E_H2_VAPOUR; i++)
		file_refuse(map, keys[i],
			    "is not computed for a vapour pressure, which impurities change by "
			    "another law; put their uncertainty into u_cell_mK");
}

static void impurities(struct file_job *job, struct file_map *parent, struct lab_cell *cell)
{
	const struct file_node *list = file_list(parent, "impurities");
	g_autofree char *base = file_path(parent, "impurities");
	int number = 0;

	for (const struct file_node *n = list != NULL ? list->first : NULL; n != NULL;
	     n = n->next) {
		g_autofree char *path = g_strdup_printf("%s.%d", base, ++number);
		g_autofree char *what = g_strdup_printf("impurity %d", number);
		struct file_map map;

		file_map_open(&map, &job->reader, n, what, path);
		impurity(job, &map, cell);
		file_map_close(&map);
	}
}

static const struct file_range of_certificate = {
	-50.0, 50.0, false, false, "the correction of a cell is in millikelvin, -50 to 50"
};
static const struct file_number_field certificate_numbers[] = {
	{ "correction_mK", CELL(certificate.correction_K), &of_certificate, 1e-3, NULL },
	{ "u_mK", CELL(certificate.u_K), &file_u_mK, 1e-3, "correction_mK" },
};

static void contains(struct file_job *job, struct file_map *map, struct lab_cell *cell)
{
	static const char *const words[] = { "isotopes", "impurities", "pressure", "head", NULL };
	bool *const flags[] = { &cell->certificate.holds_isotopes,
				&cell->certificate.holds_impurities,
				&cell->certificate.holds_pressure, &cell->certificate.holds_head };
	const struct file_node *list = file_list(map, "contains");

	for (const struct file_node *n = list != NULL ? list->first : NULL; n != NULL;
	     n = n->next) {
		const int word = file_node_choice(&job->reader, n, "contains", words);

		if (word < 0)
			continue;
		if (*flags[word])
			file_wrong(&job->reader, n->mark,
				   "contains has \"%s\" twice; keep one of them", words[word]);
		*flags[word] = true;
	}
	if (file_has(map, "contains") && !file_has(map, "correction_mK"))
		file_wrong(&job->reader, file_key_mark(map, "contains"),
			   "contains stands without correction_mK; it says what the correction "
			   "holds");
}

static void certificate(struct file_job *job, struct file_map *parent, struct lab_cell *cell)
{
	const struct file_node *node = file_get(parent, "certificate");
	g_autofree char *path = file_path(parent, "certificate");
	struct file_map map;

	if (node == NULL)
		return;
	file_map_open(&map, &job->reader, node, "the certificate", path);
	cell->certificate.number = file_job_text(job, &map, "number");
	file_numbers(&map, certificate_numbers, G_N_ELEMENTS(certificate_numbers), cell);
	cell->certificate.dof = file_dof_of(&map, "u_mK");
	contains(job, &map, cell);
	file_map_close(&map);
}

void file_job_cell_content(struct file_job *job, struct file_map *map, struct lab_cell *cell)
{
	isotopes(job, map, cell);
	impurities(job, map, cell);
	refuse_at_vapour(map, cell);
	certificate(job, map, cell);
}
