#include "lib/realise/realise.h"

enum firn_status realise_result(struct firn_node x, struct firn_node *ret)
{
	const enum firn_status status = firn_tape_status(x.tape);

	if (status < 0)
		return status;
	*ret = x;
	return FIRN_OK;
}

struct firn_node realise_constant(struct firn_tape *tape, const char *name,
				  const struct realisation_constant *constant, bool with_u)
{
	if (!with_u)
		return firn_constant(tape, constant->value);
	return firn_tape_input(tape, &(struct firn_input){ .name = name,
							   .unit = constant->unit,
							   .source = constant->source,
							   .value = constant->value,
							   .u = constant->u });
}

enum firn_status realise_bounded(struct firn_tape *tape, const char *name, double bound_K,
				 const char *source, struct firn_node *ret_dt_K)
{
	const struct firn_input input = { .name = name,
					  .unit = "K",
					  .source = source,
					  .distribution = FIRN_RECTANGULAR,
					  .low = -bound_K,
					  .high = bound_K };

	/* A distribution needs a width. */
	return realise_result(
	    bound_K > 0.0 ? firn_tape_input(tape, &input) : firn_constant(tape, 0.0), ret_dt_K);
}
