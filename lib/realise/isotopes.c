#include "firn/correction.h"
#include "lib/realise/realise.h"

enum firn_status firn_water_constants(struct firn_tape *tape, enum firn_isotope_set set,
				      bool with_u, struct firn_water_constants *ret)
{
	static const struct realisation_constant *const sets[][3] = {
		[FIRN_ANNEX_2017] = { &constant_water_A_D, &constant_water_A_18,
				      &constant_water_A_17 },
		[FIRN_WHITE_TEW_2010] = { &constant_water_A_D_2010, &constant_water_A_18_2010,
					  &constant_water_A_17_2010 },
		[FIRN_CCT_2005] = { &constant_water_A_D_2005, &constant_water_A_18_2005,
				    &constant_water_A_17_2005 },
	};

	if ((unsigned)set > FIRN_CCT_2005 || (with_u && sets[set][0]->u == 0.0))
		return FIRN_E_DOMAIN;
	const struct firn_node a_D =
	    realise_constant(tape, "constants.isotopes.A_D", sets[set][0], with_u);
	const struct firn_node a_18 =
	    realise_constant(tape, "constants.isotopes.A_18", sets[set][1], with_u);
	const struct firn_node a_17 =
	    realise_constant(tape, "constants.isotopes.A_17", sets[set][2], with_u);

	const enum firn_status status = firn_tape_status(tape);
	if (status < 0)
		return status;
	*ret = (struct firn_water_constants){ set, a_D, a_18, a_17 };
	return FIRN_OK;
}

/* What is above (or, in natural water, in) the 17O that follows from 18O by the rule. */
static struct firn_node extra_17(const struct firn_water *water,
				 const struct firn_water_constants *constants)
{
	const struct firn_node d_18O = water->d_18O, d_17O = water->d_17O;
	const struct firn_node power = firn_constant(d_18O.tape, constant_water_exponent_17.value);

	if (d_17O.index == 0)
		return firn_formula("d_17O = (1 + d_18O)^power - 1", d_18O, power);
	if (constants->set != FIRN_ANNEX_2017)
		return d_17O;
	return firn_formula("excess_17O = d_17O - ((1 + d_18O)^power - 1)", d_17O, d_18O, power);
}

enum firn_status firn_water_isotopes(const struct firn_water *water,
				     const struct firn_water_constants *constants,
				     struct firn_node *ret_dt_K)
{
	const struct firn_node d_D = water->d_D, d_18O = water->d_18O;
	const struct firn_node a_D = constants->a_D_K, a_18 = constants->a_18_K,
			       a_17 = constants->a_17_K;

	if (!is_node_within(d_D, -0.5, 0.5) || !is_node_within(d_18O, -0.1, 0.1) ||
	    (water->d_17O.index != 0 && !is_node_within(water->d_17O, -0.1, 0.1)))
		return FIRN_E_DOMAIN;
	if (constants->set == FIRN_ANNEX_2017 && water->d_17O.index == 0)
		return realise_result(
		    firn_formula("dT_isotopes = a_D*d_D + a_18*d_18O", a_D, d_D, a_18, d_18O),
		    ret_dt_K);
	const struct firn_node x = extra_17(water, constants);
	return realise_result(firn_formula("dT_isotopes = a_D*d_D + a_18*d_18O + a_17*x", a_D, d_D,
					   a_18, d_18O, a_17, x),
			      ret_dt_K);
}

enum firn_status firn_water_unknown(struct firn_tape *tape, const char *name,
				    struct firn_node *ret_dt_K)
{
	const struct realisation_constant *unknown = &constant_water_unknown_correction;

	/* The table has the correction; the effect has the other sign. */
	return realise_result(firn_tape_input(tape, &(struct firn_input){ .name = name,
									  .unit = unknown->unit,
									  .source = unknown->source,
									  .value = -unknown->value,
									  .u = unknown->u }),
			      ret_dt_K);
}

enum firn_status firn_hydrogen_constant(struct firn_tape *tape, bool with_u,
					struct firn_node *ret_K)
{
	return realise_result(
	    realise_constant(tape, "constants.isotopes.k_D", &constant_hydrogen_k_D, with_u),
	    ret_K);
}

enum firn_status firn_neon_constant(struct firn_tape *tape, bool with_u, struct firn_node *ret_K)
{
	return realise_result(
	    realise_constant(tape, "constants.isotopes.k1", &constant_neon_k1, with_u), ret_K);
}

enum firn_status firn_hydrogen_isotopes(struct firn_node x_umol_per_mol, struct firn_node k_D_K,
					struct firn_node *ret_dt_K)
{
	const struct firn_node x = x_umol_per_mol, k_D = k_D_K;

	if (!is_node_within(x, 0.0, 1000.0))
		return FIRN_E_DOMAIN;
	const struct firn_node x0 = firn_constant(x.tape, constant_hydrogen_x0.value);
	return realise_result(firn_formula("dT_isotopes = k_D*(x - x0)", k_D, x, x0), ret_dt_K);
}

enum firn_status firn_neon_isotopes(struct firn_node x22, struct firn_node x21,
				    struct firn_node k1_K, struct firn_node *ret_dt_K)
{
	if (!is_node_within(x22, 0.0, 1.0) || !is_node_within(x21, 0.0, 0.1))
		return FIRN_E_DOMAIN;
	const struct firn_node k0 = firn_constant(x22.tape, constant_neon_k0.value), k1 = k1_K;
	const struct firn_node k2 = firn_constant(x22.tape, constant_neon_k2.value);
	const struct firn_node y = firn_formula("y = x22 + x21/2", x22, x21);
	return realise_result(firn_formula("dT_isotopes = k0 + k1*y + k2*y^2", k0, k1, y, k2),
			      ret_dt_K);
}
