#include "app/file/number.h"

#include "firn/number.h"

#include <glib.h>
#include <string.h>

static bool is_number(const char *text)
{
	double x;

	return firn_number_parse(text, strlen(text), &x) == FIRN_OK;
}

static bool is_one_of(const char *text, const char *const *words)
{
	text += text[0] == '+' || text[0] == '-';
	text += text[0] == '.';
	for (size_t i = 0; words[i] != NULL; i++) {
		if (g_ascii_strcasecmp(text, words[i]) == 0)
			return true;
	}
	return false;
}

bool file_number_is_infinite(const char *text)
{
	static const char *const words[] = { "inf", "infinity", "infinite", "\xe2\x88\x9e", NULL };

	return is_one_of(text, words);
}

bool file_number_is_nothing(const char *text)
{
	static const char *const words[] = { "nan", "na", "n/a", "null", "none",
					     "-",   "--", "---", "",     NULL };

	return is_one_of(text, words) || strcmp(text, "-") == 0;
}

/* The text with one piece of it replaced everywhere. */
static char *replaced(const char *text, const char *piece, const char *by)
{
	g_auto(GStrv) parts = g_strsplit(text, piece, -1);

	return g_strjoinv(by, parts);
}

static size_t count(const char *text, char c)
{
	size_t n = 0;

	for (; *text != '\0'; text++)
		n += *text == c;
	return n;
}

/* 1,013,250 or 1,013.25 or 1.013,25: which of the two is the decimal sign? The last one, if it
   stands once; and a comma that stands alone before three digits may be either. */
static char *comma_fault(const char *text)
{
	const char *comma = strrchr(text, ','), *point = strrchr(text, '.');
	g_autofree char *no_comma = replaced(text, ",", "");
	g_autofree char *no_point = replaced(text, ".", "");
	g_autofree char *comma_as_point = replaced(no_point, ",", ".");

	if (comma == NULL)
		return NULL;
	if (count(text, ',') == 1 && (point == NULL || point < comma) &&
	    is_number(comma_as_point)) {
		const char *digits = comma + 1;

		if (point == NULL && strspn(digits, "0123456789") == 3 && digits[3] == '\0' &&
		    text[0] != '0' && comma - text <= 3)
			return g_strdup_printf("a comma can be read in two ways; write %s or %s",
					       comma_as_point, no_comma);
		return g_strdup_printf("decimals have a point: %s", comma_as_point);
	}
	if (is_number(no_comma))
		return g_strdup_printf("thousands have no separator: %s", no_comma);
	return NULL;
}

static char *separator_fault(const char *text)
{
	static const char *const separators[] = {
		" ", "'", "_", "\xe2\x80\x99", "\xc2\xa0", "\xe2\x80\xaf", "\xe2\x80\x89", NULL
	};

	for (size_t i = 0; separators[i] != NULL; i++) {
		g_autofree char *without = replaced(text, separators[i], "");

		if (strstr(text, separators[i]) == NULL || !is_number(without))
			continue;
		if (strstr(text, without) != NULL)
			return g_strdup_printf("write %s alone, without the blank or mark beside "
					       "it, which may be invisible",
					       without);
		return g_strdup_printf("digits have no separator: %s", without);
	}
	if (count(text, '.') > 1) {
		g_autofree char *without = replaced(text, ".", "");

		if (is_number(without))
			return g_strdup_printf("thousands have no separator: %s", without);
	}
	return NULL;
}

static char *sign_fault(const char *text)
{
	static const char *const signs[] = { "\xe2\x88\x92", "\xe2\x80\x93", "\xe2\x80\x94", NULL };

	for (size_t i = 0; signs[i] != NULL; i++) {
		g_autofree char *plain = replaced(text, signs[i], "-");

		if (strstr(text, signs[i]) != NULL && is_number(plain))
			return g_strdup_printf("the minus sign is the one of the keyboard: %s",
					       plain);
	}
	return NULL;
}

static char *exponent_fault(const char *text)
{
	g_autofree char *upper = g_ascii_strup(text, -1);
	g_autofree char *plain = replaced(upper, "D", "e");

	return strchr(upper, 'D') != NULL && is_number(plain)
		   ? g_strdup_printf("the exponent has an e: %s", plain)
		   : NULL;
}

/* 0.265 m, 26 %, 1e-5 ohm: a number and then something that is no part of one. */
static char *rest_fault(const char *text)
{
	double x;
	const size_t n = firn_number_prefix(text, strlen(text), &x);
	const char *rest = text + n + strspn(text + n, " ");

	if (n == 0)
		return NULL;
	if (g_ascii_isdigit(text[n])) /* not a rest, but where reading stops */
		return g_strdup("no number needs as many digits; 17 are enough");
	g_autofree char *number = g_strndup(text, n);
	if (strncmp(rest, "\xc2\xb1", 2) == 0 || strncmp(rest, "+/-", 3) == 0 || rest[0] == '(')
		return g_strdup_printf(
		    "write the number alone, %s; its standard uncertainty has a key of its own",
		    number);
	if (rest[0] == '%') {
		char fraction[FIRN_NUMBER_SIZE];

		firn_number_print(x / 100.0, fraction);
		return g_strdup_printf("fractions are not in per cent; this would be %s", fraction);
	}
	if (strncmp(text, "0x", 2) == 0 || strncmp(text, "0X", 2) == 0)
		return g_strdup("write it in decimal digits");
	if (g_ascii_isalpha(rest[0]) || (unsigned char)rest[0] >= 0x80)
		return g_strdup(
		    "write the number alone, without a unit or other letters (a name such as "
		    "depth_m says the unit)");
	return NULL;
}

char *file_number_fault(const char *text)
{
	char *(*const faults[])(const char *) = { comma_fault, separator_fault, sign_fault,
						  exponent_fault };
	double x;

	if (file_number_is_infinite(text))
		return g_strdup("write a finite number, or leave it out where it may be absent");
	if (file_number_is_nothing(text))
		return g_strdup("write a number, or leave it out where it may be absent");
	for (size_t i = 0; i < G_N_ELEMENTS(faults); i++) {
		char *fault = faults[i](text);

		if (fault != NULL)
			return fault;
	}
	if (firn_number_prefix(text, strlen(text), &x) == strlen(text))
		return g_strdup("no number here is as large; check the exponent");

	char *fault = rest_fault(text);
	return fault != NULL ? fault : g_strdup("write a number, such as 0.265 or 1e-5");
}
