#include "app/report/times.h"

#include <glib.h>
#include <stdio.h>

static const char *const months[] = { "January",   "February", "March",    "April",
				      "May",       "June",     "July",     "August",
				      "September", "October",  "November", "December" };

/* Shifted by the offset, so that its date is that of the place. */
static GDateTime *date_time(int64_t time_us, int utc_offset_min)
{
	int64_t s = time_us / 1000000;

	if (time_us == INT64_MIN)
		return NULL;
	if (s * 1000000 > time_us)
		s--; /* down, also before 1970 */
	return g_date_time_new_from_unix_utc(s + 60 * (int64_t)utc_offset_min);
}

char *report_date_words(const char *date)
{
	int year, month, day, end = 0;

	if (sscanf(date, "%4d-%2d-%2d%n", &year, &month, &day, &end) != 3 || date[end] != '\0' ||
	    month < 1 || month > 12)
		return g_strdup(date);
	return g_strdup_printf("%d %s %d", day, months[month - 1], year);
}

char *report_period_words(int64_t first_us, int64_t last_us, int utc_offset_min)
{
	g_autoptr(GDateTime) first = date_time(first_us, utc_offset_min);
	g_autoptr(GDateTime) last = date_time(last_us, utc_offset_min);
	int y1, m1, d1, y2, m2, d2;

	if (first == NULL || last == NULL)
		return NULL;
	g_date_time_get_ymd(first, &y1, &m1, &d1);
	g_date_time_get_ymd(last, &y2, &m2, &d2);
	if (y1 != y2)
		return g_strdup_printf("%d %s %d to %d %s %d", d1, months[m1 - 1], y1, d2,
				       months[m2 - 1], y2);
	if (m1 != m2)
		return g_strdup_printf("%d %s to %d %s %d", d1, months[m1 - 1], d2, months[m2 - 1],
				       y2);
	if (d1 != d2)
		return g_strdup_printf("%d to %d %s %d", d1, d2, months[m2 - 1], y2);
	return g_strdup_printf("%d %s %d", d2, months[m2 - 1], y2);
}
