#include "app/service/book/readings_csv.h"

#include "app/base/time.h"
#include "firn/number.h"

#include <math.h>
#include <string.h>

#define AT_ONCE 65536 /* readings held in memory */

static void append_number(GString *to, double x)
{
	char text[FIRN_NUMBER_SIZE];

	if (!isnan(x))
		g_string_append_len(to, text, (gssize)firn_number_print(x, text));
}

/* RFC 4180: a field with a comma, a quote or a line feed stands in quotes. */
static void append_text(GString *to, const char *text)
{
	if (text[strcspn(text, ",\"\r\n")] == '\0') {
		g_string_append(to, text);
		return;
	}
	g_string_append_c(to, '"');
	for (; *text != '\0'; text++)
		g_string_append(to, *text == '"' ? "\"\"" : (char[2]){ *text, '\0' });
	g_string_append_c(to, '"');
}

/* Why a reading was set aside afterwards; NULL: it wasn't. */
static const char *exclusion_of(const json_t *exclusions, int64_t number)
{
	size_t i;
	json_t *e;

	json_array_foreach(exclusions, i, e)
	{
		const double first = json_number_value(json_object_get(e, "first"));
		const double n = json_number_value(json_object_get(e, "n"));

		if ((double)number >= first && (double)number < first + n)
			return service_book_text(e, "reason");
	}
	return NULL;
}

static void append_flag(GString *to, const struct store_reading *r, const char *excluded)
{
	if (excluded != NULL) {
		g_autofree char *flag =
		    r->flag != NULL ? g_strdup_printf("set aside: %s (was: %s)", excluded, r->flag)
				    : g_strdup_printf("set aside: %s", excluded);

		append_text(to, flag);
	} else if (r->flag != NULL) {
		append_text(to, r->flag);
	}
}

static void append_line(GString *to, const struct store_reading *r, const char *name,
			const char *excluded)
{
	char time[BASE_TIME_SIZE];

	base_time_print(r->time_us, time);
	g_string_append(to, time);
	g_string_append_c(to, ',');
	append_text(to, name);
	g_string_append_c(to, ',');
	append_number(to, r->current_mA);
	g_string_append_c(to, ',');
	append_number(to, r->quantity == STORE_RATIO ? r->value : NAN);
	g_string_append_c(to, ',');
	append_number(to, r->quantity == STORE_OHM ? r->value : NAN);
	g_string_append_c(to, ',');
	append_number(to, r->bath_C);
	g_string_append_c(to, ',');
	append_flag(to, r, excluded);
	g_string_append_c(to, '\n');
}

bool service_readings_csv(service_book *book, const char *visit, const char *name,
			  const json_t *exclusions, GString *to, base_messages *messages)
{
	for (int64_t first = 0;; first += AT_ONCE) {
		struct store_readings some;
		GError *error = NULL;
		guint n;

		if (!store_read(book->store, visit, first, AT_ONCE, &some, &error)) {
			g_autofree char *label = service_book_label("visit", visit);

			service_book_say(messages, label, error);
			return false;
		}
		n = some.readings->len;
		for (guint i = 0; i < n; i++)
			append_line(to, &g_array_index(some.readings, struct store_reading, i),
				    name, exclusion_of(exclusions, first + i));
		store_readings_clear(&some);
		if (n < AT_ONCE)
			return true;
	}
}
