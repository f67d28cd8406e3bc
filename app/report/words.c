#include "app/report/words.h"

#include <glib.h>
#include <math.h>

static const struct {
	const char *words, *sign;
} points[LAB_POINTS] = {
	[LAB_E_H2] = { "hydrogen, triple", "e-H<sub>2</sub>" },
	[LAB_E_H2_VAPOUR] = { "hydrogen, vapour pressure", "e-H<sub>2</sub>" },
	[LAB_NE] = { "neon, triple", "Ne" },
	[LAB_O2] = { "oxygen, triple", "O<sub>2</sub>" },
	[LAB_AR] = { "argon, triple", "Ar" },
	[LAB_HG] = { "mercury, triple", "Hg" },
	[LAB_H2O] = { "water, triple", "H<sub>2</sub>O" },
	[LAB_GA] = { "gallium, melting", "Ga" },
	[LAB_IN] = { "indium, freezing", "In" },
	[LAB_SN] = { "tin, freezing", "Sn" },
	[LAB_ZN] = { "zinc, freezing", "Zn" },
	[LAB_AL] = { "aluminium, freezing", "Al" },
	[LAB_AG] = { "silver, freezing", "Ag" },
};

const char *report_point_words(enum lab_point point, double t90_K)
{
	if (point == LAB_NO_POINT)
		return "";
	if (point == LAB_GA && t90_K > 302.9156) /* 302.9146 K melting, 302.9166 K triple */
		return "gallium, triple";
	return points[point].words;
}

const char *report_point_sign(enum lab_point point, bool markup)
{
	if (point == LAB_NO_POINT)
		return "";
	return markup ? points[point].sign : lab_point_name(point);
}

const char *report_sensor_words(enum lab_sensor sensor)
{
	switch (sensor) {
	case LAB_LONG_STEM:
		return "long-stem thermometer";
	case LAB_CAPSULE:
		return "capsule thermometer";
	case LAB_HIGH_TEMPERATURE:
		return "high-temperature thermometer";
	case LAB_SENSOR_NOT_GIVEN:
	default:
		return "thermometer";
	}
}

void report_celsius(double t90_K, enum report_style style, char ret[REPORT_NUMBER_SIZE])
{
	report_at_most(t90_K - 273.15, 4, style, ret);
}

char *report_celsius_range(double low_K, double high_K, enum report_style style)
{
	char low[REPORT_NUMBER_SIZE], high[REPORT_NUMBER_SIZE];

	report_celsius(low_K, style, low);
	report_celsius(high_K, style, high);
	return g_strdup_printf("%s °C to %s °C", low, high);
}

enum { MOST_PLACES = 3 }; /* of a microkelvin or millikelvin: an u of nothing shows no more */

static char *scaled(double value_K, int places, double scale, const char *unit,
		    enum report_style style)
{
	char text[REPORT_NUMBER_SIZE];

	report_fixed(value_K * scale, MIN(places, MOST_PLACES), style, text);
	return g_strdup_printf("%s%s", text, unit);
}

char *report_millikelvin(double value_K, double u_K, enum report_style style)
{
	int places = 0;

	if (!report_places(1e3 * u_K, &places))
		report_places(1e3 * fabs(value_K), &places);
	return scaled(value_K, places, 1e3, "\u00a0mK", style);
}

char *report_kelvin_words(double value_K, double u_K, enum report_style style)
{
	const bool small = fabs(value_K) < 1e-3;
	int places = small ? 1 : 3; /* 0.1 µK where nothing is said of u */

	report_places((small ? 1e6 : 1e3) * u_K, &places);
	return scaled(value_K, places, small ? 1e6 : 1e3, small ? " µK" : " mK", style);
}
