#include "app/calc/cell_profile.h"

#include "app/calc/cell_tape.h"
#include "firn/profile.h"
#include "firn/scale.h"
#include "firn/zero_power.h"

#include <math.h>

#define USUAL_ZONE_M  0.05
#define USUAL_LIMIT_K 20e-6

struct work {
	struct cell_tape tape;
	const struct lab_profile *record;
	struct firn_node K_per_ohm, current[2]; /* of readings in ohm; current: shared by all */
	struct firn_profile_point points[FIRN_PROFILE_MOST];
	struct firn_node residual[FIRN_PROFILE_MOST];
	enum firn_profile_verdict verdict[FIRN_PROFILE_MOST];
	struct firn_profile profile;
	lab_cell_profile *ret;
};

static void G_GNUC_PRINTF(2, 3) reserve(struct work *w, const char *format, ...)
{
	g_autofree char *text = NULL;
	va_list arguments;

	va_start(arguments, format);
	text = g_strdup_vprintf(format, arguments);
	va_end(arguments);
	g_ptr_array_add(w->ret->reservations, g_string_chunk_insert(w->ret->text, text));
}

/* What has to be there before anything is computed. */
static bool is_complete(struct work *w)
{
	const struct lab_cell_study *study = w->tape.study;
	const struct lab_profile *p = w->record;

	if (!p->given) {
		cell_tape_lacks(&w->tape, study->cell.mark,
				"firn cell profile needs the section profile: {readings, u_uK}");
		return false;
	}
	if (study->cell.point == LAB_NO_POINT)
		cell_tape_lacks(&w->tape, study->cell.mark,
				"an ice bath has no head line to follow; a profile is that of a "
				"fixed point");
	if (p->readings->len < 3)
		cell_tape_lacks(&w->tape, p->mark,
				"a profile needs at least 3 heights; the usual ones are every "
				"10 mm up to 40 mm, then every 20 mm");
	else if (LAB_AT(p->readings, lab_profile_reading, 0)->height_m != 0.0)
		cell_tape_lacks(&w->tape, LAB_AT(p->readings, lab_profile_reading, 0)->mark,
				"no reading is at height_mm: 0; heights are counted from the "
				"deepest position");
	if (!lab_stated(&p->limit_K) && study->cell.point != LAB_H2O)
		cell_tape_lacks(&w->tape, p->mark,
				"the profile has no limit_uK; say within how much it has to follow "
				"the line at this point");
	return !w->tape.failed;
}

static bool prepare_ohms(struct work *w)
{
	const struct lab_stem *t = &w->tape.study->thermometer;
	const double r_tpw = lab_or(w->record->r_tpw_ohm, t->nominal_ohm);
	const double *current =
	    lab_given(w->record->currents_A[0]) ? w->record->currents_A : t->currents_A;
	double wr, slope;

	if (!lab_given(LAB_AT(w->record->readings, lab_profile_reading, 0)->ohm[0]))
		return true;
	if (!lab_given(current[0]) || !lab_given(current[1])) {
		cell_tape_lacks(&w->tape, w->record->mark,
				"readings in ohm need the two currents, currents_mA");
		return false;
	}
	if (!lab_given(r_tpw)) {
		cell_tape_lacks(&w->tape, w->record->mark,
				"readings in ohm need r_tpw_ohm, the resistance at 273.16 K");
		return false;
	}
	if (firn_scale_wr_at((enum firn_point)w->tape.study->cell.point, false, &wr, &slope) < 0)
		return false;
	w->K_per_ohm = cell_tape_number(&w->tape, 1.0 / (r_tpw * slope));
	for (int i = 0; i < 2; i++)
		w->current[i] = cell_tape_number(&w->tape, current[i]);
	return true;
}

/* Zero current at one height; false: the two currents are too close, or out of range. */
static bool zero_power(struct work *w, const struct lab_profile_reading *x, struct firn_node *ret)
{
	struct firn_reading readings[2];
	struct firn_zero_power line;

	for (int i = 0; i < 2; i++) {
		g_autofree char *name = g_strdup_printf("profile.%g mm at %g mA", 1e3 * x->height_m,
							1e3 * firn_value(w->current[i]));
		readings[i] =
		    (struct firn_reading){ w->current[i],
					   cell_tape_assumed(&w->tape, name, "ohm", x->ohm[i],
							     w->record->u_ohm, "stated") };
	}
	const enum firn_status status = firn_zero_power(&readings[0], &readings[1], &line);
	if (status < 0) {
		cell_tape_lacks(&w->tape, x->mark,
				"its readings can't be taken to zero current (%s); the second "
				"current is at least a tenth above the first",
				firn_status_text(status));
		return false;
	}
	if (status == FIRN_WARN_SIGN)
		reserve(w,
			"At %g mm the resistance falls with the current, which heating cannot do: "
			"look at the readings.",
			1e3 * x->height_m);
	const struct firn_node r0 = line.r0_ohm, K_per_ohm = w->K_per_ohm;
	*ret = firn_formula("T = r0*K_per_ohm", r0, K_per_ohm);
	return true;
}

static bool gather(struct work *w)
{
	for (guint i = 0; i < w->record->readings->len; i++) {
		const struct lab_profile_reading *x =
		    LAB_AT(w->record->readings, lab_profile_reading, i);
		g_autofree char *name = g_strdup_printf("profile.%g mm", 1e3 * x->height_m);
		struct firn_node T;

		if (!lab_given(x->ohm[0]))
			T = cell_tape_assumed(&w->tape, name, "K", x->K.value, w->record->u_K,
					      "stated");
		else if (!zero_power(w, x, &T))
			return false;
		w->points[i] = (struct firn_profile_point){ x->height_m, T, firn_u(T) };
	}
	w->profile =
	    (struct firn_profile){ .n = w->record->readings->len,
				   .points = w->points,
				   .K_per_m = cell_tape_number(&w->tape, w->ret->K_per_m) };
	return true;
}

static bool hold_to_line(struct work *w)
{
	struct firn_profile_line line = { .residual_K = w->residual, .verdict = w->verdict };
	lab_cell_profile *r = w->ret;
	const double top = w->points[w->profile.n - 1].height_m;
	const enum firn_status status =
	    firn_profile_line(&w->profile, r->zone_m, r->limit_K, &line);

	if (status < 0) {
		cell_tape_lacks(&w->tape, w->record->mark, "the profile can't be judged (%s)",
				firn_status_text(status));
		return false;
	}
	for (size_t i = 0; i < w->profile.n; i++) {
		struct lab_profile_point point = {
			.height_m = w->points[i].height_m,
			.K = firn_value(w->points[i].dt_K) - firn_value(w->points[0].dt_K),
			.residual_K = cell_tape_estimate(w->residual[i]),
			.verdict = (enum lab_profile_verdict)w->verdict[i],
		};

		g_array_append_val(r->points, point);
	}
	r->follows_m = line.follows_m;
	r->n_zone = (int)line.n_zone;
	r->line_u_K = line.u_K;
	r->accepted = top >= r->zone_m * (1.0 - 1e-9);
	for (guint i = 0; i < r->points->len; i++) {
		const struct lab_profile_point *p = LAB_AT(r->points, lab_profile_point, i);

		if (p->height_m <= r->zone_m * (1.0 + 1e-9) && p->verdict != LAB_POINT_FOLLOWS)
			r->accepted = false;
	}
	if (top < r->zone_m * (1.0 - 1e-9))
		reserve(w,
			"The readings end at %.3g mm, below the %.3g mm that have to follow the "
			"line.",
			1e3 * top, 1e3 * r->zone_m);
	return true;
}

static void fit(struct work *w)
{
	const struct lab_quantity *known = &w->record->decay_m;
	const struct firn_node D = lab_stated(known)
				       ? cell_tape_input(&w->tape, "profile.decay", "m", known)
				       : (struct firn_node){ 0 };
	struct firn_profile_fit found;
	const enum firn_status status = firn_profile_fit(&w->profile, D, &found);
	lab_cell_profile *r = w->ret;

	r->fitted = status >= 0;
	if (r->fitted) {
		r->error_K = cell_tape_estimate(found.error_K);
		r->decay_m = cell_tape_estimate(found.length_m);
		r->true_K = cell_tape_estimate(firn_sub(found.true_K, w->points[0].dt_K));
		r->chi2 = found.chi2;
		r->dof = found.dof;
		if (found.dof > 0.0 && found.chi2 > 4.0 * found.dof)
			reserve(w,
				"The readings scatter about the exponential by %.1f times what is "
				"stated of them; its uncertainty is too small.",
				sqrt(found.chi2 / found.dof));
	} else if (status == FIRN_E_SINGULAR) {
		reserve(w, "%s",
			lab_stated(known)
			    ? "The profile and the stated length of decay do not make a fit."
			    : "The profile does not tell how conduction decays: within its noise "
			      "it is a straight line. With decay_mm, from the model of firn cell "
			      "fit or from other profiles, it bounds the error.");
	} else {
		reserve(w, "%s",
			"Too few heights to fit how conduction decays: 4, or 3 with decay_mm.");
	}
}

/* The change from the deepest point to the highest one of the zone. */
static void two_points(struct work *w)
{
	const struct lab_quantity *known = &w->record->decay_m;
	struct firn_node error;
	size_t top = 0;

	while (top + 1 < w->profile.n &&
	       w->points[top + 1].height_m <= w->ret->zone_m * (1.0 + 1e-9))
		top++;
	if (top == 0 || !lab_stated(known))
		return;
	const struct firn_node lift = cell_tape_number(&w->tape, w->points[top].height_m);
	const struct firn_node D = cell_tape_input(&w->tape, "profile.decay", "m", known);
	if (firn_profile_two_points(w->residual[top], lift, D, &error) < 0)
		return;
	w->ret->two_points_K = cell_tape_estimate(error);
	w->ret->lift_m = w->points[top].height_m;
}

/* An error that is not corrected: a bound on both sides, and what it is known to. */
static double bound(const struct lab_estimate *error)
{
	return hypot(error->value / sqrt(3.0), error->u);
}

static void choose_term(lab_cell_profile *r)
{
	const struct lab_estimate *error = r->fitted ? &r->error_K : &r->two_points_K;

	r->term_K = r->line_u_K;
	r->term_from = "residuals about the line";
	if (lab_given(error->value) && !(r->term_K >= bound(error))) {
		r->term_K = bound(error);
		r->term_from = r->fitted ? "fitted conduction" : "two points";
	}
}

lab_cell_profile *calc_cell_profile(const struct lab_cell_study *study, base_messages *messages)
{
	g_autoptr(lab_cell_profile) ret = lab_cell_profile_new();
	struct work *w = g_new0(struct work, 1);
	bool good = false;

	w->ret = ret;
	w->record = &study->records->profile;
	if (cell_tape_open(&w->tape, study, messages)) {
		if (is_complete(w)) {
			const struct lab_profile *p = w->record;

			ret->K_per_m =
			    firn_scale_point((enum firn_point)study->cell.point)->dT_dl_K_per_m;
			ret->zone_m = lab_or(p->zone_m.value, USUAL_ZONE_M);
			ret->limit_K = lab_or(p->limit_K.value, USUAL_LIMIT_K);
			ret->limit_source = g_string_chunk_insert(
			    ret->text, p->limit_source != NULL   ? p->limit_source
				       : lab_stated(&p->limit_K) ? "stated"
								 : "common practice, no source");
			good = prepare_ohms(w) && gather(w) && hold_to_line(w);
		}
		if (good) {
			fit(w);
			two_points(w);
			choose_term(ret);
			if (w->record->inserting == 0)
				reserve(w, "%s",
					"Taken while withdrawing, which draws cold fluid down; "
					"insert in steps, 5 min each.");
		}
		cell_tape_close(&w->tape);
	}
	g_free(w);
	return good ? g_steal_pointer(&ret) : NULL;
}
