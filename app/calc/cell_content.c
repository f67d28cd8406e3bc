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

static struct firn_node water(struct reduction *r, const struct lab_cell *cell)
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
	struct firn_node dt = { .tape = r->tape };

	if (lab_given(cell->d_17O))
		composition.d_17O =
		    reduction_cell_input(r, cell, "isotopes.d17O", "", cell->d_17O, cell->u_d_17O);
	if (lab_given(cell->r_d_D_d_18O))
		firn_tape_correlate(composition.d_D, composition.d_18O, cell->r_d_D_d_18O);
	if (shared_node(r, path).index == 0) {
		firn_water_constants(r->tape, FIRN_ANNEX_2017, with_u, &constants);
		keep_shared(r, path, constants.a_D_K);
		keep_shared(r, reduction_text(r, "%s.18", path), constants.a_18_K);
		keep_shared(r, reduction_text(r, "%s.17", path), constants.a_17_K);
	}
	constants.a_D_K = shared_node(r, path);
	constants.a_18_K = shared_node(r, reduction_text(r, "%s.18", path));
	constants.a_17_K = shared_node(r, reduction_text(r, "%s.17", path));
	firn_water_isotopes(&composition, &constants, &dt);
	return dt;
}

static struct firn_node hydrogen(struct reduction *r, const struct lab_cell *cell)
{
	const bool with_u = lab_given(cell->u_x_D_umol_per_mol);
	const char *path = with_u ? "constants.hydrogen with u" : "constants.hydrogen";
	struct firn_node k = shared_node(r, path), dt = { .tape = r->tape };
	const struct firn_node x =
	    reduction_cell_input(r, cell, "isotopes.xD_umol_per_mol", "umol/mol",
				 cell->x_D_umol_per_mol, cell->u_x_D_umol_per_mol);

	if (k.index == 0) {
		firn_hydrogen_constant(r->tape, with_u, &k);
		keep_shared(r, path, k);
	}
	firn_hydrogen_isotopes(x, k, &dt);
	return dt;
}

static struct firn_node neon(struct reduction *r, const struct lab_cell *cell)
{
	const bool with_u = lab_given(cell->u_x22) || lab_given(cell->u_x21);
	const char *path = with_u ? "constants.neon with u" : "constants.neon";
	struct firn_node k = shared_node(r, path), dt = { .tape = r->tape };
	const struct firn_node x22 =
	    reduction_cell_input(r, cell, "isotopes.x22", "", cell->x22, cell->u_x22);
	const struct firn_node x21 =
	    reduction_cell_input(r, cell, "isotopes.x21", "", cell->x21, cell->u_x21);

	if (k.index == 0) {
		firn_neon_constant(r->tape, with_u, &k);
		keep_shared(r, path, k);
	}
	firn_neon_isotopes(x22, x21, k, &dt);
	return dt;
}

struct firn_node reduction_isotopes(struct reduction *r, const struct lab_cell *cell)
{
	const char *path = reduction_text(r, "cell.%s.isotopes", cell->id);
	struct firn_node dt = shared_node(r, path);

	if (dt.index != 0)
		return dt;
	if (cell->isotopes_unknown && cell->point == LAB_H2O)
		firn_water_unknown(r->tape, path, &dt);
	else if (lab_given(cell->d_D) && lab_given(cell->d_18O))
		dt = water(r, cell);
	else if (lab_given(cell->x_D_umol_per_mol))
		dt = hydrogen(r, cell);
	else if (lab_given(cell->x22) && lab_given(cell->x21))
		dt = neon(r, cell);
	else
		return dt;
	return keep_shared(r, path, dt);
}

/* ---- impurities ---- */

static struct firn_node slope_of(struct reduction *r, const struct lab_impurity *impurity,
				 const char *path, double A_per_K)
{
	struct firn_node k, slope = { .tape = r->tape };

	if (lab_given(impurity->K_per_umol_per_mol))
		return reduction_input(r, reduction_text(r, "%s.K_per_umol_per_mol", path),
				       "K mol/mol", 1e6 * impurity->K_per_umol_per_mol,
				       1e6 * lab_or(impurity->u_K_per_umol_per_mol, 0.0),
				       (double)INFINITY);
	k = reduction_input(r, reduction_text(r, "%s.k", path), "", impurity->k, impurity->u_k,
			    (double)INFINITY);
	firn_liquidus_slope(A_per_K, k, &slope);
	return slope;
}

struct firn_node reduction_impurities(struct reduction *r, const struct lab_cell *cell)
{
	const char *path = reduction_text(r, "cell.%s.impurities", cell->id);
	struct firn_node dt = shared_node(r, path), sum[2];
	size_t n_sum = 0;
	double A_per_K = 0.0;

	if (dt.index != 0)
		return dt;
	if (firn_cryoscopic_constant(lab_point_name(cell->point), &A_per_K) < 0)
		return dt;
	if (cell->impurities->len > 0) {
		const guint n = cell->impurities->len;
		g_autofree struct firn_node *x = g_new(struct firn_node, n),
					    *m = g_new(struct firn_node, n);

		for (guint i = 0; i < n; i++) {
			const struct lab_impurity *impurity =
			    LAB_AT(cell->impurities, lab_impurity, i);
			const char *own = reduction_text(
			    r, "%s.%s", path, impurity->element != NULL ? impurity->element : "");

			x[i] = reduction_input(r, reduction_text(r, "%s.x", own), "mol/mol",
					       1e-6 * impurity->x_umol_per_mol,
					       1e-6 * lab_or(impurity->u_x_umol_per_mol, 0.0),
					       (double)INFINITY);
			m[i] = slope_of(r, impurity, own, A_per_K);
		}
		if (firn_impurities(n, x, m, &sum[n_sum]) >= 0)
			n_sum++;
	}
	if (lab_given(cell->total_umol_per_mol) &&
	    firn_impurity_maximum(r->tape,
				  reduction_text(r, "cell.%s.total_umol_per_mol", cell->id),
				  1e-6 * cell->total_umol_per_mol, A_per_K, &sum[n_sum]) >= 0)
		n_sum++;
	return n_sum == 0 ? dt : keep_shared(r, path, firn_sum(n_sum, sum));
}
