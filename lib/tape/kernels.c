#include "lib/tape/kernels.h"
#include "lib/num/processor.h"

#define KERNELS(level)                                                                             \
	{                                                                                          \
		play_##level, statistics_sum_##level, statistics_gather_##level,                   \
		    statistics_products_##level                                                    \
	}

static const struct kernels plain = KERNELS(plain);

#ifdef __x86_64__

static const struct kernels v3 = KERNELS(v3), v4 = KERNELS(v4);

const struct kernels *kernels_of(enum kernel_level level)
{
	switch (level) {
	case LEVEL_PLAIN:
		return &plain;
	case LEVEL_V3:
		return num_processor_has_v3() ? &v3 : NULL;
	case LEVEL_V4:
		return num_processor_has_v4() ? &v4 : NULL;
	default:
		return num_processor_has_v4() ? &v4 : num_processor_has_v3() ? &v3 : &plain;
	}
}

#else

const struct kernels *kernels_of(enum kernel_level level)
{
	return level == LEVEL_BEST || level == LEVEL_PLAIN ? &plain : NULL;
}

#endif
