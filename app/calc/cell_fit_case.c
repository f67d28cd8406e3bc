/* One arrangement: error, self-heating, times, heat, verdict. */
#include "app/calc/cell_fit_parts.h"

#include "firn/scale.h"

#include <math.h>
#include <string.h>

static const struct lab_estimate unknown = { LAB_NOT_GIVEN, LAB_NOT_GIVEN, LAB_NOT_GIVEN };

static struct lab_fit_case nothing_known(void)
{
	const struct lab_grid_answer no_grid = { LAB_NOT_GIVEN, LAB_NOT_GIVEN };

	return (struct lab_fit_case){
		.depth_m = unknown,
		.decay_m = unknown,
		.error_K = unknown,
		.grid_K = no_grid,
		.grid_settled_s = no_grid,
		.term_K = LAB_NOT_GIVEN,
		.inside_K_per_W = unknown,
		.outside_K_per_W = unknown,
		.heating_K = { LAB_NOT_GIVEN, LAB_NOT_GIVEN },
		.constant_s = unknown,
		.settled_s = unknown,
		.brought_J = unknown,
		.melted_kg = unknown,
		.flow_W = unknown,
	};
}

/* From the radiation that this leaves out: tenths of a millikelvin at zinc, tens at silver. */
static bool is_judged(const struct lab_cell_body *cell)
{
	return cell->medium == LAB_ICE_BATH || cell->point == LAB_H2O || cell->point == LAB_GA;
}

static enum lab_fit_verdict verdict(const struct lab_cell_study *study,
				    const struct lab_fit_case *c, double wanted_K)
{
	if (c->why_not != NULL)
		return LAB_FIT_UNFIT;
	if (!is_judged(&study->cell))
		return LAB_FIT_NONE;
	if (!lab_given(wanted_K))
		return LAB_FIT_NOT_ASKED;
	if (c->term_K <= wanted_K / 3)
		return LAB_FITS;
	return c->term_K <= wanted_K ? LAB_FIT_LIMITS : LAB_FIT_UNFIT;
}

/* Not corrected, the error lies between nothing and what was computed. */
void cell_fit_judge(const struct lab_cell_study *study, double wanted_K, struct lab_fit_case *c)
{
	const double grid = fabs(lab_or(c->grid_K.value, 0.0)) + lab_or(c->grid_K.error, 0.0);
	const double larger = fmax(fabs(c->error_K.value), grid);

	if (c->why_not == NULL)
		c->term_K = hypot(larger / sqrt(3.0), c->error_K.u);
	c->verdict = verdict(study, c, wanted_K);
}

static void self_heating(const struct cell_tape *t, const struct cell_stem *s,
			 struct lab_fit_case *c)
{
	const struct lab_stem *th = &t->study->thermometer;
	const enum lab_point point = t->study->cell.point;
	const struct firn_fixed_point *p =
	    point == LAB_NO_POINT ? NULL : firn_scale_point((enum firn_point)point);
	const double ohm = th->nominal_ohm * (p == NULL ? 1.0 : p->wr);

	c->outside_K_per_W = cell_tape_estimate(s->outside_K_per_W);
	if (s->inside_K_per_W.index == 0)
		return;
	c->inside_K_per_W = cell_tape_estimate(s->inside_K_per_W);
	for (int i = 0; i < 2; i++)
		c->heating_K[i] = (c->inside_K_per_W.value + c->outside_K_per_W.value) * ohm *
				  th->currents_A[i] * th->currents_A[i];
}

/* By the laboratory's own insertions where there are any. */
static bool fitted_times(struct cell_tape *t, const struct cell_fit_question *q,
			 struct lab_fit_case *c)
{
	const GArray *settling = t->study->settling;
	g_autofree struct firn_approach *approaches = g_new0(struct firn_approach, settling->len);
	g_autoptr(GArray) numbers = g_array_new(FALSE, FALSE, sizeof(double));
	struct firn_node constant, amplitude;
	guint at = 0;

	for (guint i = 0; i < settling->len; i++) {
		const GArray *rows = LAB_AT(settling, lab_settling, i)->rows;

		for (guint j = 0; j < rows->len; j++)
			g_array_append_val(numbers, LAB_AT(rows, lab_record_row, j)->time_s);
		for (guint j = 0; j < rows->len; j++)
			g_array_append_val(numbers, LAB_AT(rows, lab_record_row, j)->value);
	}
	for (guint i = 0; i < settling->len; i++) {
		const struct lab_settling *x = LAB_AT(settling, lab_settling, i);
		const double *first = (const double *)(const void *)numbers->data + at;

		approaches[i] = (struct firn_approach){ .n = x->rows->len,
							.time_s = first,
							.off_K = first + x->rows->len,
							.from_K = fabs(x->from_C.value - t->t_C) };
		at += 2 * x->rows->len;
	}
	if (firn_settling_fit(t->tape, settling->len, approaches, &constant, &amplitude) < 0)
		return false;

	const struct firn_node from = cell_tape_number(t, q->from_K);
	const struct firn_node within = cell_tape_number(t, q->within_K);
	c->constant_s = cell_tape_estimate(constant);
	c->settled_s = cell_tape_estimate(firn_formula("t = constant*ln(amplitude*from/within)",
						       constant, amplitude, from, within));
	return true;
}

static void times(struct cell_tape *t, const struct cell_stem *s, const struct cell_fit_question *q,
		  struct lab_fit_case *c)
{
	struct firn_node constant, time;

	if (q->fitted && fitted_times(t, q, c))
		return;
	if (firn_settling_time(&s->settling, cell_tape_number(t, q->from_K),
			       cell_tape_number(t, q->within_K), &constant, &time) < 0)
		return;
	c->constant_s = cell_tape_estimate(constant);
	c->settled_s = cell_tape_estimate(time);
}

/* Half of the element's length and the distance of its lower end from the tip. */
static struct firn_node middle(const struct cell_stem *s)
{
	const struct firn_node surface = s->surface_m, tip = s->from_tip_m, l = s->length_m;

	return firn_formula("depth = surface - tip - l/2", surface, tip, l);
}

struct lab_fit_case cell_fit_case(struct cell_tape *t, const struct cell_stem *s,
				  const struct cell_fit_question *q)
{
	struct lab_fit_case c = nothing_known();
	struct firn_stem_answer a;

	c.why_not = (char *)(uintptr_t)s->why_not;
	if (s->why_not != NULL) {
		c.verdict = verdict(t->study, &c, q->wanted_K);
		return c;
	}
	const struct firn_node part = cell_stem_error(s, 0.0, &a);
	const struct firn_node ambient =
	    cell_tape_input(t, "surroundings.ambient", "°C", &t->study->surroundings.ambient_C);
	const struct firn_node medium = cell_tape_number(t, t->t_C);
	const struct firn_node error =
	    firn_formula("error = part*(ambient - medium)", part, ambient, medium);
	const struct firn_node flow = a.flow_W_per_K, C = s->heat_capacity_J_per_K,
			       L = s->latent_J_per_kg, from = cell_tape_number(t, q->from_K);

	c.depth_m = cell_tape_estimate(middle(s));
	c.decay_m = cell_tape_estimate(a.slow_m);
	c.error_K = cell_tape_estimate(error);
	c.flow_W =
	    cell_tape_estimate(firn_formula("q = flow*(ambient - medium)", flow, ambient, medium));
	c.brought_J = cell_tape_estimate(firn_formula("Q = C*from", C, from));
	c.melted_kg = cell_tape_estimate(firn_formula("m = C*from/L", C, from, L));
	self_heating(t, s, &c);
	times(t, s, q, &c);
	cell_fit_judge(t->study, q->wanted_K, &c);
	return c;
}

/* ---- the budget ---- */

static int larger_first(const void *a, const void *b)
{
	const struct lab_budget_line *x = a, *y = b;

	return (x->contribution < y->contribution) - (x->contribution > y->contribution);
}

void cell_fit_budget(struct firn_node y, GArray *ret, GStringChunk *text)
{
	struct firn_node input;

	for (size_t i = 0; (input = firn_tape_input_at(y.tape, i)).index != 0; i++) {
		struct firn_input said;

		if (firn_tape_input_of(input, &said) < 0 || !(said.u > 0.0) ||
		    !firn_depends(y, input))
			continue;
		const double sensitivity = firn_sensitivity(y, input);
		const struct lab_budget_line line = {
			.input = g_string_chunk_insert_const(text, said.name),
			.unit = g_string_chunk_insert_const(text, said.unit),
			.value = said.value,
			.u = said.u,
			.dof = said.dof > 0.0 ? said.dof : (double)INFINITY,
			.sensitivity = sensitivity,
			.contribution = fabs(sensitivity) * said.u,
		};
		g_array_append_val(ret, line);
	}
	g_array_sort(ret, larger_first);
}
