#include "app/cli/cell_records.h"

#include "app/calc/cell_check.h"
#include "app/calc/cell_plateau.h"
#include "app/calc/cell_profile.h"
#include "app/cli/picture.h"
#include "app/report/cell_profile_drawing.h"
#include "app/report/cell_records.h"

int cli_cell_check(struct cli_cell *call)
{
	const lab_cell_study *study = cli_cell_study(call);
	g_autoptr(lab_cell_check) check =
	    study == NULL ? NULL : calc_cell_check(study, call->messages);

	if (check == NULL)
		return CLI_WRONG;
	if (call->common->json)
		report_cell_check_json(study, check, call->out);
	else
		report_cell_check_text(study, check, call->out);
	return lab_check_alarms(check->checks) ? CLI_NOT_ACCEPTED : CLI_DONE;
}

int cli_cell_profile(struct cli_cell *call)
{
	const lab_cell_study *study = cli_cell_study(call);
	g_autoptr(lab_cell_profile) profile =
	    study == NULL ? NULL : calc_cell_profile(study, call->messages);

	if (profile == NULL)
		return CLI_WRONG;
	if (call->svg != NULL || call->pdf != NULL) {
		g_autoptr(report_picture) picture = report_cell_profile_drawing(profile);

		if (!cli_picture_write(picture, call->svg, call->pdf, call->messages))
			return CLI_WRONG;
	}
	if (call->common->json)
		report_cell_profile_json(study, profile, call->out);
	else
		report_cell_profile_text(study, profile, call->out);
	return profile->accepted ? CLI_DONE : CLI_NOT_ACCEPTED;
}

int cli_cell_plateau(struct cli_cell *call)
{
	const lab_cell_study *study = cli_cell_study(call);
	g_autoptr(lab_cell_plateau) plateau =
	    study == NULL ? NULL : calc_cell_plateau(study, call->messages);

	if (plateau == NULL)
		return CLI_WRONG;
	if (call->common->json)
		report_cell_plateau_json(study, plateau, call->out);
	else
		report_cell_plateau_text(study, plateau, call->out);
	return lab_check_alarms(plateau->checks) ? CLI_NOT_ACCEPTED : CLI_DONE;
}
