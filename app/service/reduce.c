#include "app/service/reduce.h"

#include "app/base/file.h"
#include "app/calc/reduce.h"
#include "app/file/job.h"
#include "app/report/certificate.h"
#include "app/report/clauses.h"
#include "app/report/result_json.h"
#include "app/report/text.h"

#include <glib/gstdio.h>
#include <string.h>

static bool write_file(const char *path, const void *bytes, size_t n, base_messages *messages)
{
	g_autoptr(GError) error = NULL;

	if (base_file_write(path, bytes, n, &error))
		return true;
	base_messages_add(messages, base_file_error_kind(error), path, (struct base_mark){ 0, 0 },
			  "%s", error->message);
	return false;
}

/* One file under two names, be it there already or not. */
static bool is_same_file(const char *a, const char *b)
{
	g_autofree char *x = g_canonicalize_filename(a, NULL),
			*y = g_canonicalize_filename(b, NULL);
	GStatBuf p, q;

	return strcmp(x, y) == 0 ||
	       (g_stat(a, &p) == 0 && g_stat(b, &q) == 0 && S_ISREG(p.st_mode) &&
		p.st_dev == q.st_dev && p.st_ino == q.st_ino);
}

/* An output never takes the place of what it was made from, nor of the other output. */
static bool outputs_are_their_own(const struct service_reduction *reduction,
				  const lab_calibration *job, base_messages *messages)
{
	const char *outputs[] = { reduction->pdf_path, reduction->result_path };
	const size_t errors = base_messages_count(messages, BASE_ERROR);

	for (size_t i = 0; i < G_N_ELEMENTS(outputs); i++) {
		for (guint j = 0; outputs[i] != NULL && j < job->inputs->len; j++)
			if (is_same_file(outputs[i], LAB_AT(job->inputs, lab_file_id, j)->path))
				base_messages_add(messages, BASE_ERROR, outputs[i],
						  (struct base_mark){ 0, 0 },
						  "this is a file that the calibration is made "
						  "from; name another "
						  "for the output");
	}
	if (outputs[0] != NULL && outputs[1] != NULL && is_same_file(outputs[0], outputs[1]) &&
	    !g_str_has_prefix(outputs[0], "/dev/"))
		base_messages_add(messages, BASE_ERROR, outputs[0], (struct base_mark){ 0, 0 },
				  "the certificate and the result can't be one file; name two");
	return base_messages_count(messages, BASE_ERROR) == errors;
}

/* What no certificate could be made of is a draft, in the data file too. */
static void withdraw_release(lab_calibration *job, lab_calibration_result *result)
{
	g_autoptr(base_messages) open = base_messages_new();
	g_autofree char *text = NULL;

	if (!job->release.given || report_clauses_met(job, result, open))
		return;
	text = g_strdup_printf(
	    "The job states a release, but %zu thing%s a certificate are open, so this is a draft; "
	    "--pdf names them.",
	    base_messages_n(open),
	    base_messages_n(open) == 1 ? " that belongs on" : "s that belong on");
	g_ptr_array_add(result->reservations, lab_result_text(result, text));
	job->release.given = false;
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

	if (job == NULL || !outputs_are_their_own(reduction, job, messages))
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
	if (reduction->pdf_path == NULL) /* with it, what is open is an error */
		withdraw_release(job, result);
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
