#include "app/service/book/draft.h"

#include "app/report/certificate.h"
#include "app/service/book/calibrate.h"
#include "app/service/book/compose.h"

bool service_calibration_draft(service_book *book, const char *calibration,
			       struct service_draft *ret, base_messages *messages)
{
	json_t *body = service_book_get(book, "calibration", calibration, NULL, messages);
	struct service_reduced reduced = { NULL, NULL, NULL };
	g_autoptr(GByteArray) pdf = g_byte_array_new();
	bool good;

	*ret = (struct service_draft){ NULL, NULL, NULL, NULL };
	good = body != NULL &&
	       service_book_compose(book, calibration, body, NULL, &ret->job, &ret->readings,
				    messages) &&
	       service_book_compute(ret->job, ret->readings, &reduced, messages) &&
	       report_certificate_pdf(reduced.job, reduced.result, pdf, messages);
	if (good) {
		ret->result = g_bytes_new(reduced.json->str, reduced.json->len);
		ret->pdf = g_byte_array_free_to_bytes(g_steal_pointer(&pdf));
	}
	service_reduced_clear(&reduced);
	json_decref(body);
	return good;
}

void service_draft_clear(struct service_draft *draft)
{
	g_clear_pointer(&draft->job, g_bytes_unref);
	g_clear_pointer(&draft->readings, g_bytes_unref);
	g_clear_pointer(&draft->result, g_bytes_unref);
	g_clear_pointer(&draft->pdf, g_bytes_unref);
}
