/* What this processor can run of the levels that files of blocks are compiled for. */
#ifndef LIB_NUM_PROCESSOR_H
#define LIB_NUM_PROCESSOR_H

#include <stdbool.h>

#ifdef __x86_64__

/* Feature by feature, because not every compiler can ask for a level. What else belongs to a level
   (MOVBE, LZCNT) every processor with these has. */
static inline bool num_processor_has_v3(void)
{
	return __builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma") &&
	       __builtin_cpu_supports("bmi") && __builtin_cpu_supports("bmi2");
}

static inline bool num_processor_has_v4(void)
{
	return num_processor_has_v3() && __builtin_cpu_supports("avx512f") &&
	       __builtin_cpu_supports("avx512bw") && __builtin_cpu_supports("avx512cd") &&
	       __builtin_cpu_supports("avx512dq") && __builtin_cpu_supports("avx512vl");
}

#else

static inline bool num_processor_has_v3(void)
{
	return false;
}

static inline bool num_processor_has_v4(void)
{
	return false;
}

#endif

#endif
