#include "app/report/formula.h"

#include <ctype.h>
#include <glib.h>
#include <stdbool.h>
#include <string.h>

static size_t name_length(const char *p)
{
	size_t n = 0;

	while (isalnum((unsigned char)p[n]) || p[n] == '_')
		n++;
	return n;
}

/* A letter in italics, what follows it as its index: c1, Wr, W_Al. */
static void add_quantity(GString *to, const char *name, size_t n)
{
	const char *index = name + 1;
	size_t length = n - 1;

	if (length > 0 && index[0] == '_') {
		index++;
		length--;
	}
	g_string_append_printf(to, "<i>%c</i>", name[0]);
	if (length > 0)
		g_string_append_printf(to, "<sub>%.*s</sub>", (int)length, index);
}

static void add_name(GString *to, const char *name, size_t n)
{
	if (n == 6 && strncmp(name, "deltaW", n) == 0)
		g_string_append(to, "<i>W</i> − <i>W</i><sub>r</sub>");
	else if (n > 1 && islower((unsigned char)name[1]) && strncmp(name, "Wr", n) != 0)
		g_string_append_printf(to, "%.*s", (int)n, name); /* ln, max */
	else
		add_quantity(to, name, n);
}

/* "ln(W)^2" as (ln W)², so that nobody takes the square of W; returns where it ends, or NULL when
   something else stands there. */
static const char *add_logarithm(GString *to, const char *p)
{
	if (strncmp(p, "ln(", 3) != 0)
		return NULL;
	const size_t n = name_length(p + 3);
	if (n == 0 || p[3 + n] != ')')
		return NULL;
	const bool raised = p[4 + n] == '^';
	g_string_append(to, raised ? "(ln\u2009" : "ln\u2009");
	add_name(to, p + 3, n);
	if (raised)
		g_string_append_c(to, ')');
	return p + 4 + n;
}

char *report_formula_markup(const char *formula)
{
	GString *to = g_string_new(NULL);

	for (const char *p = formula; *p != '\0';) {
		const size_t n = isalpha((unsigned char)*p) ? name_length(p) : 0;
		const char *end = add_logarithm(to, p);

		if (end != NULL) {
			p = end;
		} else if (n > 0) {
			add_name(to, p, n);
			p += n;
		} else if (*p == '^') {
			const size_t digits = strspn(p + 1, "0123456789");

			g_string_append_printf(to, "<sup>%.*s</sup>", (int)digits, p + 1);
			p += 1 + digits;
		} else if (*p == '*') {
			if (p[1] != '(' && !g_str_has_prefix(p + 1, "ln(W)^"))
				g_string_append(to, "\u2009");
			p++;
		} else if (*p == '-') {
			g_string_append(to, "−");
			p++;
		} else {
			g_string_append_c(to, *p++);
		}
	}
	return g_string_free(to, FALSE);
}
