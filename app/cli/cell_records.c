#include "app/cli/cell_records.h"

#include "app/calc/cell_check.h"
#include "app/calc/cell_profile.h"
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
	return lab_cell_check_alarms(check) ? CLI_NOT_ACCEPTED : CLI_DONE;
}

int cli_cell_profile(struct cli_cell *call)
{
	const lab_cell_study *study = cli_cell_study(call);
	g_autoptr(lab_cell_profile) profile =
	    study == NULL ? NULL : calc_cell_profile(study, call->messages);

	if (profile == NULL)
		return CLI_WRONG;
	if (call->common->json)
		report_cell_profile_json(study, profile, call->out);
	else
		report_cell_profile_text(study, profile, call->out);
	return profile->accepted ? CLI_DONE : CLI_NOT_ACCEPTED;
}
