#include "app/base/suggest.h"

#include <glib.h>
#include <stdbool.h>
#include <string.h>

enum { LONGEST = 64 };

static size_t smallest(size_t a, size_t b, size_t c)
{
	return MIN(a, MIN(b, c));
}

/* Edit distance with exchange of neighbours (optimal string alignment), letters in any case. */
static size_t distance(const char *a, size_t n, const char *b, size_t m)
{
	size_t d[LONGEST + 1][LONGEST + 1];

	for (size_t i = 0; i <= n; i++)
		d[i][0] = i;
	for (size_t j = 0; j <= m; j++)
		d[0][j] = j;
	for (size_t i = 1; i <= n; i++) {
		for (size_t j = 1; j <= m; j++) {
			const char x = g_ascii_tolower(a[i - 1]), y = g_ascii_tolower(b[j - 1]);

			d[i][j] =
			    smallest(d[i - 1][j] + 1, d[i][j - 1] + 1, d[i - 1][j - 1] + (x != y));
			if (i > 1 && j > 1 && x == g_ascii_tolower(b[j - 2]) &&
			    y == g_ascii_tolower(a[i - 2]))
				d[i][j] = MIN(d[i][j], d[i - 2][j - 2] + 1);
		}
	}
	return d[n][m];
}

static size_t stem_length(const char *name)
{
	const char *last = strrchr(name, '_');

	return last != NULL && last != name ? (size_t)(last - name) : strlen(name);
}

/* The same up to the last _, as depth_m and depth_mm, or H2O_In and H2O_Sn. */
static bool have_one_stem(const char *a, const char *b)
{
	const size_t n = stem_length(a);

	return n >= 2 && n == stem_length(b) && g_ascii_strncasecmp(a, b, n) == 0;
}

const char *base_unit_meant(const char *name, const char *known)
{
	static const struct {
		const char *end, *unit;
	} units[] = {
		{ "_m", "metres" },        { "_mm", "millimetres" }, { "_Pa", "pascal" },
		{ "_mK", "millikelvin" },  { "_K", "kelvin" },       { "_C", "degrees Celsius" },
		{ "_mA", "milliamperes" }, { "_ohm", "ohm" },
	};
	const size_t n = stem_length(known);

	if (!have_one_stem(name, known) || g_ascii_strcasecmp(name, known) == 0)
		return NULL;
	if (n >= 3 && strncmp(known + n - 3, "per", 3) == 0) /* per_K is in 1/K */
		return NULL;
	for (size_t i = 0; i < G_N_ELEMENTS(units); i++) {
		if (strcmp(known + n, units[i].end) == 0)
			return units[i].unit;
	}
	return NULL;
}

const char *base_suggest(const char *name, const char *const *known)
{
	const size_t n = strlen(name);
	const size_t limit = MAX(n / 3, 1);
	size_t least = limit + 1;
	const char *best = NULL;

	if (n == 0 || n > LONGEST)
		return NULL;
	for (size_t i = 0; known[i] != NULL; i++) {
		const size_t m = strlen(known[i]);

		if (m > LONGEST)
			continue;
		size_t d = distance(name, n, known[i], m);
		/* One edit, as far as nearness goes: the same quantity in another unit. */
		const bool other_unit = base_unit_meant(name, known[i]) != NULL;
		if (d > 1 && other_unit)
			d = 1;
		/* A name of two letters, or an end, must not become any other of two letters. */
		const size_t stem = have_one_stem(name, known[i]) ? stem_length(name) : 0;
		const size_t same = stem > 0 && stem < n && stem < m && !other_unit ? stem + 1 : 0;
		if (d >= MIN(n, m) - same && d > 0)
			continue;
		if (d < least) {
			least = d;
			best = known[i];
		}
	}
	return best;
}
