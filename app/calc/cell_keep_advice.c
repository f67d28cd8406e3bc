/* When to look, to turn, to melt, to make anew; and what is wrong with the mantle already. */
#include "app/calc/cell_keep_parts.h"

#include "app/base/time.h"

#include <math.h>

#define DAY_S     86400.0
#define NEAR_M    5e-3 /* of water between mantle and shell: a bridge is near; ours */
#define LONGEST_D 7.0  /* between two looks; ours */

/* "2031-03-20 09:00 UTC" */
static char *date_of(int64_t us)
{
	char text[BASE_TIME_SIZE];

	base_time_print(us, text);
	return g_strdup_printf("%.10s %.5s UTC", text, text + 11);
}

static char *date_in(const lab_cell_keep *keep, double s)
{
	return date_of(keep->at_us + (int64_t)(1e6 * s));
}

/* What the last look saw. */
static void as_seen(const struct lab_cell_study *study, lab_cell_keep *keep)
{
	const GArray *looks = study->mantle.looks;
	const struct lab_mantle_look *last =
	    looks->len == 0 ? NULL : LAB_AT(looks, lab_mantle_look, looks->len - 1);

	if (last == NULL)
		return;
	if (last->bridge == 1) {
		keep->needs_action = true;
		cell_keep_say(
		    keep->warnings, keep,
		    "The last look saw ice across the surface. Melt it back with the hands, "
		    "warming as little as possible, before anything else: it can break the "
		    "cell.");
	}
	if (last->free == 0) {
		keep->needs_action = true;
		cell_keep_say(
		    keep->warnings, keep,
		    "The last look found the mantle not free. A cell reads up to 0.1 mK low so "
		    "(CCT Guide, sec. 2.2, 6.3): melt the inner film anew before it is used.");
	}
	if (lab_stated(&last->ice_m) && last->ice_m.value < keep->least_m &&
	    keep->course != LAB_MANTLE_GROWS) {
		keep->needs_action = true;
		cell_keep_say(keep->warnings, keep,
			      "The last look saw %.2g mm of ice. Below %.2g mm a mantle is thin "
			      "somewhere to the well (the limit is ours): make it anew.",
			      1e3 * last->ice_m.value, 1e3 * keep->least_m);
	}
}

static void growing(const struct lab_cell_study *study, const struct cell_course *c,
		    lab_cell_keep *keep)
{
	const double open_m = c->r_glass_m - c->r_well_m - keep->now.ice_m;

	cell_keep_say(
	    keep->warnings, keep,
	    "The cell stands %.3g mK too cold, so ice grows: inwards from the envelope %.2g mm "
	    "in the first day (%.2g mm where the glass has the temperature of the surroundings) "
	    "and %.2g mm in a week, and across the surface. The danger is a bridge or freezing "
	    "through, not melting: look every day, melt the top back with the hands.",
	    -1e3 * c->offset_K, 1e3 * keep->growth_day_m, 1e3 * keep->growth_most_m,
	    1e3 * keep->growth_week_m);
	if (keep->ends && open_m < NEAR_M) {
		keep->needs_action = true;
		cell_keep_say(
		    keep->warnings, keep,
		    "Only some %.2g mm of water are left between mantle and envelope: take "
		    "the cell out and melt it back.",
		    1e3 * fmax(open_m, 0.0));
	}
	if (study->surroundings.keeping == LAB_CRUSHED_ICE)
		cell_keep_say(keep->advice, keep,
			      "Drain the melt water and refill the ice every day.");
}

static void lasting(const struct lab_cell_study *study, lab_cell_keep *keep)
{
	const double wanted_s = study->wanted.days.value * DAY_S;
	const char *end = keep->course == LAB_MANTLE_GROWS ? "is frozen through" : "is spent";

	if (!keep->ends)
		return;
	if (keep->left.value_s <= 0.0) {
		keep->needs_action = true;
		cell_keep_say(
		    keep->warnings, keep,
		    "By the forecast the mantle %s already: look at it, and make it anew unless "
		    "it is seen to be whole.",
		    end);
		return;
	}
	g_autofree char *low = date_in(keep, fmax(keep->left.low_s, 0.0));
	g_autofree char *value = date_in(keep, keep->left.value_s);
	cell_keep_say(keep->advice, keep, "%s by %s; expected to last until %s.",
		      keep->course == LAB_MANTLE_GROWS ? "Melt it back, or make it anew,"
						       : "Make it anew",
		      low, value);
	if (lab_given(wanted_s) && keep->left.low_s < wanted_s) {
		keep->needs_action = true;
		cell_keep_say(keep->warnings, keep,
			      "%.4g days are wanted of it, and it is sure of %.2g only.",
			      study->wanted.days.value, fmax(keep->left.low_s, 0.0) / DAY_S);
	}
}

static void next_look(lab_cell_keep *keep)
{
	double days = LONGEST_D;

	if (keep->course == LAB_MANTLE_GROWS)
		days = 1.0;
	else if (keep->ends)
		days = fmin(days, fmax(keep->left.low_s, 0.0) / DAY_S / 2);
	g_autofree char *date = date_in(keep, days * DAY_S);
	cell_keep_say(keep->advice, keep, "Look at it next by %s: thickness, free, bridge.", date);
}

static void ageing(const struct lab_cell_study *study, lab_cell_keep *keep)
{
	if (!lab_stated(&study->wanted.u_K))
		return;
	if (!lab_given(keep->age_fine_s)) {
		cell_keep_say(
		    keep->advice, keep,
		    "The term of age stays above a third of the uncertainty wanted at any "
		    "age.");
		return;
	}
	if (keep->age_s >= keep->age_fine_s)
		return;
	g_autofree char *date = date_in(keep, keep->age_fine_s - keep->age_s);
	cell_keep_say(keep->advice, keep,
		      "Wait until %s: then the term of age is within a third of what is wanted.",
		      date);
}

void cell_keep_advise(const struct lab_cell_study *study, const struct cell_course *c,
		      lab_cell_keep *keep)
{
	if (keep->course == LAB_MANTLE_GROWS)
		growing(study, c, keep);
	as_seen(study, keep);
	lasting(study, keep);
	next_look(keep);
	ageing(study, keep);
	cell_keep_say(
	    keep->advice, keep,
	    "Before every use melt the inner film (a rod at room temperature in the well for "
	    "less than a minute) and turn the cell: the mantle has to turn freely, also later "
	    "in the day (CCT Guide, sec. 2.2, 6.3).");
	if (fabs(c->offset_K) < 2 * c->u_offset_K)
		cell_keep_say(keep->reservations, keep,
			      "The surroundings are within their own uncertainty of the cell's "
			      "temperature: whether the ice grows or melts is not certain.");
	if (keep->course == LAB_MANTLE_MELTS)
		cell_keep_say(
		    keep->reservations, keep,
		    "Conduction alone: convection in the water and heat down the stem make "
		    "the life shorter; looks correct for it.");
	else if (keep->course == LAB_MANTLE_STAYS)
		cell_keep_say(
		    keep->reservations, keep,
		    "The surroundings are at the cell's own temperature, so only insertions "
		    "take ice away, and there is no end to forecast.");
	else
		cell_keep_say(
		    keep->reservations, keep,
		    "The first bridge is at the surface, where the vapour carries heat too; "
		    "the days tell when the cell is frozen through beside the mantle.");
}
