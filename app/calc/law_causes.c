#include "app/calc/law_causes.h"

#include "firn/linear_law.h"

enum { MOST = 6 };

static enum lab_reason reason_of(enum firn_linear_law_reason reason)
{
	static const enum lab_reason reasons[] = {
		[FIRN_LAW_ONE_SIDED] = LAB_ONE_SIDED, [FIRN_LAW_BENT] = LAB_BENT,
		[FIRN_LAW_DIVISOR] = LAB_DIVISOR,     [FIRN_LAW_PRODUCT] = LAB_PRODUCT,
		[FIRN_LAW_SHAPE] = LAB_SHAPE,         [FIRN_LAW_SKEW] = LAB_SKEW,
		[FIRN_LAW_FEW_DOF] = LAB_FEW_DOF,
	};

	return reasons[reason];
}

static enum lab_distribution distribution_of(enum firn_distribution distribution)
{
	static const enum lab_distribution distributions[] = {
		[FIRN_NORMAL] = LAB_NORMAL,
		[FIRN_RECTANGULAR] = LAB_RECTANGULAR,
		[FIRN_TRIANGULAR] = LAB_TRIANGULAR,
		[FIRN_TRAPEZOIDAL] = LAB_TRAPEZOIDAL,
		[FIRN_ARCSINE] = LAB_ARCSINE,
		[FIRN_CURVILINEAR_TRAPEZOID] = LAB_CURVILINEAR_TRAPEZOID,
		[FIRN_STUDENT_T] = LAB_STUDENT_T,
		[FIRN_EXPONENTIAL] = LAB_EXPONENTIAL,
		[FIRN_GAMMA] = LAB_GAMMA,
	};

	return distributions[distribution];
}

static char *name_of(struct firn_node input, GStringChunk *text)
{
	struct firn_input said;

	return input.index != 0 && firn_tape_input_of(input, &said) >= 0
		   ? g_string_chunk_insert_const(text, said.name)
		   : NULL;
}

GArray *law_causes_find(struct firn_node y, double p, double k, double tolerance,
			GStringChunk *text)
{
	GArray *causes = g_array_new(FALSE, TRUE, sizeof(struct lab_cause));
	struct firn_linear_law_cause found[MOST];
	size_t n = 0;

	if (firn_linear_law_causes(y, p, k, 0.25 * tolerance, MOST, found, &n) < 0)
		return causes; /* then none is named */
	for (size_t i = 0; i < n; i++) {
		struct firn_input said;

		if (firn_tape_input_of(found[i].a, &said) < 0)
			continue;
		const struct lab_cause cause = {
			.reason = reason_of(found[i].reason),
			.a = name_of(found[i].a, text),
			.b = name_of(found[i].b, text),
			.distribution = distribution_of(said.distribution),
			.dof = said.dof > 0.0 ? said.dof : (double)INFINITY,
			.size = found[i].size,
			.part = found[i].part,
		};
		g_array_append_val(causes, cause);
	}
	return causes;
}
