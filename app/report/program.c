#include "app/report/program.h"

#include "app/report/build.h"
#include "constants.h"

#include <cairo.h>
#include <fontconfig/fontconfig.h>
#include <glib.h>
#include <gnu/libc-version.h>
#include <gsl/gsl_version.h>
#include <pango/pango.h>

#if defined __clang__
#define COMPILER "clang " __clang_version__
#else
#define COMPILER "gcc " __VERSION__
#endif

const char report_program_name[] = "firn";
const char report_program_version[] = REPORT_BUILD_VERSION;

const char *report_program_build(void)
{
	return REPORT_BUILD_REVISION ", " COMPILER ", " REPORT_BUILD_MACHINE;
}

const char *report_program_constants(void)
{
	return DATA_CONSTANTS_SHA256;
}

static const char *glib_version(void)
{
	static char text[32];
	static gsize ready;

	if (g_once_init_enter(&ready)) {
		g_snprintf(text, sizeof text, "%u.%u.%u", glib_major_version, glib_minor_version,
			   glib_micro_version);
		g_once_init_leave(&ready, 1);
	}
	return text;
}

static const char *fontconfig_version(void)
{
	static char text[32];
	static gsize ready;

	if (g_once_init_enter(&ready)) {
		const int version = FcGetVersion();

		g_snprintf(text, sizeof text, "%d.%d.%d", version / 10000, version / 100 % 100,
			   version % 100);
		g_once_init_leave(&ready, 1);
	}
	return text;
}

size_t report_program_libraries(const struct report_library **ret_libraries)
{
	static struct report_library libraries[6];
	static gsize ready;

	if (g_once_init_enter(&ready)) {
		libraries[0] = (struct report_library){ "glibc", gnu_get_libc_version() };
		libraries[1] = (struct report_library){ "gsl", gsl_version };
		libraries[2] = (struct report_library){ "glib", glib_version() };
		libraries[3] = (struct report_library){ "pango", pango_version_string() };
		libraries[4] = (struct report_library){ "cairo", cairo_version_string() };
		libraries[5] = (struct report_library){ "fontconfig", fontconfig_version() };
		g_once_init_leave(&ready, 1);
	}
	*ret_libraries = libraries;
	return G_N_ELEMENTS(libraries);
}
