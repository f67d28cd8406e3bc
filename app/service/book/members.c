#include "app/service/book/members.h"

#include "app/base/time.h"

#include <math.h>
#include <string.h>

double service_book_number_of(const json_t *body, const char *name)
{
	const json_t *value = json_object_get(body, name);

	return json_is_number(value) ? json_number_value(value) : (double)NAN;
}

int64_t service_book_time_of(const json_t *body, const char *name)
{
	const char *text = json_string_value(json_object_get(body, name));
	int64_t time_us = BASE_NO_TIME;

	if (text == NULL || base_time_parse(text, strlen(text), &time_us) != NULL)
		return BASE_NO_TIME;
	return time_us;
}
