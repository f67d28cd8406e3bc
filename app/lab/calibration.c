#include "app/lab/calibration.h"

#include <string.h>

static void clear_cell(gpointer data)
{
	struct lab_cell *cell = data;

	g_array_unref(cell->impurities);
}

static GArray *array_of(size_t size)
{
	return g_array_new(FALSE, TRUE, (guint)size);
}

struct lab_calibration *lab_calibration_new(void)
{
	struct lab_calibration *c = g_new0(struct lab_calibration, 1);

	c->thermometer.nominal_ohm = LAB_NOT_GIVEN;
	c->thermometer.element_m = LAB_NOT_GIVEN;
	c->thermometer.tip_to_element_m = LAB_NOT_GIVEN;
	c->resistors = array_of(sizeof(struct lab_resistor));
	c->bridges = array_of(sizeof(struct lab_bridge));
	c->cells = array_of(sizeof(struct lab_cell));
	g_array_set_clear_func(c->cells, clear_cell);
	c->visits = array_of(sizeof(struct lab_visit));
	c->events = array_of(sizeof(struct lab_event));
	c->readings = array_of(sizeof(struct lab_reading));
	c->inputs = array_of(sizeof(struct lab_file_id));
	c->subranges_all = true;
	c->coverage_probability = 0.95;
	c->coverage_factor = LAB_NOT_GIVEN;
	c->limits.r_tpw_change_K = LAB_NOT_GIVEN;
	c->limits.capability_K = LAB_NOT_GIVEN;
	c->use = (struct lab_use){ -1, LAB_NOT_GIVEN, LAB_NOT_GIVEN };
	c->marks = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);
	c->text = g_string_chunk_new(4096);
	return c;
}

void lab_calibration_free(struct lab_calibration *c)
{
	if (c == NULL)
		return;
	g_array_unref(c->resistors);
	g_array_unref(c->bridges);
	g_array_unref(c->cells);
	g_array_unref(c->visits);
	g_array_unref(c->events);
	g_array_unref(c->readings);
	g_array_unref(c->inputs);
	g_hash_table_unref(c->marks);
	g_string_chunk_free(c->text);
	g_free(c);
}

char *lab_calibration_text(struct lab_calibration *c, const char *text)
{
	return text == NULL ? NULL : g_string_chunk_insert(c->text, text);
}

static gpointer append(GArray *array, gconstpointer element)
{
	const guint size = g_array_get_element_size(array);

	g_array_append_vals(array, element, 1);
	return array->data + (size_t)size * (array->len - 1);
}

struct lab_resistor *lab_add_resistor(struct lab_calibration *c)
{
	const struct lab_resistor nothing = {
		.ohm = LAB_NOT_GIVEN,
		.u_ohm = LAB_NOT_GIVEN,
		.dof = LAB_NOT_GIVEN,
		.at_C = LAB_NOT_GIVEN,
		.per_K = LAB_NOT_GIVEN,
		.u_per_K = LAB_NOT_GIVEN,
		.u_bath_K = LAB_NOT_GIVEN,
	};

	return append(c->resistors, &nothing);
}

struct lab_bridge *lab_add_bridge(struct lab_calibration *c)
{
	const struct lab_bridge nothing = {
		.u_linearity = LAB_NOT_GIVEN,
		.u_current_ratio = LAB_NOT_GIVEN,
		.resolution = LAB_NOT_GIVEN,
	};

	return append(c->bridges, &nothing);
}

struct lab_cell *lab_add_cell(struct lab_calibration *c)
{
	const struct lab_cell nothing = {
		.point = LAB_NO_POINT,
		.u_cell_K = LAB_NOT_GIVEN,
		.dof = LAB_NOT_GIVEN,
		.d_D = LAB_NOT_GIVEN,
		.u_d_D = LAB_NOT_GIVEN,
		.d_18O = LAB_NOT_GIVEN,
		.u_d_18O = LAB_NOT_GIVEN,
		.d_17O = LAB_NOT_GIVEN,
		.u_d_17O = LAB_NOT_GIVEN,
		.r_d_D_d_18O = LAB_NOT_GIVEN,
		.x_D_umol_per_mol = LAB_NOT_GIVEN,
		.u_x_D_umol_per_mol = LAB_NOT_GIVEN,
		.x22 = LAB_NOT_GIVEN,
		.u_x22 = LAB_NOT_GIVEN,
		.x21 = LAB_NOT_GIVEN,
		.u_x21 = LAB_NOT_GIVEN,
		.impurities = array_of(sizeof(struct lab_impurity)),
		.total_umol_per_mol = LAB_NOT_GIVEN,
		.certificate = { .correction_K = LAB_NOT_GIVEN,
				 .u_K = LAB_NOT_GIVEN,
				 .dof = LAB_NOT_GIVEN },
		.pressure_Pa = LAB_NOT_GIVEN,
		.u_pressure_Pa = LAB_NOT_GIVEN,
	};

	return append(c->cells, &nothing);
}

struct lab_impurity *lab_add_impurity(struct lab_cell *cell)
{
	const struct lab_impurity nothing = {
		.x_umol_per_mol = LAB_NOT_GIVEN,
		.u_x_umol_per_mol = LAB_NOT_GIVEN,
		.K_per_umol_per_mol = LAB_NOT_GIVEN,
		.u_K_per_umol_per_mol = LAB_NOT_GIVEN,
		.k = LAB_NOT_GIVEN,
		.u_k = LAB_NOT_GIVEN,
	};

	return append(cell->impurities, &nothing);
}

struct lab_visit *lab_add_visit(struct lab_calibration *c)
{
	struct lab_visit nothing = {
		.cell = -1,
		.resistor = -1,
		.bridge = -1,
		.tpw = -1,
		.depth_m = LAB_NOT_GIVEN,
		.u_depth_m = LAB_NOT_GIVEN,
		.pressure_Pa = LAB_NOT_GIVEN,
		.u_pressure_Pa = LAB_NOT_GIVEN,
		.vapour_pressure_Pa = LAB_NOT_GIVEN,
		.u_vapour_pressure_Pa = LAB_NOT_GIVEN,
		.u_K = LAB_NOT_GIVEN,
		.dof = LAB_NOT_GIVEN,
		.mantle_age_K = LAB_NOT_GIVEN,
		.u_mantle_age_K = LAB_NOT_GIVEN,
		.u_temperature_K = LAB_NOT_GIVEN,
	};

	for (int term = 0; term < LAB_TERMS; term++)
		nothing.terms[term] = (struct lab_u){ LAB_NOT_GIVEN, LAB_NOT_GIVEN };
	return append(c->visits, &nothing);
}

struct lab_event *lab_add_event(struct lab_calibration *c)
{
	const struct lab_event nothing = { .after = -1 };

	return append(c->events, &nothing);
}

bool lab_cell_takes_pressure(const struct lab_cell *cell)
{
	return cell->point >= LAB_GA && !(cell->point == LAB_GA && cell->triple);
}

void lab_calibration_set_mark(struct lab_calibration *c, const char *path, struct base_mark mark)
{
	g_hash_table_insert(c->marks, g_strdup(path), g_memdup2(&mark, sizeof(mark)));
}

struct base_mark lab_calibration_mark(const struct lab_calibration *c, const char *path)
{
	g_autofree char *known = g_strdup(path);
	const struct base_mark *mark = g_hash_table_lookup(c->marks, known);
	char *dot;

	while (mark == NULL && (dot = strrchr(known, '.')) != NULL) {
		*dot = '\0';
		mark = g_hash_table_lookup(c->marks, known);
	}
	return mark != NULL ? *mark : (struct base_mark){ 0, 0 };
}
