#include "app/service/book/certificate.h"

#include "app/report/certificate.h"
#include "app/service/book/calibrate.h"
#include "app/service/book/compose.h"
#include "app/service/book/recorded.h"
#include "app/report/program.h"

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

/* The certificate once more. */
struct again {
	struct service_reduced reduced;
	GByteArray *pdf;
	GPtrArray *texts; /* char *, of its pages */
};

static bool compute_again(const struct kept *kept, struct again *ret, base_messages *messages)
{
	ret->pdf = g_byte_array_new();
	ret->texts = g_ptr_array_new_with_free_func(g_free);
	return service_book_compute(kept->job, kept->readings, &ret->reduced, messages) &&
	       report_certificate_texts(ret->reduced.job, ret->reduced.result, ret->pdf, ret->texts,
					messages);
}

static void release_again(struct again *again)
{
	service_reduced_clear(&again->reduced);
	g_clear_pointer(&again->pdf, g_byte_array_unref);
	g_clear_pointer(&again->texts, g_ptr_array_unref);
}

static bool is_same(GBytes *was, const void *bytes, size_t n)
{
	return g_bytes_get_size(was) == n && memcmp(g_bytes_get_data(was, NULL), bytes, n) == 0;
}

/* ---- every printed digit ---- */

/* Texts that differ, each pair once; ret: {"was", "is"}, the first of them. Returns how many. */
static int differing_texts(const GPtrArray *was, const GPtrArray *is, json_t *ret)
{
	g_autoptr(GHashTable) told = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);

	for (guint i = 0; i < MAX(was->len, is->len); i++) {
		const char *a = i < was->len ? was->pdata[i] : "",
			   *b = i < is->len ? is->pdata[i] : "";

		if (strcmp(a, b) != 0 && g_hash_table_add(told, g_strdup_printf("%s\n%s", a, b)) &&
		    json_array_size(ret) < SERVICE_DIFFERENCES_TOLD)
			json_array_append_new(ret, json_pack("{ss ss}", "was", a, "is", b));
	}
	return (int)g_hash_table_size(told);
}

/*
 * The pages drawn from the recorded numbers beside those drawn from the new ones, by this program.
 * What doesn't differ in any number can't differ in print. The result computed again is the
 * recorded one afterwards.
 */
static json_t *compare_print(struct again *again, const json_t *recorded, bool differs)
{
	g_autoptr(GPtrArray) texts = g_ptr_array_new_with_free_func(g_free);
	g_autoptr(GByteArray) pdf = g_byte_array_new();
	g_autoptr(base_messages) reasons = base_messages_new(); /* told by the numbers already */
	json_t *list = json_array();
	int n = 0;

	if (differs) {
		service_take_recorded(recorded, again->reduced.result);
		if (report_certificate_texts(again->reduced.job, again->reduced.result, pdf, texts,
					     reasons))
			n = differing_texts(texts, again->texts, list);
		else
			n = 1; /* no certificate comes of what was recorded */
	}
	return json_pack("{si si so}", "texts", (int)again->texts->len, "differing", n,
			 "differences", list);
}

/* ---- what was found ---- */

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

static json_t *compare_numbers(const struct kept *kept, struct again *again)
{
	gsize n;
	const char *bytes = g_bytes_get_data(kept->result, &n);
	json_t *was = json_loadb(bytes, n, 0, NULL);
	json_t *is = json_loadb(again->reduced.json->str, again->reduced.json->len, 0, NULL);
	struct service_differences d;
	json_t *found;

	service_compare_results(was, is, AS_GOOD_AS_EQUAL, &d);
	found = json_pack("{si si sf si so so}", "numbers", d.n_numbers, "unequal", d.n_unequal,
			  "largest_relative_difference", d.largest, "differing", d.n, "differences",
			  d.differences, "print",
			  compare_print(again, was, d.n_unequal > 0 || d.n > 0));
	json_decref(was);
	json_decref(is);
	return found;
}

static int64_t count_of(const json_t *found, const char *name)
{
	return json_integer_value(json_object_get(found, name));
}

static json_t *compare(const struct kept *kept, struct again *again, const json_t *certificate,
		       bool same_readings)
{
	json_t *environment = service_environment();
	const json_t *then = json_object_get(certificate, "environment");
	const bool same_environment = json_equal(environment, then);
	const bool same_bytes =
	    is_same(kept->result, again->reduced.json->str, again->reduced.json->len) &&
	    is_same(kept->pdf, again->pdf->data, again->pdf->len);
	json_t *found = compare_numbers(kept, again);
	const bool holds = count_of(found, "differing") == 0 &&
			   count_of(json_object_get(found, "print"), "differing") == 0 &&
			   same_readings && (same_bytes || !same_environment);

	json_object_set_new(found, "holds", json_boolean(holds));
	json_object_set_new(found, "same_bytes", json_boolean(same_bytes));
	json_object_set_new(found, "same_environment", json_boolean(same_environment));
	json_object_set_new(found, "same_constants",
			    json_boolean(g_strcmp0(service_book_text(then, "constants"),
						   report_program_constants()) == 0));
	json_object_set_new(found, "same_readings", json_boolean(same_readings));
	json_object_set(found, "issued_with", (json_t *)then);
	json_object_set_new(found, "computed_with", environment);
	return found;
}

json_t *service_certificate_recompute(service_book *book, const char *number,
				      base_messages *messages)
{
	json_t *certificate = service_book_get(book, "certificate", number, NULL, messages);
	struct kept kept = { NULL, NULL, NULL, NULL };
	struct again again = { { NULL, NULL, NULL }, NULL, NULL };
	json_t *found = NULL;

	if (certificate != NULL && take_kept(book, certificate, &kept, messages) &&
	    compute_again(&kept, &again, messages)) {
		found = compare(&kept, &again, certificate,
				readings_hold(book, certificate, kept.readings, messages));
		json_object_set_new(found, "certificate", json_string(number));
		json_object_set(found, "state", json_object_get(certificate, "state"));
	}
	release_again(&again);
	release_kept(&kept);
	json_decref(certificate);
	return found;
}
