#include "app/base/canonical.h"

#include "firn/number.h"

#include <float.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

/* RFC 8785, 3.2.2.2. */
static void write_text(GString *to, const char *text)
{
	static const char *const escapes[32] = {
		['\b'] = "\\b", ['\t'] = "\\t", ['\n'] = "\\n", ['\f'] = "\\f", ['\r'] = "\\r"
	};

	g_string_append_c(to, '"');
	for (const unsigned char *c = (const unsigned char *)text; *c != 0; c++) {
		if (*c == '"' || *c == '\\') {
			g_string_append_c(to, '\\');
			g_string_append_c(to, (char)*c);
		} else if (*c >= 32) {
			g_string_append_c(to, (char)*c);
		} else if (escapes[*c] != NULL) {
			g_string_append(to, escapes[*c]);
		} else {
			g_string_append_printf(to, "\\u%04x", *c);
		}
	}
	g_string_append_c(to, '"');
}

/* The digits of |x| without point and exponent, and where the point stands: 0.DIGITS * 10^point. */
static int digits_of(double x, char ret_digits[FIRN_NUMBER_SIZE])
{
	char text[FIRN_NUMBER_SIZE];
	int n = 0, before = -1, exponent = 0, leading = 0;

	firn_number_print(fabs(x), text);
	/* A subnormal may read back from fewer digits than firn_number_print begins with. */
	for (int places = 0; fabs(x) < DBL_MIN && places < 15; places++) {
		char format[8];

		g_snprintf(format, sizeof format, "%%.%de", places);
		g_ascii_formatd(text, sizeof text, format, fabs(x));
		if (g_ascii_strtod(text, NULL) == fabs(x))
			break;
	}
	for (const char *c = text; *c != 0; c++) {
		if (*c == 'e') {
			exponent = atoi(c + 1);
			break;
		}
		if (*c == '.')
			before = n + leading;
		else if (n == 0 && *c == '0')
			leading++;
		else
			ret_digits[n++] = *c;
	}
	if (before < 0)
		before = n + leading;
	while (n > 1 && ret_digits[n - 1] == '0')
		n--;
	ret_digits[n] = 0;
	return before - leading + exponent;
}

/* ECMA-262, Number::toString: the notation changes at 1e21 and at 1e-6. */
static void write_number(GString *to, double x)
{
	char digits[FIRN_NUMBER_SIZE];
	int n, point;

	if (x == 0 || !isfinite(x)) { /* -0 is 0; what is no number has no text */
		g_string_append(to, x == 0 ? "0" : "null");
		return;
	}
	if (x < 0)
		g_string_append_c(to, '-');
	point = digits_of(x, digits);
	n = (int)strlen(digits);
	if (point > 0 && point <= 21) {
		for (int i = 0; i < n || i < point; i++) {
			if (i == point)
				g_string_append_c(to, '.');
			g_string_append_c(to, i < n ? digits[i] : '0');
		}
	} else if (point > -6 && point <= 0) {
		g_string_append(to, "0.");
		for (int i = point; i < 0; i++)
			g_string_append_c(to, '0');
		g_string_append(to, digits);
	} else {
		g_string_append_c(to, digits[0]);
		if (n > 1)
			g_string_append_printf(to, ".%s", digits + 1);
		g_string_append_printf(to, "e%c%d", point > 0 ? '+' : '-', abs(point - 1));
	}
}

/* The order of UTF-16 code units is that of the bytes of UTF-8, but for the characters beyond the
   16-bit plane, which UTF-16 puts before U+E000 to U+FFFF. */
static int compare_keys(const void *a, const void *b)
{
	const unsigned char *x = *(const unsigned char *const *)a,
			    *y = *(const unsigned char *const *)b;

	while (*x != 0 && *x == *y)
		x++, y++;
	if (*x >= 0xee && *y >= 0xee && (*x >= 0xf0) != (*y >= 0xf0))
		return *x >= 0xf0 ? -1 : 1;
	return *x - *y;
}

static void write_value(GString *to, const json_t *json);

/* Names of the members in their order; ends with NULL. Release with g_free. */
static const char **sorted_keys(const json_t *json)
{
	const size_t n = json_object_size(json);
	const char **keys = g_new0(const char *, n + 1), *key;
	json_t *value;
	size_t i = 0;

	json_object_foreach((json_t *)json, key, value) keys[i++] = key;
	qsort(keys, n, sizeof *keys, compare_keys);
	return keys;
}

static void write_object(GString *to, const json_t *json)
{
	g_autofree const char **keys = sorted_keys(json);

	g_string_append_c(to, '{');
	for (size_t i = 0; keys[i] != NULL; i++) {
		if (i > 0)
			g_string_append_c(to, ',');
		write_text(to, keys[i]);
		g_string_append_c(to, ':');
		write_value(to, json_object_get(json, keys[i]));
	}
	g_string_append_c(to, '}');
}

static void write_value(GString *to, const json_t *json)
{
	switch (json_typeof(json)) {
	case JSON_OBJECT:
		write_object(to, json);
		break;
	case JSON_ARRAY:
		g_string_append_c(to, '[');
		for (size_t i = 0; i < json_array_size(json); i++) {
			if (i > 0)
				g_string_append_c(to, ',');
			write_value(to, json_array_get(json, i));
		}
		g_string_append_c(to, ']');
		break;
	case JSON_STRING:
		write_text(to, json_string_value(json));
		break;
	case JSON_INTEGER:
	case JSON_REAL:
		write_number(to, json_number_value(json));
		break;
	case JSON_TRUE:
		g_string_append(to, "true");
		break;
	case JSON_FALSE:
		g_string_append(to, "false");
		break;
	case JSON_NULL:
		g_string_append(to, "null");
		break;
	}
}

char *base_canonical(const json_t *json)
{
	GString *to = g_string_new(NULL);

	write_value(to, json);
	return g_string_free(to, FALSE);
}

/* ---- the same for people ---- */

#define PRETTY_WIDTH 100 /* of a line that is not broken further */

static bool holds_containers(const json_t *json)
{
	const char *key;
	json_t *value;

	json_object_foreach((json_t *)json, key,
			    value) if (json_is_object(value) || json_is_array(value)) return true;
	for (size_t i = 0; i < json_array_size(json); i++)
		if (json_is_object(json_array_get(json, i)) ||
		    json_is_array(json_array_get(json, i)))
			return true;
	return false;
}

static void write_pretty(GString *to, const json_t *json, int depth);

static void indent(GString *to, int depth)
{
	g_string_append_printf(to, "\n%*s", 2 * depth, "");
}

/* depth below 0: all on one line. */
static void write_pretty_object(GString *to, const json_t *json, int depth)
{
	g_autofree const char **keys = sorted_keys(json);

	g_string_append_c(to, '{');
	for (size_t i = 0; keys[i] != NULL; i++) {
		if (i > 0)
			g_string_append(to, depth < 0 ? ", " : ",");
		if (depth >= 0)
			indent(to, depth + 1);
		write_text(to, keys[i]);
		g_string_append(to, ": ");
		write_pretty(to, json_object_get(json, keys[i]), depth < 0 ? depth : depth + 1);
	}
	if (depth >= 0)
		indent(to, depth);
	g_string_append_c(to, '}');
}

static void write_pretty_array(GString *to, const json_t *json, int depth)
{
	g_string_append_c(to, '[');
	for (size_t i = 0; i < json_array_size(json); i++) {
		if (i > 0)
			g_string_append(to, depth < 0 ? ", " : ",");
		if (depth >= 0)
			indent(to, depth + 1);
		write_pretty(to, json_array_get(json, i), depth < 0 ? depth : depth + 1);
	}
	if (depth >= 0)
		indent(to, depth);
	g_string_append_c(to, ']');
}

static void write_pretty(GString *to, const json_t *json, int depth)
{
	const gsize begin = to->len;
	const bool is_object = json_is_object(json);

	if (!is_object && !json_is_array(json)) {
		write_value(to, json);
		return;
	}
	if ((depth != 0 || json_object_size(json) + json_array_size(json) == 0) &&
	    !holds_containers(json)) {
		(is_object ? write_pretty_object : write_pretty_array)(to, json, -1);
		if (depth < 0 || to->len - begin + 2 * (gsize)depth <= PRETTY_WIDTH)
			return;
		g_string_truncate(to, begin);
	}
	(is_object ? write_pretty_object : write_pretty_array)(to, json, depth);
}

char *base_pretty(const json_t *json)
{
	GString *to = g_string_new(NULL);

	write_pretty(to, json, 0);
	g_string_append_c(to, '\n');
	return g_string_free(to, FALSE);
}
