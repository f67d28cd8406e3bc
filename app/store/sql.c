#include "app/store/sql.h"

#include <math.h>
#include <string.h>

struct sql_value sql_integer(int64_t x)
{
	return (struct sql_value){ .type = SQL_INTEGER, .integer = x };
}

struct sql_value sql_real(double x)
{
	if (isnan(x))
		return (struct sql_value){ .type = SQL_NULL };
	return (struct sql_value){ .type = SQL_REAL, .real = x };
}

struct sql_value sql_text(const char *text)
{
	if (text == NULL)
		return (struct sql_value){ .type = SQL_NULL };
	return (struct sql_value){ .type = SQL_TEXT, .bytes = text, .n = strlen(text) };
}

struct sql_value sql_bytes(const void *bytes, size_t n)
{
	return (struct sql_value){ .type = SQL_BYTES, .bytes = bytes, .n = n };
}

int64_t sql_to_integer(const struct sql_value *value)
{
	return value->type == SQL_INTEGER ? value->integer : 0;
}

double sql_to_real(const struct sql_value *value)
{
	if (value->type == SQL_INTEGER)
		return (double)value->integer;
	return value->type == SQL_REAL ? value->real : NAN;
}

const char *sql_to_text(const struct sql_value *value)
{
	return value->type == SQL_TEXT ? value->bytes : NULL;
}
