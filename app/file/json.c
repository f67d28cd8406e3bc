#include "app/file/json.h"

#include "app/file/text.h"

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

struct scan {
	const char *at, *end;
};

static char look(struct scan *s)
{
	while (s->at < s->end && strchr(" \t\r\n", *s->at) != NULL)
		s->at++;
	return s->at < s->end ? *s->at : '\0';
}

/* Steps over a string; its text, between the quotes, is returned. */
static const char *string(struct scan *s, size_t *ret_length)
{
	const char *text = ++s->at;

	while (s->at < s->end && *s->at != '"')
		s->at += *s->at == '\\' ? 2 : 1;
	*ret_length = (size_t)(s->at - text);
	s->at++;
	return text;
}

/* Steps over a value, whatever it holds. Brackets in a text known to be JSON are balanced, so their
   depth is enough. */
static void skip_value(struct scan *s)
{
	int depth = 0;
	size_t unused;

	do {
		const char c = look(s);

		if (c == '\0')
			return;
		if (c == '"') {
			string(s, &unused);
			continue;
		}
		depth += c == '{' || c == '[';
		depth -= c == '}' || c == ']';
		s->at++;
		while (s->at < s->end && strchr(",:{}[]\" \t\r\n", c) == NULL &&
		       strchr(",:{}[]\" \t\r\n", *s->at) == NULL)
			s->at++; /* the rest of a number or word */
	} while (depth > 0);
}

/* At an opened { or [: goes to the value of the step, or returns false. */
static bool go_to(struct scan *s, const char *step, size_t step_length)
{
	const bool object = look(s) == '{';
	const long wanted = strtol(step, NULL, 10);

	if (!object && look(s) != '[')
		return false;
	s->at++;
	for (long i = 0; look(s) != '\0' && look(s) != '}' && look(s) != ']'; i++) {
		bool found = i == wanted;

		if (object) {
			size_t length;
			const char *name = string(s, &length);

			found = length == step_length && memcmp(name, step, length) == 0;
			look(s);
			s->at++; /* the colon */
		}
		look(s);
		if (found)
			return true;
		skip_value(s);
		if (look(s) == ',')
			s->at++;
	}
	return false;
}

struct base_mark file_json_mark(const char *text, size_t length, const char *path)
{
	struct scan s = { text, text + length };
	const char *value;

	look(&s);
	value = s.at;
	while (*path != '\0') {
		const size_t n = strcspn(path, "/");

		if (!go_to(&s, path, n))
			break;
		value = s.at;
		path += n + (path[n] == '/');
	}
	return file_text_mark(text, (size_t)(value - text));
}
