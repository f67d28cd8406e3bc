#include "app/report/picture_axis.h"

#include "app/report/rounding.h"

#include <math.h>

double report_axis_at(const struct report_axis *axis, double x)
{
	const double part = axis->decades ? log(x / axis->low) / log(axis->high / axis->low)
					  : (x - axis->low) / (axis->high - axis->low);

	return axis->from + part * (axis->to - axis->from);
}

/* The least of 1, 2 and 5 times a power of ten that is not below x. */
static double round_up(double x)
{
	static const double factors[] = { 1.0, 2.0, 5.0, 10.0 };
	const double power = pow(10.0, floor(log10(x)));

	for (size_t i = 0; i < G_N_ELEMENTS(factors); i++)
		if (factors[i] * power >= x * (1.0 - 1e-9))
			return factors[i] * power;
	return 10.0 * power;
}

static GArray *decade_ticks(struct report_axis *axis)
{
	static const double factors[] = { 1.0, 2.0, 5.0 };
	GArray *ticks = g_array_new(FALSE, FALSE, sizeof(double));
	double low = 0.0, high = INFINITY;

	for (double power = pow(10.0, floor(log10(axis->low)) - 1.0); power <= 10.0 * axis->high;
	     power *= 10.0) {
		for (size_t i = 0; i < G_N_ELEMENTS(factors); i++) {
			const double tick = factors[i] * power;

			if (tick <= axis->low * (1.0 + 1e-9))
				low = tick;
			if (tick >= axis->high * (1.0 - 1e-9))
				high = fmin(high, tick);
			g_array_append_val(ticks, tick);
		}
	}
	axis->low = low;
	axis->high = high;
	for (guint i = ticks->len; i-- > 0;) {
		const double tick = g_array_index(ticks, double, i);

		if (tick < low * (1.0 - 1e-9) || tick > high * (1.0 + 1e-9))
			g_array_remove_index(ticks, i);
	}
	return ticks;
}

GArray *report_axis_ticks(struct report_axis *axis, int most)
{
	GArray *ticks;
	double step;

	if (axis->decades)
		return decade_ticks(axis);
	if (!(axis->high > axis->low))
		axis->high = axis->low + fmax(1e-12, fabs(axis->low));
	ticks = g_array_new(FALSE, FALSE, sizeof(double));
	step = round_up((axis->high - axis->low) / most);
	axis->low = step * floor(axis->low / step + 1e-9);
	axis->high = step * ceil(axis->high / step - 1e-9);
	for (int i = 0; axis->low + i * step <= axis->high + 0.5 * step; i++) {
		/* Counted from a whole number of steps, so that 0 is 0. */
		const double tick = step * (round(axis->low / step) + i);

		g_array_append_val(ticks, tick);
	}
	return ticks;
}

char *report_axis_label(double x)
{
	char text[REPORT_NUMBER_SIZE];

	report_significant(x, 6, REPORT_MINUS, text);
	if (x == 0.0 || fabs(x) >= 1e-4)
		report_at_most(x, 6, REPORT_MINUS, text);
	return g_strdup(text);
}

/* Over many decades only powers of ten have room for their numbers. */
static bool is_labelled(const struct report_axis *axis, double tick)
{
	const double power = axis->decades ? log10(tick) : 0.0;

	return !axis->decades || axis->high / axis->low < 150.0 ||
	       fabs(power - round(power)) < 1e-9;
}

void report_axis_across(report_picture *picture, struct report_axis *axis, int most, double x1,
			double x2, const char *unit)
{
	g_autoptr(GArray) ticks = report_axis_ticks(axis, most);
	const struct report_pen hair = { .line = REPORT_HAIR };

	for (guint i = 0; i < ticks->len; i++) {
		const double tick = g_array_index(ticks, double, i), y = report_axis_at(axis, tick);
		g_autofree char *label = report_axis_label(tick);

		report_picture_segment(picture, x1, y, x2, y, &hair);
		if (is_labelled(axis, tick))
			report_picture_text(picture, x1 - 8.0, y + 4.5, 1.0, 13.0, REPORT_TELL,
					    REPORT_INK_3, label);
	}
	report_picture_text(picture, x1 - 8.0, fmin(axis->from, axis->to) - 12.0, 1.0, 13.0,
			    REPORT_TELL, REPORT_INK_3, unit);
}

void report_axis_below(report_picture *picture, struct report_axis *axis, int most, double y,
		       const char *unit)
{
	g_autoptr(GArray) ticks = report_axis_ticks(axis, most);
	const struct report_pen line = { .line = REPORT_INK_3 };

	for (guint i = 0; i < ticks->len; i++) {
		const double tick = g_array_index(ticks, double, i), x = report_axis_at(axis, tick);
		g_autofree char *label = report_axis_label(tick);

		report_picture_segment(picture, x, y, x, y + 6.0, &line);
		if (is_labelled(axis, tick))
			report_picture_text(picture, x, y + 21.0, 0.5, 13.0, REPORT_TELL,
					    REPORT_INK_3, label);
	}
	report_picture_text(picture, fmax(axis->from, axis->to), y + 39.0, 1.0, 13.0, REPORT_TELL,
			    REPORT_INK_3, unit);
}
