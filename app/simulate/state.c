/* What a laboratory states of one calibration: everything but the readings. */
#include "app/simulate/laboratory.h"

#include <math.h>

/* Common to all laboratories: of a good resistance laboratory. */
#define U_DEPTH_M        0.004
#define U_PRESSURE_PA    50.0
#define PER_K            3.1e-6
#define U_PER_K          2e-7
#define U_BATH_K         0.005
#define U_LINEARITY      2e-8
#define U_CURRENT_RATIO  1e-4
#define RATIO_RESOLUTION 1e-10

struct statement {
	const struct simulate_laboratory *laboratory;
	lab_calibration *record;
	uint64_t number;
	int n_ranges;
};

static char *named(const struct statement *s, const char *name)
{
	g_autofree char *text = g_strdup_printf("%s-%" G_GUINT64_FORMAT, name, s->number);

	return lab_calibration_text(s->record, text);
}

static void state_resistors(struct statement *s)
{
	for (int i = 0; i < 2 && s->laboratory->ranges[i].resistor != NULL; i++) {
		const struct simulate_range *range = &s->laboratory->ranges[i];
		struct lab_resistor *r = lab_add_resistor(s->record);

		r->id = named(s, range->resistor);
		r->ohm = range->ohm;
		r->u_ohm = range->u_ohm;
		r->at_C = range->at_C;
		r->per_K = PER_K;
		r->u_per_K = U_PER_K;
		r->u_bath_K = U_BATH_K;
		s->n_ranges++;
	}
	struct lab_bridge *b = lab_add_bridge(s->record);
	b->id = named(s, "B");
	b->u_linearity = U_LINEARITY;
	b->u_current_ratio = U_CURRENT_RATIO;
	b->resolution = RATIO_RESOLUTION;
}

/* Analyses as they are usual; one sample of each substance for all laboratories. */
static void state_isotopes(struct lab_cell *cell)
{
	switch (cell->point) {
	case LAB_H2O:
		cell->d_D = -0.0612;
		cell->u_d_D = 0.001;
		cell->d_18O = -0.0085;
		cell->u_d_18O = 0.0002;
		cell->r_d_D_d_18O = 0.6;
		break;
	case LAB_E_H2:
		cell->x_D_umol_per_mol = 36.2;
		cell->u_x_D_umol_per_mol = 1.5;
		break;
	case LAB_NE:
		cell->x22 = 0.0939;
		cell->u_x22 = 4e-5;
		cell->x21 = 0.0027;
		cell->u_x21 = 2e-5;
		break;
	default:
		break;
	}
}

/* Zinc's cells were analysed for one element as well. */
static void state_impurity(struct statement *s, struct lab_cell *cell)
{
	if (cell->point != LAB_ZN)
		return;
	struct lab_impurity *lead = lab_add_impurity(cell);
	lead->element = lab_calibration_text(s->record, "Pb");
	lead->x_umol_per_mol = 0.1;
	lead->u_x_umol_per_mol = 0.03;
	lead->k = 0.1;
	lead->u_k = 0.05;
}

/* Index of the cell, stated when it is first visited. */
static int state_cell(struct statement *s, const struct simulate_point *point)
{
	g_autofree char *id = g_strdup_printf("%s-%" G_GUINT64_FORMAT, point->cell, s->number);

	for (guint i = 0; i < s->record->cells->len; i++)
		if (g_str_equal(LAB_AT(s->record->cells, lab_cell, i)->id, id))
			return (int)i;
	struct lab_cell *cell = lab_add_cell(s->record);
	cell->id = lab_calibration_text(s->record, id);
	cell->point = point->point;
	cell->u_cell_K = 1e-3 * point->u_cell_mK;
	if (point->total_umol_per_mol > 0.0)
		cell->total_umol_per_mol = point->total_umol_per_mol;
	state_isotopes(cell);
	state_impurity(s, cell);
	return (int)s->record->cells->len - 1;
}

static struct lab_visit *state_visit(struct statement *s, int range)
{
	struct lab_visit *visit = lab_add_visit(s->record);
	g_autofree char *number = g_strdup_printf("%u", s->record->visits->len);

	visit->id = named(s, number);
	visit->resistor = range;
	visit->bridge = 0;
	return visit;
}

static void state_point(struct statement *s, const struct simulate_point *point)
{
	const int cell = state_cell(s, point);
	struct lab_visit *visit = state_visit(s, point->range);

	visit->cell = cell;
	if (point->point == LAB_E_H2_VAPOUR) {
		visit->vapour_pressure_Pa = point->vapour_Pa;
		visit->u_vapour_pressure_Pa = point->u_vapour_Pa;
	} else {
		visit->depth_m = point->depth_m;
		visit->u_depth_m = U_DEPTH_M;
	}
	if (point->pressure_Pa > 0.0) {
		visit->pressure_Pa = point->pressure_Pa;
		visit->u_pressure_Pa = U_PRESSURE_PA;
	}
	if (point->u_mantle_age_mK > 0.0) {
		visit->mantle_age_K = 1e-3 * point->mantle_age_mK;
		visit->u_mantle_age_K = 1e-3 * point->u_mantle_age_mK;
	}
	for (int i = 0; i < LAB_TERMS; i++)
		visit->terms[i] =
		    (struct lab_u){ 1e-3 * point->terms_mK[i],
				    i == LAB_REPRODUCIBILITY ? point->dof : (double)INFINITY };
}

/* The places to be measured, and the R(TPW) that belongs to them. */
static void state_places(struct statement *s)
{
	const guint first = s->record->visits->len;

	for (int i = 0; i < SIMULATE_PLACES; i++) {
		struct lab_visit *visit = state_visit(s, 0);

		visit->measure = true;
		visit->u_temperature_K = 1e-3 * s->laboratory->u_place_mK;
	}
	state_point(s, &s->laboratory->water);
	for (guint i = first; i + 1 < s->record->visits->len; i++)
		LAB_AT(s->record->visits, lab_visit, i)->tpw = (int)s->record->visits->len - 1;
}

lab_calibration *simulate_state(const struct simulate_laboratory *laboratory, uint64_t number)
{
	struct statement s = { laboratory, lab_calibration_new(), number, 0 };

	s.record->path = lab_calibration_text(s.record, "simulated calibration");
	s.record->thermometer.id = named(&s, "T");
	s.record->thermometer.sensor = laboratory->sensor;
	s.record->tpw_scheme = laboratory->one_tpw ? LAB_TPW_ONE : LAB_TPW_AFTER;
	s.record->wr_from_equation = true;
	s.record->subranges_all = false;
	for (size_t i = 0; i < laboratory->n_judged; i++)
		s.record->subranges[laboratory->judged[i]] = true;
	state_resistors(&s);
	state_point(&s, &laboratory->water);
	for (size_t i = 0; i < laboratory->n_points; i++) {
		state_point(&s, &laboratory->points[i]);
		if (!laboratory->one_tpw)
			state_point(&s, &laboratory->water);
	}
	state_places(&s);
	return s.record;
}
