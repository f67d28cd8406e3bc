/*
 * Mistakes that laboratories are known to make, looked for in the numbers themselves. What can't be
 * right stops the reduction; what may be right is said with the size of its effect.
 */
#include "app/calc/reduction.h"

#include <stdlib.h>

/* W of any platinum thermometer, industrial ones (S = 0.981) included, lies within this of W_r,
   relative to W_r - 1. Ours. */
#define FOREIGN_W 0.05
/* R(TPW) against the nominal resistance: makers keep within some per cent. Ours. */
#define FOREIGN_NOMINAL 0.1
/* S of one thermometer agrees within 5e-5 at all points above 50 K, with a small step at 273.16 K
   (White and Strouse, Metrologia 46 (2009), as given in CCT Guide ch. 5 (2018), 4.4.2); four times
   that is told. The factor is ours. */
#define S_TELLS  2e-4
#define S_FROM_K 50.0
/* Below this the wire is not pure platinum, and its S need not agree. Ours. */
#define S_OF_PURE 0.998
/* R(0 degC)/R(0.01 degC): CCT Guide ch. 1 (2018), 3.1. */
#define ICE_RATIO 0.9999601
/* Heating in one medium against the median of all: a gas cell at 84 K heats a quarter as much as
   water, none heats much more. Ours. */
#define HEATING_MOST  2.5
#define HEATING_LEAST 0.2
/* Hours between a point and the R(TPW) that it is divided by: "within a few hours", CCT Guide ch. 5
   (2018), 4.4.1; told from here on. */
#define TPW_LATE_H 24.0
/* Bath of a resistor away from its calibration temperature. Common practice, no source. */
#define BATH_FAR_K 5.0

static const struct firn_fixed_point *fixed_point(int place)
{
	return place >= LAB_POINTS ? firn_scale_point(FIRN_E_H2_VAPOUR)
				   : firn_scale_point((enum firn_point)place);
}

/* The point that a W belongs to, if any. */
static const char *point_of_w(double w)
{
	for (int i = 0; i < FIRN_POINTS; i++) {
		const struct firn_fixed_point *p = firn_scale_point((enum firn_point)i);

		if (i != FIRN_H2O && !isnan(p->wr) && fabs(w - p->wr) < 0.02 * fabs(p->wr - 1.0))
			return p->name;
	}
	return fabs(w - 1.0) < 1e-3 ? "H2O" : NULL;
}

/* A6, A7, E1, E2: ohm for ratio, another resistor, visits exchanged. */
static bool w_is_of_its_point(struct reduction *r, int visit)
{
	const struct reduced_visit *v = &r->visits[visit];
	const enum lab_point point = reduction_point(r, visit);
	const double w = v->result.w.value;
	const char *other;

	if (point == LAB_NO_POINT || point == LAB_H2O ||
	    fabs(w - v->result.wr) <= FOREIGN_W * fabs(v->result.wr - 1.0))
		return true;
	other = point_of_w(w);
	if (other != NULL)
		reduction_wrong(r, reduction_visit(r, visit)->mark,
				"visit %s: W = %.6g is that of %s, not of %s (about %.6g); were "
				"visits or cells "
				"exchanged?",
				v->result.id, w, other, lab_point_name(point), v->result.wr);
	else
		reduction_wrong(
		    r, reduction_visit(r, visit)->mark,
		    "visit %s: W = %.6g can't be that of platinum at %s (about %.6g); look at its "
		    "readings, whether they are ratios or ohm, at its resistor, and at the R(TPW) "
		    "of visit %s",
		    v->result.id, w, lab_point_name(point), v->result.wr, v->result.tpw);
	return false;
}

static bool is_near(double a, double b)
{
	return fabs(a / b - 1.0) <= FOREIGN_NOMINAL;
}

/* What is wrong with all visits to water alike is said of the first. */
static bool r_tpw_is_nominal(struct reduction *r, int visit)
{
	const double nominal_ohm = r->job->thermometer.nominal_ohm;
	const struct lab_visit_result *v = &r->visits[visit].result;

	if (reduction_point(r, visit) != LAB_H2O || !lab_given(nominal_ohm) ||
	    is_near(v->r_ohm.value, nominal_ohm))
		return true;
	for (int i = 0; i < visit; i++) {
		if (reduction_point(r, i) == LAB_H2O &&
		    is_near(r->visits[i].result.r_ohm.value, v->r_ohm.value))
			return false;
	}
	reduction_wrong(r, reduction_visit(r, visit)->mark,
			"visit %s: R(TPW) comes out as %.6g ohm, but the thermometer is nominally "
			"%.6g ohm; look at nominal_ohm, at the resistor, and whether the readings "
			"are ratios or ohm",
			v->id, v->r_ohm.value, nominal_ohm);
	return false;
}

/* A20: without extrapolation, numerator and denominator need one current. */
static bool single_currents_agree(struct reduction *r, int visit)
{
	const struct reduced_visit *v = &r->visits[visit];
	const struct reduced_visit *tpw = v->tpw[0] < 0 ? NULL : &r->visits[v->tpw[0]];

	if (tpw == NULL || v->n_currents != 1 ||
	    fabs(firn_value(v->current_A[0]) / firn_value(tpw->current_A[0]) - 1.0) <= 0.01)
		return true;
	reduction_wrong(r, reduction_visit(r, visit)->mark,
			"visit %s was read at %.4g mA, its R(TPW) at %.4g mA; W needs one current "
			"for both, or two "
			"currents in each",
			v->result.id, 1e3 * firn_value(v->current_A[0]),
			1e3 * firn_value(tpw->current_A[0]));
	return false;
}

struct consistency {
	int n;
	int visit[REDUCTION_POINTS];
	double w[REDUCTION_POINTS], wr[REDUCTION_POINTS], s[REDUCTION_POINTS];
};

static struct consistency collect_s(const struct reduction *r)
{
	struct consistency c = { 0 };

	for (int place = 0; place < REDUCTION_POINTS; place++) {
		if (!r->points[place].measured || isnan(fixed_point(place)->wr) ||
		    fixed_point(place)->t90_K < S_FROM_K)
			continue;
		c.visit[c.n] = g_array_index(r->points[place].visits, int, 0);
		c.w[c.n] = firn_value(r->points[place].w);
		c.wr[c.n] = firn_value(r->points[place].wr);
		c.s[c.n] = (c.w[c.n] - 1.0) / (c.wr[c.n] - 1.0);
		c.n++;
	}
	return c;
}

/*
 * The factor of R(TPW) that makes all S agree best: with W f in place of W, S_i becomes
 * S_i + (f - 1) x_i, x_i = W_i/(W_r,i - 1); the f - 1 that makes the spread least.
 */
static double factor_of_r_tpw(const struct consistency *c)
{
	double mean_s = 0.0, mean_x = 0.0, sxx = 0.0, sxs = 0.0;

	for (int i = 0; i < c->n; i++) {
		mean_s += c->s[i] / c->n;
		mean_x += c->w[i] / (c->wr[i] - 1.0) / c->n;
	}
	for (int i = 0; i < c->n; i++) {
		const double x = c->w[i] / (c->wr[i] - 1.0) - mean_x;

		sxx += x * x;
		sxs += x * (c->s[i] - mean_s);
	}
	return 1.0 - sxs / sxx;
}

static double spread(const struct consistency *c, double factor)
{
	double least = (double)INFINITY, most = -(double)INFINITY;

	for (int i = 0; i < c->n; i++) {
		const double s = (factor * c->w[i] - 1.0) / (c->wr[i] - 1.0);

		least = fmin(least, s);
		most = fmax(most, s);
	}
	return most - least;
}

static int by_size(const void *a, const void *b)
{
	const double x = *(const double *)a, y = *(const double *)b;

	return (x > y) - (x < y);
}

static double median_of(const double *x, int n)
{
	double sorted[REDUCTION_POINTS];

	for (int i = 0; i < n; i++)
		sorted[i] = x[i];
	qsort(sorted, (size_t)n, sizeof(*sorted), by_size);
	return n % 2 == 1 ? sorted[n / 2] : 0.5 * (sorted[n / 2 - 1] + sorted[n / 2]);
}

/* A1, A7, B4, B9: a wrong R(TPW) moves S at all points in its own pattern, a wrong reading at one.
 */
static void tell_inconsistent_s(struct reduction *r)
{
	const struct consistency c = collect_s(r);
	double factor, median;

	if (c.n < 3 || spread(&c, 1.0) < S_TELLS || median_of(c.s, c.n) < S_OF_PURE)
		return;
	factor = factor_of_r_tpw(&c);
	if (fabs(factor - ICE_RATIO) < 1e-5 && spread(&c, factor) < 0.5 * spread(&c, 1.0)) {
		reduction_reserve(r,
				  "S = (W - 1)/(W_r - 1) disagrees between the points by %.1e, in "
				  "the way it does when "
				  "R(0 \u00b0C) stands in place of R(0.01 \u00b0C): an error of 10 "
				  "mK at 0 \u00b0C, 20 mK at tin, 29 mK at "
				  "zinc. Look at the visits to H2O.",
				  spread(&c, 1.0));
		return;
	}
	median = median_of(c.s, c.n);
	for (int i = 0; i < c.n; i++) {
		const double effect_K =
		    (c.s[i] - median) * (c.wr[i] - 1.0) / r->visits[c.visit[i]].dwr_per_K;

		if (fabs(c.s[i] - median) > S_TELLS)
			reduction_reserve(r,
					  "Visit %s (%s): S = %.6f lies %.1e from that of the "
					  "other points, which is %.2g mK; "
					  "look at its readings, resistor, currents, head and "
					  "pressure, and at its R(TPW).",
					  r->visits[c.visit[i]].result.id,
					  lab_point_name(reduction_point(r, c.visit[i])), c.s[i],
					  c.s[i] - median, 1e3 * fabs(effect_K));
	}
}

/* B6, B8, B9: the heating belongs to thermometer and cell together; one that stands out tells of a
   wrong current or of a poor contact. */
static void tell_odd_heating(struct reduction *r)
{
	const int n = (int)r->job->visits->len;
	g_autofree double *heating = g_new(double, (size_t)n + 1);
	int found = 0;
	double median;

	for (int i = 0; i < n; i++)
		if (lab_given(r->visits[i].result.self_heating_K))
			heating[found++] = r->visits[i].result.self_heating_K;
	if (found < 3)
		return;
	qsort(heating, (size_t)found, sizeof(*heating), by_size);
	median = heating[found / 2];
	for (int i = 0; i < n && median > 0.0; i++) {
		const struct lab_visit_result *v = &r->visits[i].result;

		if (!lab_given(v->self_heating_K) || reduction_point(r, i) == LAB_NO_POINT ||
		    (v->self_heating_K < HEATING_MOST * median &&
		     v->self_heating_K > HEATING_LEAST * median) ||
		    fabs(v->self_heating_K - median) < 3.0 * v->self_heating_u_K ||
		    fabs(v->self_heating_K - median) < 1e-4)
			continue;
		reduction_reserve(r,
				  "Visit %s: the current heats by %.3g mK, elsewhere by about %.3g "
				  "mK: a current that "
				  "was not what the file says, or poor contact in the well.",
				  v->id, 1e3 * v->self_heating_K, 1e3 * median);
	}
}

/* A3: oxidation changes in hours, and a late R(TPW) belongs to another state. */
static void tell_late_tpw(struct reduction *r, int visit)
{
	const struct reduced_visit *v = &r->visits[visit];
	double hours;

	if (v->tpw[0] < 0 || reduction_point(r, visit) == LAB_NO_POINT || !lab_given(v->time_s) ||
	    !lab_given(r->visits[v->tpw[0]].time_s))
		return;
	hours = fabs(r->visits[v->tpw[0]].time_s - v->time_s) / 3600.0;
	if (hours > TPW_LATE_H && r->job->thermometer.sensor != LAB_CAPSULE)
		reduction_reserve(
		    r,
		    "Visit %s: its R(TPW), visit %s, was measured %.0f hours apart; within a few "
		    "hours "
		    "is wanted, as the oxide on the wire may have changed (1 mK to 2 mK).",
		    v->result.id, v->result.tpw, hours);
}

/* B11: what drifts while it is read is no mean of anything; the size is what has to be judged. */
static void tell_drift(struct reduction *r, int visit)
{
	const struct reduced_visit *v = &r->visits[visit];
	const double per_K = v->dwr_per_K > 0.0 ? v->dwr_per_K : 4e-3; /* near enough, measured */

	for (int i = 0; i < v->n_currents; i++) {
		const double drift_K = v->drift[i] * v->result.w.value / per_K;

		if (lab_given(drift_K))
			reduction_reserve(r,
					  "Visit %s: the readings at %.3g mA %s by %.2g \u00b5K "
					  "while they were taken.",
					  v->result.id, 1e3 * firn_value(v->current_A[i]),
					  drift_K < 0.0 ? "fell" : "rose", 1e6 * fabs(drift_K));
	}
}

/* A7: the resistor's coefficient over many kelvins. */
static void tell_far_bath(struct reduction *r, int visit)
{
	const struct lab_visit *said = reduction_visit(r, visit);
	const struct lab_resistor *s =
	    said->resistor < 0 ? NULL : LAB_AT(r->job->resistors, lab_resistor, said->resistor);
	const struct firn_node bath = r->visits[visit].bath_C;

	if (s == NULL || bath.index == 0 || fabs(firn_value(bath) - s->at_C) <= BATH_FAR_K)
		return;
	reduction_reserve(r,
			  "Visit %s: resistor %s was at %.2f \u00b0C, calibrated at %.2f \u00b0C; "
			  "its coefficient makes "
			  "%.1e of that.",
			  said->id, s->id, firn_value(bath), s->at_C,
			  fabs(lab_or(s->per_K, 0.0) * (firn_value(bath) - s->at_C)));
}

/* B4: what is at stake where the gas pressure was not stated. */
static void tell_missing_pressure(struct reduction *r, int visit)
{
	const struct lab_visit *said = reduction_visit(r, visit);
	const struct lab_cell *cell = reduction_cell(r, said);
	const struct firn_fixed_point *point =
	    cell == NULL ? NULL : firn_scale_point((enum firn_point)cell->point);

	if (point == NULL || !point->gas_pressure || cell->triple ||
	    cell->certificate.holds_pressure || lab_given(r->visits[visit].result.pressure_Pa))
		return;
	reduction_reserve(r,
			  "Visit %s: the gas pressure over %s was not stated and is taken as "
			  "101325 Pa; a fifth less "
			  "would be %.2g mK.",
			  said->id, lab_point_name(cell->point),
			  1e3 * fabs(0.2 * 101325.0 * point->dT_dp_K_per_Pa));
}

/* B1, B2: the same for the head. */
static void tell_missing_depth(struct reduction *r, int visit)
{
	const struct lab_visit *said = reduction_visit(r, visit);
	const struct lab_cell *cell = reduction_cell(r, said);
	const struct firn_fixed_point *point =
	    cell == NULL ? NULL : firn_scale_point((enum firn_point)cell->point);

	if (point == NULL || point->kind == FIRN_VAPOUR_PRESSURE_POINT ||
	    cell->certificate.holds_head || lab_given(said->depth_m))
		return;
	reduction_reserve(r,
			  "Visit %s: the depth of the sensor's middle below the surface was not "
			  "stated and is taken "
			  "as 0; 20 cm would be %.2g mK.",
			  said->id, 1e3 * fabs(0.2 * point->dT_dl_K_per_m));
}

/* Midnight that ends a day, as UTC microseconds; INT64_MIN for a text that is no date. */
static int64_t end_of_day_us(const char *date)
{
	g_auto(GStrv) parts = date == NULL ? NULL : g_strsplit(date, "-", 3);
	g_autoptr(GDateTime) day = NULL;

	if (parts == NULL || g_strv_length(parts) != 3)
		return INT64_MIN;
	day = g_date_time_new_utc((int)g_ascii_strtoll(parts[0], NULL, 10),
				  (int)g_ascii_strtoll(parts[1], NULL, 10),
				  (int)g_ascii_strtoll(parts[2], NULL, 10), 0, 0, 0.0);
	return day == NULL ? INT64_MIN : (g_date_time_to_unix(day) + 86400) * 1000000;
}

/* A certificate is issued after what it certifies; a day's name may differ by half a day over the
   earth. */
static bool release_is_later(struct reduction *r)
{
	const int64_t issued_us = end_of_day_us(r->job->release.date),
		      half_a_day_us = INT64_C(43200000000);

	if (!r->job->release.given || issued_us == INT64_MIN || r->result->last_us == INT64_MIN ||
	    issued_us + half_a_day_us >= r->result->last_us)
		return true;
	reduction_wrong(r, lab_calibration_mark(r->job, "release.date"),
			"the release is dated %s, but the last reading is later; the date of issue "
			"comes after the "
			"measurements",
			r->job->release.date);
	return false;
}

bool reduction_is_plausible(struct reduction *r)
{
	bool good = release_is_later(r);

	for (int i = 0; i < (int)r->job->visits->len; i++) {
		good = single_currents_agree(r, i) && good;
		good = r_tpw_is_nominal(r, i) && w_is_of_its_point(r, i) && good;
		tell_missing_depth(r, i);
		tell_missing_pressure(r, i);
		tell_far_bath(r, i);
		tell_drift(r, i);
		tell_late_tpw(r, i);
	}
	if (good) {
		tell_inconsistent_s(r);
		tell_odd_heating(r);
	}
	return good;
}
