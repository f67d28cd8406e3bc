#include "app/calc/cell_plateau.h"

#include "app/calc/cell_plateau_parts.h"
#include "firn/impurity.h"
#include "firn/plateau.h"

#include <math.h>

#define WINDOWS      200.0
#define LEAST_RISE_K 5e-3
#define FROM_PART    0.1
#define TO_PART      0.5
#define TIN_LEAST_K  4.0

char *plateau_text(struct plateau_work *w, const char *format, ...)
{
	g_autofree char *made = NULL;
	va_list arguments;

	va_start(arguments, format);
	made = g_strdup_vprintf(format, arguments);
	va_end(arguments);
	return g_string_chunk_insert(w->ret->text, made);
}

void plateau_check(struct plateau_work *w, const char *name, enum lab_check_state state,
		   char *found, char *bounds, const char *unseen)
{
	const struct lab_check check = { name, state, found, bounds, unseen };

	g_array_append_val(w->ret->checks, check);
}

static bool is_complete(struct plateau_work *w)
{
	const struct lab_cell_study *study = w->tape.study;

	if (!w->record->given)
		cell_tape_lacks(&w->tape, study->cell.mark,
				"firn cell plateau needs the section plateau: {way, readings}");
	else if (study->cell.point == LAB_NO_POINT)
		cell_tape_lacks(&w->tape, study->cell.mark,
				"an ice bath has no plateau of a sealed sample");
	else if (w->record->rows->len / LAB_PLATEAU_COLUMNS < FIRN_PLATEAU_FEWEST)
		cell_tape_lacks(&w->tape, w->record->mark,
				"the curve has %u readings; %d are the fewest to tell anything",
				w->record->rows->len / LAB_PLATEAU_COLUMNS, FIRN_PLATEAU_FEWEST);
	return !w->tape.failed;
}

static void open_columns(struct plateau_work *w)
{
	w->n = w->record->rows->len / LAB_PLATEAU_COLUMNS;
	w->t_s = g_new(double, 4 * w->n);
	w->K = w->t_s + w->n;
	w->power_W = w->t_s + 2 * w->n;
	w->part = w->t_s + 3 * w->n;
	for (size_t i = 0; i < w->n; i++) {
		const double *row = &g_array_index(w->record->rows, double, LAB_PLATEAU_COLUMNS *i);

		w->t_s[i] = row[LAB_ROW_TIME];
		w->K[i] = row[LAB_ROW_K];
		w->power_W[i] = row[LAB_ROW_POWER];
	}
	w->has_power = lab_given(w->power_W[0]);
}

/* ---- start and end ---- */

static bool refuse(struct plateau_work *w, enum firn_status status, const char *what)
{
	if (status < 0)
		cell_tape_lacks(&w->tape, w->record->mark, "%s (%s)", what,
				firn_status_text(status));
	return status < 0;
}

static bool mark_freeze(struct plateau_work *w, const struct firn_curve *curve, double window_s)
{
	const double rise_K = lab_or(w->record->rise_K.value, LEAST_RISE_K);
	struct firn_freeze marks;
	double step;

	if (refuse(w, firn_freeze_marks(curve, window_s, rise_K, &marks),
		   "the curve can't be read as a freeze; look at times and temperatures"))
		return false;
	lab_cell_plateau *r = w->ret;
	r->supercooled = marks.is_supercooled;
	r->nucleation_s = marks.t_nucleation_s;
	r->supercooling_K = marks.supercooling_K;
	r->start_s = lab_or(w->record->start_s.value, marks.t_start_s);
	r->peak_K = marks.peak_K;
	r->u_peak_K = marks.u_peak_K;
	r->end_inflection_s = marks.t_end_inflection_s;
	r->end_scatter_s = marks.t_end_scatter_s;
	if (w->has_power &&
	    firn_step_time(w->n, w->t_s, w->power_W, r->start_s, &r->end_power_s, &step) < 0)
		r->end_power_s = LAB_NOT_GIVEN;
	return true;
}

static bool mark_melt(struct plateau_work *w, const struct firn_curve *curve, double window_s)
{
	struct firn_melt marks;

	if (lab_stated(&w->record->start_s) && lab_stated(&w->record->end_s)) {
		w->ret->start_s = w->record->start_s.value;
		return true;
	}
	if (refuse(w, firn_melt_marks(curve, window_s, &marks),
		   "no melt is seen between two steep rises; state start_s and end_s"))
		return false;
	w->ret->start_s = lab_or(w->record->start_s.value, marks.t_start_s);
	w->ret->end_inflection_s = marks.t_end_s;
	return true;
}

/* As stated, as asked for, or by what was found: the power is the surest, the scatter the least. */
static bool choose_end(struct plateau_work *w)
{
	lab_cell_plateau *r = w->ret;
	const struct {
		enum lab_plateau_end end;
		double at_s;
		const char *by;
	} found[] = {
		{ LAB_END_STATED, w->record->end_s.value, "as stated" },
		{ LAB_END_POWER, r->end_power_s, "by the step of the power" },
		{ LAB_END_INFLECTION, r->end_inflection_s, "by the inflection" },
		{ LAB_END_SCATTER, r->end_scatter_s, "by the scatter" },
	};

	for (size_t i = 0; i < G_N_ELEMENTS(found); i++) {
		const bool wanted = w->record->end == LAB_END_NOT_SAID ||
				    w->record->end == found[i].end ||
				    found[i].end == LAB_END_STATED;

		if (!wanted || !lab_given(found[i].at_s))
			continue;
		r->end_s = found[i].at_s;
		r->end_by = found[i].by;
		if (r->end_s > r->start_s)
			return true;
	}
	cell_tape_lacks(&w->tape, w->record->mark,
			"the end of the plateau is not in the readings%s; state end_s, or record "
			"until the temperature leaves it",
			w->record->end != LAB_END_NOT_SAID ? " in the way that end asks for" : "");
	return false;
}

static bool find_marks(struct plateau_work *w)
{
	const struct firn_curve curve = { w->n, w->t_s, w->K };
	const double window_s =
	    lab_or(w->record->window_s.value, (w->t_s[w->n - 1] - w->t_s[0]) / WINDOWS);

	return (w->record->way == LAB_PLATEAU_MELT ? mark_melt(w, &curve, window_s)
						   : mark_freeze(w, &curve, window_s)) &&
	       choose_end(w);
}

/* ---- parts and fits ---- */

static bool find_parts(struct plateau_work *w)
{
	const double at_once = lab_or(w->record->at_once.value, 0.0);
	const lab_cell_plateau *r = w->ret;

	if (lab_stated(&w->record->heat_J)) {
		if (!w->has_power) {
			cell_tape_lacks(&w->tape, w->record->heat_J.mark,
					"a part by heat needs the column power_W");
			return false;
		}
		w->ret->part_by = "heat";
		return !refuse(w,
			       firn_fraction_by_heat(w->n, w->t_s, w->power_W, r->start_s,
						     w->record->heat_J.value, w->part),
			       "the part by heat can't be computed; look at power_W");
	}
	w->ret->part_by = "time";
	for (size_t i = 0; i < w->n; i++)
		if (refuse(w,
			   firn_fraction_by_time(w->t_s[i], r->start_s, r->end_s, at_once,
						 &w->part[i]),
			   "the part by time can't be computed; at_once is below 0.999"))
			return false;
	return true;
}

static void fit_one(const double *F, const double *K, size_t n, enum firn_liquidus_form form,
		    struct lab_liquidus_fit *ret)
{
	struct firn_liquidus fit;

	ret->done = firn_liquidus_fit(n, F, K, form, &fit) >= 0;
	if (!ret->done)
		return;
	ret->K = (struct lab_estimate){ fit.dt_K, fit.u_K, fit.dof };
	ret->slope_K = (struct lab_estimate){ fit.slope_K, fit.u_slope_K, fit.dof };
	ret->s_K = fit.s_K;
	ret->r1 = fit.r1;
}

static void fit(struct plateau_work *w)
{
	const bool melt = w->record->way == LAB_PLATEAU_MELT;
	g_autofree double *F = g_new(double, w->n), *K = g_new(double, w->n);
	lab_cell_plateau *r = w->ret;
	size_t n = 0;
	double A;

	r->from_part = lab_or(w->record->from_part, FROM_PART);
	r->to_part = lab_or(w->record->to_part, TO_PART);
	for (size_t i = 0; i < w->n; i++) {
		const double liquid = melt ? w->part[i] : 1.0 - w->part[i];

		if (w->t_s[i] < r->start_s || w->part[i] < r->from_part ||
		    w->part[i] > r->to_part || liquid < 0.01)
			continue;
		F[n] = liquid;
		K[n++] = w->K[i];
	}
	fit_one(F, K, n, FIRN_LIQUIDUS_LINEAR, &r->linear);
	fit_one(F, K, n, FIRN_LIQUIDUS_RECIPROCAL, &r->reciprocal);
	if (r->linear.done)
		r->rise_or_fall_K =
		    r->linear.slope_K.value * (melt ? 1.0 : -1.0) * (r->to_part - r->from_part);
	if (r->reciprocal.done &&
	    firn_cryoscopic_constant(lab_point_name(w->tape.study->cell.point), &A) >= 0)
		r->implied_fraction = -r->reciprocal.slope_K.value * A;
}

static bool find_liquidus(struct plateau_work *w)
{
	lab_cell_plateau *r = w->ret;

	if (w->record->way != LAB_PLATEAU_MELT) {
		r->liquidus_K = (struct lab_estimate){ r->peak_K, r->u_peak_K, LAB_NOT_GIVEN };
		r->liquidus_by = "the maximum of the freeze";
		return true;
	}
	if (!r->linear.done || !r->reciprocal.done) {
		cell_tape_lacks(&w->tape, w->record->mark,
				"too few readings lie from %.2g to %.2g of the sample for a fit; "
				"widen fit",
				r->from_part, r->to_part);
		return false;
	}
	const bool straight = r->linear.s_K <= r->reciprocal.s_K;
	r->liquidus_K = straight ? r->linear.K : r->reciprocal.K;
	r->liquidus_by = straight ? "the fit in F" : "the fit in 1/F";
	return true;
}

/* ---- what the freeze itself shows ---- */

static void judge_supercooling(struct plateau_work *w)
{
	const lab_cell_plateau *r = w->ret;
	const bool tin = w->tape.study->cell.point == LAB_SN;

	if (w->record->way == LAB_PLATEAU_MELT)
		return;
	if (!r->supercooled) {
		cell_budget_reserve(&w->budget, "%s",
				    "The record begins in the plateau: supercooling and start are "
				    "not seen, and the start is taken at the maximum.");
		return;
	}
	const bool little = tin && r->supercooling_K < TIN_LEAST_K;
	plateau_check(
	    w, "supercooling",
	    little ? LAB_CHECK_ALARM
	    : tin  ? LAB_CHECK_GOOD
		   : LAB_CHECK_OPEN,
	    plateau_text(w, "%.3g K at least, as the thermometer in the well saw it%s",
			 r->supercooling_K,
			 little ? "; tin needs more than 4 K (CCT Guide sec. 2.4, 3.3.4)" : ""),
	    NULL, "how the solid formed; look at the curve");
}

static void judge_inner(struct plateau_work *w)
{
	if (w->record->inner == NULL)
		cell_budget_reserve(&w->budget, "%s",
				    "How the inner interface was made is not said (inner); without "
				    "one the thermometer sees the crucible as well.");
	else
		plateau_check(w, "inner interface", LAB_CHECK_GOOD,
			      plateau_text(w, "made: %s", w->record->inner), NULL,
			      "whether it is whole; early and late in a freeze it is not");
}

static bool compute(struct plateau_work *w)
{
	open_columns(w);
	if (!find_marks(w) || !find_parts(w))
		return false;
	fit(w);
	if (!find_liquidus(w))
		return false;
	judge_supercooling(w);
	judge_inner(w);
	plateau_furnace(w);
	plateau_budget(w);
	return !w->tape.failed;
}

lab_cell_plateau *calc_cell_plateau(const struct lab_cell_study *study, base_messages *messages)
{
	g_autoptr(lab_cell_plateau) ret = lab_cell_plateau_new();
	struct plateau_work *w = g_new0(struct plateau_work, 1);
	bool good = false;

	w->ret = ret;
	w->record = &study->records->plateau;
	if (cell_tape_open(&w->tape, study, messages)) {
		w->budget = (struct cell_budget){ .t = &w->tape,
						  .ret = ret->budget,
						  .reservations = ret->reservations };
		good = is_complete(w) && compute(w);
		cell_tape_close(&w->tape);
	}
	g_free(w->t_s);
	g_free(w);
	return good ? g_steal_pointer(&ret) : NULL;
}
