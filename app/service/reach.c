#include "app/service/reach.h"

#include "app/calc/plan.h"
#include "app/file/plan.h"
#include "app/file/procedure.h"
#include "app/service/book/book.h"
#include "app/service/book/certificate.h"

#include <string.h>

#define WAITING_S 10800.0 /* from three hours on nobody stands beside it */

/* The procedure by which a realisation is usually made ready; NULL: it can't be told. */
static const char *usual_procedure(const lab_cell_study *study)
{
	static const char *const of_way[] = {
		[LAB_FREEZING_NOT_SAID] = NULL,      [LAB_DRY_ICE] = "tpw-dry-ice",
		[LAB_COOLED_ROD] = "tpw-cooled-rod", [LAB_HEAT_PIPE] = "tpw-heat-pipe",
		[LAB_COLD_GAS] = "tpw-cold-gas",     [LAB_SUPERCOOLING] = "tpw-supercooling",
	};
	static const struct {
		enum lab_point point;
		const char *name;
	} of_point[] = {
		{ LAB_GA, "ga-melt" },   { LAB_HG, "hg-melt" },   { LAB_IN, "in-freeze" },
		{ LAB_SN, "sn-freeze" }, { LAB_ZN, "zn-freeze" }, { LAB_AL, "al-freeze" },
		{ LAB_AG, "ag-freeze" },
	};

	if (study->cell.medium == LAB_ICE_BATH)
		return "ice-bath";
	if (study->cell.point == LAB_H2O)
		return of_way[study->preparation.way != LAB_FREEZING_NOT_SAID
				  ? study->preparation.way
				  : study->mantle.way];
	for (size_t i = 0; i < G_N_ELEMENTS(of_point); i++)
		if (of_point[i].point == study->cell.point)
			return of_point[i].name;
	return NULL;
}

static double seconds(const struct lab_step_time *time)
{
	static const struct {
		const char *unit;
		double s;
	} units[] = { { "s", 1.0 }, { "min", 60.0 }, { "h", 3600.0 }, { "d", 86400.0 } };

	for (size_t i = 0; time->unit != NULL && i < G_N_ELEMENTS(units); i++)
		if (strcmp(units[i].unit, time->unit) == 0)
			return units[i].s * lab_or(time->least, time->most);
	return 0.0; /* nothing is stated: it counts as nothing, and the sum as a least one */
}

static bool add_times(struct lab_plan_realisation *r, base_messages *messages)
{
	const char *name = r->procedure != NULL ? r->procedure : usual_procedure(r->study);
	g_autoptr(lab_procedure) procedure = NULL;

	if (name == NULL)
		return true;
	procedure = file_read_procedure(name, NULL, messages);
	if (procedure == NULL)
		return false;
	r->hands_s = r->wait_s = 0.0;
	for (guint i = 0; i < procedure->steps->len; i++) {
		const struct lab_step *step = procedure->steps->pdata[i];
		const double s = seconds(&step->time);

		if (s >= WAITING_S)
			r->wait_s += s;
		else
			r->hands_s += s;
	}
	return true;
}

static bool add_achieved(const struct service_reach *reach, lab_plan_result *result,
			 base_messages *messages)
{
	if (reach->achieved != NULL)
		return file_read_achieved(reach->achieved, result, messages);
	if (reach->certificate == NULL)
		return true;
	g_autoptr(service_book) book = service_book_open(reach->book, false, messages);
	g_autoptr(GBytes) bytes =
	    book == NULL ? NULL
			 : service_certificate_file(book, reach->certificate, "result", messages);
	return bytes != NULL && file_parse_achieved(reach->certificate, bytes, result, messages);
}

lab_plan_result *service_reach(const struct service_reach *reach, lab_plan **ret_plan,
			       base_messages *messages)
{
	g_autoptr(lab_plan) plan = file_read_plan(reach->path, messages);
	g_autoptr(lab_plan_result) result = NULL;
	bool good = plan != NULL;

	for (guint i = 0; good && i < plan->realisations->len; i++)
		good = add_times(plan->realisations->pdata[i], messages);
	if (good)
		result = calc_plan(plan, messages);
	if (result == NULL || !add_achieved(reach, result, messages))
		return NULL;
	calc_plan_compare(result);
	*ret_plan = g_steal_pointer(&plan);
	return g_steal_pointer(&result);
}
