/* A mantle that grows on the well: dry ice, cooled rods, a heat pipe, cold gas. */
#include "app/calc/cell_prepare_parts.h"

#include "firn/growth.h"
#include "firn/heat.h"

#include <math.h>

#define STEP_M 2e-3
#define MOST_M 30e-3
#define MIXED  10e-3 / 3600 /* m/s: below it impurities mix (CCT Guide, sec. 2.1 (2018), 8.2) */
#define OPEN_M 3e-3         /* of water that should stay between mantle and envelope; ours */

static const double pi = 3.14159265358979323846;

static struct firn_growth growth_of(struct cell_tape *t, const struct cell_ice *ice,
				    struct firn_node below, const struct firn_node *contact)
{
	struct firn_growth g = { .r_cold_m = ice->r_well,
				 .below_K = below,
				 .series_Km_per_W = ice->wall_Km_per_W,
				 .k_W_per_mK = ice->k,
				 .density_kg_per_m3 = ice->density,
				 .latent_J_per_kg = ice->latent };

	(void)t;
	if (contact != NULL) {
		const struct firn_node h = *contact, r = ice->r_bore, wall = ice->wall_Km_per_W;

		g.series_Km_per_W =
		    firn_formula("R = wall + 1/(2*3.14159265358979323846*r*h)", wall, r, h);
	}
	return g;
}

/* The contact: stated, fitted to the record, or not known. */
static bool contact_of(struct cell_tape *t, const struct cell_ice *ice, struct firn_node below,
		       lab_cell_prepare *ret, struct firn_node *ret_h)
{
	const struct lab_preparation *p = &t->study->preparation;
	const struct firn_growth g = growth_of(t, ice, below, NULL);
	g_autofree double *time_s = g_new0(double, p->record->len + 1);
	g_autofree double *r_m = g_new0(double, p->record->len + 1);
	size_t n = 0;

	ret->contact = LAB_CONTACT_NOT_KNOWN;
	if (lab_stated(&p->contact_W_per_m2K)) {
		*ret_h =
		    cell_tape_input(t, "preparation.contact", "W/(m2 K)", &p->contact_W_per_m2K);
		ret->contact = LAB_CONTACT_STATED;
		return true;
	}
	for (guint i = 0; i < p->record->len; i++) {
		const struct lab_record_row *row = LAB_AT(p->record, lab_record_row, i);

		if (!(row->time_s > 0.0) || !(row->value > 0.0))
			continue; /* the beginning says nothing of the contact */
		time_s[n] = row->time_s;
		r_m[n++] = firn_value(ice->r_well) + row->value;
	}
	if (n == 0)
		return false;
	const enum firn_status status =
	    firn_growth_contact(&g, firn_value(ice->r_bore), n, time_s, r_m, ret_h);
	if (status == FIRN_E_SINGULAR)
		cell_tape_lacks(
		    t, LAB_AT(p->record, lab_record_row, 0)->mark,
		    "the ice of this record grew faster than a perfect contact at %.4g °C "
		    "allows; check times, thicknesses and coolant_C",
		    ret->coolant_C);
	if (status < 0)
		return false;
	ret->contact = LAB_CONTACT_FITTED;
	return true;
}

static struct lab_ice_step step(struct cell_tape *t, const struct cell_ice *ice,
				const struct firn_growth *with, const struct firn_growth *least,
				double ice_m)
{
	const struct lab_estimate none = { LAB_NOT_GIVEN, LAB_NOT_GIVEN, LAB_NOT_GIVEN };
	struct lab_ice_step s = { ice_m, none, LAB_NOT_GIVEN, LAB_NOT_GIVEN };
	const struct firn_node thickness = cell_tape_number(t, ice_m), r = ice->r_well;
	const struct firn_node front = firn_formula("front = r + thickness", r, thickness);
	const GArray *record = t->study->preparation.record;
	struct firn_node time;

	if (firn_growth_time(least, front, &time) >= 0)
		s.least_s = firn_value(time);
	if (with != NULL && firn_growth_time(with, front, &time) >= 0)
		s.time_s = cell_tape_estimate(time);
	for (guint i = 0; i < record->len; i++)
		if (fabs(LAB_AT(record, lab_record_row, i)->value - ice_m) < 1e-6)
			s.recorded_s = LAB_AT(record, lab_record_row, i)->time_s;
	return s;
}

/* Whatever the lab recorded stands in the table beside what is computed there. */
static void add_steps(struct cell_tape *t, const struct cell_ice *ice,
		      const struct firn_growth *with, const struct firn_growth *least,
		      double wanted_m, lab_cell_prepare *ret)
{
	g_autoptr(GArray) at = g_array_new(FALSE, FALSE, sizeof(double));
	const GArray *record = t->study->preparation.record;
	double last = 0.0;

	for (double s = STEP_M; s <= fmin(wanted_m + 2 * STEP_M, MOST_M) + 1e-9; s += STEP_M)
		g_array_append_val(at, s);
	g_array_append_val(at, wanted_m);
	for (guint i = 0; i < record->len; i++)
		g_array_append_val(at, LAB_AT(record, lab_record_row, i)->value);
	for (;;) {
		double next = INFINITY;

		for (guint i = 0; i < at->len; i++) {
			const double s = g_array_index(at, double, i);

			if (s > last + 1e-6 && s < next)
				next = s;
		}
		if (isinf(next))
			return;
		const struct lab_ice_step row = step(t, ice, with, least, next);
		g_array_append_val(ret->steps, row);
		last = next;
	}
}

static void how_near_the_envelope(struct cell_tape *t, const struct cell_ice *ice,
				  const struct firn_growth *g, double wanted_m,
				  lab_cell_prepare *ret)
{
	struct firn_node through;

	if (!lab_given(ice->r_envelope_m)) {
		cell_prepare_reserve(ret,
				     "The bore of the envelope is not stated, so nothing can be "
				     "said of freezing through.");
		return;
	}
	ret->clearance_m = ice->r_envelope_m - firn_value(ice->r_well) - wanted_m;
	if (firn_growth_time(g, cell_tape_number(t, ice->r_envelope_m), &through) >= 0)
		ret->through_s = firn_value(through);
	if (ret->clearance_m <= 0.0)
		cell_prepare_warn(ret,
				  "A mantle of %.3g mm reaches the envelope, %.3g mm away: the "
				  "cell freezes through and may burst. Want less.",
				  1e3 * wanted_m, 1e3 * (wanted_m + ret->clearance_m));
	else if (ret->clearance_m < OPEN_M)
		cell_prepare_warn(
		    ret,
		    "Only %.2g mm of water stay between mantle and envelope; a bridge "
		    "across the surface is near. Want less, or watch it all the time.",
		    1e3 * ret->clearance_m);
}

static void coolant(struct cell_tape *t, const struct cell_ice *ice, lab_cell_prepare *ret)
{
	const struct lab_preparation *p = &t->study->preparation;
	const double heat_J = ret->heat_J.value;

	if (ret->way == LAB_DRY_ICE || ret->way == LAB_HEAT_PIPE)
		ret->dry_ice_kg =
		    heat_J /
		    firn_value(cell_tape_property_at(t, "dry ice", FIRN_LATENT_HEAT, -78.5));
	if (ret->way == LAB_COLD_GAS || ret->way == LAB_COOLED_ROD)
		ret->nitrogen_kg = heat_J / firn_value(cell_tape_property_at(
						t, "nitrogen liquid", FIRN_LATENT_HEAT, -195.8));
	if (ret->way != LAB_COOLED_ROD || p->rod.material == NULL)
		return;
	const double r = p->rod.outer_m.value / 2;
	const double c = firn_value(cell_tape_property(t, p->rod.material, FIRN_DENSITY)) *
			 firn_value(cell_tape_property(t, p->rod.material, FIRN_HEAT_CAPACITY));
	ret->rods = heat_J / (c * pi * r * r * p->rod.length_m.value * (t->t_C - ret->coolant_C));
	if (p->rod.outer_m.value >= 2 * firn_value(ice->r_bore))
		cell_tape_lacks(t, p->rod.outer_m.mark,
				"the rod does not go into the well; outer_mm "
				"is below the well's bore_mm");
}

/* By how much a slab held at the coolant's temperature takes longer than quasi-steady. */
static void leave_out_the_ice(struct cell_tape *t, const struct cell_ice *ice,
			      lab_cell_prepare *ret)
{
	const double cp = firn_value(cell_tape_property(t, "ice", FIRN_HEAT_CAPACITY));
	const double ste = cp * (t->t_C - ret->coolant_C) / firn_value(ice->latent);
	double lambda;

	if (firn_neumann_lambda(ste, &lambda) < 0)
		return;
	cell_prepare_reserve(ret,
			     "The cold stored in the ice itself is left out: a slab held at the "
			     "coolant's temperature takes %.0f %% longer, a worse contact less.",
			     100.0 * (ste / (2 * lambda * lambda) - 1));
}

void cell_prepare_growth(struct cell_tape *t, const struct cell_ice *ice, lab_cell_prepare *ret)
{
	const struct lab_preparation *p = &t->study->preparation;
	const struct firn_node medium = cell_tape_number(t, t->t_C);
	const struct firn_node cold = cell_tape_assumed(
	    t, "preparation.coolant", "°C", ret->coolant_C, lab_or(p->coolant_C.u, 0.0), "stated");
	const struct firn_node below = firn_formula("below = medium - cold", medium, cold);
	const double wanted_m = p->ice_m.value;
	const struct firn_growth least = growth_of(t, ice, below, NULL);
	struct firn_node h, time;

	const bool known = contact_of(t, ice, below, ret, &h);
	if (t->failed)
		return;
	const struct firn_growth with = known ? growth_of(t, ice, below, &h) : least;
	if (known)
		ret->contact_W_per_m2K = cell_tape_estimate(h);

	const struct firn_node thickness = cell_tape_input(t, "preparation.ice", "m", &p->ice_m);
	const struct firn_node r = ice->r_well;
	const struct firn_node front = firn_formula("front = r + thickness", r, thickness);
	if (firn_growth_time(&with, front, &time) >= 0)
		ret->time_s = cell_tape_estimate(time);
	ret->speed_m_per_s = wanted_m / ret->time_s.value;
	ret->ice_kg = cell_tape_estimate(cell_ice_mass(ice, thickness));

	const struct firn_node L = ice->latent, m = cell_ice_mass(ice, thickness);
	const struct firn_node sensible = cell_tape_number(t, ret->heat_J.value);
	const struct firn_node heat = firn_formula("Q = m*L + sensible", m, L, sensible);
	ret->heat_J = cell_tape_estimate(heat);
	ret->power_W = ret->heat_J.value / ret->time_s.value;
	add_steps(t, ice, known ? &with : NULL, &least, wanted_m, ret);
	how_near_the_envelope(t, ice, &with, wanted_m, ret);
	coolant(t, ice, ret);
	if (!known)
		cell_prepare_reserve(
		    ret, "How well the coolant touches the well is not stated, so the "
			 "time is the least that is possible; give contact_W_per_m2K, or "
			 "a record of thicknesses to fit it to.");
	if (ret->speed_m_per_s > MIXED)
		cell_prepare_reserve(
		    ret,
		    "The front advances at %.2g mm/h on average. Impurities mix with "
		    "the water below 10 mm/h only (CCT Guide, sec. 2.1, 8.2): this "
		    "mantle is not for a test by 1/F.",
		    3.6e6 * ret->speed_m_per_s);
	leave_out_the_ice(t, ice, ret);
}
