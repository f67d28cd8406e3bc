/* Recording: one function for every operation that a caller can ask for. */
#include "lib/tape/tape.h"

#include <stdio.h>

size_t tape_operands_of(const struct firn_tape *tape, const struct record *r, uint32_t direct[2],
			const uint32_t **ret_operands)
{
	*ret_operands = direct;
	direct[0] = r->a;
	direct[1] = r->b;
	switch ((enum operation)r->operation) {
	case OP_NOTHING:
	case OP_INPUT:
	case OP_CONSTANT:
	case OP_SLOT:
		return 0;
	case OP_ADD:
	case OP_SUBTRACT:
	case OP_MULTIPLY:
	case OP_DIVIDE:
	case OP_POWER:
	case OP_MIN:
	case OP_MAX:
		return 2;
	case OP_SUM:
	case OP_LINEAR:
	case OP_ROOT: /* an equation of numbers alone has no operands, and the pool may be empty */
		*ret_operands = r->n == 0 ? NULL : tape->operands + r->a;
		return r->n;
	case OP_DOT:
		*ret_operands = tape->operands + r->a;
		return 2 * (size_t)r->n;
	case OP_LEAST_SQUARES:
		*ret_operands = tape->operands + r->a;
		return (size_t)r->b * (r->n + 1);
	default:
		return 1;
	}
}

static bool operands_depend(const struct firn_tape *tape, const struct record *r)
{
	uint32_t first[2];
	const uint32_t *x = NULL;
	const size_t n = tape_operands_of(tape, r, first, &x);

	if (n == 0)
		return r->depends;
	for (size_t i = 0; i < n; i++)
		if (tape->records[x[i]].depends)
			return true;
	return false;
}

static bool has_value_of_its_own(const struct record *r)
{
	return r->operation != OP_NOTHING && r->operation != OP_INPUT &&
	       r->operation != OP_CONSTANT;
}

static bool make_room(struct firn_tape *tape)
{
	uint32_t room = tape->room_records;

	if (tape->n_records < room)
		return true;
	void *grown =
	    tape_grow(tape, tape->records, tape->n_records, &room, sizeof(*tape->records));

	if (grown == NULL)
		return false;
	tape->records = grown;
	room = tape->room_records;
	grown = tape_grow(tape, tape->values, tape->n_records, &room, sizeof(*tape->values));
	if (grown == NULL)
		return false;
	tape->values = grown;
	room = tape->room_records;
	grown = tape_grow(tape, tape->labels_of, tape->n_records, &room, sizeof(*tape->labels_of));
	if (grown == NULL)
		return false;
	tape->labels_of = grown;
	tape->room_records = room;
	return true;
}

static bool append(struct firn_tape *tape, struct record record)
{
	if (!make_room(tape))
		return false;
	tape->records[tape->n_records] = record;
	tape->values[tape->n_records] = 0.0;
	tape->labels_of[tape->n_records] = 0;
	tape->n_records++;
	return true;
}

/* What depends on no input is a number: its operation is forgotten, its operands are given back. */
static void fold(struct firn_tape *tape, uint32_t first, uint32_t n_slots)
{
	for (uint32_t i = first; i < first + n_slots; i++)
		tape->records[i] = (struct record){ .operation = OP_CONSTANT };
}

struct firn_node tape_record(struct firn_tape *tape, struct record record, uint32_t n_slots)
{
	const uint32_t first = tape->n_records;
	struct firn_node x = { tape, first };

	if (tape->status < 0)
		return (struct firn_node){ .tape = tape };
	record.depends = operands_depend(tape, &record);
	if (!append(tape, record))
		return (struct firn_node){ .tape = tape };
	for (uint32_t i = 1; i < n_slots; i++)
		if (!append(tape, (struct record){
				      .operation = OP_SLOT, .depends = record.depends, .n = i }))
			return (struct firn_node){ .tape = tape };
	if (!has_value_of_its_own(&record))
		return x;

	const enum firn_status status = tape_evaluate(tape, first, tape->values);
	if (status < 0)
		return tape_fail(tape, status, 0, "%s", firn_status_text(status));
	for (uint32_t i = first; i < first + n_slots; i++)
		if (!isfinite(tape->values[i]))
			return tape_fail(tape, FIRN_E_DOMAIN, 0, "a result is not finite");
	if (!record.depends)
		fold(tape, first, n_slots);
	return x;
}

static struct firn_node binary(enum operation operation, struct firn_node a, struct firn_node b)
{
	if (!tape_agree(a, b))
		return (struct firn_node){ .tape = a.tape };
	return tape_record(
	    a.tape, (struct record){ .operation = (uint8_t)operation, .a = a.index, .b = b.index },
	    1);
}

struct firn_node firn_add(struct firn_node a, struct firn_node b)
{
	return binary(OP_ADD, a, b);
}

struct firn_node firn_sub(struct firn_node a, struct firn_node b)
{
	return binary(OP_SUBTRACT, a, b);
}

struct firn_node firn_mul(struct firn_node a, struct firn_node b)
{
	return binary(OP_MULTIPLY, a, b);
}

struct firn_node firn_div(struct firn_node a, struct firn_node b)
{
	return binary(OP_DIVIDE, a, b);
}

struct firn_node firn_sum(size_t n, const struct firn_node *a)
{
	struct firn_tape *tape = a[0].tape;
	struct record r = { .operation = OP_SUM, .n = (uint32_t)n };

	if (!tape_operands(tape, n, a, &r.a))
		return (struct firn_node){ .tape = tape };
	return tape_record(tape, r, 1);
}

struct firn_node firn_dot(size_t n, const struct firn_node *a, const struct firn_node *b)
{
	struct firn_tape *tape = a[0].tape;
	struct record r = { .operation = OP_DOT, .n = (uint32_t)n };
	uint32_t unused;

	if (!tape_operands(tape, n, a, &r.a) || !tape_operands(tape, n, b, &unused))
		return (struct firn_node){ .tape = tape };
	return tape_record(tape, r, 1);
}

struct firn_node firn_linear(size_t n, const double *c, const struct firn_node *a)
{
	struct firn_tape *tape = a[0].tape;
	struct record r = { .operation = OP_LINEAR, .n = (uint32_t)n };

	if (!tape_operands(tape, n, a, &r.a) || !tape_coefficients(tape, n, c, &r.b))
		return (struct firn_node){ .tape = tape };
	return tape_record(tape, r, 1);
}

struct firn_node firn_polynomial(size_t n, const double *c, struct firn_node x)
{
	struct record r = { .operation = OP_POLYNOMIAL, .n = (uint32_t)n, .a = x.index };

	if (!tape_agree(x, x) || !tape_coefficients(x.tape, n, c, &r.b))
		return (struct firn_node){ .tape = x.tape };
	return tape_record(x.tape, r, 1);
}

void firn_least_squares(size_t m, size_t n, const struct firn_node *a, const struct firn_node *b,
			struct firn_node *ret_x)
{
	struct firn_tape *tape = b[0].tape;
	struct record r = { .operation = OP_LEAST_SQUARES, .n = (uint32_t)n, .b = (uint32_t)m };
	struct firn_node x = { .tape = tape };
	bool good = m >= n && n >= 1;
	uint32_t unused;

	if (!good)
		tape_fail(tape, FIRN_E_SINGULAR, 0, "fewer equations than unknowns");
	for (size_t i = 0; good && i < m; i++)
		good = tape_operands(tape, n, a + i * n, i == 0 ? &r.a : &unused) &&
		       tape_operands(tape, 1, b + i, &unused);
	if (good)
		x = tape_record(tape, r, r.n);
	for (size_t i = 0; i < n; i++)
		ret_x[i] = (struct firn_node){ tape, x.index == 0 ? 0 : x.index + (uint32_t)i };
}

struct firn_node firn_apply(const struct firn_function *f, struct firn_node x)
{
	struct firn_tape *tape = x.tape;
	struct record r = { .operation = OP_APPLY, .a = x.index, .b = tape->n_functions };
	struct firn_node y;
	void *grown;

	if (!tape_agree(x, x))
		return (struct firn_node){ .tape = tape };
	grown = tape_grow(tape, tape->functions, tape->n_functions, &tape->room_functions,
			  sizeof(*tape->functions));
	if (grown == NULL)
		return (struct firn_node){ .tape = tape };
	tape->functions = grown;
	tape->functions[tape->n_functions++] = f;
	y = tape_record(tape, r, 1);
	if (y.index == 0 && tape->status == FIRN_E_DOMAIN) /* says whose argument it was */
		snprintf(tape->message, sizeof(tape->message),
			 "%s: its argument is outside its range", f->name);
	return y;
}
