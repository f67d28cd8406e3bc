/* What would help, found by computing it: one thing changed at a time. */
#include "app/calc/cell_fit_parts.h"

#include <math.h>

#define LARGE_CELL_M 0.265   /* of water over the well's bottom in a large cell: 200 to 265 mm */
#define GAP_M        0.25e-3 /* beside a bushing, on each side */
#define COVER_M      0.05

static struct lab_quantity exact(double value)
{
	return (struct lab_quantity){ .value = value, .u = LAB_NOT_GIVEN };
}

/* Each makes its change and returns its name, or NULL when there is nothing to change. */
typedef const char *change(struct lab_cell_study *s);

static const char *water(struct lab_cell_study *s)
{
	if (s->cell.medium == LAB_ICE_BATH || s->contact.fluid == NULL ||
	    g_str_equal(s->contact.fluid, "water") || s->cell.point != LAB_H2O)
		return NULL;
	s->contact.fluid = "water";
	return "with water in the well";
}

static const char *oil(struct lab_cell_study *s)
{
	if (s->cell.point != LAB_GA || s->contact.fluid == NULL ||
	    !g_str_equal(s->contact.fluid, "air"))
		return NULL;
	s->contact.fluid = "silicone oil";
	return "with silicone oil in the well";
}

static const char *bushing(struct lab_cell_study *s)
{
	const double sheath = s->thermometer.sheath.outer_m.value, bore = s->cell.well.bore_m.value;

	if (s->cell.medium == LAB_ICE_BATH || s->contact.bushed || !(bore - sheath > 6 * GAP_M) ||
	    s->cell.point == LAB_NO_POINT || s->cell.point >= LAB_IN)
		return NULL;
	s->contact.bushed = true;
	s->contact.bushing = (struct lab_tube){ .material = "aluminium",
						.inner_m = exact(sheath + 2 * GAP_M),
						.outer_m = exact(bore - 2 * GAP_M),
						.length_m = exact(s->cell.level_m.value) };
	return "with an aluminium bushing up to the surface";
}

static const char *no_bushing(struct lab_cell_study *s)
{
	if (!s->contact.bushed)
		return NULL;
	s->contact.bushed = false;
	return "without the bushing";
}

static const char *covered(struct lab_cell_study *s)
{
	if (s->cell.medium == LAB_ICE_BATH)
		return NULL;
	s->surroundings.cover_m = exact(lab_or(s->surroundings.cover_m.value, 0.0) + COVER_M);
	return "with 50 mm more of the stem at the bath's temperature";
}

static const char *large_cell(struct lab_cell_study *s)
{
	if (s->cell.point != LAB_H2O || s->cell.level_m.value >= LARGE_CELL_M)
		return NULL;
	s->cell.level_m = exact(LARGE_CELL_M);
	return "in a cell with 265 mm of water";
}

static const char *large_well(struct lab_cell_study *s)
{
	const double sheath = s->thermometer.sheath.outer_m.value;

	if (large_cell(s) == NULL || s->cell.well.bore_m.value > sheath)
		return NULL;
	s->cell.well.bore_m = exact(sheath + 4e-3);
	return "in a large cell with a well 4 mm wider than it";
}

static const char *deeper_ice(struct lab_cell_study *s)
{
	if (s->cell.medium != LAB_ICE_BATH || s->cell.level_m.value >= 0.3)
		return NULL;
	s->cell.level_m = exact(0.3);
	return "with the tip 300 mm deep in the ice";
}

static const char *no_pad(struct lab_cell_study *s)
{
	if (!lab_stated(&s->contact.pad_m) || s->contact.pad_m.value < 10e-3)
		return NULL;
	s->contact.pad_m = exact(5e-3);
	return "with a pad of 5 mm";
}

static const char *helium(struct lab_cell_study *s)
{
	if (s->thermometer.filling != NULL && !g_str_equal(s->thermometer.filling, "air"))
		return NULL;
	s->thermometer.filling = "helium";
	return "if it were filled with helium";
}

static const char *precooled(struct lab_cell_study *s)
{
	(void)s;
	return "brought to within 1 K before";
}

static change *const changes[] = { water,   oil,        bushing,    no_bushing,
				   covered, large_cell, large_well, deeper_ice,
				   no_pad,  helium,     precooled };

/* What comes nearest to the wanted: unfit ones last, then by term, then by time. */
static int better_first(const void *a, const void *b)
{
	const struct lab_fit_case *x = a, *y = b;
	const bool x_out = x->why_not != NULL, y_out = y->why_not != NULL;

	if (x_out != y_out)
		return x_out - y_out;
	if (x->term_K != y->term_K)
		return (x->term_K > y->term_K) - (x->term_K < y->term_K);
	return (x->settled_s.value > y->settled_s.value) -
	       (x->settled_s.value < y->settled_s.value);
}

void cell_fit_alternatives(const struct lab_cell_study *study, const struct cell_fit_question *q,
			   struct lab_cell_fit *fit)
{
	for (size_t i = 0; i < G_N_ELEMENTS(changes); i++) {
		struct lab_cell_study changed = *study;
		struct cell_fit_question asked = *q;
		const char *name = changes[i](&changed);
		struct cell_tape t;
		struct cell_stem s;

		if (name == NULL || (changes[i] == precooled && q->from_K <= 1.0))
			continue;
		if (changes[i] == precooled)
			asked.from_K = 1.0;
		else
			asked.fitted = false; /* the record is of another arrangement */
		if (!cell_tape_open(&t, &changed, NULL))
			return;
		if (cell_stem_build(&t, &s)) {
			struct lab_fit_case c = cell_fit_case(&t, &s, &asked);

			c.name = g_string_chunk_insert_const(fit->text, name);
			g_array_append_val(fit->alternatives, c);
		}
		cell_tape_close(&t);
	}
	g_array_sort(fit->alternatives, better_first);
}
