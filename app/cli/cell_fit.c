#include "app/cli/cell_verbs.h"

#include "app/calc/cell_fit.h"
#include "app/report/cell.h"

int cli_cell_fit(struct cli_cell *call)
{
	const lab_cell_study *study = cli_cell_study(call);
	g_autoptr(lab_cell_fit) fit = study == NULL ? NULL : calc_cell_fit(study, call->messages);

	if (fit == NULL)
		return CLI_WRONG;
	if (call->common->json)
		report_cell_fit_json(study, fit, call->out);
	else
		report_cell_fit_text(study, fit, call->out);
	return fit->stated.verdict == LAB_FIT_UNFIT ? CLI_NOT_ACCEPTED : CLI_DONE;
}
