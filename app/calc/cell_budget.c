#include "app/calc/cell_budget.h"

#include "app/calc/cell_water.h"

#include "firn/cell_check.h"
#include "firn/impurity.h"
#include "firn/scale.h"

#include <math.h>

#define COVERAGE   0.95
#define LEAST_PURE 1e-5 /* 99.999 % */

void cell_budget_reserve(struct cell_budget *b, const char *format, ...)
{
	g_autofree char *text = NULL;
	va_list arguments;

	va_start(arguments, format);
	text = g_strdup_vprintf(format, arguments);
	va_end(arguments);
	g_ptr_array_add(b->reservations, g_string_chunk_insert(b->ret->text, text));
}

void cell_budget_add(struct cell_budget *b, const char *name, struct firn_node K, const char *note)
{
	const struct lab_cell_term term = {
		.name = g_string_chunk_insert(b->ret->text, name),
		.note = g_string_chunk_insert(b->ret->text, note),
		.K = cell_tape_estimate(K),
	};

	if (b->n == CELL_BUDGET_MOST)
		return;
	b->each[b->n++] = K;
	g_array_append_val(b->ret->terms, term);
}

/* The effect of a status that is negative: nothing is added, and the file hears of it. */
static bool computed(struct cell_budget *b, enum firn_status status, struct base_mark mark,
		     const char *what)
{
	if (status < 0)
		cell_tape_lacks(b->t, mark, "the effect of %s can't be computed (%s)", what,
				firn_status_text(status));
	return status >= 0;
}

void cell_budget_bound(struct cell_budget *b, const char *name, const struct lab_estimate *bound,
		       const char *note)
{
	const double half = fabs(bound->value) + lab_or(bound->u, 0.0);

	if (half > 0.0)
		cell_budget_add(b, name,
				cell_tape_assumed(b->t, name, "K", 0.0, half / sqrt(3.0),
						  "rectangular within the bound found"),
				note);
}

void cell_budget_head(struct cell_budget *b, const struct lab_quantity *depth_m)
{
	const struct lab_cell_body *cell = &b->t->study->cell;
	const struct firn_fixed_point *point = firn_scale_point((enum firn_point)cell->point);
	struct firn_node dt;

	if (!lab_stated(depth_m) || point == NULL)
		return;
	g_autofree char *note = g_strdup_printf("%.4g mm to the middle of the element, %.3g mK/m",
						1e3 * depth_m->value, 1e3 * point->dT_dl_K_per_m);
	const struct firn_node slope = cell_tape_number(b->t, point->dT_dl_K_per_m);
	const struct firn_node depth = cell_tape_input(b->t, "depth", "m", depth_m);
	if (computed(b, firn_head(slope, depth, &dt), depth_m->mark, "the head"))
		cell_budget_add(b, "head", dt, note);
}

void cell_budget_isotopes(struct cell_budget *b)
{
	struct firn_node dt;
	bool analysed;

	if (computed(b, cell_water_isotopes(b->t, &dt, &analysed), b->t->study->cell.mark,
		     "the isotopes"))
		cell_budget_add(b, "isotopes", dt,
				analysed ? "analysed; technical annex of the scale (2017)"
					 : "never analysed; CCT Guide sec. 2.2, 3");
}

/* ---- impurities ---- */

static struct firn_node fraction_of(struct cell_budget *b, const struct lab_foreign *x, double q)
{
	g_autofree char *name = g_strconcat("impurity.", x->name, NULL);
	double dof = 0.0;

	if (lab_given(q) && firn_estimated_dof(q, &dof) < 0)
		dof = 0.0;
	return firn_tape_input(b->t->tape, &(struct firn_input){ .name = name,
								 .unit = "1",
								 .source = "stated",
								 .value = x->x.value,
								 .u = lab_or(x->x.u, 0.0),
								 .dof = dof });
}

static struct firn_node slope_of(struct cell_budget *b, const struct lab_foreign *x, double A)
{
	g_autofree char *name = g_strconcat("slope.", x->name, NULL);
	struct firn_node slope;

	if (lab_stated(&x->slope_K))
		return cell_tape_input(b->t, name, "K", &x->slope_K);
	g_autofree char *k_name = g_strconcat("k.", x->name, NULL);
	const struct firn_node k =
	    lab_stated(&x->k) ? cell_tape_input(b->t, k_name, "1", &x->k)
			      : cell_tape_assumed(b->t, k_name, "1", 0.0, 0.0, "not stated: 0");
	return computed(b, firn_liquidus_slope(A, k, &slope), x->mark, "an impurity")
		   ? slope
		   : cell_tape_number(b->t, 0.0);
}

/* Sum of individual estimates; an element known to more than 100 % is not corrected for. */
static void individual(struct cell_budget *b, const struct lab_content *c, double A)
{
	const guint n = c->foreign->len;
	g_autofree struct firn_node *x = g_new(struct firn_node, n + 1);
	g_autofree struct firn_node *slope = g_new(struct firn_node, n + 1);
	double all = lab_or(c->total.value, 0.0);
	struct firn_node dt;

	for (guint i = 0; i < n; i++) {
		const struct lab_foreign *one = LAB_AT(c->foreign, lab_foreign, i);

		all += one->x.value;
		x[i] = fraction_of(b, one, c->q);
		slope[i] = slope_of(b, one, A);
		if (one->x.u > one->x.value)
			cell_budget_reserve(
			    b,
			    "%s is known to more than 100 %%; the CCT Guide (sec. 2.1, 5) advises "
			    "not to correct for it: give it under total_umol_per_mol.",
			    one->name);
		if (one->k.value > 2.0)
			cell_budget_reserve(
			    b,
			    "%s has a distribution coefficient above 2; an overall maximum "
			    "estimate is no bound where such elements are (CCT Guide sec. 2.1, "
			    "3.2).",
			    one->name);
	}
	if (all > LEAST_PURE)
		cell_budget_reserve(
		    b,
		    "With %.3g µmol/mol in all the sample is less pure than 99.999 %%; individual "
		    "estimates are not made for it (CCT Guide sec. 2.1, 3.1).",
		    1e6 * all);
	if (n > 0 && computed(b, firn_impurities(n, x, slope, &dt), c->mark, "the impurities"))
		cell_budget_add(b, "impurities, found", dt,
				"sum of individual estimates; CCT Guide sec. 2.1, 3.1");
}

/* The rest as an overall maximum; known within q it has the degrees of freedom for it. */
static void maximum(struct cell_budget *b, const struct lab_content *c, double A)
{
	struct firn_node dt;
	double dof = 0.0;

	if (!lab_stated(&c->total))
		return;
	if (!computed(
		b, firn_impurity_maximum(b->t->tape, "impurities, maximum", c->total.value, A, &dt),
		c->mark, "the impurities"))
		return;
	if (lab_given(c->q) && firn_estimated_dof(c->q, &dof) >= 0)
		dt = firn_tape_input(
		    b->t->tape, &(struct firn_input){ .name = "impurities, maximum, within known",
						      .unit = "K",
						      .source = "CCT Guide, sec. 2.1 (2018), "
								"equations (11) to (13)",
						      .u = firn_u(dt),
						      .dof = dof });
	cell_budget_add(b, c->foreign->len > 0 ? "impurities, the rest" : "impurities", dt,
			"overall maximum estimate, not corrected; CCT Guide sec. 2.1, 3.2");
}

static void judged(struct cell_budget *b, const struct lab_content *c)
{
	const bool old = c->judged == LAB_JUDGED_OLD;
	struct firn_node dt;

	if (c->judged != LAB_NOT_JUDGED &&
	    computed(b,
		     firn_water_impurities_judged(
			 b->t->tape, "impurities, judged",
			 old ? FIRN_WATER_CELL_OLD : FIRN_WATER_CELL_RECENT, &dt),
		     c->mark, "the impurities"))
		cell_budget_add(b, "impurities", dt,
				old ? "judged, an older cell; CCT Guide sec. 2.2, 4"
				    : "judged, a recent cell; CCT Guide sec. 2.2, 4");
}

void cell_budget_content(struct cell_budget *b, const struct lab_content *content)
{
	double A;

	judged(b, content);
	if (content->foreign->len == 0 && !lab_stated(&content->total))
		return;
	if (!computed(b, firn_cryoscopic_constant(lab_point_name(b->t->study->cell.point), &A),
		      content->mark, "impurities at this point"))
		return;
	individual(b, content, A);
	maximum(b, content, A);
}

void cell_budget_terms(struct cell_budget *b, const GArray *terms)
{
	for (guint i = 0; i < terms->len; i++) {
		const struct lab_stated_term *x = LAB_AT(terms, lab_stated_term, i);

		cell_budget_add(b, x->name, cell_tape_input(b->t, x->name, "K", &x->K),
				x->source != NULL ? x->source : "stated");
	}
}

static void list_inputs(struct cell_budget *b, struct firn_node sum)
{
	struct firn_budget_line lines[CELL_BUDGET_MOST];
	size_t n = 0;

	if (firn_budget(sum, G_N_ELEMENTS(lines), lines, &n) < 0)
		return;
	for (size_t i = 0; i < n; i++) {
		struct firn_input input;

		if (firn_tape_input_of(lines[i].input, &input) < 0)
			continue;
		const struct lab_budget_line line = {
			.input = g_string_chunk_insert(b->ret->text, input.name),
			.unit = g_string_chunk_insert(b->ret->text, input.unit),
			.value = input.value,
			.u = input.u,
			.dof = input.dof,
			.sensitivity = lines[i].sensitivity,
			.contribution = lines[i].contribution,
		};
		g_array_append_val(b->ret->inputs, line);
	}
}

void cell_budget_close(struct cell_budget *b)
{
	const struct firn_node sum =
	    b->n > 0 ? firn_sum(b->n, b->each) : cell_tape_number(b->t, 0.0);

	if (firn_tape_status(b->t->tape) < 0) {
		cell_tape_lacks(b->t, b->t->study->cell.mark, "the budget can't be formed (%s)",
				firn_status_text(firn_tape_status(b->t->tape)));
		return;
	}
	b->ret->sum_K = cell_tape_estimate(sum);
	b->ret->k =
	    firn_coverage_factor(COVERAGE, isinf(b->ret->sum_K.dof) ? 0.0 : b->ret->sum_K.dof);
	b->ret->U_K = b->ret->k * b->ret->sum_K.u;
	list_inputs(b, sum);
}
