#include "app/calc/evaluate.h"
#include "app/calc/trials.h"

#include "firn/tape.h"

#include <string.h>

enum state { NOT_YET, BEING_RECORDED, RECORDED };

/* Formulas that stand on formulas further down in the file; the limit is ours, for the stack. */
enum { DEEPEST_CHAIN = 100 };

struct evaluation {
	const struct lab_model *model;
	base_messages *messages;
	struct firn_tape *tape;
	struct firn_node *inputs; /* one for each of the model's */
	enum state *states;
	int depth;          /* of formulas that wait for one another */
	GHashTable *places; /* name of an input -> its place + 1 */
};

static const struct lab_model_input *input_at(const struct lab_model *model, guint i)
{
	return &g_array_index(model->inputs, struct lab_model_input, i);
}

static const struct lab_model_output *output_at(const struct lab_model *model, guint i)
{
	return &g_array_index(model->outputs, struct lab_model_output, i);
}

static guint place_of(const struct evaluation *e, const char *name, size_t length)
{
	g_autofree char *copy = g_strndup(name, length);

	return GPOINTER_TO_UINT(g_hash_table_lookup(e->places, copy));
}

/* The mark of a place in a formula: column 1 is the formula's first character. */
static struct base_mark inside(struct base_mark formula, int column)
{
	return (struct base_mark){ formula.line, formula.column + (column > 0 ? column - 1 : 0) };
}

/* ---- names: everything that a formula mentions has to be there before anything is recorded ----
 */

struct name_check {
	const struct evaluation *e;
	struct base_mark mark;
	const char *allowed; /* the unknown of an equation, or NULL */
};

static bool is_output(const struct lab_model *model, const char *name)
{
	for (guint i = 0; i < model->outputs->len; i++)
		if (strcmp(output_at(model, i)->name, name) == 0)
			return true;
	return false;
}

static void check_name(void *context, const char *name, size_t length, int column)
{
	const struct name_check *check = context;
	const struct evaluation *e = check->e;
	g_autofree char *copy = g_strndup(name, length);

	if (place_of(e, name, length) != 0 || g_strcmp0(copy, check->allowed) == 0)
		return;
	if (is_output(e->model, copy))
		base_messages_add(
		    e->messages, BASE_ERROR, e->model->path, inside(check->mark, column),
		    "%s is an output; a formula stands on inputs, so give it as an input "
		    "with a formula of its own",
		    copy);
	else
		base_messages_add(e->messages, BASE_ERROR, e->model->path,
				  inside(check->mark, column),
				  "%s is not declared; it would have to stand under inputs", copy);
}

static void check_formula(const struct evaluation *e, const char *text, bool equation,
			  const char *unknown, struct base_mark mark)
{
	struct name_check check = { e, mark, unknown };
	const char *wrong = NULL;
	int column = 0;
	const enum firn_status status =
	    equation ? firn_equation_names(text, check_name, &check, &column, &wrong)
		     : firn_formula_names(text, check_name, &check, &column, &wrong);

	if (status < 0)
		base_messages_add(e->messages, BASE_ERROR, e->model->path, inside(mark, column),
				  "the %s can't be read from here: %s",
				  equation ? "equation" : "formula", wrong);
}

static void check_all_formulas(const struct evaluation *e)
{
	for (guint i = 0; i < e->model->inputs->len; i++) {
		const struct lab_model_input *x = input_at(e->model, i);

		if (x->distribution == LAB_FORMULA)
			check_formula(e, x->formula, false, NULL, x->text_mark);
	}
	for (guint i = 0; i < e->model->outputs->len; i++) {
		const struct lab_model_output *y = output_at(e->model, i);

		if (y->equation != NULL)
			check_formula(e, y->equation, true, y->name, y->text_mark);
		else
			check_formula(e, y->formula, false, NULL, y->text_mark);
	}
}

/* ---- recording ---- */

/* After a step that failed, says so once; the tape remembers only its first failure. */
static bool tape_is_good(const struct evaluation *e, struct base_mark mark)
{
	if (firn_tape_status(e->tape) >= 0)
		return true;
	base_messages_add(e->messages,
			  firn_tape_status(e->tape) == FIRN_E_MEMORY ? BASE_FAILURE : BASE_ERROR,
			  e->model->path, inside(mark, firn_tape_message_column(e->tape)), "%s",
			  firn_tape_message(e->tape));
	return false;
}

/* Whether the engine has computed `what`; a message when it has not. */
static bool is_computed(const struct evaluation *e, enum firn_status status, struct base_mark mark,
			const char *what)
{
	if (status >= 0)
		return true;
	if (!tape_is_good(e, mark))
		return false;
	base_messages_add(e->messages, status == FIRN_E_MEMORY ? BASE_FAILURE : BASE_ERROR,
			  e->model->path, mark, "%s can't be computed: %s", what,
			  firn_status_text(status));
	return false;
}

/* Correlations that can't hold together are found late, at an output that is not to blame. */
static struct base_mark mark_of_failure(const struct evaluation *e, struct base_mark output)
{
	const GArray *pairs = e->model->correlations;

	return firn_tape_status(e->tape) == FIRN_E_CORRELATION && pairs->len > 0
		   ? g_array_index(pairs, struct lab_model_pair, 0).mark
		   : output;
}

static struct firn_node elementary(const struct evaluation *e, const struct lab_model_input *x)
{
	static const enum firn_distribution distributions[] = {
		[LAB_NORMAL] = FIRN_NORMAL,
		[LAB_RECTANGULAR] = FIRN_RECTANGULAR,
		[LAB_TRIANGULAR] = FIRN_TRIANGULAR,
		[LAB_TRAPEZOIDAL] = FIRN_TRAPEZOIDAL,
		[LAB_ARCSINE] = FIRN_ARCSINE,
		[LAB_CURVILINEAR_TRAPEZOID] = FIRN_CURVILINEAR_TRAPEZOID,
		[LAB_STUDENT_T] = FIRN_STUDENT_T,
		[LAB_EXPONENTIAL] = FIRN_EXPONENTIAL,
		[LAB_GAMMA] = FIRN_GAMMA,
	};
	struct firn_input input = { .name = x->name,
				    .unit = x->unit,
				    .source = x->source,
				    .value = lab_or(x->value, 0.0),
				    .u = lab_or(x->u, 0.0),
				    .dof = lab_or(x->dof, 0.0),
				    .low = lab_or(x->low, 0.0),
				    .high = lab_or(x->high, 0.0) };

	if (x->distribution == LAB_READINGS)
		return firn_tape_readings(e->tape, x->name, x->unit, x->readings->len,
					  (const double *)(const void *)x->readings->data);
	input.distribution = distributions[x->distribution];
	switch (x->distribution) {
	case LAB_TRAPEZOIDAL:
		input.shape = x->beta;
		break;
	case LAB_CURVILINEAR_TRAPEZOID:
		input.shape = x->d;
		break;
	case LAB_STUDENT_T:
		input.u = x->scale;
		break;
	case LAB_EXPONENTIAL:
		input.value = x->mean;
		break;
	case LAB_GAMMA:
		input.shape = x->shape;
		input.u = x->scale;
		break;
	default:
		break;
	}
	return firn_tape_input(e->tape, &input);
}

static bool record_input(struct evaluation *e, guint place);

struct dependencies {
	struct evaluation *e;
	bool good;
};

static void record_dependency(void *context, const char *name, size_t length, int column)
{
	struct dependencies *d = context;
	const guint place = place_of(d->e, name, length);

	(void)column;
	if (d->good && place != 0)
		d->good = record_input(d->e, place - 1);
}

static struct firn_node find_input(void *context, const char *name, size_t length)
{
	const struct evaluation *e = context;
	const guint place = place_of(e, name, length);

	return place == 0 ? (struct firn_node){ 0 } : e->inputs[place - 1];
}

static bool record_formula(struct evaluation *e, guint place)
{
	const struct lab_model_input *x = input_at(e->model, place);
	struct dependencies needed = { e, true };
	const char *wrong;
	int column;

	if (e->depth == DEEPEST_CHAIN) {
		base_messages_add(
		    e->messages, BASE_ERROR, e->model->path, x->mark,
		    "%s is the last of more than %d formulas that stand on one another and on "
		    "inputs further down; write each input above the formulas that stand on it",
		    x->name, DEEPEST_CHAIN);
		return false;
	}
	e->depth++;
	const enum firn_status status =
	    firn_formula_names(x->formula, record_dependency, &needed, &column, &wrong);
	e->depth--;
	if (!needed.good || !is_computed(e, status, x->text_mark, x->name))
		return false;
	e->inputs[place] =
	    firn_name(x->name, firn_formula_lookup(e->tape, x->formula, find_input, e));
	return true;
}

/* Formulas after what they stand on. */
static bool record_input(struct evaluation *e, guint place)
{
	const struct lab_model_input *x = input_at(e->model, place);

	if (e->states[place] == RECORDED)
		return true;
	if (e->states[place] == BEING_RECORDED) {
		base_messages_add(
		    e->messages, BASE_ERROR, e->model->path, x->mark,
		    "%s stands on itself through its formula; formulas may not go in a circle",
		    x->name);
		return false;
	}
	e->states[place] = BEING_RECORDED;
	if (x->distribution != LAB_FORMULA)
		e->inputs[place] = elementary(e, x);
	else if (!record_formula(e, place))
		return false;
	e->states[place] = RECORDED;
	return tape_is_good(e, x->distribution == LAB_FORMULA ? x->text_mark : x->mark);
}

static bool record_pair(const struct evaluation *e, int a, int b, struct base_mark mark)
{
	const GArray *x = input_at(e->model, (guint)a)->readings;
	const GArray *y = input_at(e->model, (guint)b)->readings;

	return is_computed(e,
			   firn_tape_readings_together(e->inputs[a], e->inputs[b], x->len,
						       (const double *)(const void *)x->data,
						       (const double *)(const void *)y->data),
			   mark, "the correlation of readings taken together");
}

static bool record_correlations(const struct evaluation *e)
{
	const struct lab_model *model = e->model;

	for (guint i = 0; i < model->paired->len; i++) {
		const GArray *group = g_array_index(model->paired, GArray *, i);
		const struct base_mark mark =
		    g_array_index(model->paired_marks, struct base_mark, i);

		for (guint j = 0; j < group->len; j++)
			for (guint k = 0; k < j; k++)
				if (!record_pair(e, g_array_index(group, int, j),
						 g_array_index(group, int, k), mark))
					return false;
	}
	for (guint i = 0; i < model->correlations->len; i++) {
		const struct lab_model_pair *pair =
		    &g_array_index(model->correlations, struct lab_model_pair, i);

		if (!is_computed(
			e, firn_tape_correlate(e->inputs[pair->a], e->inputs[pair->b], pair->r),
			pair->mark, "the correlation"))
			return false;
	}
	return true;
}

static bool record_outputs(struct evaluation *e, struct firn_node *ret)
{
	for (guint i = 0; i < e->model->outputs->len; i++) {
		const struct lab_model_output *y = output_at(e->model, i);

		ret[i] = y->equation != NULL
			     ? firn_root(e->tape, y->equation, y->name, y->near, find_input, e)
			     : firn_name(y->name,
					 firn_formula_lookup(e->tape, y->formula, find_input, e));
		if (!tape_is_good(e, y->text_mark))
			return false;
	}
	return true;
}

/* ---- results ---- */

static int larger_contribution_first(const void *a, const void *b)
{
	const struct lab_budget_line *x = a, *y = b;

	return (x->contribution < y->contribution) - (x->contribution > y->contribution);
}

/* Every elementary input that the result was computed from, those without effect here too. */
static GArray *budget(const struct evaluation *e, struct firn_node y, GStringChunk *text)
{
	GArray *lines = g_array_new(false, true, sizeof(struct lab_budget_line));

	for (guint i = 0; i < e->model->inputs->len; i++) {
		struct firn_input said;

		if (input_at(e->model, i)->distribution == LAB_FORMULA ||
		    firn_tape_input_of(e->inputs[i], &said) < 0 || !firn_depends(y, e->inputs[i]))
			continue;

		const double sensitivity = firn_sensitivity(y, e->inputs[i]);
		const struct lab_budget_line line = {
			.input = g_string_chunk_insert_const(text, said.name),
			.unit = g_string_chunk_insert_const(text, said.unit),
			.value = said.value,
			.u = said.u,
			.dof = said.dof > 0.0 ? said.dof : (double)INFINITY,
			.sensitivity = sensitivity,
			.contribution = fabs(sensitivity) * said.u,
		};
		g_array_append_val(lines, line);
	}
	/* GArray sorts by merging: lines of equal size keep the order of the file */
	g_array_sort(lines, larger_contribution_first);
	return lines;
}

static bool stands_on_uncertain_inputs(const struct evaluation *e, struct firn_node y)
{
	for (guint i = 0; i < e->model->inputs->len; i++) {
		struct firn_input said;

		if (firn_tape_input_of(e->inputs[i], &said) >= 0 && said.u > 0.0 &&
		    firn_depends(y, e->inputs[i]))
			return true;
	}
	return false;
}

/* Where a slope is infinite or all are zero, the linear law has nothing to say; a number alone
   would not tell. */
static void tell_where_linear_law_is_silent(const struct evaluation *e, struct firn_node y,
					    const struct lab_evaluated *result,
					    struct lab_evaluation *ret)
{
	g_autofree char *text = NULL;

	if (!isfinite(result->u))
		text = g_strdup_printf(
		    "%s: a sensitivity is not finite at the estimates, so the linear law gives no "
		    "uncertainty; ask for trials with monte_carlo.",
		    result->name);
	else if (result->u == 0.0 && stands_on_uncertain_inputs(e, y))
		text = g_strdup_printf(
		    "%s: every sensitivity is zero at the estimates, so the linear law finds no "
		    "uncertainty where there is one; ask for trials with monte_carlo.",
		    result->name);
	if (text != NULL)
		g_ptr_array_add(ret->reservations, g_string_chunk_insert(ret->text, text));
}

/* A k of 100 would pass for any other. */
static void tell_where_dof_are_few(const struct lab_evaluated *result, struct lab_evaluation *ret)
{
	if (!(result->dof < 1.0))
		return;
	g_autofree char *text = g_strdup_printf("%s: with %.2g degrees of freedom, fewer than 1, u "
						"is hardly known, and U with it (JCGM "
						"100:2008, G.4.2).",
						result->name, result->dof);
	g_ptr_array_add(ret->reservations, g_string_chunk_insert(ret->text, text));
}

static bool add_output(const struct evaluation *e, guint i, struct firn_node y,
		       struct lab_evaluation *ret)
{
	const struct lab_model *model = e->model;
	struct lab_evaluated result = {
		.name = g_string_chunk_insert_const(ret->text, output_at(model, i)->name),
		.value = firn_value(y),
	};

	if (output_at(model, i)->unit != NULL)
		result.unit = g_string_chunk_insert_const(ret->text, output_at(model, i)->unit);
	/* first the status: where a failure belongs is known only after it */
	const enum firn_status status = firn_u_dof(y, &result.u, &result.dof);
	if (!is_computed(e, status, mark_of_failure(e, output_at(model, i)->mark), result.name))
		return false;
	result.k =
	    lab_given(model->coverage_factor)
		? model->coverage_factor
		: firn_coverage_factor(lab_or(model->coverage_probability, 0.95), result.dof);
	result.U = result.k * result.u;
	tell_where_linear_law_is_silent(e, y, &result, ret);
	tell_where_dof_are_few(&result, ret);
	result.budget = budget(e, y, ret->text);
	g_array_append_val(ret->outputs, result);
	return true;
}

static bool add_correlations(const struct evaluation *e, const struct firn_node *y,
			     struct lab_evaluation *ret)
{
	const size_t n = ret->outputs->len;

	ret->correlations = g_new0(double, n *n);
	if (!is_computed(e, firn_covariance(n, y, ret->correlations), (struct base_mark){ 0, 0 },
			 "the correlation of the outputs"))
		return false;
	for (size_t i = 0; i < n; i++)
		for (size_t j = 0; j < n; j++) {
			const double u_i = g_array_index(ret->outputs, struct lab_evaluated, i).u;
			const double u_j = g_array_index(ret->outputs, struct lab_evaluated, j).u;

			ret->correlations[i * n + j] =
			    i == j                     ? 1.0
			    : !isfinite(u_i * u_j)     ? LAB_NOT_GIVEN
			    : u_i == 0.0 || u_j == 0.0 ? 0.0
						       : ret->correlations[i * n + j] / (u_i * u_j);
		}
	return true;
}

static lab_evaluation *evaluate(struct evaluation *e, struct firn_node *outputs)
{
	g_autoptr(lab_evaluation) result = NULL;

	check_all_formulas(e);
	if (base_messages_exit_status(e->messages) != 0)
		return NULL;
	for (guint i = 0; i < e->model->inputs->len; i++)
		if (!record_input(e, i))
			return NULL;
	if (!record_correlations(e) || !record_outputs(e, outputs))
		return NULL;
	result = lab_evaluation_new();
	result->coverage_probability = lab_given(e->model->coverage_factor)
					   ? LAB_NOT_GIVEN
					   : lab_or(e->model->coverage_probability, 0.95);
	for (guint i = 0; i < e->model->outputs->len; i++)
		if (!add_output(e, i, outputs[i], result))
			return NULL;
	return add_correlations(e, outputs, result) ? g_steal_pointer(&result) : NULL;
}

/* trials: whether those that the model asks for are made. */
static lab_evaluation *evaluate_on_tape(const struct lab_model *model, bool trials,
					base_threads *threads, base_messages *messages)
{
	g_autofree struct firn_node *inputs = g_new0(struct firn_node, model->inputs->len + 1);
	g_autofree struct firn_node *outputs = g_new0(struct firn_node, model->outputs->len + 1);
	g_autofree enum state *states = g_new0(enum state, model->inputs->len + 1);
	g_autoptr(GHashTable) places = g_hash_table_new(g_str_hash, g_str_equal);
	struct evaluation e = { .model = model,
				.messages = messages,
				.tape = firn_tape_new(),
				.inputs = inputs,
				.states = states,
				.places = places };
	lab_evaluation *result;

	if (e.tape == NULL) {
		base_messages_add(messages, BASE_FAILURE, "", (struct base_mark){ 0, 0 },
				  "no memory for the model");
		return NULL;
	}
	for (guint i = 0; i < model->inputs->len; i++)
		g_hash_table_insert(places, input_at(model, i)->name, GUINT_TO_POINTER(i + 1));
	result = evaluate(&e, outputs);
	if (result != NULL && trials && model->monte_carlo.given &&
	    !trials_add(model, outputs, threads, messages, result))
		g_clear_pointer(&result, lab_evaluation_free);
	firn_tape_free(e.tape);
	return result;
}

lab_evaluation *calc_evaluate(const struct lab_model *model, base_messages *messages)
{
	return evaluate_on_tape(model, false, NULL, messages);
}

lab_evaluation *calc_evaluate_by_trials(const struct lab_model *model, base_threads *threads,
					base_messages *messages)
{
	return evaluate_on_tape(model, true, threads, messages);
}
