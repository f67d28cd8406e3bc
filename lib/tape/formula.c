/* Formulas and equations, recorded from their text. */
#include "lib/tape/parse.h"

#include <stdlib.h>

/* The arguments of firn_formula, as the compiler saw them: "p->head_m, r1". */
struct arguments {
	size_t n;
	const struct firn_node *nodes;
	struct {
		const char *text;
		size_t length;
		bool used;
	} names[PARSE_MOST_NAMES];
};

static bool is_name_character(char c)
{
	return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
	       c == '_';
}

/* The last part of each argument is its name in the formula. Calls have none. */
static const char *split_arguments(const char *text, size_t n, struct arguments *ret)
{
	ret->n = 0;
	if (n > PARSE_MOST_NAMES)
		return "too many arguments";
	for (const char *at = text; ret->n < n; at++) {
		const char *end = at + strcspn(at, ",");
		const char *stop = end;

		while (stop > at && stop[-1] == ' ')
			stop--;
		const char *first = stop;
		while (first > at && is_name_character(first[-1]))
			first--;
		if (first == stop)
			return "an argument is no variable or member";
		ret->names[ret->n].text = first;
		ret->names[ret->n].length = (size_t)(stop - first);
		ret->names[ret->n].used = false;
		ret->n++;
		at = end;
		if (*end == '\0')
			break;
	}
	if (ret->n != n)
		return "the arguments can't be told apart";
	for (size_t i = 0; i < n; i++)
		for (size_t j = 0; j < i; j++)
			if (ret->names[i].length == ret->names[j].length &&
			    memcmp(ret->names[i].text, ret->names[j].text, ret->names[i].length) ==
				0)
				return "a name is bound twice";
	return NULL;
}

static struct firn_node find_argument(void *context, const char *name, size_t length)
{
	struct arguments *arguments = context;

	for (size_t i = 0; i < arguments->n; i++) {
		if (arguments->names[i].length != length ||
		    memcmp(arguments->names[i].text, name, length) != 0)
			continue;
		arguments->names[i].used = true;
		return arguments->nodes[i];
	}
	return (struct firn_node){ 0 };
}

static struct firn_node formula_failed(struct firn_tape *tape, const char *text,
				       const struct parsed *parsed)
{
	const enum firn_status status = tape->status < 0 ? tape->status : FIRN_E_FORMULA;

	/* A tape that failed while this formula was recorded says which formula it was. */
	tape->status = FIRN_OK;
	return tape_fail(tape, status, parsed->column, "%s, in \"%s\" at column %d", parsed->error,
			 text, parsed->column);
}

/* Leaves the formula with its result; a formula that is a mere name gets a node of its own. */
static struct firn_node label_result(struct firn_tape *tape, uint32_t first,
				     const struct parsed *parsed)
{
	struct firn_node x = parsed->result;
	struct label label = { .n = parsed->n_names };
	const char **names = tape_keep(tape, (parsed->n_names + 1) * sizeof(*names));
	struct firn_node *nodes = tape_keep(tape, (parsed->n_names + 1) * sizeof(*nodes));

	if (x.index < first && x.index != 0)
		x = firn_sum(1, &x);
	label.name =
	    tape_keep_text(tape, parsed->name, parsed->name == NULL ? 0 : parsed->name_length);
	label.formula = tape_keep_text(tape, parsed->formula, strlen(parsed->formula));
	if (tape->status < 0)
		return (struct firn_node){ .tape = tape };
	for (size_t i = 0; i < parsed->n_names; i++) {
		names[i] = tape_keep_text(tape, parsed->names[i].text, parsed->names[i].length);
		nodes[i] = parsed->names[i].node;
	}
	label.argument_names = names;
	label.arguments = nodes;
	tape_label(tape, x.index, &label);
	return tape->status < 0 ? (struct firn_node){ .tape = tape } : x;
}

struct firn_node firn_formula_lookup(struct firn_tape *tape, const char *text, firn_find_name *find,
				     void *context)
{
	const uint32_t first = tape->n_records;
	struct parsed parsed;

	if (tape->status < 0)
		return (struct firn_node){ .tape = tape };
	parse_formula(tape, text, find, context, &parsed);
	if (parsed.error != NULL)
		return formula_failed(tape, text, &parsed);
	return label_result(tape, first, &parsed);
}

struct firn_node firn_formula_named(const char *text, const char *names, size_t n,
				    const struct firn_node *x)
{
	struct arguments arguments = { .nodes = x };
	struct firn_tape *tape = x[0].tape;
	struct firn_node y;
	const char *wrong;

	for (size_t i = 0; i < n; i++)
		if (!tape_agree(x[0], x[i]))
			return (struct firn_node){ .tape = tape };
	wrong = split_arguments(names, n, &arguments);
	if (wrong != NULL)
		return tape_fail(tape, FIRN_E_FORMULA, 1, "%s, in the arguments of \"%s\"", wrong,
				 text);
	y = firn_formula_lookup(tape, text, find_argument, &arguments);
	for (size_t i = 0; i < n && tape->status >= 0; i++)
		if (!arguments.names[i].used)
			return tape_fail(tape, FIRN_E_FORMULA, 1, "%.*s is not used in \"%s\"",
					 (int)arguments.names[i].length, arguments.names[i].text,
					 text);
	return y;
}

static enum firn_status each_name(const struct parsed *parsed, firn_each_name *each, void *context,
				  int *ret_column, const char **ret_message)
{
	if (parsed->error != NULL) {
		*ret_column = parsed->column;
		*ret_message = parsed->error;
		return FIRN_E_FORMULA;
	}
	for (size_t i = 0; i < parsed->n_names; i++)
		each(context, parsed->names[i].text, parsed->names[i].length,
		     parsed->names[i].column);
	return FIRN_OK;
}

enum firn_status firn_formula_names(const char *text, firn_each_name *each, void *context,
				    int *ret_column, const char **ret_message)
{
	struct parsed parsed;

	parse_formula(NULL, text, NULL, NULL, &parsed);
	return each_name(&parsed, each, context, ret_column, ret_message);
}

enum firn_status firn_equation_names(const char *text, firn_each_name *each, void *context,
				     int *ret_column, const char **ret_message)
{
	struct parsed parsed;

	parse_equation(NULL, text, NULL, NULL, &parsed);
	return each_name(&parsed, each, context, ret_column, ret_message);
}

/* What an equation meets: quantities of the tape around it become inputs of the equation's own. */
struct equation {
	struct firn_tape *outside;
	struct firn_tape *inside;
	const char *unknown;
	struct firn_node x;
	firn_find_name *find;
	void *context;
	size_t n;
	struct firn_node outer[PARSE_MOST_NAMES], inner[PARSE_MOST_NAMES];
};

static struct firn_node find_in_equation(void *context, const char *name, size_t length)
{
	struct equation *e = context;
	struct firn_node outer, inner;

	if (strlen(e->unknown) == length && memcmp(e->unknown, name, length) == 0)
		return e->x;
	outer = e->find(e->context, name, length);
	if (outer.index == 0 || outer.tape != e->outside)
		return (struct firn_node){ .tape = e->inside };
	inner = firn_tape_input(e->inside,
				&(struct firn_input){ .name = "", .value = firn_value(outer) });
	if (inner.index != 0 && e->n < PARSE_MOST_NAMES) {
		e->outer[e->n] = outer;
		e->inner[e->n] = inner;
		e->n++;
	}
	return inner;
}

static struct firn_node keep_root(struct firn_tape *tape, const struct equation *e,
				  uint32_t residual, double near)
{
	struct record r = { .operation = OP_ROOT, .n = (uint32_t)e->n, .b = tape->n_roots };
	void *grown =
	    tape_grow(tape, tape->roots, tape->n_roots, &tape->room_roots, sizeof(*tape->roots));
	uint32_t *inputs = malloc((e->n + 1) * sizeof(*inputs));

	if (grown != NULL)
		tape->roots = grown;
	if (grown == NULL || inputs == NULL || !tape_operands(tape, e->n, e->outer, &r.a)) {
		free(inputs);
		firn_tape_free(e->inside);
		return tape_fail(tape, FIRN_E_MEMORY, 0, "no memory for an equation");
	}
	for (size_t i = 0; i < e->n; i++)
		inputs[i] = e->inner[i].index;
	tape->roots[tape->n_roots++] = (struct root){ .equation = e->inside,
						      .unknown = e->x.index,
						      .residual = residual,
						      .inputs = inputs,
						      .start = near };
	return tape_record(tape, r, 1);
}

struct firn_node firn_root(struct firn_tape *tape, const char *equation, const char *unknown,
			   double near, firn_find_name *find, void *context)
{
	struct equation e = {
		.outside = tape, .unknown = unknown, .find = find, .context = context
	};
	struct parsed parsed;
	struct firn_node x;
	bool mentions_unknown = false;

	if (tape->status < 0)
		return (struct firn_node){ .tape = tape };
	e.inside = firn_tape_new();
	if (e.inside == NULL)
		return tape_fail(tape, FIRN_E_MEMORY, 0, "no memory for an equation");
	e.x = firn_tape_input(e.inside, &(struct firn_input){ .name = "", .value = near });
	parse_equation(e.inside, equation, find_in_equation, &e, &parsed);
	for (size_t i = 0; i < parsed.n_names; i++)
		mentions_unknown |= parsed.names[i].node.index == e.x.index;
	if (parsed.error == NULL && !mentions_unknown) {
		parsed.error = "the equation does not contain the quantity that it is to "
			       "give; write its name into it";
		parsed.column = 1;
	}
	if (parsed.error != NULL) {
		/* The equation's own failure (not finite near the start) is the outer tape's, too.
		 */
		tape->status = e.inside->status;
		firn_tape_free(e.inside);
		return formula_failed(tape, equation, &parsed);
	}
	x = keep_root(tape, &e, parsed.result.index, near);
	if (x.index == 0 && tape->status == FIRN_E_SINGULAR) {
		tape->status = FIRN_OK;
		return tape_fail(tape, FIRN_E_SINGULAR, 1,
				 "no root of \"%s\" was found near %g; start nearer to it, or "
				 "look at the equation",
				 equation, near);
	}
	parsed.name = unknown;
	parsed.name_length = strlen(unknown);
	size_t kept =
	    0; /* the explanation shows the quantities around, not the equation's own inputs */
	for (size_t i = 0; i < parsed.n_names; i++) {
		for (size_t j = 0; j < e.n; j++) {
			if (parsed.names[i].node.index != e.inner[j].index)
				continue;
			parsed.names[kept] = parsed.names[i];
			parsed.names[kept++].node = e.outer[j];
		}
	}
	parsed.n_names = kept;
	parsed.result = x;
	return x.index == 0 ? x : label_result(tape, x.index, &parsed);
}
