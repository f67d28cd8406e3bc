/*
 * Invented laboratories: what each states of itself, and what it doesn't know of its thermometer.
 * docs/methods/simulation.md tells what each is for.
 */
#ifndef SIMULATE_LABORATORY_H
#define SIMULATE_LABORATORY_H

#include "app/lab/calibration.h"

#include "firn/scale.h"

enum { SIMULATE_MOST_POINTS = 8, SIMULATE_MOST_JUDGED = 2, SIMULATE_PLACES = 2 };

/* A cell and the visits to it. Standard uncertainties; what is left out is 0. */
struct simulate_point {
	const char *cell;
	enum lab_point point;
	double depth_m;
	double pressure_Pa;
	double vapour_Pa, u_vapour_Pa;
	double u_cell_mK;
	double total_umol_per_mol; /* overall maximum of impurities; 0: none stated */
	double terms_mK[LAB_TERMS];
	double dof; /* of the reproducibility */
	double mantle_age_mK, u_mantle_age_mK;
	double heating_mK; /* nominal, at the first current */
	int range;         /* which resistor and currents */
};

/* A resistor, and the currents that go with it; the second is sqrt 2 times the first. */
struct simulate_range {
	const char *resistor;
	double ohm, u_ohm, at_C, current_mA;
	double noise; /* standard deviation of one reading, of the ratio */
};

/* A deviation function; `coefficients` are nominal. */
struct simulate_side {
	bool given;
	enum firn_subrange_id form;
	double coefficients[FIRN_MOST_COEFFICIENTS];
};

/* What the laboratory is an example of; see docs/methods/simulation.md. */
enum simulate_kind { SIMULATE_WELL_KNOWN, SIMULATE_RECTANGLE, SIMULATE_FEW_REPEATS };

struct simulate_laboratory {
	const char *name;
	enum simulate_kind kind;
	enum lab_sensor sensor;
	double r_tpw_ohm; /* of the thermometer as it comes in */
	bool one_tpw;     /* one visit to water serves all points; otherwise one after each */
	double drift_mK;  /* of R(TPW) from one point to the next */
	struct simulate_range ranges[2];
	struct simulate_point water;
	size_t n_points;
	struct simulate_point points[SIMULATE_MOST_POINTS]; /* in the order of measurement */
	double places_K[SIMULATE_PLACES];                   /* temperatures to be found */
	double u_place_mK;
	struct simulate_side below, above;
	size_t n_judged;
	enum lab_subrange judged[SIMULATE_MOST_JUDGED]; /* also the form of that side */
};

extern const struct simulate_laboratory simulate_laboratories[];
extern const size_t simulate_n_laboratories;

/* NULL when there is none of that name. */
const struct simulate_laboratory *simulate_laboratory_named(const char *name);

/*
 * The record that the laboratory keeps of one calibration, without readings: every visit in order,
 * and every true standard uncertainty. Visits and cells are named after the calibration's number.
 */
lab_calibration *simulate_state(const struct simulate_laboratory *laboratory, uint64_t number);

#endif
