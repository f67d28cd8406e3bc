/* Readings of a visit, current by current, to resistance at zero current. */
#include "app/calc/reduction.h"

#include "firn/resistor.h"
#include "firn/series.h"
#include "firn/zero_power.h"

#include <string.h>

/* Readings whose currents differ by less than this factor belong to one current. Ours: currents
   that serve for extrapolation differ by 1.1 at least, a set current repeats to a per cent. */
#define SAME_CURRENT 1.05
/* Chance that a series without outliers shows one; flags only, nothing is dropped. */
#define OUTLIER_ALPHA 0.01

struct readings_at_current {
	GArray *x, *t_s; /* double */
	double sum_A;
	int set_aside;
	bool timed;
};

static void clear_group(void *element)
{
	struct readings_at_current *group = element;

	g_array_unref(group->x);
	g_array_unref(group->t_s);
}

static double mean_current(const struct readings_at_current *group)
{
	return group->sum_A / group->x->len;
}

static struct readings_at_current *group_for(GArray *groups, double current_A)
{
	struct readings_at_current fresh = { .timed = true };

	for (guint i = 0; i < groups->len; i++) {
		struct readings_at_current *group =
		    &g_array_index(groups, struct readings_at_current, i);
		const double mean = mean_current(group);

		if (fmax(mean, current_A) < SAME_CURRENT * fmin(mean, current_A))
			return group;
	}
	fresh.x = g_array_new(FALSE, FALSE, sizeof(double));
	fresh.t_s = g_array_new(FALSE, FALSE, sizeof(double));
	g_array_append_val(groups, fresh);
	return &g_array_index(groups, struct readings_at_current, groups->len - 1);
}

static int by_current(const void *a, const void *b)
{
	const double x = mean_current(a), y = mean_current(b);

	return (x > y) - (x < y);
}

/* What a visit's readings say apart from the readings themselves. */
struct visit_readings {
	GArray *groups; /* struct readings_at_current, rising */
	double bath_C;  /* mean; NaN: none given */
	double time_s;
	bool in_ohm;
};

static void add_reading(struct visit_readings *v, const struct lab_reading *reading)
{
	struct readings_at_current *group = group_for(v->groups, reading->current_A);
	const double x = lab_given(reading->ratio) ? reading->ratio : reading->resistance_ohm;
	const double t_s = (double)reading->time_us * 1e-6;

	v->in_ohm = !lab_given(reading->ratio);
	group->sum_A += reading->current_A;
	group->timed &= reading->time_us != INT64_MIN;
	g_array_append_val(group->x, x);
	g_array_append_val(group->t_s, t_s);
}

/* Each reading set aside belongs to the current nearest to its own. */
static void count_set_aside(const struct reduction *r, int visit, struct visit_readings *v)
{
	for (guint i = 0; i < r->job->readings->len; i++) {
		const struct lab_reading *reading = LAB_AT(r->job->readings, lab_reading, i);
		struct readings_at_current *nearest = NULL;

		if (reading->visit != visit || !reading->set_aside)
			continue;
		for (guint j = 0; j < v->groups->len; j++) {
			struct readings_at_current *group =
			    &g_array_index(v->groups, struct readings_at_current, j);

			if (nearest == NULL || fabs(mean_current(group) - reading->current_A) <
						   fabs(mean_current(nearest) - reading->current_A))
				nearest = group;
		}
		if (nearest != NULL)
			nearest->set_aside++;
	}
}

static struct visit_readings collect(const struct reduction *r, int visit)
{
	struct visit_readings v = { .groups = g_array_new(FALSE, FALSE,
							  sizeof(struct readings_at_current)),
				    .bath_C = LAB_NOT_GIVEN,
				    .time_s = LAB_NOT_GIVEN };
	double bath_sum = 0.0, time_sum = 0.0;
	int n_bath = 0, n_time = 0;

	g_array_set_clear_func(v.groups, clear_group);
	for (guint i = 0; i < r->job->readings->len; i++) {
		const struct lab_reading *reading = LAB_AT(r->job->readings, lab_reading, i);

		if (reading->visit != visit)
			continue;
		if (reading->set_aside)
			continue;
		add_reading(&v, reading);
		if (lab_given(reading->bath_C)) {
			bath_sum += reading->bath_C;
			n_bath++;
		}
		if (reading->time_us != INT64_MIN) {
			time_sum += (double)reading->time_us * 1e-6;
			n_time++;
		}
	}
	if (n_bath > 0)
		v.bath_C = bath_sum / n_bath;
	if (n_time > 0)
		v.time_s = time_sum / n_time;
	count_set_aside(r, visit, &v);
	g_array_sort(v.groups, by_current);
	return v;
}

/* The differences from the mean are exact, or nearly: their own mean is what rounding took. */
static double rest_of_mean(const struct firn_readings *readings, double mean)
{
	double sum = 0.0;

	for (size_t i = 0; i < readings->n; i++)
		sum += readings->x[i] - mean;
	return sum / (double)readings->n;
}

/* The mean at one current as an input of the model, and what there is to say about its series. */
static bool record_mean(struct reduction *r, int visit, const struct visit_readings *v, int place,
			struct firn_node *ret_x)
{
	const struct lab_visit *said = reduction_visit(r, visit);
	const struct readings_at_current *group =
	    &g_array_index(v->groups, struct readings_at_current, place);
	const struct firn_readings readings = {
		.n = group->x->len,
		.x = (const double *)(const void *)group->x->data,
		.t_s = group->timed ? (const double *)(const void *)group->t_s->data : NULL,
		.resolution =
		    said->bridge < 0 || v->in_ohm
			? 0.0
			: lab_or(LAB_AT(r->job->bridges, lab_bridge, said->bridge)->resolution,
				 0.0),
	};
	g_autofree bool *flags = g_new0(bool, readings.n);
	size_t n_outliers = 0;
	struct firn_mean mean;
	struct firn_drift drift = { .slope = LAB_NOT_GIVEN };
	const enum firn_status status = firn_series_mean(&readings, &mean);

	if (status < 0)
		return reduction_computed(r, status, said->mark,
					  "the mean of the readings of visit %s", said->id);
	const enum firn_status judged =
	    firn_series_outliers(&readings, OUTLIER_ALPHA, flags, &n_outliers);
	if (judged < 0) /* too few for a judgement is no failure */
		return reduction_computed(r, judged, said->mark,
					  "the scatter of the readings of visit %s", said->id);
	if (firn_series_drift(&readings, &drift) < 0)
		drift.slope = LAB_NOT_GIVEN;

	const struct lab_current_result result = {
		.current_A = mean_current(group),
		.n = (int)readings.n,
		.n_set_aside = group->set_aside,
		.n_outliers = (int)n_outliers,
		.mean = mean.mean,
		.u = mean.u,
		.dof = mean.dof > 0.0 ? mean.dof : (double)INFINITY,
		.s = mean.s,
		.drift_per_s = group->timed ? drift.slope : LAB_NOT_GIVEN,
		.autocorrelation = mean.r1,
		.constant = status == FIRN_WARN_CONSTANT,
	};
	g_array_append_val(r->visits[visit].result.currents, result);

	const char *path =
	    reduction_text(r, "visit.%s.%s at %g mA", said->id,
			   v->in_ohm ? "resistance_ohm" : "ratio", 1e3 * result.current_A);
	*ret_x = reduction_mean_input(r, path, v->in_ohm ? "ohm" : "", mean.mean,
				      rest_of_mean(&readings, mean.mean), mean.u, result.dof);
	if (status == FIRN_WARN_CONSTANT && readings.n >= FIRN_SERIES_FEWEST)
		reduction_reserve(
		    r,
		    "Visit %s: all %zu readings at %.3g mA are equal: the instrument hung, or its "
		    "resolution hides the noise%s.",
		    said->id, readings.n, 1e3 * result.current_A,
		    isnan(mean.u) ? "; the bridge's resolution is not stated, so no type A "
				    "term is formed"
				  : "; the type A term is that of the resolution");
	if (n_outliers > 0)
		reduction_reserve(
		    r, "Visit %s: %zu of %zu readings at %.3g mA stand out; they are used.",
		    said->id, n_outliers, readings.n, 1e3 * result.current_A);
	r->visits[visit].drift[place] = drift.is_significant && lab_given(drift.slope)
					    ? drift.change / mean.mean
					    : LAB_NOT_GIVEN;
	return true;
}

/* A reservation that would come once for every visit comes once, with their names. */
static void reserve_few(struct reduction *r)
{
	g_autoptr(GString) visits = g_string_new(NULL);
	int n = 0;

	for (guint i = 0; i < r->job->visits->len; i++) {
		const GArray *currents = r->visits[i].result.currents;
		bool few = false;

		for (guint j = 0; j < currents->len; j++)
			few |= LAB_AT(currents, lab_current_result, j)->n < FIRN_SERIES_FEWEST;
		if (few)
			g_string_append_printf(visits, "%s%s", n++ > 0 ? ", " : "",
					       reduction_visit(r, (int)i)->id);
	}
	if (n > 1 && n == (int)r->job->visits->len)
		reduction_reserve(r,
				  "At every visit fewer than %d readings at one current; their "
				  "spread enters no uncertainty.",
				  FIRN_SERIES_FEWEST);
	else if (n > 0)
		reduction_reserve(
		    r,
		    "Visit%s %s: fewer than %d readings at one current; their spread enters no "
		    "uncertainty.",
		    n > 1 ? "s" : "", visits->str, FIRN_SERIES_FEWEST);
}

static struct firn_node linearity(struct reduction *r, int visit)
{
	const struct lab_visit *said = reduction_visit(r, visit);
	const struct lab_bridge *bridge =
	    said->bridge < 0 ? NULL : LAB_AT(r->job->bridges, lab_bridge, said->bridge);
	const enum lab_point point = reduction_point(r, visit);
	const char *path;

	if (bridge == NULL || !lab_given(bridge->u_linearity))
		return firn_constant(r->tape, 0.0);
	/* The error is a smooth function of the ratio: visits to one point on one resistor have the
	   same, and so have both currents; others are taken as independent. */
	if (point == LAB_NO_POINT)
		path = reduction_text(r, "bridge.%s.linearity at visit %s", bridge->id, said->id);
	else
		path = reduction_text(
		    r, "bridge.%s.linearity at %s%s%s", bridge->id, lab_point_name(point),
		    said->resistor < 0 ? "" : " on ",
		    said->resistor < 0
			? ""
			: LAB_AT(r->job->resistors, lab_resistor, said->resistor)->id);
	return reduction_shared_input(r, path, "", 0.0, bridge->u_linearity, (double)INFINITY);
}

static bool record_resistor(struct reduction *r, int visit, double bath_C)
{
	const struct lab_visit *said = reduction_visit(r, visit);
	const struct lab_resistor *s = LAB_AT(r->job->resistors, lab_resistor, said->resistor);
	struct reduced_visit *v = &r->visits[visit];
	struct firn_resistor resistor = {
		.ohm = reduction_shared_input(r, reduction_text(r, "resistor.%s.ohm", s->id), "ohm",
					      s->ohm, s->u_ohm, s->dof),
		.at_C = firn_constant(r->tape, lab_or(s->at_C, 0.0)),
		.per_K =
		    reduction_shared_input(r, reduction_text(r, "resistor.%s.per_K", s->id), "1/K",
					   lab_or(s->per_K, 0.0), s->u_per_K, (double)INFINITY),
	};

	if (!lab_given(bath_C) || !lab_given(s->at_C)) {
		v->rs_ohm = resistor.ohm;
		if (lab_given(s->per_K) && s->per_K != 0.0)
			reduction_reserve(
			    r,
			    "Visit %s: the temperature of resistor %s was not given; its value "
			    "at calibration is used.",
			    said->id, s->id);
		return true;
	}
	v->bath_C = reduction_input(r, reduction_text(r, "visit.%s.bath_C", said->id), "\u00b0C",
				    bath_C, s->u_bath_K, (double)INFINITY);
	const enum firn_status status = firn_resistor_at(&resistor, v->bath_C, &v->rs_ohm);
	if (status == FIRN_E_DOMAIN && firn_tape_status(r->tape) >= 0) {
		reduction_wrong(r, said->mark,
				"visit %s: resistor %s can't be taken to %g \u00b0C; calibrated at "
				"%g \u00b0C, it is good for baths near that",
				said->id, s->id, bath_C, s->at_C);
		return false;
	}
	return reduction_computed(r, status, said->mark, "resistor %s at visit %s", s->id,
				  said->id);
}

/* The lines of the table that a visit's readings stand between; 0 and 0 without any. */
static void lines_of(const struct reduction *r, int visit, int *ret_first, int *ret_last)
{
	*ret_first = *ret_last = 0;
	for (guint i = 0; i < r->job->readings->len; i++) {
		const struct lab_reading *reading = LAB_AT(r->job->readings, lab_reading, i);

		if (reading->visit != visit || reading->set_aside)
			continue;
		*ret_first = *ret_first == 0 ? reading->line : MIN(*ret_first, reading->line);
		*ret_last = MAX(*ret_last, reading->line);
	}
}

/* Two currents extrapolate; a reading or current that is wrong by enough takes them below zero. */
static bool is_resistance(struct reduction *r, int visit)
{
	const struct lab_visit *said = reduction_visit(r, visit);
	const struct reduced_visit *v = &r->visits[visit];
	const int last = v->n_currents - 1;
	int first_line, last_line;

	if (firn_value(v->r0_ohm) > 0.0 || firn_tape_status(r->tape) < 0)
		return true;
	lines_of(r, visit, &first_line, &last_line);
	reduction_wrong(
	    r, said->mark,
	    "visit %s: the resistance at zero current comes out as %g ohm, from %g ohm "
	    "at %g mA and %g ohm at %g mA; look for a wrong reading or current in lines "
	    "%d to %d of the readings",
	    said->id, firn_value(v->r0_ohm), firn_value(v->r_at_current_ohm[0]),
	    1e3 * firn_value(v->current_A[0]), firn_value(v->r_at_current_ohm[last]),
	    1e3 * firn_value(v->current_A[last]), first_line, last_line);
	return false;
}

static bool extrapolate(struct reduction *r, int visit)
{
	const struct lab_visit *said = reduction_visit(r, visit);
	struct reduced_visit *v = &r->visits[visit];
	const struct lab_bridge *bridge =
	    said->bridge < 0 ? NULL : LAB_AT(r->job->bridges, lab_bridge, said->bridge);
	struct firn_reading readings[REDUCTION_MOST_CURRENTS];
	struct firn_node ratio = { 0 };
	struct firn_zero_power line;
	enum firn_status status;

	if (v->n_currents == 1) {
		v->r0_ohm = v->r_at_current_ohm[0];
		return true;
	}
	for (int i = 0; i < v->n_currents; i++)
		readings[i] = (struct firn_reading){ v->current_A[i], v->r_at_current_ohm[i] };
	if (bridge != NULL && lab_given(bridge->u_current_ratio))
		ratio = reduction_shared_input(
		    r, reduction_text(r, "bridge.%s.current_ratio", bridge->id), "", 1.0,
		    bridge->u_current_ratio, (double)INFINITY);
	status = firn_zero_power_of((size_t)v->n_currents, readings, ratio, &line);
	if (status == FIRN_E_SINGULAR) {
		reduction_wrong(r, said->mark,
				"visit %s: %g mA and %g mA are too close for a resistance at zero "
				"current; the highest current has to be at least %g times the "
				"lowest (1.4 or 2 times is usual)",
				said->id, 1e3 * firn_value(v->current_A[0]),
				1e3 * firn_value(v->current_A[v->n_currents - 1]),
				FIRN_ZERO_POWER_MIN_RATIO);
		return false;
	}
	if (status < 0)
		return reduction_computed(r, status, said->mark,
					  "the resistance of visit %s at zero current", said->id);
	if (status == FIRN_WARN_SIGN)
		reduction_reserve(
		    r,
		    "Visit %s: the resistance falls with the current, which heating can't do: the "
		    "temperature moved, or currents were exchanged.",
		    said->id);
	v->r0_ohm = line.r0_ohm;
	if (!is_resistance(r, visit))
		return false;
	const struct firn_node r_lowest = v->r_at_current_ohm[0], r0 = line.r0_ohm;
	v->heating_ohm = firn_formula("heating_ohm = r_lowest - r0", r_lowest, r0);
	return true;
}

static bool record_currents(struct reduction *r, int visit, const struct visit_readings *v)
{
	const struct lab_visit *said = reduction_visit(r, visit);
	struct reduced_visit *out = &r->visits[visit];
	const struct firn_node error = linearity(r, visit);

	if (v->groups->len == 0) {
		reduction_wrong(r, said->mark, "visit %s has no reading that is not set aside",
				said->id);
		return false;
	}
	if (v->groups->len > REDUCTION_MOST_CURRENTS) {
		reduction_wrong(r, said->mark,
				"visit %s has readings at %u currents; at most %d are used",
				said->id, v->groups->len, REDUCTION_MOST_CURRENTS);
		return false;
	}
	for (guint i = 0; i < v->groups->len; i++) {
		struct firn_node x;

		if (!record_mean(r, visit, v, (int)i, &x))
			return false;
		if (v->in_ohm) {
			out->r_at_current_ohm[i] = x;
		} else {
			const struct firn_node rs = out->rs_ohm;

			out->r_at_current_ohm[i] =
			    firn_formula("r_ohm = (x + error)*rs", x, error, rs);
		}
		out->current_A[i] = firn_constant(
		    r->tape,
		    mean_current(&g_array_index(v->groups, struct readings_at_current, i)));
	}
	out->n_currents = (int)v->groups->len;
	return extrapolate(r, visit);
}

static bool read_visit(struct reduction *r, int visit)
{
	const struct lab_visit *said = reduction_visit(r, visit);
	struct visit_readings v = collect(r, visit);
	bool good = true;

	r->visits[visit].time_s = v.time_s;
	r->visits[visit].in_ohm = v.in_ohm;
	if (!v.in_ohm && v.groups->len > 0)
		good = record_resistor(r, visit, v.bath_C);
	else if (v.in_ohm && (said->resistor >= 0 || said->bridge >= 0))
		reduction_reserve(r,
				  "Visit %s was read in ohm: nothing is included for the resistor "
				  "or bridge that it "
				  "names.",
				  said->id);
	good = good && record_currents(r, visit, &v) &&
	       reduction_is_good(r, said->mark, reduction_text(r, "visit %s", said->id));
	g_array_unref(v.groups);
	return good;
}

/* W wants numerator and denominator in the same state (mistakes are of the size of the heating). */
static bool currents_agree(struct reduction *r)
{
	int single = -1, zero = -1;

	for (guint i = 0; i < r->job->visits->len; i++)
		*(r->visits[i].n_currents == 1 ? &single : &zero) = (int)i;
	if (single < 0)
		return true;
	if (zero >= 0) {
		reduction_wrong(r, reduction_visit(r, single)->mark,
				"visit %s has readings at one current only, visit %s at several; W "
				"wants both at "
				"zero current, so give readings at a second current",
				reduction_visit(r, single)->id, reduction_visit(r, zero)->id);
		return false;
	}
	reduction_reserve(
	    r, "All readings are at a single current: every R and W holds the heating by the "
	       "measuring current, and so will temperatures found with other currents.");
	return true;
}

bool reduction_read(struct reduction *r)
{
	bool good = true;

	for (guint i = 0; i < r->job->visits->len; i++) {
		r->visits[i].result = (struct lab_visit_result){
			.visit = (int)i,
			.currents = g_array_new(FALSE, TRUE, sizeof(struct lab_current_result)),
		};
		good = read_visit(r, (int)i) && good;
		if (firn_tape_status(r->tape) < 0)
			return false;
	}
	if (good)
		reserve_few(r);
	return good && currents_agree(r);
}
