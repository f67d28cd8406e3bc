#include "app/cli/cell_verbs.h"

#include "app/calc/cell_keep.h"
#include "app/cli/picture.h"
#include "app/report/cell.h"
#include "app/report/cell_keep_drawing.h"
#include "app/service/book/mantle.h"

int cli_cell_keep(struct cli_cell *call)
{
	const lab_cell_study *study = cli_cell_study(call);
	const bool told =
	    study != NULL &&
	    (call->book == NULL || service_cell_mantle(call->book, call->study_of, call->messages));
	g_autoptr(lab_cell_keep) keep = told ? calc_cell_keep(study, call->messages) : NULL;

	if (keep == NULL)
		return CLI_WRONG;
	if (call->svg != NULL || call->pdf != NULL) {
		g_autoptr(report_picture) picture = report_cell_keep_drawing(study, keep);

		if (!cli_picture_write(picture, call->svg, call->pdf, call->messages))
			return CLI_WRONG;
	}
	if (call->common->json)
		report_cell_keep_json(study, keep, call->out);
	else
		report_cell_keep_text(study, keep, call->out);
	return keep->needs_action ? CLI_NOT_ACCEPTED : CLI_DONE;
}
