/* What a tape is made of: for the files of this folder only. */
#ifndef LIB_TAPE_TAPE_H
#define LIB_TAPE_TAPE_H

#include "firn/tape.h"

#include <math.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

/* a and b are operands unless the comment says otherwise; pool: place in `operands`. */
enum operation {
	OP_NOTHING,
	OP_INPUT,    /* a: place in `inputs` */
	OP_CONSTANT, /* n: whether rounding took something from it; b: the coefficient that tells
			what */
	OP_ADD,
	OP_SUBTRACT,
	OP_MULTIPLY,
	OP_DIVIDE,
	OP_POWER,
	OP_MIN,
	OP_MAX,
	OP_NEGATE, /* from here on to OP_ABS: one operand, a */
	OP_SQRT,
	OP_EXP,
	OP_LN,
	OP_LOG10,
	OP_SIN,
	OP_COS,
	OP_TAN,
	OP_ASIN,
	OP_ACOS,
	OP_ATAN,
	OP_ABS,
	OP_SUM,           /* a: pool of n operands */
	OP_DOT,           /* a: pool of 2 n operands, the first factors first */
	OP_LINEAR,        /* a: pool of n operands; b: n coefficients */
	OP_POLYNOMIAL,    /* a: operand; b: n coefficients */
	OP_LEAST_SQUARES, /* a: pool of matrix and right side, row by row, m (n + 1); b: m. n slots
			   */
	OP_SLOT,          /* a further result of the operation n places before */
	OP_ROOT,          /* a: pool of n operands; b: place in `roots` */
	OP_APPLY,         /* a: operand; b: place in `functions` */
};

struct record {
	uint8_t operation;
	uint8_t depends; /* on an input */
	uint16_t unused;
	uint32_t n, a, b;
};

struct input {
	uint32_t node;
	uint32_t group;         /* place of the first input that it is correlated or paired with */
	uint32_t paired;        /* place of the first input that it was read together with */
	struct firn_input said; /* its texts are the tape's */
};

struct correlation {
	uint32_t a, b; /* places in `inputs` */
	double r;
};

/* What an explanation shows: the formula as written, and its arguments. */
struct label {
	const char *name, *formula;
	size_t n;
	const char *const *argument_names;
	const struct firn_node *arguments;
};

/* An equation: a tape of its own whose `unknown` is varied until `residual` is zero. */
struct root {
	struct firn_tape *equation;
	uint32_t unknown, residual; /* nodes of the equation */
	uint32_t *inputs;           /* nodes of the equation that stand for the n operands */
	double start;
};

struct block;

struct firn_tape {
	enum firn_status status;
	int column;
	char message[256];

	struct record *records;
	double *values;
	uint32_t *labels_of; /* place in `labels` + 1, or 0 */
	uint32_t n_records, room_records;

	uint32_t *operands;
	uint32_t n_operands, room_operands;
	double *coefficients;
	uint32_t n_coefficients, room_coefficients;
	struct input *inputs;
	uint32_t n_inputs, room_inputs;
	struct correlation *correlations;
	uint32_t n_correlations, room_correlations;
	struct label *labels;
	uint32_t n_labels, room_labels;
	const struct firn_function **functions;
	uint32_t n_functions, room_functions;
	struct root *roots;
	uint32_t n_roots, room_roots;
	struct block *blocks; /* texts and lists kept for explanations */
};

/* Keeps the first failure; returns the node that stands for nothing. column 0: none. */
struct firn_node tape_fail(struct firn_tape *tape, enum firn_status status, int column,
			   const char *format, ...) __attribute__((format(printf, 4, 5)));

/* Room for one more element: the array, or NULL with the tape failed. */
void *tape_grow(struct firn_tape *tape, void *array, uint32_t n, uint32_t *room, size_t size);

/* Memory, or a text, that lives as long as the tape; NULL with the tape failed. */
void *tape_keep(struct firn_tape *tape, size_t size);
const char *tape_keep_text(struct firn_tape *tape, const char *text, size_t length);

/* Appends a record and computes its value; n_slots values follow one another. Folds to a constant
   when nothing that it stands on depends on an input. */
struct firn_node tape_record(struct firn_tape *tape, struct record record, uint32_t n_slots);

/* Appends operands and coefficients; false with the tape failed. */
bool tape_operands(struct firn_tape *tape, size_t n, const struct firn_node *x,
		   uint32_t *ret_place);
bool tape_coefficients(struct firn_tape *tape, size_t n, const double *c, uint32_t *ret_place);

/* How many operands a record has, and their places: in `direct`, or in the tape's pool. */
size_t tape_operands_of(const struct firn_tape *tape, const struct record *r, uint32_t direct[2],
			const uint32_t **ret_operands);

/* True when both stand on one good tape. */
bool tape_agree(struct firn_node a, struct firn_node b);

/* Computes record i from the values before it (one record with all its slots). */
enum firn_status tape_evaluate(const struct firn_tape *tape, uint32_t i, double *values);

/* What a sweep writes, in memory of the caller: sweep_room() doubles, to be used again at will. */
struct sweep {
	double *adjoints;  /* of each node that is reached */
	uint64_t *reached; /* a bit for each node */
};
size_t sweep_room(const struct firn_tape *tape);
struct sweep sweep_in(double *memory, const struct firn_tape *tape);

/* The adjoint of y becomes 1, that of every other node 0. */
void sweep_start(const struct firn_tape *tape, uint32_t y, struct sweep s);

/* Adds to the adjoints of what record i stands on. Allocates for least squares and roots only. */
enum firn_status tape_adjoint(const struct firn_tape *tape, uint32_t i, const double *values,
			      struct sweep s);

/* dy/d(every node), with the values given; then dy/dx of any node x. */
enum firn_status tape_sweep(const struct firn_tape *tape, uint32_t y, const double *values,
			    struct sweep s);
double sweep_slope(struct sweep s, uint32_t x);

/* Newton's method on an equation whose inputs have been set in `values` (one per node); `memory`
   is that of a sweep over it. */
enum firn_status root_solve(const struct root *root, double *values, double *memory);

void tape_label(struct firn_tape *tape, uint32_t node, const struct label *label);

/* Cholesky's factor of a positive semidefinite n x n matrix of correlations, in its lower half;
   false when it is none. */
bool tape_cholesky(size_t n, double *m);

/* Whether the correlations of every group can be one matrix; otherwise FIRN_E_CORRELATION. */
enum firn_status tape_check_correlations(struct firn_tape *tape);

#endif
