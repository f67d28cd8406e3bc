#include "app/service/reduce.h"

#include "app/base/file.h"
#include "app/calc/reduce.h"
#include "app/file/job.h"
#include "app/report/certificate.h"
#include "app/report/result_json.h"
#include "app/report/text.h"

static bool write_file(const char *path, const void *bytes, size_t n, base_messages *messages)
{
	g_autoptr(GError) error = NULL;

	if (base_file_write(path, bytes, n, &error))
		return true;
	base_messages_add(messages, base_file_error_kind(error), path, (struct base_mark){ 0, 0 },
			  "%s", error->message);
	return false;
}

/* The documents are made in memory before any of them is written. */
static bool write_documents(const struct service_reduction *reduction, const lab_calibration *job,
			    const lab_calibration_result *result, const GString *json,
			    base_messages *messages)
{
	g_autoptr(GByteArray) pdf = g_byte_array_new();

	if (reduction->pdf_path != NULL && !report_certificate_pdf(job, result, pdf, messages))
		return false;
	if (reduction->result_path != NULL &&
	    !write_file(reduction->result_path, json->str, json->len, messages))
		return false;
	return reduction->pdf_path == NULL ||
	       write_file(reduction->pdf_path, pdf->data, pdf->len, messages);
}

bool service_reduce(struct service_reduction *reduction, base_messages *messages)
{
	g_autoptr(lab_calibration) job = file_read_calibration(reduction->job_path, messages);
	g_autoptr(lab_calibration_result) result = NULL;
	g_autoptr(base_threads) threads = NULL;
	g_autoptr(GString) json = g_string_new(NULL);

	if (job == NULL)
		return false;
	if (reduction->explain != NULL) {
		reduction->accepted = true;
		return calc_explain(job, reduction->explain, reduction->output, messages);
	}
	threads = base_threads_new(reduction->threads);
	result = reduction->trials > 0
		     ? calc_reduce_by_trials(job, reduction->trials, threads, messages)
		     : calc_reduce(job, messages);
	if (result == NULL)
		return false;
	if (reduction->json || reduction->result_path != NULL)
		report_calibration_json(job, result, json);
	if (!write_documents(reduction, job, result, json, messages))
		return false;
	reduction->accepted = result->accepted;
	if (reduction->json)
		g_string_append_len(reduction->output, json->str, (gssize)json->len);
	else
		report_calibration_text(job, result, reduction->output);
	return true;
}
