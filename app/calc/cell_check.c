#include "app/calc/cell_check.h"
#include "app/calc/cell_water.h"

#include "app/calc/cell_budget.h"
#include "firn/cell_check.h"
#include "firn/water.h"

#include <math.h>
#include <string.h>

#define STANDARD_G 9.80665
#define ROOM_C     20.0
#define ATMOSPHERE 101325.0

struct work {
	struct cell_tape tape;
	const struct lab_cell_checks *record;
	lab_cell_check *ret;
	struct cell_budget budget;
};

static char *text(struct work *w, const char *format, ...) G_GNUC_PRINTF(2, 3);
static char *text(struct work *w, const char *format, ...)
{
	g_autofree char *made = NULL;
	va_list arguments;

	va_start(arguments, format);
	made = g_strdup_vprintf(format, arguments);
	va_end(arguments);
	return g_string_chunk_insert(w->ret->text, made);
}

static void add(struct work *w, const char *name, enum lab_check_state state, char *found,
		char *bounds, const char *unseen)
{
	const struct lab_check check = { name, state, found, bounds, unseen };

	g_array_append_val(w->ret->checks, check);
}

/* ---- the bubble ---- */

/* Density and surface tension of the water at its temperature. */
static bool water_nodes(struct work *w, double t_C, struct firn_bubble *bubble)
{
	struct firn_water_state water;
	double tension;

	if (firn_water_liquid(273.15 + t_C, ATMOSPHERE, &water) < 0 ||
	    firn_water_tension(273.15 + t_C, &tension) < 0)
		return false;
	bubble->density_kg_per_m3 = cell_tape_number(&w->tape, water.density_kg_per_m3);
	if (lab_stated(&w->record->bubble.diameter_m))
		bubble->tension_N_per_m = cell_tape_number(&w->tape, tension);
	return true;
}

static void judge_bubble(struct work *w, double p_Pa)
{
	const struct lab_bubble *b = &w->record->bubble;
	const bool round = lab_stated(&b->diameter_m), limited = lab_stated(&b->accepted_m);
	const bool alarm = limited && b->diameter_m.value > b->accepted_m.value;
	char *size = round ? text(w, "%.3g mm across", 1e3 * b->diameter_m.value)
			   : text(w, "%.3g mL in the tube", 1e6 * b->plug_m3.value);
	char *found = text(w, "%s: %.2g Pa of foreign gas%s", size, p_Pa,
			   alarm     ? ", above the laboratory's limit"
			   : limited ? ""
				     : "; no accepted_mm to judge it by");

	add(w, "bubble",
	    alarm     ? LAB_CHECK_ALARM
	    : limited ? LAB_CHECK_GOOD
		      : LAB_CHECK_OPEN,
	    found,
	    text(w, "%.2g µK by its pressure, %.2g µK with the air dissolved as well, at most",
		 1e6 * fabs(w->ret->gas_K.value), 1e6 * fabs(w->ret->gas_air_K.value)),
	    "gas dissolved in the water, impurities, isotopes: it is an alarm for leaks");
}

static void check_bubble(struct work *w)
{
	const struct lab_bubble *b = &w->record->bubble;
	struct firn_bubble bubble = { 0 };
	struct firn_node p, dt, dt_air;

	if (!b->given)
		return;
	bubble.headspace_m3 = cell_tape_input(&w->tape, "bubble.headspace", "m3", &b->headspace_m3);
	bubble.head_m = cell_tape_input(&w->tape, "bubble.head", "m", &b->head_m);
	bubble.g_m_per_s2 = cell_tape_number(&w->tape, STANDARD_G);
	if (lab_stated(&b->diameter_m))
		bubble.diameter_m =
		    cell_tape_input(&w->tape, "bubble.diameter", "m", &b->diameter_m);
	else
		bubble.volume_m3 = cell_tape_input(&w->tape, "bubble.volume", "m3", &b->plug_m3);
	if (!water_nodes(w, lab_or(b->water_C.value, ROOM_C), &bubble) ||
	    firn_bubble_pressure(&bubble, &p) < 0 || firn_residual_gas(p, false, &dt) < 0 ||
	    firn_residual_gas(p, true, &dt_air) < 0) {
		cell_tape_lacks(&w->tape, b->mark,
				"the bubble test can't be computed; so large a bubble in so small "
				"a room is no longer one of foreign gas at low pressure");
		return;
	}
	w->ret->gas_Pa = cell_tape_estimate(p);
	w->ret->gas_K = cell_tape_estimate(dt);
	w->ret->gas_air_K = cell_tape_estimate(dt_air);
	judge_bubble(w, firn_value(p));
	cell_budget_bound(&w->budget, "foreign gas", &w->ret->gas_air_K,
			  "bound of the bubble test, dissolved air included");
}

/* ---- what is seen and heard ---- */

static int or_last_look(const struct work *w, int said, bool of_bridge)
{
	const struct lab_mantle *mantle = &w->tape.study->mantle;

	for (guint i = mantle->looks->len; said < 0 && i-- > 0;) {
		const struct lab_mantle_look *look = LAB_AT(mantle->looks, lab_mantle_look, i);

		said = of_bridge ? look->bridge : look->free;
	}
	return said;
}

static void check_seen(struct work *w)
{
	const struct lab_cell_checks *c = w->record;
	const int is_free = or_last_look(w, c->free, false),
		  bridge = or_last_look(w, c->bridge, true);

	if (c->click != LAB_CLICK_NOT_SAID)
		add(w, "click", c->click == LAB_CLICK_CLEAR ? LAB_CHECK_GOOD : LAB_CHECK_ALARM,
		    text(w, c->click == LAB_CLICK_CLEAR
				? "sharp on gentle tilting"
				: "dull: look for a leak before the cell is used"),
		    NULL,
		    "small amounts of gas, and all that is dissolved (from memory, no source)");
	if (is_free >= 0)
		add(w, "free mantle", is_free ? LAB_CHECK_GOOD : LAB_CHECK_ALARM,
		    text(w, is_free ? "turns freely" : "sticks: melt it free before measuring"),
		    is_free ? NULL : text(w, "up to 100 µK too cold (CCT Guide sec. 2.2, 6.3)"),
		    "whether it stays free: the top of the film refreezes; look again in the day");
	if (bridge >= 0)
		add(w, "bridge", bridge ? LAB_CHECK_ALARM : LAB_CHECK_GOOD,
		    text(w, bridge ? "ice right across the top: the cell may break; warm it with "
				     "the hands"
				   : "none"),
		    NULL, "ice that grows where nobody looks");
	if (c->drops >= 0)
		add(w, "drops on the glass", c->drops ? LAB_CHECK_ALARM : LAB_CHECK_GOOD,
		    text(w, c->drops ? "they stick: the glass is not clean" : "none stick"), NULL,
		    "impurities that wet the glass (from memory, no source)");
}

/* ---- the inversion ---- */

static void check_inversion(struct work *w)
{
	const struct lab_inversion *x = &w->record->inversion;
	struct firn_node dt;

	if (!x->given)
		return;
	const struct firn_node before =
	    cell_tape_input(&w->tape, "inversion.before", "K", &x->before_K);
	const struct firn_node after =
	    cell_tape_input(&w->tape, "inversion.after", "K", &x->after_K);
	const enum firn_status status = firn_inversion(before, after, &dt);
	if (status < 0) {
		cell_tape_lacks(&w->tape, x->mark,
				"the inversion changed the reading by more than 100 mK; look at "
				"both readings");
		return;
	}
	w->ret->inversion_K = cell_tape_estimate(dt);
	const struct lab_estimate *e = &w->ret->inversion_K;
	const bool rose = status == FIRN_WARN_SIGN, fell = e->value < -2.0 * e->u;
	add(w, "inversion", rose ? LAB_CHECK_ALARM : LAB_CHECK_OPEN,
	    text(w, "%+.2g µK with u %.2g µK%s", 1e6 * e->value, 1e6 * e->u,
		 rose   ? ": mixing can't raise it; repeat both readings"
		 : fell ? ": impurities show"
			: ": no impurities above the noise"),
	    text(w, "%.2g µK of impurities that the ice rejects, at most",
		 1e6 * (fabs(e->value) + 2.0 * e->u)),
	    "impurities that the ice takes up; and all of them once the film has mixed with the "
	    "bulk");
	if (x->first_film != 1)
		cell_budget_reserve(
		    &w->budget, "%s",
		    "The inversion shows the whole effect only with the first inner "
		    "film of a mantle; that it was is not said (first_film).");
}

/* ---- the budget ---- */

static void add_freeze(struct work *w)
{
	const bool days = w->record->freeze == LAB_FREEZE_DAYS;
	struct firn_node dt;

	if (firn_fractionation_term(w->tape.tape, "fractionation",
				    days ? FIRN_FREEZE_DAYS : FIRN_FREEZE_HOURS, &dt) >= 0)
		cell_budget_add(&w->budget, "fractionation", dt,
				days ? "frozen over days; CCT Guide sec. 2.2, 3"
				     : "frozen within hours; CCT Guide sec. 2.2, 3");
}

static void add_age(struct work *w)
{
	const double age_d = cell_water_age_d(&w->tape.study->mantle);
	struct firn_node dt;

	if (!lab_given(age_d))
		return;
	g_autofree char *note = g_strdup_printf("%.1f days old; CCT Guide sec. 2.2, 6.2", age_d);
	if (cell_water_age(&w->tape, age_d, &dt) >= 0)
		cell_budget_add(&w->budget, "mantle age", dt, note);
}

static void add_drift(struct work *w)
{
	const struct lab_cell_checks *c = w->record;
	const char *glass = w->tape.study->cell.envelope.material;
	const bool silica = glass != NULL && strcmp(glass, "fused silica") == 0;
	struct firn_node dt;

	if (!lab_stated(&c->years))
		return;
	if (lab_stated(&c->drift_K_per_year)) {
		const struct firn_node rate = cell_tape_input(&w->tape, "drift", "K/year",
							      &c->drift_K_per_year),
				       years =
					   cell_tape_input(&w->tape, "years", "year", &c->years);
		cell_budget_add(&w->budget, "drift",
				firn_formula("drift = rate*years", rate, years),
				"rate of the laboratory's own record");
		return;
	}
	if (w->tape.study->cell.point != LAB_H2O) {
		cell_budget_reserve(&w->budget, "%s",
				    "No drift: published rates are those of water cells; give "
				    "drift_uK_per_year of the laboratory's own record.");
		return;
	}
	if (!silica && (glass == NULL || strcmp(glass, "borosilicate") != 0)) {
		cell_budget_reserve(&w->budget, "%s",
				    "No drift: it depends on the glass, and cell: {envelope: "
				    "{material}} says neither borosilicate nor fused silica.");
		return;
	}
	g_autofree char *note = g_strdup_printf(
	    "%.3g years; prior of %s, until there is a record of its own", c->years.value, glass);
	if (firn_drift_term(w->tape.tape, "drift", silica ? FIRN_FUSED_SILICA : FIRN_BOROSILICATE,
			    c->years.value, &dt) >= 0)
		cell_budget_add(&w->budget, "drift", dt, note);
}

/* What is known of the water comes first; else what an inversion showed; else it is said. */
static void add_content(struct work *w)
{
	const struct lab_cell_checks *c = w->record;

	if (c->content.given) {
		cell_budget_content(&w->budget, &c->content);
		return;
	}
	if (lab_given(w->ret->inversion_K.value)) {
		cell_budget_bound(&w->budget, "impurities", &w->ret->inversion_K,
				  "bound of the inversion, not corrected");
		return;
	}
	cell_budget_reserve(&w->budget, "%s",
			    "No term for impurities: neither an analysis (impurities) nor an "
			    "inversion is stated, and they are often the largest.");
}

static void form_budget(struct work *w)
{
	const bool water = w->tape.study->cell.point == LAB_H2O;

	if (water) {
		cell_budget_isotopes(&w->budget);
		add_freeze(w);
	}
	add_content(w);
	if (water)
		add_age(w);
	add_drift(w);
	cell_budget_head(&w->budget, &w->record->depth_m);
	cell_budget_terms(&w->budget, w->record->terms);
	if (!lab_stated(&w->record->depth_m))
		cell_budget_reserve(&w->budget, "%s",
				    "The budget is that of the cell at its surface: no depth_mm is "
				    "stated for the head.");
	cell_budget_close(&w->budget);
}

lab_cell_check *calc_cell_check(const struct lab_cell_study *study, base_messages *messages)
{
	g_autoptr(lab_cell_check) ret = lab_cell_check_new();
	struct work *w = g_new0(struct work, 1);
	bool good = false;

	w->ret = ret;
	w->record = &study->records->checks;
	if (cell_tape_open(&w->tape, study, messages)) {
		w->budget = (struct cell_budget){ .t = &w->tape,
						  .ret = ret->budget,
						  .reservations = ret->reservations };
		if (!w->record->given)
			cell_tape_lacks(&w->tape, study->cell.mark,
					"firn cell check needs the section check: {bubble, click, "
					"inversion, free, ...}");
		else if (study->cell.point == LAB_NO_POINT)
			cell_tape_lacks(&w->tape, study->cell.mark,
					"an ice bath has no cell to check");
		if (!w->tape.failed) {
			check_bubble(w);
			check_seen(w);
			check_inversion(w);
			form_budget(w);
		}
		good = !w->tape.failed;
		cell_tape_close(&w->tape);
	}
	g_free(w);
	return good ? g_steal_pointer(&ret) : NULL;
}
