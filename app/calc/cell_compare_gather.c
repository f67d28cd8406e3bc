/* From what was measured to differences that are free of isotopes and head; and the steps. */
#include "app/calc/cell_compare_parts.h"

#include "firn/cell_check.h"
#include "firn/design.h"
#include "firn/scale.h"

#include <math.h>

#define CHANCE 0.05 /* of a step in a record without one, over all that is tried */

static struct firn_node input(struct compare_work *w, const char *name, const char *unit,
			      double value, double u, const char *source)
{
	return firn_tape_input(
	    w->tape, &(struct firn_input){
			 .name = name, .unit = unit, .source = source, .value = value, .u = u });
}

/* ---- cells ---- */

static void gather_rate(struct compare_work *w, const struct lab_compared_cell *x,
			struct firn_ensemble_cell *ret)
{
	g_autofree char *name = g_strdup_printf("drift.%s", x->id);
	struct firn_node prior;

	ret->drifts = x->drifts;
	if (!x->drifts)
		return;
	if (lab_stated(&x->drift_K_per_year))
		ret->rate_K_per_year = input(w, name, "K/year", x->drift_K_per_year.value,
					     x->drift_K_per_year.u, "stated");
	else if (x->glass != LAB_GLASS_NOT_SAID &&
		 firn_drift_prior(w->tape, name,
				  x->glass == LAB_GLASS_FUSED_SILICA ? FIRN_FUSED_SILICA
								     : FIRN_BOROSILICATE,
				  &prior) >= 0)
		ret->rate_K_per_year = prior;
}

static bool gather_isotopes(struct compare_work *w, const struct lab_compared_cell *x,
			    const struct firn_water_constants *constants, struct firn_node *ret)
{
	g_autofree char *dD = g_strdup_printf("cell.%s.dD", x->id);
	g_autofree char *d18O = g_strdup_printf("cell.%s.d18O", x->id);
	g_autofree char *unknown = g_strdup_printf("cell.%s.isotopes", x->id);

	if (x->isotopes_unknown)
		return firn_water_unknown(w->tape, unknown, ret) >= 0;
	if (!lab_stated(&x->dD) || !lab_stated(&x->d18O))
		return true;
	const struct firn_water water = {
		.d_D = input(w, dD, "1", x->dD.value, lab_or(x->dD.u, 0.0), "stated"),
		.d_18O = input(w, d18O, "1", x->d18O.value, lab_or(x->d18O.u, 0.0), "stated"),
	};
	return firn_water_isotopes(&water, constants, ret) >= 0;
}

static bool gather_cells(struct compare_work *w)
{
	struct firn_water_constants constants;
	size_t stated = 0;

	if (firn_water_constants(w->tape, FIRN_ANNEX_2017, true, &constants) < 0)
		return false;
	for (guint i = 0; i < w->record->cells->len; i++) {
		const struct lab_compared_cell *x = LAB_AT(w->record->cells, lab_compared_cell, i);

		gather_rate(w, x, &w->cells[i]);
		if (!gather_isotopes(w, x, &constants, &w->isotopes[i]))
			compare_lacks(w, x->mark, "the isotopes of cell %s can't be taken off",
				      x->id);
		stated += w->isotopes[i].index != 0 ? 1 : 0;
	}
	if (w->record->point == LAB_H2O && stated < w->record->cells->len)
		compare_reserve(
		    w,
		    "Isotopes are stated of %zu cells of %u: for the others they are in "
		    "the value, as whatever else a cell is.",
		    stated, w->record->cells->len);
	return !w->failed;
}

/* ---- differences ---- */

static bool kelvin_per_ohm(struct compare_work *w, struct base_mark mark, double *ret)
{
	double wr, slope;

	if (!lab_given(w->record->r_tpw_ohm)) {
		compare_lacks(w, mark,
			      "readings in ohm need r_tpw_ohm, the resistance at 273.16 K");
		return false;
	}
	if (firn_scale_wr_at((enum firn_point)w->record->point, false, &wr, &slope) < 0)
		return false;
	*ret = 1.0 / (w->record->r_tpw_ohm * slope);
	return true;
}

/* The weights of the design on its readings: a - b, free of drift. */
static bool by_design(struct compare_work *w, const struct lab_cell_difference *x, const char *name,
		      double *ret_u, struct firn_node *ret)
{
	const size_t n = x->turns->len;
	g_autofree bool *is_a = g_new(bool, n + 1);
	g_autofree double *t = g_new(double, 2 * n + 1);
	double *weights = t + n, value = 0.0, squares = 0.0, scale = 1.0;

	for (size_t i = 0; i < n; i++) {
		is_a[i] = LAB_AT(x->turns, lab_turn, i)->of_a;
		t[i] = LAB_AT(x->turns, lab_turn, i)->time_s;
	}
	const enum firn_status status = firn_design_weights(n, is_a, t, (size_t)x->order, weights);
	if (status < 0) {
		compare_lacks(
		    w, x->mark,
		    "these readings can't tell the difference from a drift of order %.0f; "
		    "read both cells in turn, as in a, b, b, a, or lower drift_order",
		    x->order);
		return false;
	}
	if (x->by_ohm && !kelvin_per_ohm(w, x->mark, &scale))
		return false;
	for (size_t i = 0; i < n; i++) {
		value += weights[i] * (LAB_AT(x->turns, lab_turn, i)->value -
				       LAB_AT(x->turns, lab_turn, 0)->value);
		squares += weights[i] * weights[i];
	}
	*ret_u = scale * x->u_turn * sqrt(squares);
	*ret = input(w, name, "K", scale * value, *ret_u, "a design that cancels drift");
	return true;
}

/* What the head makes of it: K_per_m (depth in a - depth in b). */
static struct firn_node head(struct compare_work *w, const struct lab_cell_difference *x,
			     const char *name)
{
	const double K_per_m = firn_scale_point((enum firn_point)w->record->point)->dT_dl_K_per_m;
	const struct firn_node slope = firn_constant(w->tape, K_per_m);
	struct firn_node depth[2];

	for (int i = 0; i < 2; i++) {
		g_autofree char *of = g_strdup_printf("%s.depth %s", name, i == 0 ? "a" : "b");

		depth[i] =
		    input(w, of, "m", x->depth_m[i].value, lab_or(x->depth_m[i].u, 0.0), "stated");
	}
	const struct firn_node a = depth[0], b = depth[1];
	return firn_formula("head = slope*(a - b)", slope, a, b);
}

static bool gather_difference(struct compare_work *w, guint i)
{
	const struct lab_cell_difference *x =
	    LAB_AT(w->record->differences, lab_cell_difference, i);
	g_autofree char *name = g_strdup_printf("difference.%u", i + 1);
	struct firn_node d;
	double u = x->K.u;

	if (x->turns->len > 0) {
		if (!by_design(w, x, name, &u, &d))
			return false;
	} else {
		d = input(w, name, "K", x->K.value, x->K.u, "stated");
	}
	if (lab_stated(&x->depth_m[0]) && lab_stated(&x->depth_m[1])) {
		const struct firn_node by_head = head(w, x, name);

		u = hypot(u, firn_u(by_head));
		d = firn_sub(d, by_head);
	}
	if (w->isotopes[x->a].index != 0)
		d = firn_sub(d, w->isotopes[x->a]);
	if (w->isotopes[x->b].index != 0)
		d = firn_add(d, w->isotopes[x->b]);
	w->differences[i] =
	    (struct firn_difference){ (size_t)x->a, (size_t)x->b, compare_year(x->day), d, u };
	return true;
}

bool compare_gather(struct compare_work *w)
{
	const lab_cell_comparison *c = w->record;

	if (!gather_cells(w))
		return false;
	for (guint i = 0; i < c->differences->len; i++)
		if (!gather_difference(w, i))
			return false;
	w->ensemble = (struct firn_ensemble){
		.n_cells = c->cells->len,
		.cells = w->cells,
		.n = c->differences->len,
		.differences = w->differences,
		.datum = { .kind = c->datum < 0 ? FIRN_DATUM_MEAN : FIRN_DATUM_CELL },
	};
	if (c->datum >= 0) {
		w->ensemble.datum.cell = (size_t)c->datum;
		w->ensemble.datum.value = input(w, "datum", "K", c->datum_K.value,
						lab_or(c->datum_K.u, 0.0), c->datum_source);
	}
	return true;
}

/* ---- steps ---- */

static bool has_cell(const struct lab_cell_difference *x, int cell)
{
	return x->a == cell || x->b == cell;
}

static gint by_day(gconstpointer a, gconstpointer b)
{
	const int x = *(const int *)a, y = *(const int *)b;

	return (x > y) - (x < y);
}

/* Days of the comparisons of a cell, each once. */
static GArray *days_of(const struct compare_work *w, int cell)
{
	GArray *days = g_array_new(FALSE, FALSE, sizeof(int));

	for (guint i = 0; i < w->record->differences->len; i++) {
		const struct lab_cell_difference *x =
		    LAB_AT(w->record->differences, lab_cell_difference, i);
		bool known = false;

		for (guint k = 0; k < days->len; k++)
			known = known || g_array_index(days, int, k) == x->day;
		if (has_cell(x, cell) && !known)
			g_array_append_val(days, x->day);
	}
	g_array_sort(days, by_day);
	return days;
}

/* Every gap between comparisons of a cell. */
static void add_places(const struct compare_work *w, int cell, GArray *places)
{
	g_autoptr(GArray) days = days_of(w, cell);

	for (guint k = 1; k < days->len; k++) {
		const struct firn_step place = { .cell = (size_t)cell,
						 .t_year =
						     compare_year(g_array_index(days, int, k)) };

		g_array_append_val(places, place);
	}
}

/* One step drags others along with it, so the largest is told; the rest shows when it is entered.
 */
bool compare_steps(struct compare_work *w)
{
	g_autoptr(GArray) places = g_array_new(FALSE, FALSE, sizeof(struct firn_step));
	const struct firn_step *largest = NULL;

	for (guint i = 0; i < w->record->cells->len; i++)
		add_places(w, (int)i, places);
	if (places->len == 0)
		return true;
	if (firn_ensemble_steps(&w->ensemble, places->len,
				(struct firn_step *)(void *)places->data) < 0)
		return false;
	for (guint i = 0; i < places->len; i++) {
		const struct firn_step *x = LAB_AT(places, firn_step, i);

		if (isinf(x->u_K))
			continue;
		w->ret->n_steps_tried++;
		if (largest == NULL ||
		    fabs(x->step_K / x->u_K) > fabs(largest->step_K / largest->u_K))
			largest = x;
	}
	if (largest == NULL || fabs(largest->step_K / largest->u_K) <=
				   firn_coverage_factor(1.0 - CHANCE / w->ret->n_steps_tried, 0.0))
		return true;
	const struct lab_compared_step step = { .cell = (int)largest->cell,
						.day = compare_day(largest->t_year),
						.step_K = largest->step_K,
						.u_K = largest->u_K };
	g_array_append_val(w->ret->steps, step);
	return true;
}
