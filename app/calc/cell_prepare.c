#include "app/calc/cell_prepare.h"

#include "app/calc/cell_prepare_parts.h"

#include "firn/stem.h"

#include <math.h>

#define USUAL_MELT_M  0.5e-3 /* of film: enough for a mantle to turn; ours */
#define ROOM_C        20.0
#define MOST_CAUTIONS 8

/* What each way is like: the coolant's own temperature, cautions, and how long it takes elsewhere.
 */
static const struct {
	double coolant_C;
	const char *cautions[MOST_CAUTIONS];
	const char *practice;
} ways[] = {
	[LAB_DRY_ICE] = { -78.5,
			  { "dry-ice", "alcohol", "ice-bursts-glass", "glass-under-vacuum",
			    "glass-and-cold" },
			  "about 30 min (CCT Guide, sec. 2.2 (2018), 6.1)" },
	[LAB_COOLED_ROD] = { -195.8,
			     { "liquid-nitrogen", "alcohol", "ice-bursts-glass",
			       "glass-under-vacuum", "glass-and-cold" },
			     "about 30 min, the rod changed several times (CCT Guide, sec. 2.2 "
			     "(2018), "
			     "6.1)" },
	[LAB_HEAT_PIPE] = { (double)NAN,
			    { "dry-ice", "alcohol", "ice-bursts-glass", "glass-under-vacuum",
			      "glass-and-cold" },
			    "60 min or more (CCT Guide, sec. 2.2 (2018), 6.1)" },
	[LAB_COLD_GAS] = { (double)NAN,
			   { "liquid-nitrogen", "ice-bursts-glass", "glass-under-vacuum",
			     "glass-and-cold" },
			   "10 min to 120 min (CCT Guide, sec. 2.2 (2018), 6.1)" },
	[LAB_SUPERCOOLING] = { (double)NAN, { "ice-bursts-glass", "glass-under-vacuum" }, NULL },
};

G_GNUC_PRINTF(3, 0)
static void append(GPtrArray *to, GStringChunk *text, const char *format, va_list arguments)
{
	g_autofree char *line = g_strdup_vprintf(format, arguments);

	g_ptr_array_add(to, g_string_chunk_insert(text, line));
}

void cell_prepare_warn(lab_cell_prepare *p, const char *format, ...)
{
	va_list arguments;

	va_start(arguments, format);
	append(p->warnings, p->text, format, arguments);
	va_end(arguments);
}

void cell_prepare_reserve(lab_cell_prepare *p, const char *format, ...)
{
	va_list arguments;

	va_start(arguments, format);
	append(p->reservations, p->text, format, arguments);
	va_end(arguments);
}

static void add_cautions(lab_cell_prepare *ret)
{
	guint n = 0;

	ret->cautions = g_new0(const struct lab_caution *, MOST_CAUTIONS + 1);
	for (guint i = 0; i < MOST_CAUTIONS && ways[ret->way].cautions[i] != NULL; i++) {
		const struct lab_caution *c = lab_caution_named(ways[ret->way].cautions[i]);

		if (c != NULL)
			ret->cautions[n++] = c;
	}
}

static bool is_complete(struct cell_tape *t)
{
	const struct lab_preparation *p = &t->study->preparation;

	if (!p->given || p->way == LAB_FREEZING_NOT_SAID) {
		cell_tape_lacks(
		    t, (struct base_mark){ 1, 1 },
		    "how the mantle is to be frozen is not said; add preparation: {way: dry "
		    "ice, ice_mm: 8}");
		return false;
	}
	if (p->way != LAB_SUPERCOOLING && !lab_stated(&p->ice_m))
		cell_tape_lacks(t, p->mark,
				"the preparation has no ice_mm; say how thick the mantle is "
				"wanted, such as ice_mm: 8");
	if (p->way != LAB_SUPERCOOLING && !lab_stated(&p->coolant_C) &&
	    isnan(ways[p->way].coolant_C))
		cell_tape_lacks(t, p->mark, "a %s has no temperature of its own; give coolant_C",
				lab_freezing_name(p->way));
	if (lab_stated(&p->coolant_C) && p->coolant_C.value >= 0.0)
		cell_tape_lacks(t, p->coolant_C.mark,
				"coolant_C is %.6g; water freezes on what is colder than 0 °C",
				p->coolant_C.value);
	return !t->failed;
}

/* Water and glass from where they start down to the freezing point. */
static double sensible_heat(struct cell_tape *t, const lab_cell_prepare *p)
{
	const struct lab_cell_body *c = &t->study->cell;
	const double from = lab_or(t->study->preparation.start_C.value, t->t_C) - t->t_C;
	const char *glass = c->envelope.material != NULL ? c->envelope.material : c->well.material;
	const double cw = firn_value(cell_tape_property(t, "water", FIRN_HEAT_CAPACITY));
	const double cg = firn_value(cell_tape_property(t, glass, FIRN_HEAT_CAPACITY));

	return fmax(0.0, from) * (p->water_kg * cw + lab_or(p->glass_kg, 0.0) * cg);
}

/* A film melted round the well: its heat, and how long a rod at room temperature takes to bring it
   through a well filled with water. */
static void inner_melt(struct cell_tape *t, const struct cell_ice *ice, lab_cell_prepare *ret)
{
	const struct lab_quantity *stated = &t->study->contact.melted_m;
	const struct firn_node kw = cell_tape_property(t, "water", FIRN_CONDUCTIVITY);
	const struct firn_node film = lab_stated(stated)
					  ? cell_tape_input(t, "contact.melted", "m", stated)
					  : cell_tape_number(t, USUAL_MELT_M);
	const struct firn_node m = cell_ice_mass(ice, film), L = ice->latent, r = ice->r_bore;
	const struct firn_node rod = firn_formula("rod = r - 0.001", r);
	struct firn_node gap;

	ret->melt_m = firn_value(film);
	ret->melt_J = cell_tape_estimate(firn_formula("Q = m*L", m, L));
	if (firn_shell_of(rod, r, kw, &gap) < 0)
		return;
	/* the film's own resistance grows from nothing: half of it on average */
	const double melted =
	    log((firn_value(ice->r_well) + ret->melt_m) / firn_value(ice->r_well)) /
	    (2 * firn_value(ice->pi) * firn_value(kw));
	ret->melt_s = ret->melt_J.value *
		      (firn_value(gap) + firn_value(ice->wall_Km_per_W) + melted / 2) /
		      (firn_value(ice->level_m) * (ROOM_C - t->t_C));
}

/* Ice takes more room than the water that it was. */
static void rise(struct cell_tape *t, const struct cell_ice *ice, lab_cell_prepare *ret)
{
	const double rho_w = firn_value(cell_tape_property(t, "water", FIRN_DENSITY));
	const double rho_i = firn_value(ice->density), rw = firn_value(ice->r_well);
	const double free_m2 =
	    firn_value(ice->pi) * (ice->r_envelope_m * ice->r_envelope_m - rw * rw);

	ret->rise_m = ret->ice_kg.value * (1 / rho_i - 1 / rho_w) / free_m2;
	if (ret->ice_kg.value > ret->water_kg)
		cell_prepare_warn(
		    ret, "So much ice, %.3g g, is more than the water that is there, %.3g g.",
		    1e3 * ret->ice_kg.value, 1e3 * ret->water_kg);
}

static void prepare(struct cell_tape *t, const struct cell_ice *ice, lab_cell_prepare *ret)
{
	ret->water_kg = firn_value(ice->water_kg);
	ret->glass_kg = t->study->cell.glass_kg.value;
	ret->heat_J = (struct lab_estimate){ sensible_heat(t, ret), 0.0, INFINITY };
	if (ret->way == LAB_SUPERCOOLING)
		cell_prepare_supercooled(t, ice, ret);
	else
		cell_prepare_growth(t, ice, ret);
	if (t->failed)
		return;
	rise(t, ice, ret);
	inner_melt(t, ice, ret);
}

lab_cell_prepare *calc_cell_prepare(const struct lab_cell_study *study, base_messages *messages)
{
	g_autoptr(lab_cell_prepare) ret = lab_cell_prepare_new();
	struct cell_tape t;
	struct cell_ice ice;
	bool good;

	if (!cell_tape_open(&t, study, messages))
		return NULL;
	good = is_complete(&t);
	if (good) {
		ret->way = study->preparation.way;
		ret->practice = ways[ret->way].practice;
		ret->coolant_C =
		    lab_or(study->preparation.coolant_C.value, ways[ret->way].coolant_C);
		add_cautions(ret);
		good = cell_ice_build(&t, lab_or(ret->coolant_C, 0.0) / 2, &ice);
	}
	if (good) {
		prepare(&t, &ice, ret);
		if (firn_tape_status(t.tape) < 0)
			cell_tape_lacks(&t, study->cell.mark, "the mantle can't be computed: %s",
					firn_tape_message(t.tape));
		good = !t.failed;
	}
	cell_tape_close(&t);
	return good ? g_steal_pointer(&ret) : NULL;
}
