#include "app/simulate/measure.h"

#include "app/simulate/cell_truth.h"

#include <math.h>

/* Readings at the first current, at the second, and at the first again; ours. */
static const int series[] = { 15, 30, 15 };

#define SECOND           INT64_C(1000000) /* in the clock's microseconds */
#define BETWEEN_READINGS (30 * SECOND)
#define BETWEEN_CURRENTS (240 * SECOND)
#define BETWEEN_VISITS   (3 * 3600 * SECOND)
#define BATH_AWAY_K      0.01                /* from the resistor's own temperature */
#define BATH_MOVES_K     0.006               /* from visit to visit, either way */
#define FIRST_DAY        INT64_C(1930000000) /* in 2031; any day does */

struct measurement {
	const struct simulate_laboratory *laboratory;
	const struct simulate_draws *draws;
	struct simulate_calibration *c;
	double r_tpw_ohm; /* in the state of the moment */
	int64_t time_us;
};

/* What the bridge and the resistor make of a resistance. */
struct instrument {
	double rs_ohm, bath_C, error;
	double power; /* (i2/i1)^2 is this much of 2 */
};

static struct instrument instrument_at(const struct measurement *m, const struct lab_visit *visit)
{
	const lab_calibration *record = m->c->record;
	const struct lab_resistor *s = LAB_AT(record->resistors, lab_resistor, visit->resistor);
	const struct lab_bridge *b = LAB_AT(record->bridges, lab_bridge, visit->bridge);
	const double ohm = s->ohm + s->u_ohm * simulate_normal(m->draws, "resistor %s", s->id);
	const double per_K =
	    s->per_K + s->u_per_K * simulate_normal(m->draws, "resistor %s per K", s->id);
	const double bath_C =
	    s->at_C + BATH_AWAY_K +
	    BATH_MOVES_K * simulate_uniform(m->draws, "visit %s bath moves", visit->id);
	const double away_K =
	    bath_C - s->at_C + s->u_bath_K * simulate_normal(m->draws, "visit %s bath", visit->id);
	/* the error is that of the ratio: the same at every visit to a point */
	const double error =
	    visit->measure
		? simulate_normal(m->draws, "bridge at visit %s", visit->id)
		: simulate_normal(
		      m->draws, "bridge at %s on %s",
		      lab_point_name(LAB_AT(record->cells, lab_cell, visit->cell)->point), s->id);

	return (struct instrument){
		.rs_ohm = ohm * (1.0 + per_K * away_K),
		.bath_C = bath_C,
		.error = b->u_linearity * error,
		.power = 1.0 + b->u_current_ratio * simulate_normal(m->draws, "bridge currents"),
	};
}

/* Two hydrogen points share a name, but not a ratio; the reduction gives them one linearity error,
   and so do we. */
static void take_readings(struct measurement *m, int visit, double r0_ohm, double heating_ohm)
{
	const struct lab_visit *said = LAB_AT(m->c->record->visits, lab_visit, visit);
	const struct simulate_range *range = &m->laboratory->ranges[said->resistor];
	const double resolution =
	    LAB_AT(m->c->record->bridges, lab_bridge, said->bridge)->resolution;
	const struct instrument x = instrument_at(m, said);
	struct num_lane noise = simulate_lane(m->draws, "visit %s noise", said->id);

	for (size_t block = 0; block < G_N_ELEMENTS(series); block++) {
		const bool second = block == 1;
		const double current_A = 1e-3 * range->current_mA * (second ? sqrt(2.0) : 1.0);
		const double r_ohm = r0_ohm + heating_ohm * (second ? 2.0 * x.power : 1.0);

		for (int i = 0; i < series[block]; i++) {
			const double ratio = r_ohm / x.rs_ohm - x.error +
					     range->noise / (second ? sqrt(2.0) : 1.0) *
						 simulate_next_normal(&noise);
			const struct lab_reading reading = {
				.time_us = m->time_us,
				.visit = visit,
				.current_A = current_A,
				.ratio = resolution * round(ratio / resolution),
				.resistance_ohm = LAB_NOT_GIVEN,
				.bath_C = x.bath_C,
			};
			g_array_append_val(m->c->record->readings, reading);
			m->time_us += BETWEEN_READINGS;
		}
		m->time_us += BETWEEN_CURRENTS;
	}
	m->time_us += BETWEEN_VISITS;
}

/* What the laboratory was told of its point; the last that it visits is water again. */
static double nominal_heating_K(const struct measurement *m, int visit)
{
	const struct lab_visit *said = LAB_AT(m->c->record->visits, lab_visit, visit);
	const struct simulate_laboratory *laboratory = m->laboratory;

	if (said->measure)
		return 1e-3 * laboratory->water.heating_mK;
	const enum lab_point point = LAB_AT(m->c->record->cells, lab_cell, said->cell)->point;
	for (size_t i = 0; i < laboratory->n_points; i++)
		if (laboratory->points[i].point == point)
			return 1e-3 * laboratory->points[i].heating_mK;
	return 1e-3 * laboratory->water.heating_mK;
}

static double heating_K(const struct measurement *m, int visit)
{
	return nominal_heating_K(m, visit) *
	       (1.0 + 0.5 * simulate_uniform(m->draws, "visit %d heating", visit));
}

static double water_K(void)
{
	return firn_scale_point(FIRN_H2O)->t90_K;
}

static double water_slope_per_K(void)
{
	double wr, slope_per_K;

	return firn_scale_wr_at(FIRN_H2O, true, &wr, &slope_per_K) < 0 ? (double)NAN : slope_per_K;
}

/* The triple point of water: W = 1 at 273.16 K by definition. */
static void visit_water(struct measurement *m, int visit)
{
	const struct lab_visit *said = LAB_AT(m->c->record->visits, lab_visit, visit);
	const double slope_per_K = water_slope_per_K();
	double away_K =
	    simulate_cell_K(m->draws, m->c->record, said) - simulate_defined_K(m->c->record, said);

	away_K += said->terms[LAB_STABILITY].u *
		  simulate_normal(m->draws, "visit %s stability", said->id);
	take_readings(m, visit, m->r_tpw_ohm * (1.0 + slope_per_K * away_K),
		      m->r_tpw_ohm * slope_per_K * heating_K(m, visit));
}

/* Another point: R(TPW) has moved since the last visit, which nobody has to know; and it moves
   until the next one, which the budget calls stability. */
static void visit_point(struct measurement *m, int visit)
{
	const struct lab_visit *said = LAB_AT(m->c->record->visits, lab_visit, visit);
	double w = (double)NAN, slope_per_K = (double)NAN;
	double t_K;

	m->r_tpw_ohm *= 1.0 + 1e-3 * m->laboratory->drift_mK * water_slope_per_K() *
				  simulate_normal(m->draws, "visit %d drift", visit);
	t_K = simulate_cell_K(m->draws, m->c->record, said);
	simulate_w(&m->c->thermometer, t_K > water_K(), t_K, true, &w, &slope_per_K);
	const double moves_K = said->terms[LAB_STABILITY].u *
			       simulate_normal(m->draws, "visit %s stability", said->id);
	if (m->laboratory->one_tpw) { /* its R(TPW) was measured before */
		w += slope_per_K * moves_K;
		take_readings(m, visit, m->r_tpw_ohm * w,
			      m->r_tpw_ohm * slope_per_K * heating_K(m, visit));
		return;
	}
	take_readings(m, visit, m->r_tpw_ohm * w, m->r_tpw_ohm * slope_per_K * heating_K(m, visit));
	m->r_tpw_ohm *= 1.0 + moves_K * slope_per_K / w;
}

/* A place whose temperature is sought; the thermometer rests. */
static void visit_place(struct measurement *m, int visit, double place_K)
{
	const struct lab_visit *said = LAB_AT(m->c->record->visits, lab_visit, visit);
	const double t_K =
	    place_K + said->u_temperature_K * simulate_normal(m->draws, "visit %s place", said->id);
	double w = (double)NAN, slope_per_K = (double)NAN;

	simulate_w(&m->c->thermometer, t_K > water_K(), t_K, true, &w, &slope_per_K);
	take_readings(m, visit, m->r_tpw_ohm * w, m->r_tpw_ohm * slope_per_K * heating_K(m, visit));
}

/* An estimate with few degrees of freedom comes out as it comes out. */
static void state_estimates(const struct measurement *m)
{
	for (guint i = 0; i < m->c->record->visits->len; i++) {
		struct lab_visit *visit = LAB_AT(m->c->record->visits, lab_visit, i);

		for (int k = 0; k < LAB_TERMS; k++)
			if (lab_given(visit->terms[k].u))
				visit->terms[k].u *=
				    simulate_spread(m->draws, visit->terms[k].dof,
						    "visit %s estimate %d", visit->id, k);
	}
}

void simulate_measure(const struct simulate_laboratory *laboratory,
		      const struct simulate_draws *draws, struct simulate_calibration *ret)
{
	struct measurement m = { laboratory, draws, ret, laboratory->r_tpw_ohm,
				 FIRST_DAY * SECOND };
	int place = 0;

	ret->record = simulate_state(laboratory, draws->calibration);
	ret->r_tpw_ohm = g_array_new(FALSE, TRUE, sizeof(double));
	simulate_thermometer(laboratory, draws, &ret->thermometer);
	for (int i = 0; i < (int)ret->record->visits->len; i++) {
		const struct lab_visit *said = LAB_AT(ret->record->visits, lab_visit, i);

		if (said->measure)
			visit_place(&m, i, laboratory->places_K[place++]);
		else if (LAB_AT(ret->record->cells, lab_cell, said->cell)->point == LAB_H2O)
			visit_water(&m, i);
		else
			visit_point(&m, i);
		g_array_append_val(ret->r_tpw_ohm, m.r_tpw_ohm);
	}
	state_estimates(&m);
}

void simulate_calibration_clear(struct simulate_calibration *calibration)
{
	lab_calibration_free(calibration->record);
	if (calibration->r_tpw_ohm != NULL)
		g_array_unref(calibration->r_tpw_ohm);
}
