/* Water that was supercooled freezes at once, in part. */
#include "app/calc/cell_prepare_parts.h"

#include "firn/water.h"

#include <math.h>

void cell_prepare_supercooled(struct cell_tape *t, const struct cell_ice *ice,
			      lab_cell_prepare *ret)
{
	const struct lab_preparation *p = &t->study->preparation;
	const struct lab_cell_body *c = &t->study->cell;
	const double below_K = p->supercooled_K.value;
	const struct firn_node dT =
	    cell_tape_input(t, "preparation.supercooled", "K", &p->supercooled_K);
	const struct firn_node mw = ice->water_kg, L = ice->latent;
	double exact;

	if (firn_nucleation_by_enthalpy(below_K, 611.657, &exact) < 0) {
		cell_tape_lacks(t, p->supercooled_K.mark,
				"supercooled_K is %.4g; the formulations of water reach 35 K down",
				below_K);
		return;
	}
	/* at the estimate the enthalpies; beside it they grow in proportion, and the glass adds */
	const struct firn_node per_K = cell_tape_number(t, exact / below_K);
	const struct firn_node mg = lab_stated(&c->glass_kg)
					? cell_tape_input(t, "cell.glass", "kg", &c->glass_kg)
					: cell_tape_number(t, 0.0);
	const char *glass = c->envelope.material != NULL ? c->envelope.material : c->well.material;
	const struct firn_node cg = cell_tape_property(t, glass, FIRN_HEAT_CAPACITY);
	const struct firn_node f =
	    firn_formula("f = per_K*dT + mg*cg*dT/(mw*L)", per_K, dT, mg, cg, mw, L);
	const struct firn_node m = firn_formula("m = f*mw", f, mw);
	const double rw = firn_value(ice->r_well),
		     area = firn_value(m) / (firn_value(ice->density) * firn_value(ice->pi) *
					     firn_value(ice->level_m));

	const struct firn_node cw = cell_tape_property(t, "water", FIRN_HEAT_CAPACITY);
	const struct firn_node sensible = cell_tape_number(t, ret->heat_J.value);
	ret->heat_J = cell_tape_estimate(
	    firn_formula("Q = sensible + (mw*cw + mg*cg)*dT", sensible, mw, cw, mg, cg, dT));
	ret->fraction_without_glass = exact;
	ret->fraction = cell_tape_estimate(f);
	ret->ice_kg = cell_tape_estimate(m);
	ret->even_m = sqrt(rw * rw + area) - rw;
	if (!lab_stated(&c->glass_kg))
		cell_prepare_reserve(
		    ret, "The mass of the glass is not stated (glass_g); it takes part "
			 "in the cooling and adds to the ice, some 15 %% in a usual cell.");
	if (below_K > 10.0)
		cell_prepare_reserve(
		    ret,
		    "Water in small cells has frozen by itself at 5.85 to 8.77 K below "
		    "(Yan et al., Int. J. Thermophys. 32 (2011) 481); %.3g K may not be "
		    "reached.",
		    below_K);
	cell_prepare_reserve(
	    ret, "The ice comes as dendrites throughout the water, which coarsen and settle "
		 "in the bath: within 0.1 mK of a mantle on the well, in small cells from "
		 "about 6 h on (CCT Guide, sec. 2.2, 6.1; Yan et al. 2011).");
}
