#include "app/simulate/thermometer.h"

#include <math.h>

/* Size of a coefficient's draw, relative; ours. */
#define COEFFICIENTS_VARY 0.2

/* Where the departures are zero, and a new one begins: fixed points of the published figures. */
static const enum firn_point bounds[] = { FIRN_NE,  FIRN_O2, FIRN_AR, FIRN_HG,
					  FIRN_H2O, FIRN_SN, FIRN_ZN, FIRN_AL };

static int interval_of(double t90_K)
{
	int i = 0;

	while (i < (int)G_N_ELEMENTS(bounds) && t90_K > firn_scale_point(bounds[i])->t90_K)
		i++;
	return i;
}

/* W at a fixed point by a form; the reference function's where the form does not reach. */
static double w_of(const struct simulate_thermometer_side *side, enum firn_point point)
{
	const struct firn_fixed_point *p = firn_scale_point(point);
	double w, slope;

	if (firn_subrange_w(side->form, side->c, side->w_al, p->t90_K, &w, &slope) < 0)
		return p->wr;
	return w;
}

static void make_side(const struct simulate_side *said, double factor,
		      struct simulate_thermometer_side *ret)
{
	if (!said->given)
		return;
	ret->id = said->form;
	ret->form = firn_scale_subrange(said->form);
	ret->w_al = LAB_NOT_GIVEN;
	for (size_t i = 0; i < FIRN_MOST_COEFFICIENTS; i++)
		ret->c[i] = factor * said->coefficients[i];
	if (said->form == FIRN_H2O_AG) {
		/* below aluminium the two forms are the same function of a, b, c */
		const struct simulate_thermometer_side to_al = {
			.form = firn_scale_subrange(FIRN_H2O_AL),
			.c = { ret->c[0], ret->c[1], ret->c[2] },
			.w_al = LAB_NOT_GIVEN,
		};
		ret->w_al = w_of(&to_al, FIRN_AL);
	}
	ret->w_sn = w_of(ret, FIRN_SN);
	ret->w_zn = w_of(ret, FIRN_ZN);
}

void simulate_thermometer(const struct simulate_laboratory *laboratory,
			  const struct simulate_draws *draws, struct simulate_thermometer *ret)
{
	const double factor = 1.0 + COEFFICIENTS_VARY * simulate_normal(draws, "coefficients");

	*ret = (struct simulate_thermometer){ 0 };
	make_side(&laboratory->below, factor, &ret->below);
	make_side(&laboratory->above, factor, &ret->above);
	for (int i = 0; i < SIMULATE_INTERVALS; i++) {
		ret->non_uniqueness[i] = simulate_normal(draws, "non-uniqueness in interval %d", i);
		ret->inconsistency[i] = simulate_normal(draws, "inconsistency in interval %d", i);
	}
}

/* Both published standard uncertainties, 0 where there is none. */
static void u_departures(const struct simulate_thermometer_side *side, double t90_K,
			 double *ret_non_uniqueness_K, double *ret_inconsistency_K)
{
	double w, slope;

	if (firn_scale_non_uniqueness(t90_K, side->form->from_zero, ret_non_uniqueness_K) < 0)
		*ret_non_uniqueness_K = 0.0;
	*ret_inconsistency_K = 0.0;
	if (firn_subrange_w(side->form, side->c, side->w_al, t90_K, &w, &slope) >= 0 &&
	    firn_scale_inconsistency(side->id, t90_K, w, side->w_sn, side->w_zn,
				     ret_inconsistency_K) < 0)
		*ret_inconsistency_K = 0.0;
}

/* (W - 1)(W - W_Sn)(W - W_Zn) of equation (53) has one sign to tin and the other to zinc, so one
   number serves both. */
static double inconsistency_drawn(const struct simulate_thermometer *thermometer, double t90_K)
{
	const double sn_K = firn_scale_point(FIRN_SN)->t90_K;
	const int to_sn = interval_of(sn_K);

	if (t90_K > sn_K && interval_of(t90_K) == to_sn + 1)
		return -thermometer->inconsistency[to_sn];
	return thermometer->inconsistency[interval_of(t90_K)];
}

static double departure_K(const struct simulate_thermometer *thermometer,
			  const struct simulate_thermometer_side *side, double t90_K)
{
	double non_uniqueness_K, inconsistency_K;

	u_departures(side, t90_K, &non_uniqueness_K, &inconsistency_K);
	return thermometer->non_uniqueness[interval_of(t90_K)] * non_uniqueness_K +
	       inconsistency_drawn(thermometer, t90_K) * inconsistency_K;
}

bool simulate_w(const struct simulate_thermometer *thermometer, bool above, double t90_K,
		bool departing, double *ret_w, double *ret_dw_per_K)
{
	const struct simulate_thermometer_side *side =
	    above ? &thermometer->above : &thermometer->below;

	if (side->form == NULL)
		return false;
	if (departing)
		t90_K += departure_K(thermometer, side, t90_K);
	return firn_subrange_w(side->form, side->c, side->w_al, t90_K, ret_w, ret_dw_per_K) >= 0;
}
