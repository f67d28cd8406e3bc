#include "app/service/book/ambient.h"

#include "app/base/time.h"
#include "app/service/book/members.h"

#include <math.h>

static void widen(const json_t *body, const char *low, const char *high, double *to_low,
		  double *to_high)
{
	*to_low = fmin(*to_low, service_book_number_of(body, low)); /* NaN gives way */
	*to_high = fmax(*to_high, service_book_number_of(body, high));
}

static void add(struct service_ambient *a, const json_t *body)
{
	const int64_t from_us = service_book_time_of(body, "from"),
		      until_us = service_book_time_of(body, "until");

	a->from_us = a->n == 0 ? from_us : MIN(a->from_us, from_us);
	a->until_us = a->n == 0 ? until_us : MAX(a->until_us, until_us);
	a->n++;
	widen(body, "low_C", "high_C", &a->low_C, &a->high_C);
	widen(body, "low_percent", "high_percent", &a->low_percent, &a->high_percent);
	widen(body, "low_Pa", "high_Pa", &a->low_Pa, &a->high_Pa);
}

struct service_ambient service_ambient_of(service_book *book, const json_t *calibration)
{
	struct service_ambient a = { 0, BASE_NO_TIME, BASE_NO_TIME, NAN, NAN, NAN, NAN, NAN, NAN };
	size_t i;
	json_t *id;

	json_array_foreach(json_object_get(calibration, "ambient"), i, id)
	{
		json_t *body = service_book_look(book, "ambient", json_string_value(id));

		if (body != NULL)
			add(&a, body);
		json_decref(body);
	}
	return a;
}

static void append(GString *to, double low, double high, const char *unit, const char *what,
		   int decimals)
{
	if (!isfinite(low) || !isfinite(high))
		return;
	if (to->len > 0)
		g_string_append(to, ", ");
	g_string_append_printf(to, "%.*f %s to %.*f %s%s", decimals, low, unit, decimals, high,
			       unit, what);
}

char *service_ambient_in_words(const struct service_ambient *a)
{
	GString *text = g_string_new(NULL);

	append(text, a->low_C, a->high_C, "°C", "", 1);
	append(text, a->low_percent, a->high_percent, "%", " relative humidity", 0);
	append(text, a->low_Pa / 1e3, a->high_Pa / 1e3, "kPa", "", 1);
	return g_string_free(text, text->len == 0);
}
