#include "app/cli/cell_records.h"

#include "app/base/file.h"
#include "app/calc/cell_compare.h"
#include "app/file/cell_compare.h"
#include "app/report/cell_certificate.h"
#include "app/report/cell_compare.h"

/* The draft of a certificate, where one is asked for; false with messages. */
static bool write_certificate(struct cli_cell *call, const lab_cell_comparison *record,
			      const lab_cell_compare *found)
{
	g_autoptr(GByteArray) bytes = g_byte_array_new();
	g_autoptr(GError) error = NULL;

	if (call->svg != NULL) {
		base_messages_add(call->messages, BASE_ERROR, "", (struct base_mark){ 0, 0 },
				  "the certificate of a cell is a PDF; leave --svg out");
		return false;
	}
	if (call->pdf == NULL)
		return true;
	if (!report_cell_certificate_pdf(record, found, bytes, call->messages))
		return false;
	if (base_file_write(call->pdf, bytes->data, bytes->len, &error))
		return true;
	base_messages_add(call->messages, base_file_error_kind(error), call->pdf,
			  (struct base_mark){ 0, 0 }, "%s", error->message);
	return false;
}

int cli_cell_compare(struct cli_cell *call)
{
	g_autoptr(lab_cell_comparison) record =
	    file_read_cell_comparison(call->path, call->messages);
	g_autoptr(lab_cell_compare) found =
	    record == NULL ? NULL : calc_cell_compare(record, call->messages);

	if (found == NULL || !write_certificate(call, record, found))
		return CLI_WRONG;
	if (call->common->json)
		report_cell_compare_json(record, found, call->out);
	else
		report_cell_compare_text(record, found, call->out);
	return found->consistent ? CLI_DONE : CLI_NOT_ACCEPTED;
}
