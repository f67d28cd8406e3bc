/* A benchmark's C side: commands a line on stdin, seconds a line on stdout, so that the other side
   can take turns with it. */
/* clock_gettime */
#ifndef _POSIX_C_SOURCE
#define _POSIX_C_SOURCE 200809L
#endif
#ifndef BENCHMARKS_DRIVER_H
#define BENCHMARKS_DRIVER_H

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

static inline double seconds(clockid_t clock)
{
	struct timespec t;

	clock_gettime(clock, &t);
	return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* Does what the words of a line ask for and returns the number that answers it. */
typedef double driver_answer(void *context, size_t n, char **words);

static inline int driver_run(driver_answer *answer, void *context)
{
	char line[4096], *words[16];

	while (fgets(line, sizeof(line), stdin) != NULL) {
		size_t n = 0;
		char *rest = line;

		while (n < 16 && (words[n] = strtok_r(rest, " \n", &rest)) != NULL)
			n++;
		if (n > 0)
			printf("%.9g\n", answer(context, n, words));
		fflush(stdout);
	}
	return 0;
}

static inline void *driver_memory(size_t n, size_t size)
{
	void *memory = calloc(n, size);

	if (memory == NULL) {
		fputs("no memory for the arrays of the benchmark\n", stderr);
		exit(3);
	}
	return memory;
}

#endif
