#include "app/simulate/cell_truth.h"

#include "firn/correction.h"
#include "firn/impurity.h"
#include "firn/scale.h"

#include <math.h>

/* A constant of the isotopic corrections with an error drawn from its own uncertainty. */
static struct firn_node drawn_constant(const struct simulate_draws *draws, struct firn_node x)
{
	struct firn_input said;

	if (firn_tape_input_of(x, &said) < 0)
		return x;
	return firn_constant(x.tape, said.value + said.u * simulate_normal(draws, "%s", said.name));
}

static struct firn_node drawn_amount(const struct simulate_draws *draws, struct firn_tape *tape,
				     const struct lab_cell *cell, const char *what, double x,
				     double u)
{
	return firn_constant(tape, x + u * simulate_normal(draws, "cell %s %s", cell->id, what));
}

static enum firn_status water(const struct simulate_draws *draws, struct firn_tape *tape,
			      const struct lab_cell *cell, struct firn_node *ret_dt_K)
{
	const double r = cell->r_d_D_d_18O;
	const double first = simulate_normal(draws, "cell %s dD", cell->id),
		     second = simulate_normal(draws, "cell %s d18O", cell->id);
	const struct firn_water composition = {
		.d_D = firn_constant(tape, cell->d_D + cell->u_d_D * first),
		.d_18O = firn_constant(
		    tape, cell->d_18O + cell->u_d_18O * (r * first + sqrt(1.0 - r * r) * second)),
	};
	struct firn_water_constants constants;

	const enum firn_status status =
	    firn_water_constants(tape, FIRN_ANNEX_2017, true, &constants);

	if (status < 0)
		return status;
	constants.a_D_K = drawn_constant(draws, constants.a_D_K);
	constants.a_18_K = drawn_constant(draws, constants.a_18_K);
	return firn_water_isotopes(&composition, &constants, ret_dt_K);
}

static enum firn_status hydrogen(const struct simulate_draws *draws, struct firn_tape *tape,
				 const struct lab_cell *cell, struct firn_node *ret_dt_K)
{
	const struct firn_node x =
	    drawn_amount(draws, tape, cell, "xD", cell->x_D_umol_per_mol, cell->u_x_D_umol_per_mol);
	struct firn_node k;

	const enum firn_status status = firn_hydrogen_constant(tape, true, &k);

	return status < 0 ? status : firn_hydrogen_isotopes(x, drawn_constant(draws, k), ret_dt_K);
}

static enum firn_status neon(const struct simulate_draws *draws, struct firn_tape *tape,
			     const struct lab_cell *cell, struct firn_node *ret_dt_K)
{
	const struct firn_node x22 = drawn_amount(draws, tape, cell, "x22", cell->x22, cell->u_x22),
			       x21 = drawn_amount(draws, tape, cell, "x21", cell->x21, cell->u_x21);
	struct firn_node k;

	const enum firn_status status = firn_neon_constant(tape, true, &k);

	return status < 0 ? status
			  : firn_neon_isotopes(x22, x21, drawn_constant(draws, k), ret_dt_K);
}

static double isotopes_K(const struct simulate_draws *draws, const struct lab_cell *cell)
{
	struct firn_tape *tape = firn_tape_new();
	enum firn_status status = FIRN_OK;
	struct firn_node dt = firn_constant(tape, 0.0);

	if (lab_given(cell->d_D))
		status = water(draws, tape, cell, &dt);
	else if (lab_given(cell->x_D_umol_per_mol))
		status = hydrogen(draws, tape, cell, &dt);
	else if (lab_given(cell->x22))
		status = neon(draws, tape, cell, &dt);
	const double dt_K = status < 0 ? (double)NAN : firn_value(dt);
	firn_tape_free(tape);
	return dt_K;
}

static double impurities_K(const struct simulate_draws *draws, const struct lab_cell *cell)
{
	double A_per_K, dt_K = 0.0;

	if (firn_cryoscopic_constant(lab_point_name(cell->point), &A_per_K) < 0)
		return 0.0;
	for (guint i = 0; i < cell->impurities->len; i++) {
		const struct lab_impurity *x = LAB_AT(cell->impurities, lab_impurity, i);
		const double amount =
		    1e-6 * (x->x_umol_per_mol +
			    x->u_x_umol_per_mol *
				simulate_normal(draws, "cell %s x of %s", cell->id, x->element));
		const double k =
		    x->k + x->u_k * simulate_normal(draws, "cell %s k of %s", cell->id, x->element);

		dt_K -= amount * (1.0 - k) / A_per_K; /* CCT Guide sec. 2.1 (2018), equation (6) */
	}
	if (lab_given(cell->total_umol_per_mol))
		dt_K += 1e-6 * cell->total_umol_per_mol / A_per_K *
			simulate_uniform(draws, "cell %s overall maximum", cell->id);
	return dt_K;
}

/* What the depth and the pressures really are, as a change of temperature. */
static double surroundings_K(const struct simulate_draws *draws, const struct lab_visit *visit,
			     const struct firn_fixed_point *point)
{
	double dt_K = 0.0;

	if (lab_given(visit->depth_m))
		dt_K += point->dT_dl_K_per_m *
			(visit->depth_m +
			 visit->u_depth_m * simulate_normal(draws, "visit %s depth", visit->id));
	if (lab_given(visit->pressure_Pa))
		dt_K +=
		    point->dT_dp_K_per_Pa *
		    (visit->pressure_Pa +
		     visit->u_pressure_Pa * simulate_normal(draws, "visit %s pressure", visit->id) -
		     101325.0);
	if (lab_given(visit->u_mantle_age_K))
		dt_K +=
		    visit->mantle_age_K +
		    visit->u_mantle_age_K * simulate_normal(draws, "visit %s mantle", visit->id);
	return dt_K;
}

static const struct lab_cell *cell_of(const lab_calibration *record, const struct lab_visit *visit)
{
	return LAB_AT(record->cells, lab_cell, visit->cell);
}

static double vapour_K(double p_Pa)
{
	double t90_K, slope;

	return firn_scale_vapour_t90(p_Pa, &t90_K, &slope) < 0 ? (double)NAN : t90_K;
}

double simulate_defined_K(const lab_calibration *record, const struct lab_visit *visit)
{
	if (lab_given(visit->vapour_pressure_Pa))
		return vapour_K(visit->vapour_pressure_Pa);
	return firn_scale_point((enum firn_point)cell_of(record, visit)->point)->t90_K;
}

double simulate_cell_K(const struct simulate_draws *draws, const lab_calibration *record,
		       const struct lab_visit *visit)
{
	const struct lab_cell *cell = cell_of(record, visit);
	double t_K = lab_given(visit->vapour_pressure_Pa)
			 ? vapour_K(visit->vapour_pressure_Pa +
				    visit->u_vapour_pressure_Pa *
					simulate_normal(draws, "visit %s vapour", visit->id))
			 : simulate_defined_K(record, visit);

	t_K += isotopes_K(draws, cell) + impurities_K(draws, cell) +
	       surroundings_K(draws, visit, firn_scale_point((enum firn_point)cell->point)) +
	       cell->u_cell_K * simulate_normal(draws, "cell %s", cell->id);
	for (int i = 0; i < LAB_TERMS; i++)
		if (i != LAB_STABILITY)
			t_K += visit->terms[i].u *
			       simulate_normal(draws, "visit %s term %d", visit->id, i);
	return t_K;
}
