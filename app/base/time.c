#include "app/base/time.h"

#include <stdio.h>
#include <string.h>

enum { US_PER_SECOND = 1000000, SECONDS_PER_DAY = 86400 };

static bool digits(const char *text, size_t n, int *ret)
{
	int value = 0;

	for (size_t i = 0; i < n; i++) {
		if (text[i] < '0' || text[i] > '9')
			return false;
		value = 10 * value + (text[i] - '0');
	}
	*ret = value;
	return true;
}

static bool is_leap(int year)
{
	return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
}

static int days_in_month(int year, int month)
{
	static const int days[] = { 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31 };

	return days[month - 1] + (month == 2 && is_leap(year));
}

/* Days since 1970-01-01 in the Gregorian calendar: years counted from March, so that the leap day
   is the last of its year, and 146097 days in 400 years. */
static int64_t days_from_date(int year, int month, int day)
{
	const int y = year + 4800 - (month <= 2);
	const int m = month + (month <= 2 ? 9 : -3);

	return (int64_t)365 * y + y / 4 - y / 100 + y / 400 + (153 * m + 2) / 5 + day - 1 - 2472632;
}

static bool date_parse(const char *text, int *year, int *month, int *day)
{
	return digits(text, 4, year) && text[4] == '-' && digits(text + 5, 2, month) &&
	       text[7] == '-' && digits(text + 8, 2, day) && *month >= 1 && *month <= 12 &&
	       *day >= 1 && *day <= days_in_month(*year, *month);
}

bool base_date_is_valid(const char *text)
{
	int year, month, day;

	return strlen(text) == 10 && date_parse(text, &year, &month, &day);
}

/* Reads .digits; returns how many bytes that took. */
static size_t fraction_parse(const char *text, size_t length, int64_t *ret_us)
{
	int64_t us = 0, unit = US_PER_SECOND / 10;
	size_t n = 1;

	*ret_us = 0;
	if (length < 2 || text[0] != '.' || text[1] < '0' || text[1] > '9')
		return 0;
	for (; n < length && text[n] >= '0' && text[n] <= '9'; n++) {
		us += (text[n] - '0') * unit;
		unit /= 10;
	}
	*ret_us = us;
	return n;
}

static bool offset_parse(const char *text, size_t length, int *ret_minutes)
{
	int hours, minutes;

	if (length == 1 && (text[0] == 'Z' || text[0] == 'z')) {
		*ret_minutes = 0;
		return true;
	}
	if (length != 6 || (text[0] != '+' && text[0] != '-') || text[3] != ':' ||
	    !digits(text + 1, 2, &hours) || !digits(text + 4, 2, &minutes) || hours > 23 ||
	    minutes > 59)
		return false;
	*ret_minutes = (text[0] == '-' ? -1 : 1) * (60 * hours + minutes);
	return true;
}

const char *base_time_parse(const char *text, size_t length, int64_t *ret_us)
{
	static const char form[] =
	    "is not a time as RFC 3339 has it; write it as 2026-11-24T09:30:00+01:00";
	int year, month, day, hour, minute, second, offset;
	int64_t us;

	if (length < 10 || text[4] != '-' || text[7] != '-')
		return form;
	if (!date_parse(text, &year, &month, &day))
		return "has no such date; write year, month and day as 2026-11-24";
	if (length < 19 || strchr("Tt ", text[10]) == NULL || text[10] == '\0' ||
	    !digits(text + 11, 2, &hour) || text[13] != ':' || !digits(text + 14, 2, &minute) ||
	    text[16] != ':' || !digits(text + 17, 2, &second))
		return form;
	if (hour > 23 || minute > 59 || second > 60)
		return "has no such time of day; hours go to 23, minutes and seconds to 59";

	const size_t n = 19 + fraction_parse(text + 19, length - 19, &us);
	if (n == length)
		return "has no offset from UTC; add it, as in 2026-11-24T09:30:00+01:00, or Z for "
		       "UTC";
	if (!offset_parse(text + n, length - n, &offset))
		return "has an offset that cannot be read; write +01:00, -05:00 or Z";

	const int minute_utc = 60 * hour + minute - offset;
	if (second == 60 && (minute_utc % 1440 + 1440) % 1440 != 1439)
		return "has no such time of day; hours go to 23, minutes and seconds to 59";
	*ret_us = US_PER_SECOND * (SECONDS_PER_DAY * days_from_date(year, month, day) +
				   60 * (int64_t)minute_utc + second) +
		  us;
	return NULL;
}

/* The inverse of days_from_date: a guess of the year by its mean length, then to the right one. */
static void date_from_days(int64_t days, int *year, int *month, int *day)
{
	int y = 1970 + (int)(days * 400 / 146097);

	while (days < days_from_date(y, 1, 1))
		y--;
	while (days >= days_from_date(y + 1, 1, 1))
		y++;
	int rest = (int)(days - days_from_date(y, 1, 1));
	*year = y;
	*month = 1;
	while (rest >= days_in_month(y, *month)) {
		rest -= days_in_month(y, *month);
		*month += 1;
	}
	*day = rest + 1;
}

void base_time_print(int64_t us, char ret[BASE_TIME_SIZE])
{
	static const int64_t first = INT64_C(-62167219200) * US_PER_SECOND;
	static const int64_t end = INT64_C(253402300800) * US_PER_SECOND;
	int year, month, day;

	ret[0] = '\0';
	if (us < first || us >= end)
		return;

	const int64_t per_day = (int64_t)SECONDS_PER_DAY * US_PER_SECOND;
	const int64_t days = us / per_day - (us % per_day < 0);
	const int64_t rest = us - days * per_day;
	const int second = (int)(rest / US_PER_SECOND), fraction = (int)(rest % US_PER_SECOND);

	date_from_days(days, &year, &month, &day);
	int n = snprintf(ret, BASE_TIME_SIZE, "%04d-%02d-%02dT%02d:%02d:%02d", year, month, day,
			 second / 3600, second / 60 % 60, second % 60);
	if (fraction != 0) {
		n += snprintf(ret + n, BASE_TIME_SIZE - (size_t)n, ".%06d", fraction);
		while (ret[n - 1] == '0')
			n--;
	}
	ret[n] = 'Z';
	ret[n + 1] = '\0';
}
