/* Memory of lines, and which solver. */
#include "lib/heat/lines.h"
#include "lib/num/processor.h"

#include <stdlib.h>

enum { ARRAYS = 11 };

bool lines_allocate(struct lines *lines, size_t most)
{
	double **const arrays[ARRAYS] = { &lines->b,    &lines->g,     &lines->h,    &lines->t,
					  &lines->live, &lines->c,     &lines->low,  &lines->high,
					  &lines->part, &lines->shift, &lines->ratio };

	for (int i = 0; i < ARRAYS; i++) {
		*arrays[i] = calloc((most + 1) * LINES, sizeof(double));
		if (*arrays[i] == NULL)
			return false;
	}
	return true;
}

void lines_release(struct lines *lines)
{
	double *const arrays[ARRAYS] = { lines->b,    lines->g,     lines->h,    lines->t,
					 lines->live, lines->c,     lines->low,  lines->high,
					 lines->part, lines->shift, lines->ratio };

	for (int i = 0; i < ARRAYS; i++)
		free(arrays[i]);
}

lines_solver *lines_best(void)
{
#ifdef __x86_64__
	return num_processor_has_v4()   ? lines_solve_v4
	       : num_processor_has_v3() ? lines_solve_v3
					: lines_solve_plain;
#else
	return lines_solve_plain;
#endif
}
