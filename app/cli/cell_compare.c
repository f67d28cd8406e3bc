#include "app/cli/cell_records.h"

#include "app/calc/cell_compare.h"
#include "app/file/cell_compare.h"
#include "app/report/cell_compare.h"

int cli_cell_compare(struct cli_cell *call)
{
	g_autoptr(lab_cell_comparison) record =
	    file_read_cell_comparison(call->path, call->messages);
	g_autoptr(lab_cell_compare) found =
	    record == NULL ? NULL : calc_cell_compare(record, call->messages);

	if (found == NULL)
		return CLI_WRONG;
	if (call->common->json)
		report_cell_compare_json(record, found, call->out);
	else
		report_cell_compare_text(record, found, call->out);
	return found->consistent ? CLI_DONE : CLI_NOT_ACCEPTED;
}
