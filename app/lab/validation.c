#include "app/lab/validation.h"

#include <math.h>

struct lab_validation *lab_validation_new(void)
{
	struct lab_validation *validation = g_new0(struct lab_validation, 1);

	validation->checks = g_array_new(FALSE, TRUE, sizeof(struct lab_check));
	validation->text = g_string_chunk_new(4096);
	return validation;
}

void lab_validation_free(struct lab_validation *validation)
{
	if (validation == NULL)
		return;
	g_array_unref(validation->checks);
	g_string_chunk_free(validation->text);
	g_free(validation);
}

void lab_validation_add(struct lab_validation *validation, const char *name, const char *source,
			double expected, double tolerance, double found)
{
	const struct lab_check check = {
		.name = g_string_chunk_insert(validation->text, name),
		.source = g_string_chunk_insert(validation->text, source),
		.expected = expected,
		.tolerance = tolerance,
		.found = found,
		.passed = fabs(found - expected) <= tolerance,
	};

	validation->passed = check.passed && (validation->passed || validation->checks->len == 0);
	g_array_append_val(validation->checks, check);
}
