#include "lib/tape/tape.h"

void tape_label(struct firn_tape *tape, uint32_t node, const struct label *label)
{
	void *grown = tape_grow(tape, tape->labels, tape->n_labels, &tape->room_labels,
				sizeof(*tape->labels));

	if (grown == NULL)
		return;
	tape->labels = grown;
	tape->labels[tape->n_labels++] = *label;
	tape->labels_of[node] = tape->n_labels;
}

struct firn_node firn_name(const char *name, struct firn_node x)
{
	struct firn_tape *tape = x.tape;
	struct label label = { .formula = "" };

	if (tape->status < 0 || x.index == 0)
		return x;
	if (tape->labels_of[x.index] != 0)
		label = tape->labels[tape->labels_of[x.index] - 1];
	label.name = tape_keep_text(tape, name, strlen(name));
	if (label.name != NULL)
		tape_label(tape, x.index, &label);
	return x;
}

struct firn_node firn_label(const char *name, const char *text, size_t n, const char *const *names,
			    const struct firn_node *arguments, struct firn_node x)
{
	struct firn_tape *tape = x.tape;
	struct label label = { .n = n };
	const char **kept_names = tape_keep(tape, (n + 1) * sizeof(*kept_names));
	struct firn_node *kept = tape_keep(tape, (n + 1) * sizeof(*kept));

	label.name = tape_keep_text(tape, name, strlen(name));
	label.formula = tape_keep_text(tape, text, strlen(text));
	if (tape->status < 0 || x.index == 0)
		return x;
	for (size_t i = 0; i < n; i++) {
		kept_names[i] = tape_keep_text(tape, names[i], strlen(names[i]));
		kept[i] = arguments[i];
	}
	label.argument_names = kept_names;
	label.arguments = kept;
	if (tape->status >= 0)
		tape_label(tape, x.index, &label);
	return x;
}

static const char *operation_in_words(enum operation operation)
{
	switch (operation) {
	case OP_CONSTANT:
		return "a number";
	case OP_ADD:
		return "sum of two";
	case OP_SUBTRACT:
		return "difference of two";
	case OP_MULTIPLY:
		return "product of two";
	case OP_DIVIDE:
		return "quotient of two";
	case OP_SUM:
		return "sum";
	case OP_DOT:
		return "sum of products";
	case OP_LINEAR:
		return "linear combination";
	case OP_POLYNOMIAL:
		return "polynomial with fixed coefficients";
	case OP_LEAST_SQUARES:
	case OP_SLOT:
		return "solution of a linear system";
	case OP_ROOT:
		return "root of an equation";
	default:
		return "";
	}
}

enum firn_status firn_explain(struct firn_node x, struct firn_explanation *ret)
{
	const struct firn_tape *tape = x.tape;
	const struct record *r;
	enum firn_status status;
	double u, dof;

	if (tape->status < 0)
		return tape->status;
	if (x.index == 0 || x.index >= tape->n_records)
		return FIRN_E_UNKNOWN;
	status = firn_u_dof(x, &u, &dof);
	if (status < 0)
		return status;
	r = &tape->records[x.index];
	*ret =
	    (struct firn_explanation){ .name = "", .formula = "", .value = firn_value(x), .u = u };
	if (r->operation == OP_INPUT) {
		ret->is_input = true;
		ret->name = tape->inputs[r->a].said.name;
	} else if (r->operation == OP_APPLY) {
		ret->formula = tape->functions[r->b]->name;
	} else {
		ret->formula = operation_in_words((enum operation)r->operation);
	}
	if (tape->labels_of[x.index] != 0) {
		const struct label *label = &tape->labels[tape->labels_of[x.index] - 1];

		ret->name = label->name;
		ret->n_arguments = label->n;
		ret->argument_names = label->argument_names;
		ret->arguments = label->arguments;
		if (label->formula[0] != '\0')
			ret->formula = label->formula;
	}
	return FIRN_OK;
}
