/*
 * A const tape played over blocks of trials.
 *
 * A plan holds, for the outputs wanted, the operations needed and no others, with buffers reused
 * after their last use and constants as scalars. It is constant once made, so that any number of
 * threads may play it, each with a workspace of its own. The tape must outlive it.
 *
 * Every operation is carried out in the order in which it was recorded, so that a trial with the
 * recorded inputs gives the recorded values, to the bit.
 */
#ifndef LIB_TAPE_REPLAY_H
#define LIB_TAPE_REPLAY_H

#include "lib/num/random.h"
#include "lib/tape/tape.h"

/* Steps beyond `enum operation`. */
enum {
	STEP_DRAW = 64, /* a: place in `draws` */
	STEP_OUTPUT,    /* a: operand; to: which output */
};

/* Operands are buffers, or with this bit set places in `constants`. */
#define REPLAY_CONSTANT  UINT32_C(0x80000000)
#define REPLAY_NO_BUFFER UINT32_C(0x7fffffff)

struct step {
	uint32_t operation;
	uint32_t n, to; /* to: a buffer; of least squares the place of n buffers in `operands` */
	uint32_t a, b;  /* as in struct record: operands, or places in the pools */
};

enum draw_kind {
	DRAW_ALONE,
	DRAW_NORMALS,   /* jointly normal */
	DRAW_STUDENT_T, /* jointly t: one chi-squared for the group */
	DRAW_COPULA,    /* jointly normal scores, through each one's own distribution */
};

struct draw_member {
	uint32_t input, to; /* place among the tape's inputs; buffer, or REPLAY_NO_BUFFER */
	uint64_t stream;
	const struct firn_input *said;
};

/* What is drawn together. */
struct draw {
	enum draw_kind kind;
	double dof; /* of DRAW_STUDENT_T */
	size_t n;
	struct draw_member *members;
	double *factor; /* Cholesky's, n x n, row by row, lower half; NULL when alone */
};

struct kernels;

struct replay_plan {
	const struct firn_tape *tape;
	const struct kernels *kernels;
	uint64_t seed;
	size_t block; /* trials at a time */
	struct step *steps;
	size_t n_steps, room_steps;
	uint32_t *operands;
	size_t n_operands, room_operands;
	double *constants;
	size_t n_constants, room_constants;
	struct draw *draws;
	size_t n_draws;
	size_t n_outputs;
	uint32_t n_buffers;
	size_t scratch; /* doubles for the steps' own use, besides `block` words */
};

struct replay_work {
	double *buffers, *scratch;
	uint64_t *words;
	const double *given; /* [input][block]: instead of draws; or NULL */
	void *memory;
};

/* Buffers are a line of the cache further apart than a block is long: at a multiple of 4096 bytes a
   processor takes what is read for what has just been written, and waits. */
static inline size_t replay_stride(const struct replay_plan *plan)
{
	return plan->block + 8;
}

static inline double *replay_buffer(const struct replay_plan *plan, const struct replay_work *work,
				    uint32_t code)
{
	return work->buffers + code * replay_stride(plan);
}

/* Receives the values of one output: `plan->block` of them. */
typedef void replay_take(void *context, size_t output, const double *y);

/* Which instruction set; the best that the processor has, or a lesser one. All give the same. */
enum kernel_level { LEVEL_BEST = 0, LEVEL_PLAIN, LEVEL_V3, LEVEL_V4 };

/*
 * replay_plan_new - a plan for n nodes of one tape. block: a multiple of NUM_RANDOM_GROUP.
 * FIRN_E_UNKNOWN when the processor lacks the level. Freed with replay_plan_free(), NULL accepted.
 */
enum firn_status replay_plan_new(size_t n, const struct firn_node *y, uint64_t seed, size_t block,
				 enum kernel_level level, struct replay_plan **ret);
void replay_plan_free(struct replay_plan *plan);

/* False without memory; replay_work_free() then, too. */
bool replay_work_new(const struct replay_plan *plan, struct replay_work *ret);
void replay_work_free(struct replay_work *work);

/* The draws of all inputs, groups whole, one after the other; draw_of[] tells an input its own. */
enum firn_status draws_new(const struct firn_tape *tape, struct draw **ret, size_t *ret_n,
			   uint32_t *ret_draw_of);
void draws_free(struct draw *draws, size_t n);

/* Doubles of scratch that a draw needs for a block. */
size_t draw_scratch(const struct draw *draw, size_t block);

/* The value below which an input lies with the probability that a standard normal lies below z. */
double quantile_of_score(const struct firn_input *input, double z);

/* Least squares over lanes: doubles of scratch for an m x n system. */
enum { SOLVE_LANES = 32 };
static inline size_t solve_scratch(size_t m, size_t n)
{
	return (m * n + m + 5) * SOLVE_LANES;
}

#endif
