/* What is in a cell: its isotopes and its foreign atoms. One node for all visits to it. */
#include "app/calc/reduction.h"

#include "firn/correction.h"
#include "firn/impurity.h"

static struct firn_node shared_node(struct reduction *r, const char *path)
{
	return (struct firn_node){ r->tape,
				   GPOINTER_TO_UINT(g_hash_table_lookup(r->shared, path)) };
}

static struct firn_node keep_shared(struct reduction *r, const char *path, struct firn_node x)
{
	g_hash_table_insert(r->shared, g_strdup(path), GUINT_TO_POINTER(x.index));
	return x;
}

struct firn_node reduction_cell_input(struct reduction *r, const struct lab_cell *cell,
				      const char *key, const char *unit, double value, double u)
{
	return reduction_shared_input(r, reduction_text(r, "cell.%s.%s", cell->id, key), unit,
				      value, u, (double)INFINITY);
}

/* ---- isotopes ---- */

/* Of a cell's isotopes, for messages. */
static bool of_isotopes(struct reduction *r, const struct lab_cell *cell, enum firn_status status)
{
	return reduction_computed(
	    r, status,
	    lab_calibration_mark(r->job, reduction_text(r, "cell.%s.isotopes", cell->id)),
	    "the effect of the isotopes of cell %s", cell->id);
}

static bool water(struct reduction *r, const struct lab_cell *cell, struct firn_node *ret_dt)
{
	/* With the uncertainty of the composition goes that of the constants; see docs/decisions.
	 */
	const bool with_u = lab_given(cell->u_d_D) || lab_given(cell->u_d_18O);
	const char *path = with_u ? "constants.isotopes with u" : "constants.isotopes";
	struct firn_water_constants constants = { FIRN_ANNEX_2017, { 0 }, { 0 }, { 0 } };
	struct firn_water composition = {
		.d_D = reduction_cell_input(r, cell, "isotopes.dD", "", cell->d_D, cell->u_d_D),
		.d_18O =
		    reduction_cell_input(r, cell, "isotopes.d18O", "", cell->d_18O, cell->u_d_18O),
	};

	if (lab_given(cell->d_17O))
		composition.d_17O =
		    reduction_cell_input(r, cell, "isotopes.d17O", "", cell->d_17O, cell->u_d_17O);
	if (lab_given(cell->r_d_D_d_18O) &&
	    !of_isotopes(
		r, cell,
		firn_tape_correlate(composition.d_D, composition.d_18O, cell->r_d_D_d_18O)))
		return false;
	if (shared_node(r, path).index == 0) {
		if (!of_isotopes(
			r, cell,
			firn_water_constants(r->tape, FIRN_ANNEX_2017, with_u, &constants)))
			return false;
		keep_shared(r, path, constants.a_D_K);
		keep_shared(r, reduction_text(r, "%s.18", path), constants.a_18_K);
		keep_shared(r, reduction_text(r, "%s.17", path), constants.a_17_K);
	}
	constants.a_D_K = shared_node(r, path);
	constants.a_18_K = shared_node(r, reduction_text(r, "%s.18", path));
	constants.a_17_K = shared_node(r, reduction_text(r, "%s.17", path));
	return of_isotopes(r, cell, firn_water_isotopes(&composition, &constants, ret_dt));
}

static bool hydrogen(struct reduction *r, const struct lab_cell *cell, struct firn_node *ret_dt)
{
	const bool with_u = lab_given(cell->u_x_D_umol_per_mol);
	const char *path = with_u ? "constants.hydrogen with u" : "constants.hydrogen";
	struct firn_node k = shared_node(r, path);
	const struct firn_node x =
	    reduction_cell_input(r, cell, "isotopes.xD_umol_per_mol", "umol/mol",
				 cell->x_D_umol_per_mol, cell->u_x_D_umol_per_mol);

	if (k.index == 0) {
		if (!of_isotopes(r, cell, firn_hydrogen_constant(r->tape, with_u, &k)))
			return false;
		keep_shared(r, path, k);
	}
	return of_isotopes(r, cell, firn_hydrogen_isotopes(x, k, ret_dt));
}

static bool neon(struct reduction *r, const struct lab_cell *cell, struct firn_node *ret_dt)
{
	const bool with_u = lab_given(cell->u_x22) || lab_given(cell->u_x21);
	const char *path = with_u ? "constants.neon with u" : "constants.neon";
	struct firn_node k = shared_node(r, path);
	const struct firn_node x22 =
	    reduction_cell_input(r, cell, "isotopes.x22", "", cell->x22, cell->u_x22);
	const struct firn_node x21 =
	    reduction_cell_input(r, cell, "isotopes.x21", "", cell->x21, cell->u_x21);

	if (k.index == 0) {
		if (!of_isotopes(r, cell, firn_neon_constant(r->tape, with_u, &k)))
			return false;
		keep_shared(r, path, k);
	}
	return of_isotopes(r, cell, firn_neon_isotopes(x22, x21, k, ret_dt));
}

bool reduction_isotopes(struct reduction *r, const struct lab_cell *cell, struct firn_node *ret_dt)
{
	const char *path = reduction_text(r, "cell.%s.isotopes", cell->id);
	bool good = true;

	*ret_dt = shared_node(r, path);
	if (ret_dt->index != 0)
		return true;
	if (cell->isotopes_unknown && cell->point == LAB_H2O)
		good = of_isotopes(r, cell, firn_water_unknown(r->tape, path, ret_dt));
	else if (lab_given(cell->d_D) && lab_given(cell->d_18O))
		good = water(r, cell, ret_dt);
	else if (lab_given(cell->x_D_umol_per_mol))
		good = hydrogen(r, cell, ret_dt);
	else if (lab_given(cell->x22) && lab_given(cell->x21))
		good = neon(r, cell, ret_dt);
	if (good && ret_dt->index != 0)
		keep_shared(r, path, *ret_dt);
	return good;
}

/* ---- impurities ---- */

static bool of_impurities(struct reduction *r, const struct lab_cell *cell, enum firn_status status)
{
	return reduction_computed(
	    r, status,
	    lab_calibration_mark(r->job, reduction_text(r, "cell.%s.impurities", cell->id)),
	    "the effect of the impurities of cell %s", cell->id);
}

static bool slope_of(struct reduction *r, const struct lab_cell *cell,
		     const struct lab_impurity *impurity, const char *path, double A_per_K,
		     struct firn_node *ret_slope)
{
	if (lab_given(impurity->K_per_umol_per_mol)) {
		*ret_slope = reduction_input(r, reduction_text(r, "%s.K_per_umol_per_mol", path),
					     "K mol/mol", 1e6 * impurity->K_per_umol_per_mol,
					     1e6 * lab_or(impurity->u_K_per_umol_per_mol, 0.0),
					     (double)INFINITY);
		return true;
	}
	const struct firn_node k = reduction_input(r, reduction_text(r, "%s.k", path), "",
						   impurity->k, impurity->u_k, (double)INFINITY);
	return of_impurities(r, cell, firn_liquidus_slope(A_per_K, k, ret_slope));
}

/* Sum of individual estimates: a correction. */
static bool individual(struct reduction *r, const struct lab_cell *cell, const char *path,
		       double A_per_K, struct firn_node *ret_dt)
{
	const guint n = cell->impurities->len;
	g_autofree struct firn_node *x = g_new(struct firn_node, n),
				    *m = g_new(struct firn_node, n);

	for (guint i = 0; i < n; i++) {
		const struct lab_impurity *impurity = LAB_AT(cell->impurities, lab_impurity, i);
		const char *own = reduction_text(
		    r, "%s.%s", path, impurity->element != NULL ? impurity->element : "");

		x[i] = reduction_input(
		    r, reduction_text(r, "%s.x", own), "mol/mol", 1e-6 * impurity->x_umol_per_mol,
		    1e-6 * lab_or(impurity->u_x_umol_per_mol, 0.0), (double)INFINITY);
		if (!slope_of(r, cell, impurity, own, A_per_K, &m[i]))
			return false;
	}
	return of_impurities(r, cell, firn_impurities(n, x, m, ret_dt));
}

/* Overall maximum estimate: uncertainty only. */
static bool maximum(struct reduction *r, const struct lab_cell *cell, double A_per_K,
		    struct firn_node *ret_dt)
{
	const char *name = reduction_text(r, "cell.%s.total_umol_per_mol", cell->id);

	return of_impurities(
	    r, cell,
	    firn_impurity_maximum(r->tape, name, 1e-6 * cell->total_umol_per_mol, A_per_K, ret_dt));
}

bool reduction_impurities(struct reduction *r, const struct lab_cell *cell,
			  struct firn_node *ret_dt)
{
	const char *path = reduction_text(r, "cell.%s.impurities", cell->id);
	struct firn_node sum[2];
	size_t n = 0;
	double A_per_K;

	*ret_dt = shared_node(r, path);
	if (ret_dt->index != 0 ||
	    (cell->impurities->len == 0 && !lab_given(cell->total_umol_per_mol)))
		return true;
	if (!of_impurities(r, cell,
			   firn_cryoscopic_constant(lab_point_name(cell->point), &A_per_K)))
		return false;
	if (cell->impurities->len > 0 && !individual(r, cell, path, A_per_K, &sum[n++]))
		return false;
	if (lab_given(cell->total_umol_per_mol) && !maximum(r, cell, A_per_K, &sum[n++]))
		return false;
	*ret_dt = keep_shared(r, path, firn_sum(n, sum));
	return true;
}
