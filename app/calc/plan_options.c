/* What would make a result better: each thing changed alone, and all of it computed again. */
#include "app/calc/plan_parts.h"

#include "app/lab/cell_fit.h"

#include <math.h>
#include <string.h>

#define OLD_ENOUGH_D 14.0 /* days; beyond 11 the bound stands at 10 uK (firn/mantle.h) */
#define WORTH        0.99 /* of U: what helps less than 1 % is not told */

static void add(GArray *ret, const char *what, double U_K, double as_planned_K)
{
	const struct lab_plan_option option = { what, U_K };

	if (U_K < WORTH * as_planned_K)
		g_array_append_val(ret, option);
}

static int best_first(const void *a, const void *b)
{
	const struct lab_plan_option *x = a, *y = b;

	return (x->U_K > y->U_K) - (x->U_K < y->U_K);
}

static double cause_of(const struct plan_budget *b, const char *name)
{
	for (size_t i = 0; i < b->n; i++)
		if (strcmp(b->causes[i].name, name) == 0)
			return b->causes[i].u_K;
	return 0.0;
}

/* The stem's term is independent of all others, so another one can take its place. */
static void try_arrangements(const struct plan_budget *as_planned, const struct lab_cell_fit *fit,
			     GStringChunk *text, GArray *ret)
{
	const double u = as_planned->K.u, stem = cause_of(as_planned, "stem conduction");

	for (guint i = 0; i < fit->alternatives->len; i++) {
		const struct lab_fit_case *c = LAB_AT(fit->alternatives, lab_fit_case, i);

		if (c->why_not == NULL && c->term_K < stem)
			add(ret, g_string_chunk_insert(text, c->name),
			    2.0 * sqrt(fmax(0.0, u * u - stem * stem) + c->term_K * c->term_K),
			    2.0 * u);
	}
}

void plan_options(const lab_plan *plan, const struct lab_plan_realisation *r,
		  const double heating_K[2], const struct plan_budget *as_planned,
		  const struct lab_cell_fit *fit, GStringChunk *text, GArray *ret)
{
	g_autoptr(GArray) changes = g_array_new(FALSE, FALSE, sizeof(struct plan_change));
	struct plan_change c = PLAN_NO_CHANGE;

	c.what = "four times as many readings";
	c.readings = 4.0;
	g_array_append_val(changes, c);
	c = PLAN_NO_CHANGE;
	c.what = "a bridge known twice as well, as by a check with a resistor network";
	c.linearity = 0.5;
	g_array_append_val(changes, c);
	if (!as_planned->analysed) {
		c = PLAN_NO_CHANGE;
		c.what = "an analysis of the cell's water";
		c.analysed = true;
		g_array_append_val(changes, c);
	}
	if (r->age_d < OLD_ENOUGH_D) {
		c = PLAN_NO_CHANGE;
		c.what = "a mantle that is 14 days old";
		c.age_d = OLD_ENOUGH_D;
		g_array_append_val(changes, c);
	}
	for (guint i = 0; i < r->terms->len; i++) {
		const struct lab_plan_term *term = LAB_AT(r->terms, lab_plan_term, i);
		g_autofree char *what = g_strdup_printf("%s half as large", term->name);

		c = PLAN_NO_CHANGE;
		c.what = g_string_chunk_insert(text, what);
		c.halved = term->name;
		g_array_append_val(changes, c);
	}
	for (guint i = 0; i < changes->len; i++) {
		const struct plan_change *change = &g_array_index(changes, struct plan_change, i);
		struct plan_budget b;

		if (plan_budget(plan, r, heating_K, change, NULL, text, &b))
			add(ret, change->what, 2.0 * b.K.u, 2.0 * as_planned->K.u);
	}
	try_arrangements(as_planned, fit, text, ret);
	g_array_sort(ret, best_first);
}
