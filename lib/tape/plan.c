/* From the tape to what has to be done for the outputs wanted. */
#include "lib/tape/kernels.h"

#include <stdlib.h>

/* What is known of the nodes while a plan is made. */
struct planner {
	const struct firn_tape *tape;
	struct replay_plan *plan;
	const struct firn_node *y;
	bool *needed, *drawn; /* of nodes; of draws */
	uint32_t *last_use;   /* node at whose turn a value is used for the last time */
	uint32_t *buffer_of, *draw_of;
	uint32_t *free_buffers;
	size_t n_free;
	bool no_memory;
};

static void *grown(struct planner *p, void *array, size_t n, size_t *room, size_t size)
{
	if (n < *room)
		return array;
	const size_t larger = *room == 0 ? 64 : 2 * *room;
	void *moved = realloc(array, larger * size);

	if (moved == NULL) {
		p->no_memory = true;
		return array;
	}
	*room = larger;
	return moved;
}

static void add_step(struct planner *p, struct step step)
{
	struct replay_plan *plan = p->plan;

	plan->steps = grown(p, plan->steps, plan->n_steps, &plan->room_steps, sizeof(*plan->steps));
	if (!p->no_memory)
		plan->steps[plan->n_steps++] = step;
}

static uint32_t add_operand(struct planner *p, uint32_t code)
{
	struct replay_plan *plan = p->plan;

	plan->operands = grown(p, plan->operands, plan->n_operands, &plan->room_operands,
			       sizeof(*plan->operands));
	if (!p->no_memory)
		plan->operands[plan->n_operands++] = code;
	return (uint32_t)plan->n_operands - 1;
}

static uint32_t add_constant(struct planner *p, double value)
{
	struct replay_plan *plan = p->plan;

	plan->constants = grown(p, plan->constants, plan->n_constants, &plan->room_constants,
				sizeof(*plan->constants));
	if (!p->no_memory)
		plan->constants[plan->n_constants++] = value;
	return ((uint32_t)plan->n_constants - 1) | REPLAY_CONSTANT;
}

static void need_scratch(struct planner *p, size_t doubles)
{
	if (p->plan->scratch < doubles)
		p->plan->scratch = doubles;
}

/* ---- buffers ---- */

static uint32_t take_buffer(struct planner *p)
{
	return p->n_free > 0 ? p->free_buffers[--p->n_free] : p->plan->n_buffers++;
}

/* Gives the node's buffer back when its last use was at this turn. */
static void release(struct planner *p, uint32_t node, uint32_t turn)
{
	if (p->buffer_of[node] != REPLAY_NO_BUFFER && p->last_use[node] == turn) {
		p->free_buffers[p->n_free++] = p->buffer_of[node];
		p->buffer_of[node] = REPLAY_NO_BUFFER;
	}
}

/* ---- which nodes, and until when ---- */

static void use(struct planner *p, uint32_t node, uint32_t turn)
{
	if (!p->tape->records[node].depends)
		return;
	p->needed[node] = true;
	if (p->last_use[node] < turn)
		p->last_use[node] = turn;
}

static void find_needed(struct planner *p)
{
	uint32_t last = 0;

	for (size_t i = 0; i < p->plan->n_outputs; i++) {
		use(p, p->y[i].index, p->y[i].index);
		last = p->y[i].index > last ? p->y[i].index : last;
	}
	for (uint32_t i = last + 1; i-- > 1;) {
		const struct record *r = &p->tape->records[i];
		uint32_t direct[2];
		const uint32_t *operands;

		if (!p->needed[i])
			continue;
		if (r->operation == OP_SLOT)
			use(p, i - r->n, i - r->n);
		const size_t n = tape_operands_of(p->tape, r, direct, &operands);
		for (size_t j = 0; j < n; j++)
			use(p, operands[j], i);
	}
}

/* ---- steps ---- */

/* An input is drawn where it is first used, and what is correlated with it. */
static void draw(struct planner *p, uint32_t input)
{
	const uint32_t place = p->draw_of[input];
	struct draw *d = &p->plan->draws[place];

	if (p->drawn[place])
		return;
	p->drawn[place] = true;
	for (size_t i = 0; i < d->n; i++) {
		const uint32_t node = p->tape->inputs[d->members[i].input].node;

		if (p->needed[node])
			p->buffer_of[node] = d->members[i].to = take_buffer(p);
	}
	need_scratch(p, draw_scratch(d, p->plan->block));
	add_step(p, (struct step){ .operation = STEP_DRAW, .a = place });
}

static uint32_t operand(struct planner *p, uint32_t node)
{
	const struct record *r = &p->tape->records[node];

	if (!r->depends)
		return add_constant(p, p->tape->values[node]);
	if (r->operation == OP_INPUT)
		draw(p, r->a);
	return p->buffer_of[node];
}

static void draw_operands(struct planner *p, size_t n, const uint32_t *operands)
{
	for (size_t i = 0; i < n; i++)
		if (p->tape->records[operands[i]].operation == OP_INPUT)
			draw(p, p->tape->records[operands[i]].a);
}

/* Codes of n operands, one after the other in the plan's pool. */
static uint32_t operand_list(struct planner *p, size_t n, const uint32_t *operands)
{
	uint32_t first = 0;

	for (size_t i = 0; i < n; i++) {
		const uint32_t place = add_operand(p, operand(p, operands[i]));

		first = i == 0 ? place : first;
	}
	return first;
}

/* Where the n results of a solution go: a buffer each, or nowhere. */
static uint32_t result_list(struct planner *p, uint32_t node, uint32_t n)
{
	uint32_t first = 0;

	for (uint32_t i = 0; i < n; i++) {
		const uint32_t to = p->needed[node + i] ? take_buffer(p) : REPLAY_NO_BUFFER;
		const uint32_t place = add_operand(p, to);

		p->buffer_of[node + i] = to;
		first = i == 0 ? place : first;
	}
	return first;
}

static void operation(struct planner *p, uint32_t node)
{
	const struct record *r = &p->tape->records[node];
	struct step step = { .operation = r->operation, .n = r->n, .b = r->b };
	const size_t block = p->plan->block;
	uint32_t direct[2];
	const uint32_t *operands;
	const size_t n = tape_operands_of(p->tape, r, direct, &operands);

	draw_operands(p, n, operands); /* whose buffers are then no result's */
	switch ((enum operation)r->operation) {
	case OP_SUM:
	case OP_DOT:
	case OP_LINEAR:
	case OP_ROOT:
	case OP_LEAST_SQUARES:
		step.a = operand_list(p, n, operands);
		break;
	default:
		step.a = operand(p, operands[0]);
		if (n == 2)
			step.b = operand(p, operands[1]);
	}
	if (r->operation == OP_LEAST_SQUARES)
		step.to = result_list(p, node, r->n);
	else
		step.to = p->buffer_of[node] = take_buffer(p);
	need_scratch(p, 2 * block);
	if (r->operation == OP_ROOT) {
		const struct firn_tape *equation = p->tape->roots[r->b].equation;

		need_scratch(p, n * block + equation->n_records + sweep_room(equation));
	}
	if (r->operation == OP_LEAST_SQUARES)
		need_scratch(p, solve_scratch(r->b, r->n));
	add_step(p, step);
	for (size_t i = 0; i < n; i++)
		release(p, operands[i], node);
}

static void outputs_of(struct planner *p, uint32_t node)
{
	for (size_t i = 0; i < p->plan->n_outputs; i++)
		if (p->y[i].index == node)
			add_step(p, (struct step){ .operation = STEP_OUTPUT,
						   .a = operand(p, node),
						   .to = (uint32_t)i });
}

static void make_steps(struct planner *p)
{
	for (uint32_t i = 1; i < p->tape->n_records && !p->no_memory; i++) {
		const struct record *r = &p->tape->records[i];
		const bool wanted = p->needed[i];

		if (!wanted && r->depends)
			continue;
		if (wanted && r->operation != OP_INPUT && r->operation != OP_SLOT)
			operation(p, i);
		outputs_of(p, i);
		release(p, i, i);
	}
}

/* ---- the whole ---- */

static bool planner_new(struct planner *p)
{
	const size_t nodes = p->tape->n_records, inputs = p->tape->n_inputs;

	p->needed = calloc(nodes, sizeof(*p->needed));
	p->last_use = calloc(nodes, sizeof(*p->last_use));
	p->buffer_of = malloc(nodes * sizeof(*p->buffer_of));
	p->free_buffers = calloc(nodes, sizeof(*p->free_buffers));
	p->draw_of = calloc(inputs + 1, sizeof(*p->draw_of));
	p->drawn = calloc(inputs + 1, sizeof(*p->drawn));
	if (p->needed == NULL || p->last_use == NULL || p->buffer_of == NULL ||
	    p->free_buffers == NULL || p->draw_of == NULL || p->drawn == NULL)
		return false;
	for (size_t i = 0; i < nodes; i++)
		p->buffer_of[i] = REPLAY_NO_BUFFER;
	return true;
}

static void planner_free(struct planner *p)
{
	free(p->needed);
	free(p->last_use);
	free(p->buffer_of);
	free(p->free_buffers);
	free(p->draw_of);
	free(p->drawn);
}

static enum firn_status nodes_are_good(size_t n, const struct firn_node *y)
{
	if (y[0].tape->status < 0)
		return y[0].tape->status;
	for (size_t i = 0; i < n; i++) {
		if (y[i].tape != y[0].tape)
			return FIRN_E_FOREIGN;
		if (y[i].index == 0 || y[i].index >= y[0].tape->n_records)
			return FIRN_E_UNKNOWN;
	}
	return tape_check_correlations(y[0].tape);
}

enum firn_status replay_plan_new(size_t n, const struct firn_node *y, uint64_t seed, size_t block,
				 enum kernel_level level, struct replay_plan **ret)
{
	struct planner p = { .tape = y[0].tape, .y = y };
	enum firn_status status = nodes_are_good(n, y);
	const struct kernels *kernels = kernels_of(level);

	if (status < 0)
		return status;
	if (kernels == NULL || block == 0 || block % NUM_RANDOM_GROUP != 0)
		return FIRN_E_UNKNOWN;
	p.plan = calloc(1, sizeof(*p.plan));
	if (p.plan == NULL)
		return FIRN_E_MEMORY;
	*p.plan = (struct replay_plan){ .tape = p.tape,
					.kernels = kernels,
					.seed = seed,
					.block = block,
					.n_outputs = n,
					.scratch = 2 * block };
	if (planner_new(&p))
		status = draws_new(p.tape, &p.plan->draws, &p.plan->n_draws, p.draw_of);
	else
		status = FIRN_E_MEMORY;
	if (status >= 0) {
		find_needed(&p);
		make_steps(&p);
		status = p.no_memory ? FIRN_E_MEMORY : FIRN_OK;
	}
	planner_free(&p);
	if (status < 0)
		replay_plan_free(p.plan);
	else
		*ret = p.plan;
	return status;
}

void replay_plan_free(struct replay_plan *plan)
{
	if (plan == NULL)
		return;
	draws_free(plan->draws, plan->n_draws);
	free(plan->steps);
	free(plan->operands);
	free(plan->constants);
	free(plan);
}

bool replay_work_new(const struct replay_plan *plan, struct replay_work *ret)
{
	enum { ALIGNMENT = 64 };
	const size_t buffers = (plan->n_buffers + 1) * replay_stride(plan);
	const size_t size = (buffers + plan->scratch + plan->block) * sizeof(double) + ALIGNMENT;

	*ret = (struct replay_work){ .memory = malloc(size) };
	if (ret->memory == NULL)
		return false;
	const uintptr_t start = ((uintptr_t)ret->memory + ALIGNMENT - 1) / ALIGNMENT * ALIGNMENT;
	ret->words = (uint64_t *)start;
	ret->buffers = (double *)(start + plan->block * sizeof(uint64_t));
	ret->scratch = ret->buffers + buffers;
	return true;
}

void replay_work_free(struct replay_work *work)
{
	free(work->memory);
	*work = (struct replay_work){ .memory = NULL };
}
