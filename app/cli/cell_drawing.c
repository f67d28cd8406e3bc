/* `firn cell drawing`: a cell with its thermometer, cut across. */
#include "app/cli/cell_verbs.h"

#include "app/calc/cell_effects.h"
#include "app/cli/picture.h"
#include "app/report/cell_effects.h"
#include "app/report/cell_drawing.h"

int cli_cell_drawing(struct cli_cell *call)
{
	const lab_cell_study *study = cli_cell_study(call);
	g_autoptr(lab_cell_effects) effects =
	    study == NULL ? NULL : calc_cell_effects(study, call->messages);
	g_autoptr(report_picture) picture = NULL;

	if (effects == NULL)
		return CLI_WRONG;
	picture = report_cell_drawing(study, effects);
	if (!cli_picture_write(picture, call->svg, call->pdf, call->messages))
		return CLI_WRONG;
	if (call->common->json)
		report_cell_effects_json(effects, call->out);
	else
		report_cell_effects_text(effects, call->out);
	return CLI_DONE;
}
