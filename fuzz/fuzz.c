#include "fuzz/fuzz.h"

#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void fuzz_broken(const char *file, int line, const char *promise)
{
	fprintf(stderr, "%s:%d: does not hold: %s\n", file, line, promise);
	abort();
}

void fuzz_split(const uint8_t *data, size_t size, GBytes **ret_first, GBytes **ret_second)
{
	const uint8_t *end = size > 0 ? memchr(data, 0xff, size) : NULL;
	const size_t first = end != NULL ? (size_t)(end - data) : size;
	const size_t second = end != NULL ? size - first - 1 : 0;

	/* copies, so that a byte too many is seen by the address sanitizer */
	*ret_first = g_bytes_new(data, first);
	*ret_second = g_bytes_new(second > 0 ? end + 1 : NULL, second);
}

static bool is_one_line(const char *text)
{
	for (; *text != '\0'; text++)
		if ((unsigned char)*text < ' ' || *text == 0x7f)
			return false;
	return true;
}

void fuzz_check_messages(const base_messages *messages, bool made)
{
	for (size_t i = 0; i < base_messages_n(messages); i++) {
		const struct base_message *m = base_messages_at(messages, i);

		FUZZ_HOLDS(m->kind != BASE_FAILURE);
		FUZZ_HOLDS(m->text[0] != '\0');
		FUZZ_HOLDS(g_utf8_validate(m->text, -1, NULL));
		FUZZ_HOLDS(is_one_line(m->text));
		FUZZ_HOLDS(m->mark.line >= 0 && m->mark.column >= 0);
		FUZZ_HOLDS(m->kind != BASE_ERROR || (m->mark.line > 0 && m->mark.column > 0));
	}
	FUZZ_HOLDS(made == (base_messages_exit_status(messages) == 0));
}

void fuzz_check_json(const GString *text)
{
	json_error_t error;
	json_t *json = json_loadb(text->str, text->len, JSON_REJECT_DUPLICATES, &error);

	if (json == NULL)
		fprintf(stderr, "%s at line %d\n", error.text, error.line);
	FUZZ_HOLDS(json != NULL);
	json_decref(json);
}
