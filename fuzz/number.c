/* Fuzz target: the number parser, held to the C library's; and what stands beside it: times, dates,
   and what a message says of a text that is no number. */
#include "fuzz/fuzz.h"

#include "app/base/time.h"
#include "app/file/number.h"

#include "firn/number.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static bool same(double a, double b)
{
	return memcmp(&a, &b, sizeof(a)) == 0;
}

static void try_number(const char *text, size_t length)
{
	double x = 12.5, prefix = 12.5;
	const size_t n = firn_number_prefix(text, length, &prefix);

	FUZZ_HOLDS(n <= length && n <= 400);
	FUZZ_HOLDS(n > 0 || prefix == 12.5);
	if (n > 0) { /* the same digits, so the same number */
		g_autofree char *digits = g_strndup(text, n);

		FUZZ_HOLDS(same(prefix, g_ascii_strtod(digits, NULL)));
	}
	if (firn_number_parse(text, length, &x) != FIRN_OK) {
		FUZZ_HOLDS(x == 12.5);
		return;
	}
	FUZZ_HOLDS(n == length && same(x, prefix));

	char printed[FIRN_NUMBER_SIZE];
	double again;
	const size_t size = firn_number_print(x, printed);
	FUZZ_HOLDS(firn_number_parse(printed, size, &again) == FIRN_OK && same(x, again));
}

static void try_time(const char *text, size_t length)
{
	char printed[BASE_TIME_SIZE];
	int64_t us = BASE_NO_TIME, again;
	const char *fault = base_time_parse(text, length, &us);

	FUZZ_HOLDS((fault != NULL) == (us == BASE_NO_TIME));
	if (fault != NULL)
		return;
	base_time_print(us, printed);
	/* near the years 0000 and 9999 the offset leads beyond what can be written */
	FUZZ_HOLDS(printed[0] == '\0' ||
		   (base_time_parse(printed, strlen(printed), &again) == NULL && again == us));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	g_autofree char *text = g_strndup((const char *)data, size);
	g_autofree char *exact = g_memdup2(data, size); /* no end: reading beyond it is found */

	try_number(exact != NULL ? exact : "", size);
	try_time(exact != NULL ? exact : "", size);
	(void)base_date_is_valid(text);
	if (g_utf8_validate(text, -1, NULL)) {
		double x;

		if (firn_number_parse(text, strlen(text), &x) != FIRN_OK) {
			g_autofree char *fault = file_number_fault(text);

			FUZZ_HOLDS(fault != NULL && fault[0] != '\0');
			FUZZ_HOLDS(g_utf8_validate(fault, -1, NULL));
		}
		(void)file_number_is_nothing(text);
		(void)file_number_is_infinite(text);
	}
	return 0;
}
