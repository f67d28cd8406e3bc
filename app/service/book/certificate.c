#include "app/service/book/certificate.h"

#include "app/report/certificate.h"
#include "app/service/book/calibrate.h"
#include "app/service/book/compose.h"

#include <math.h>
#include <string.h>

#define AS_GOOD_AS_EQUAL 1e-12 /* relative; docs/book.md */

static GBytes *file_of(service_book *book, const json_t *certificate, const char *which,
		       base_messages *messages)
{
	const char *sha256 = service_book_text(certificate, which);
	GError *error = NULL;
	GBytes *bytes = store_get_file(book->store, sha256 != NULL ? sha256 : "", &error);

	if (bytes == NULL)
		service_book_say(messages, book->where, error);
	return bytes;
}

GBytes *service_certificate_file(service_book *book, const char *number, const char *which,
				 base_messages *messages)
{
	json_t *certificate = service_book_get(book, "certificate", number, NULL, messages);
	GBytes *bytes = certificate != NULL ? file_of(book, certificate, which, messages) : NULL;

	json_decref(certificate);
	return bytes;
}

/* ---- two results ---- */

struct comparison {
	struct service_recomputation *found;
	int differences;
};

static void differ(struct comparison *c, const char *path, const char *what)
{
	if (++c->differences <= 20)
		g_string_append_printf(c->found->report, "  %s: %s\n", path, what);
}

static void compare_numbers(struct comparison *c, const char *path, double was, double is)
{
	const double scale = fmax(fabs(was), fabs(is));
	const double relative = scale > 0 ? fabs(was - is) / scale : 0;

	c->found->n_numbers++;
	c->found->largest = fmax(c->found->largest, relative);
	if (relative > AS_GOOD_AS_EQUAL) {
		g_autofree char *text = g_strdup_printf("was %.17g, is %.17g", was, is);

		differ(c, path, text);
	}
}

static void compare(struct comparison *c, const char *path, const json_t *was, const json_t *is)
{
	const char *name;
	json_t *value;
	size_t i;

	if (json_is_number(was) && json_is_number(is)) {
		compare_numbers(c, path, json_number_value(was), json_number_value(is));
	} else if (json_is_object(was) && json_is_object(is)) {
		json_object_foreach((json_t *)was, name, value)
		{
			g_autofree char *at = g_strdup_printf("%s/%s", path, name);

			compare(c, at, value, json_object_get(is, name));
		}
	} else if (json_is_array(was) && json_array_size(was) == json_array_size(is)) {
		json_array_foreach(was, i, value)
		{
			g_autofree char *at = g_strdup_printf("%s/%zu", path, i);

			compare(c, at, value, json_array_get(is, i));
		}
	} else if (!json_equal(was, is)) {
		differ(c, path, "is not what it was");
	}
}

/* All but who computed it. */
static void compare_results(struct service_recomputation *found, GBytes *was, const GString *is)
{
	struct comparison c = { found, 0 };
	json_t *a = json_loadb(g_bytes_get_data(was, NULL), g_bytes_get_size(was), 0, NULL);
	json_t *b = json_loadb(is->str, is->len, 0, NULL);

	json_object_del(a, "program");
	json_object_del(b, "program");
	compare(&c, "", a, b);
	if (c.differences > 20)
		g_string_append_printf(found->report, "  and %d more\n", c.differences - 20);
	found->holds = c.differences == 0;
	json_decref(a);
	json_decref(b);
}

/* ---- computing it again ---- */

struct kept {
	GBytes *job, *readings, *result, *pdf;
};

static void release_kept(struct kept *kept)
{
	g_clear_pointer(&kept->job, g_bytes_unref);
	g_clear_pointer(&kept->readings, g_bytes_unref);
	g_clear_pointer(&kept->result, g_bytes_unref);
	g_clear_pointer(&kept->pdf, g_bytes_unref);
}

static bool take_kept(service_book *book, const json_t *certificate, struct kept *ret,
		      base_messages *messages)
{
	ret->job = file_of(book, certificate, "job", messages);
	ret->readings = file_of(book, certificate, "readings", messages);
	ret->result = file_of(book, certificate, "result", messages);
	ret->pdf = file_of(book, certificate, "pdf", messages);
	return ret->job != NULL && ret->readings != NULL && ret->result != NULL && ret->pdf != NULL;
}

static bool is_same(GBytes *was, const void *bytes, size_t n)
{
	return g_bytes_get_size(was) == n && memcmp(g_bytes_get_data(was, NULL), bytes, n) == 0;
}

static void report(struct service_recomputation *found, const char *number, bool readings_hold)
{
	g_autofree char *numbers = g_strdup_printf(
	    "certificate %s: %d numbers computed again, largest relative difference %.1e\n", number,
	    found->n_numbers, found->largest);

	g_string_prepend(found->report, numbers);
	g_string_append_printf(found->report, "the environment is %s as on the day of issue\n",
			       found->same_environment ? "the same" : "not the same");
	g_string_append_printf(found->report,
			       "the certificate and its data file come out with %s\n",
			       found->same_bytes ? "the same bytes" : "other bytes");
	g_string_append_printf(found->report, "the readings behind it are %s\n",
			       readings_hold ? "those of the book"
					     : "not those that the book gives now");
}

/* What the book gives for the calibration's readings today. */
static bool readings_hold(service_book *book, const json_t *certificate, GBytes *was,
			  base_messages *messages)
{
	const char *id = service_book_text(certificate, "calibration");
	json_t *calibration = service_book_get(book, "calibration", id, NULL, messages);
	g_autoptr(GBytes) job = NULL, readings = NULL;
	const bool good =
	    calibration != NULL &&
	    service_book_compose(book, id, calibration, NULL, &job, &readings, messages) &&
	    g_bytes_equal(was, readings);

	json_decref(calibration);
	return good;
}

static bool recompute(service_book *book, const json_t *certificate, const char *number,
		      struct service_recomputation *ret, base_messages *messages)
{
	g_autoptr(GByteArray) pdf = g_byte_array_new();
	struct service_reduced again = { NULL, NULL, NULL };
	struct kept kept = { NULL, NULL, NULL, NULL };
	json_t *environment = service_environment();
	const bool good = take_kept(book, certificate, &kept, messages) &&
			  service_book_compute(kept.job, kept.readings, &again, messages) &&
			  report_certificate_pdf(again.job, again.result, pdf, messages);

	ret->same_environment =
	    json_equal(environment, json_object_get(certificate, "environment"));
	if (good) {
		const bool same_readings =
		    readings_hold(book, certificate, kept.readings, messages);

		compare_results(ret, kept.result, again.json);
		ret->same_bytes = is_same(kept.result, again.json->str, again.json->len) &&
				  is_same(kept.pdf, pdf->data, pdf->len);
		ret->holds =
		    ret->holds && same_readings && (ret->same_bytes || !ret->same_environment);
		report(ret, number, same_readings);
	}
	service_reduced_clear(&again);
	release_kept(&kept);
	json_decref(environment);
	return good;
}

bool service_certificate_recompute(service_book *book, const char *number,
				   struct service_recomputation *ret, base_messages *messages)
{
	json_t *certificate = service_book_get(book, "certificate", number, NULL, messages);
	bool good;

	*ret = (struct service_recomputation){ .report = g_string_new(NULL) };
	good = certificate != NULL && recompute(book, certificate, number, ret, messages);
	json_decref(certificate);
	return good;
}
