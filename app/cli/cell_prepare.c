#include "app/cli/cell_verbs.h"

#include "app/calc/cell_prepare.h"
#include "app/report/cell.h"

int cli_cell_prepare(struct cli_cell *call)
{
	const lab_cell_study *study = cli_cell_study(call);
	g_autoptr(lab_cell_prepare) prepare =
	    study == NULL ? NULL : calc_cell_prepare(study, call->messages);

	if (prepare == NULL)
		return CLI_WRONG;
	if (call->common->json)
		report_cell_prepare_json(study, prepare, call->out);
	else
		report_cell_prepare_text(study, prepare, call->out);
	return prepare->warnings->len > 0 ? CLI_NOT_ACCEPTED : CLI_DONE;
}
