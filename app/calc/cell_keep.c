#include "app/calc/cell_keep.h"

#include "app/base/time.h"
#include "app/calc/cell_keep_parts.h"

#include "firn/mantle.h"

#include <math.h>

#define DAY_S        86400.0
#define K_FORECAST   2.0
#define USUAL_LOOK_M 1e-3 /* u of a thickness looked at through glass and water; ours */
#define POINTS       48
#define LONGEST_S    (400 * DAY_S)

void cell_keep_say(GPtrArray *to, lab_cell_keep *keep, const char *format, ...)
{
	va_list arguments;

	va_start(arguments, format);
	g_autofree char *text = g_strdup_vprintf(format, arguments);
	va_end(arguments);
	g_ptr_array_add(to, g_string_chunk_insert(keep->text, text));
}

/* What the forecast stands on. */
struct forecast {
	struct cell_tape *t;
	const struct cell_course *c;
	lab_cell_keep *keep;
	struct firn_node left, rate;
};

static double seconds_since_frozen(const struct lab_cell_study *study, int64_t time_us)
{
	return 1e-6 * (double)(time_us - study->mantle.frozen_us);
}

/* The last thing that is known to have happened, unless a moment is asked for. */
static int64_t moment(const struct lab_mantle *m)
{
	int64_t at_us = m->frozen_us;

	if (m->at_us != BASE_NO_TIME)
		return m->at_us;
	if (m->looks->len > 0)
		at_us = MAX(at_us, LAB_AT(m->looks, lab_mantle_look, m->looks->len - 1)->time_us);
	if (m->visits->len > 0)
		at_us =
		    MAX(at_us, LAB_AT(m->visits, lab_mantle_visit, m->visits->len - 1)->time_us);
	return at_us;
}

/* ---- what the looks say ---- */

/* How far `left` moves when the thickness at the beginning moves by its u. */
static double u_of_start(const struct cell_course *c)
{
	struct cell_course more = *c, less = *c;

	more.first_m += c->u_first_m;
	less.first_m = fmax(less.first_m - c->u_first_m, 1e-6);
	return fabs(cell_course_left(&more, more.first_m) - cell_course_left(&less, less.first_m)) /
	       2;
}

static bool one_look(const struct forecast *f, const struct lab_mantle_look *look,
		     struct firn_keeping_look *ret)
{
	const struct cell_course *c = f->c;
	const double ice_m = look->ice_m.value;
	/* growth is the difference of two thicknesses */
	const double own_u = lab_or(look->ice_m.u, USUAL_LOOK_M);
	const double u_m = c->course == LAB_MANTLE_GROWS ? hypot(own_u, c->u_first_m) : own_u;

	if (c->r_well_m + ice_m > c->r_glass_m) {
		cell_tape_lacks(
		    f->t, look->ice_m.mark,
		    "ice of %.4g mm does not fit between well and envelope; check ice_mm",
		    1e3 * ice_m);
		return false;
	}
	ret->time_s = seconds_since_frozen(f->t->study, look->time_us);
	ret->left_s = cell_course_left(c, ice_m);
	ret->u_s = fmax(1.0, fabs(cell_course_left(c, ice_m + u_m) -
				  cell_course_left(c, fmax(ice_m - u_m, 0.0))) /
				 2);
	ret->lost_s = cell_keep_lost_until(f->keep, look->time_us);
	return true;
}

static void remember_look(struct forecast *f, const struct lab_mantle_look *look)
{
	const double u = lab_or(look->ice_m.u, USUAL_LOOK_M), ice = look->ice_m.value;
	const struct lab_mantle_state state = {
		.time_s = seconds_since_frozen(f->t->study, look->time_us),
		.ice_m = ice,
		.low_m = fmax(0.0, ice - K_FORECAST * u),
		.high_m = ice + K_FORECAST * u,
	};

	g_array_append_val(f->keep->looks, state);
}

static bool learn(struct forecast *f)
{
	const struct lab_mantle *m = &f->t->study->mantle;
	g_autofree struct firn_keeping_look *looks =
	    g_new0(struct firn_keeping_look, m->looks->len + 1);
	const struct firn_keeping_prior prior = {
		.left_s = cell_course_left(f->c, f->c->first_m),
		.u_left_s = fmax(1.0, u_of_start(f->c)),
		.u_rate = fmax(1e-3, f->c->u_rate),
	};
	bool without_u = false;
	size_t n = 0;

	for (guint i = 0; i < m->looks->len; i++) {
		const struct lab_mantle_look *look = LAB_AT(m->looks, lab_mantle_look, i);

		if (!lab_stated(&look->ice_m) || look->time_us > f->keep->at_us)
			continue;
		remember_look(f, look);
		without_u |= !lab_given(look->ice_m.u);
		if (f->c->course != LAB_MANTLE_STAYS && !one_look(f, look, &looks[n++]))
			return false;
	}
	f->keep->looks_used = (int)n;
	if (without_u)
		cell_keep_say(f->keep->reservations, f->keep,
			      "A thickness without u is taken as known to 1 mm; that is ours.");
	if (f->c->course == LAB_MANTLE_STAYS)
		return true;
	return firn_keeping_fit(f->t->tape, &prior, n, looks, &f->left, &f->rate) >= 0;
}

/* ---- the forecast ---- */

static struct lab_mantle_state state_at(const struct forecast *f, double time_s)
{
	const double lost =
	    cell_keep_lost_until(f->keep, f->t->study->mantle.frozen_us + (int64_t)(1e6 * time_s));
	const struct firn_node t = cell_tape_number(f->t, time_s),
			       gone = cell_tape_number(f->t, lost), start = f->left, rate = f->rate;
	const struct firn_node left =
	    firn_formula("left = start - rate*t - gone", start, rate, t, gone);
	const double value = firn_value(left), u = K_FORECAST * firn_u(left);
	const double a = cell_course_ice(f->c, value - u), b = cell_course_ice(f->c, value + u);

	return (struct lab_mantle_state){ time_s, cell_course_ice(f->c, value), fmin(a, b),
					  fmax(a, b) };
}

static struct lab_days elsewhere(const struct forecast *f, double offset_K)
{
	const double scale = f->c->offset_K / offset_K; /* heat goes with the offset */
	const struct lab_days none = { LAB_NOT_GIVEN, LAB_NOT_GIVEN, LAB_NOT_GIVEN };

	if (!(scale > 0.0))
		return none;
	return (struct lab_days){ scale * f->keep->left.value_s, scale * f->keep->left.low_s,
				  scale * f->keep->left.high_s };
}

static void forecast_end(struct forecast *f)
{
	lab_cell_keep *keep = f->keep;
	const struct lab_surroundings *s = &f->t->study->surroundings;
	struct firn_keeping_forecast end;

	keep->rate = cell_tape_estimate(f->rate);
	if (firn_keeping_forecast(f->left, f->rate, keep->age_s,
				  cell_keep_lost_until(keep, keep->at_us), K_FORECAST, &end) < 0) {
		cell_keep_say(keep->reservations, keep,
			      "The looks show no change of the ice, so no end can be forecast.");
		return;
	}
	keep->ends = true;
	keep->left = (struct lab_days){ end.value_s, end.low_s, end.high_s };
	if (s->keeping == LAB_BATH && lab_stated(&s->spread_K)) {
		keep->at_warmest = elsewhere(f, f->c->offset_K + s->spread_K.value / 2);
		keep->at_coldest = elsewhere(f, f->c->offset_K - s->spread_K.value / 2);
	}
}

static void draw_course(struct forecast *f)
{
	const double left = fmax(f->keep->left.value_s, 0.0);
	const double reach = isfinite(f->keep->left.high_s)
				 ? fmin(fmax(f->keep->left.high_s, 0.0), 2 * left)
				 : 2 * left;
	const double end = fmin(f->keep->age_s + reach, f->keep->age_s + LONGEST_S);

	for (int i = 0; i <= POINTS; i++) {
		const struct lab_mantle_state x = state_at(f, end * i / POINTS);

		g_array_append_val(f->keep->course_points, x);
	}
}

/* ---- heat, growth, age ---- */

static void heat(const struct cell_tape *t, const struct cell_course *c, lab_cell_keep *keep)
{
	const double power = cell_course_power(c, c->first_m);
	const struct firn_cylinder shell = { c->r_glass_m, c->r_glass_m, -c->offset_K,
					     c->series_Km_per_W };
	double r;

	keep->power_W = (struct lab_estimate){ power, fabs(power) * c->u_rate, LAB_NOT_GIVEN };
	keep->bath_W = power * t->study->surroundings.cells;
	keep->ice_per_day_kg = fabs(power) * DAY_S / c->ice.latent_J_per_kg;
	if (c->course != LAB_MANTLE_GROWS)
		return;
	if (firn_stefan_thickness(&c->ice, -c->offset_K, DAY_S, &keep->growth_most_m) < 0)
		keep->growth_most_m = LAB_NOT_GIVEN;
	if (firn_cylinder_front(&c->ice, &shell, true, DAY_S, &r) >= 0)
		keep->growth_day_m = c->r_glass_m - r;
	if (firn_cylinder_front(&c->ice, &shell, true, 7 * DAY_S, &r) >= 0)
		keep->growth_week_m = c->r_glass_m - r;
}

static void age(const struct lab_cell_study *study, lab_cell_keep *keep)
{
	const enum firn_mantle_kind kind =
	    study->mantle.way == LAB_HEAT_PIPE ? FIRN_MANTLE_SLOW : FIRN_MANTLE_FAST;
	double bound;

	if (firn_mantle_age_bound(kind, keep->age_s / DAY_S, &bound) < 0)
		return;
	keep->age_bound_K = bound;
	keep->age_u_K = bound / sqrt(3.0);
	for (double d = 0.0; lab_stated(&study->wanted.u_K) && d < 60.0; d += 0.1)
		if (firn_mantle_age_bound(kind, d, &bound) >= 0 &&
		    bound / sqrt(3.0) <= study->wanted.u_K.value / 3) {
			keep->age_fine_s = d * DAY_S;
			return;
		}
}

static bool keep_it(struct cell_tape *t, const struct cell_ice *ice, lab_cell_keep *keep)
{
	struct cell_course c;
	struct forecast f = { .t = t, .c = &c, .keep = keep };

	if (!cell_course_build(t, ice, keep, &c))
		return false;
	keep->course = c.course;
	keep->least_m = c.least_m;
	keep->at_us = moment(&t->study->mantle);
	keep->age_s = seconds_since_frozen(t->study, keep->at_us);
	if (!cell_keep_insertions(t, &c, keep) || !learn(&f))
		return false;
	heat(t, &c, keep);
	age(t->study, keep);
	keep->now =
	    (struct lab_mantle_state){ keep->age_s, c.first_m, LAB_NOT_GIVEN, LAB_NOT_GIVEN };
	if (c.course != LAB_MANTLE_STAYS) {
		forecast_end(&f);
		keep->now = state_at(&f, keep->age_s);
		if (keep->ends)
			draw_course(&f);
	}
	cell_keep_advise(t->study, &c, keep);
	return true;
}

lab_cell_keep *calc_cell_keep(const struct lab_cell_study *study, base_messages *messages)
{
	g_autoptr(lab_cell_keep) keep = lab_cell_keep_new();
	struct cell_tape t;
	struct cell_ice ice;
	bool good;

	if (!cell_tape_open(&t, study, messages))
		return NULL;
	good = cell_ice_build(&t, 0.0, &ice) && keep_it(&t, &ice, keep);
	if (!t.failed && (!good || firn_tape_status(t.tape) < 0)) {
		cell_tape_lacks(&t, study->mantle.mark, "the forecast can't be computed: %s",
				firn_tape_message(t.tape));
		good = false;
	}
	cell_tape_close(&t);
	return good ? g_steal_pointer(&keep) : NULL;
}
