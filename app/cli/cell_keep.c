#include "app/cli/cell_verbs.h"

#include "app/calc/cell_keep.h"
#include "app/report/cell.h"

int cli_cell_keep(struct cli_cell *call)
{
	const lab_cell_study *study = cli_cell_study(call);
	g_autoptr(lab_cell_keep) keep =
	    study == NULL ? NULL : calc_cell_keep(study, call->messages);

	if (keep == NULL)
		return CLI_WRONG;
	if (call->common->json)
		report_cell_keep_json(study, keep, call->out);
	else
		report_cell_keep_text(study, keep, call->out);
	return keep->needs_action ? CLI_NOT_ACCEPTED : CLI_DONE;
}
