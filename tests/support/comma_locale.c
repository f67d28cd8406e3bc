/*
 * Loaded before a program (LD_PRELOAD), so that all of it runs in a locale with a decimal comma:
 * the tests and firn never call setlocale themselves, and a library that did would do this to them.
 * Ends the program with status 99 where the decimal sign is no comma then, so that a pass of the
 * tests in this locale cannot pass in another.
 */
/* setenv and unsetenv */
#define _POSIX_C_SOURCE 200809L

#include <locale.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { NO_COMMA = 99, LONGEST = 4096 };

/* LOCPATH says where locales are; a test may have its own, which stays as it is. */
static void set_in_folder(const char *name, const char *folder)
{
	const char *given = getenv("LOCPATH");
	char before[LONGEST] = "";

	if (given != NULL)
		snprintf(before, sizeof(before), "%s", given);
	if (folder != NULL)
		setenv("LOCPATH", folder, 1);
	setlocale(LC_ALL, name);
	if (given != NULL)
		setenv("LOCPATH", before, 1);
	else
		unsetenv("LOCPATH");
}

static void __attribute__((constructor)) enter_comma_locale(void)
{
	const char *name = getenv("FIRN_TEST_LOCALE");

	if (name != NULL)
		set_in_folder(name, getenv("FIRN_LOCALES"));
	if (strcmp(localeconv()->decimal_point, ",") == 0)
		return;
	fprintf(stderr, "comma_locale: %s has no decimal comma here\n",
		name != NULL ? name : "FIRN_TEST_LOCALE, which is not set,");
	_exit(NO_COMMA);
}
