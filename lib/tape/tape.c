#include "lib/tape/tape.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

enum { BLOCK = 16384 };

struct block {
	struct block *next;
	size_t used, size;
	max_align_t memory[];
};

struct firn_tape *firn_tape_new(void)
{
	struct firn_tape *tape = calloc(1, sizeof(*tape));

	if (tape == NULL)
		return NULL;
	/* Record 0 stands for nothing, so that an index of 0 does. */
	tape_record(tape, (struct record){ .operation = OP_NOTHING }, 1);
	if (tape->status < 0) {
		firn_tape_free(tape);
		return NULL;
	}
	return tape;
}

void firn_tape_free(struct firn_tape *tape)
{
	if (tape == NULL)
		return;
	for (uint32_t i = 0; i < tape->n_roots; i++) {
		firn_tape_free(tape->roots[i].equation);
		free(tape->roots[i].inputs);
	}
	while (tape->blocks != NULL) {
		struct block *next = tape->blocks->next;

		free(tape->blocks);
		tape->blocks = next;
	}
	free(tape->records);
	free(tape->values);
	free(tape->labels_of);
	free(tape->operands);
	free(tape->coefficients);
	free(tape->inputs);
	free(tape->correlations);
	free(tape->labels);
	free(tape->functions);
	free(tape->roots);
	free(tape);
}

enum firn_status firn_tape_status(const struct firn_tape *tape)
{
	return tape->status;
}

const char *firn_tape_message(const struct firn_tape *tape)
{
	return tape->message;
}

int firn_tape_message_column(const struct firn_tape *tape)
{
	return tape->column;
}

size_t firn_tape_size(const struct firn_tape *tape)
{
	return tape->n_records;
}

struct firn_node tape_fail(struct firn_tape *tape, enum firn_status status, int column,
			   const char *format, ...)
{
	if (tape->status >= 0) {
		va_list arguments;

		tape->status = status;
		tape->column = column;
		va_start(arguments, format);
		vsnprintf(tape->message, sizeof(tape->message), format, arguments);
		va_end(arguments);
	}
	return (struct firn_node){ .tape = tape };
}

void *tape_grow(struct firn_tape *tape, void *array, uint32_t n, uint32_t *room, size_t size)
{
	if (n < *room)
		return array;
	if (n >= UINT32_MAX / 4) {
		tape_fail(tape, FIRN_E_MEMORY, 0, "the model is too large");
		return NULL;
	}
	const uint32_t larger = *room == 0 ? 64 : 2 * *room;
	void *moved = realloc(array, larger * size);

	if (moved == NULL)
		tape_fail(tape, FIRN_E_MEMORY, 0, "no memory for the model");
	else
		*room = larger;
	return moved;
}

void *tape_keep(struct firn_tape *tape, size_t size)
{
	const size_t rounded =
	    (size + sizeof(max_align_t) - 1) / sizeof(max_align_t) * sizeof(max_align_t);
	struct block *block = tape->blocks;

	if (block == NULL || block->size - block->used < rounded) {
		const size_t room = rounded > BLOCK ? rounded : BLOCK;

		block = malloc(sizeof(*block) + room);
		if (block == NULL) {
			tape_fail(tape, FIRN_E_MEMORY, 0, "no memory for the model");
			return NULL;
		}
		*block = (struct block){ .next = tape->blocks, .size = room };
		tape->blocks = block;
	}
	char *place = (char *)block->memory + block->used;
	block->used += rounded;
	return place;
}

const char *tape_keep_text(struct firn_tape *tape, const char *text, size_t length)
{
	char *copy;

	if (length == 0)
		return "";
	copy = tape_keep(tape, length + 1);
	if (copy != NULL) {
		memcpy(copy, text, length);
		copy[length] = '\0';
	}
	return copy;
}

bool tape_agree(struct firn_node a, struct firn_node b)
{
	if (a.tape != b.tape) {
		tape_fail(a.tape, FIRN_E_FOREIGN, 0, "an operation mixes quantities of two models");
		tape_fail(b.tape, FIRN_E_FOREIGN, 0, "an operation mixes quantities of two models");
		return false;
	}
	if (a.tape->status >= 0 && (a.index == 0 || b.index == 0))
		tape_fail(a.tape, FIRN_E_DOMAIN, 0,
			  "an operation on a quantity that was never made");
	return a.tape->status >= 0;
}

bool tape_operands(struct firn_tape *tape, size_t n, const struct firn_node *x, uint32_t *ret_place)
{
	*ret_place = tape->n_operands;
	for (size_t i = 0; i < n; i++) {
		void *grown;

		if (!tape_agree((struct firn_node){ tape, 1 }, x[i]))
			return false;
		grown = tape_grow(tape, tape->operands, tape->n_operands, &tape->room_operands,
				  sizeof(*tape->operands));
		if (grown == NULL)
			return false;
		tape->operands = grown;
		tape->operands[tape->n_operands++] = x[i].index;
	}
	return true;
}

bool tape_coefficients(struct firn_tape *tape, size_t n, const double *c, uint32_t *ret_place)
{
	*ret_place = tape->n_coefficients;
	for (size_t i = 0; i < n; i++) {
		void *grown = tape_grow(tape, tape->coefficients, tape->n_coefficients,
					&tape->room_coefficients, sizeof(*tape->coefficients));

		if (grown == NULL)
			return false;
		tape->coefficients = grown;
		tape->coefficients[tape->n_coefficients++] = c[i];
	}
	return true;
}

struct firn_node firn_constant(struct firn_tape *tape, double value)
{
	struct firn_node x;

	if (!isfinite(value))
		return tape_fail(tape, FIRN_E_DOMAIN, 0, "a constant is not finite");
	x = tape_record(tape, (struct record){ .operation = OP_CONSTANT }, 1);
	if (x.index != 0)
		tape->values[x.index] = value;
	return x;
}

struct firn_node firn_constant_twofold(struct firn_tape *tape, double value, double rest)
{
	const struct firn_node x = firn_constant(tape, value);
	uint32_t place;

	if (x.index == 0 || !tape_coefficients(tape, 1, &rest, &place))
		return (struct firn_node){ .tape = tape };
	tape->records[x.index].n = 1;
	tape->records[x.index].b = place;
	return x;
}

static const char *text_or_empty(struct firn_tape *tape, const char *text)
{
	return text == NULL ? "" : tape_keep_text(tape, text, strlen(text));
}

struct firn_node firn_tape_input(struct firn_tape *tape, const struct firn_input *input)
{
	struct firn_input said = *input;
	struct firn_node x;
	void *grown;

	if (tape->status < 0)
		return (struct firn_node){ .tape = tape };
	if (firn_distribution_moments(input, &said.value, &said.u) < 0 || !isfinite(said.value) ||
	    !(said.u >= 0.0 && isfinite(said.u)) || !(said.dof >= 0.0))
		return tape_fail(tape, FIRN_E_DOMAIN, 0,
				 "input %s: its numbers can't be those of its distribution",
				 input->name != NULL ? input->name : "");
	said.name = text_or_empty(tape, input->name);
	said.unit = text_or_empty(tape, input->unit);
	said.source = text_or_empty(tape, input->source);
	if (tape->status < 0)
		return (struct firn_node){ .tape = tape };
	grown = tape_grow(tape, tape->inputs, tape->n_inputs, &tape->room_inputs,
			  sizeof(*tape->inputs));
	if (grown == NULL)
		return (struct firn_node){ .tape = tape };
	tape->inputs = grown;
	x = tape_record(
	    tape, (struct record){ .operation = OP_INPUT, .depends = 1, .a = tape->n_inputs }, 1);
	if (x.index == 0)
		return x;
	tape->values[x.index] = said.value;
	tape->inputs[tape->n_inputs] = (struct input){
		.node = x.index, .group = tape->n_inputs, .paired = tape->n_inputs, .said = said
	};
	tape->n_inputs++;
	return x;
}

enum firn_status firn_tape_input_of(struct firn_node x, struct firn_input *ret)
{
	const struct firn_tape *tape = x.tape;

	if (x.index == 0 || x.index >= tape->n_records ||
	    tape->records[x.index].operation != OP_INPUT)
		return FIRN_E_UNKNOWN;
	*ret = tape->inputs[tape->records[x.index].a].said;
	return FIRN_OK;
}

struct firn_node firn_tape_input_at(const struct firn_tape *tape, size_t i)
{
	/* A handle to a const tape: what reads takes handles, and only reading is done with it. */
	struct firn_node x = { (struct firn_tape *)(uintptr_t)tape, 0 };

	if (i < tape->n_inputs)
		x.index = tape->inputs[i].node;
	return x;
}

double firn_value(struct firn_node x)
{
	return x.tape->status < 0 || x.index == 0 ? (double)NAN : x.tape->values[x.index];
}
