#include "app/service/reach.h"

#include "app/calc/plan.h"
#include "app/calc/sequence.h"
#include "app/file/plan.h"
#include "app/file/procedure.h"
#include "app/service/book/book.h"
#include "app/service/book/certificate.h"

#include <string.h>

#define WAITING_S 10800.0 /* from three hours on nobody stands beside it */

/* The procedure of a point other than water; NULL: there is none. */
static const char *procedure_of(enum lab_point point)
{
	static const struct {
		enum lab_point point;
		const char *name;
	} of_point[] = {
		{ LAB_AR, "ar-melt" },   { LAB_HG, "hg-melt" },   { LAB_GA, "ga-melt" },
		{ LAB_IN, "in-freeze" }, { LAB_SN, "sn-freeze" }, { LAB_ZN, "zn-freeze" },
		{ LAB_AL, "al-freeze" }, { LAB_AG, "ag-freeze" },
	};

	for (size_t i = 0; i < G_N_ELEMENTS(of_point); i++)
		if (of_point[i].point == point)
			return of_point[i].name;
	return NULL;
}

/* The procedure by which a realisation is usually made ready; NULL: it can't be told. */
static const char *usual_procedure(const lab_cell_study *study)
{
	static const char *const of_way[] = {
		[LAB_FREEZING_NOT_SAID] = NULL,      [LAB_DRY_ICE] = "tpw-dry-ice",
		[LAB_COOLED_ROD] = "tpw-cooled-rod", [LAB_HEAT_PIPE] = "tpw-heat-pipe",
		[LAB_COLD_GAS] = "tpw-cold-gas",     [LAB_SUPERCOOLING] = "tpw-supercooling",
	};

	if (study->cell.medium == LAB_ICE_BATH)
		return "ice-bath";
	if (study->cell.point == LAB_H2O)
		return of_way[study->preparation.way != LAB_FREEZING_NOT_SAID
				  ? study->preparation.way
				  : study->mantle.way];
	return procedure_of(study->cell.point);
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

/* Work and waiting of a procedure, steps without a time counted as nothing. */
static bool add_up(const char *name, double *ret_hands_s, double *ret_wait_s,
		   base_messages *messages)
{
	g_autoptr(lab_procedure) procedure = file_read_procedure(name, NULL, messages);

	if (procedure == NULL)
		return false;
	*ret_hands_s = *ret_wait_s = 0.0;
	for (guint i = 0; i < procedure->steps->len; i++) {
		const struct lab_step *step = procedure->steps->pdata[i];
		const double s = seconds(&step->time);

		*(s >= WAITING_S ? ret_wait_s : ret_hands_s) += s;
	}
	return true;
}

static bool add_times(struct lab_plan_realisation *r, base_messages *messages)
{
	const char *name = r->procedure != NULL ? r->procedure : usual_procedure(r->study);

	return name == NULL || add_up(name, &r->hands_s, &r->wait_s, messages);
}

/* The points of the calibration that it goes on to. The mantle for R(TPW) lives by then: what each
   visit to it takes is settling and readings. */
static bool add_points(const lab_plan *plan, lab_plan_result *result, base_messages *messages)
{
	g_autoptr(GArray) steps = plan->goes_on ? calc_sequence(plan->subranges, false) : NULL;
	const double read_s = calc_plan_read_s(plan);
	const struct lab_plan_outcome *best =
	    result->best < 0 ? NULL
			     : LAB_AT(result->outcomes, lab_plan_outcome, (guint)result->best);

	for (guint i = 0; steps != NULL && i < steps->len; i++) {
		const struct calc_step *step = LAB_AT(steps, calc_step, i);
		struct lab_plan_point point = { .point = step->point, .advice = step->advice };
		const char *name = procedure_of(step->point);

		point.known = step->point == LAB_H2O || name != NULL;
		if (step->point == LAB_H2O)
			point.hands_s = best == NULL ? 0.0 : lab_or(best->settle_s, 0.0);
		else if (name != NULL && !add_up(name, &point.hands_s, &point.wait_s, messages))
			return false;
		point.hands_s += read_s;
		g_array_append_val(result->points, point);
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
	if (result == NULL || !add_points(plan, result, messages) ||
	    !add_achieved(reach, result, messages))
		return NULL;
	calc_plan_compare(result);
	*ret_plan = g_steal_pointer(&plan);
	return g_steal_pointer(&result);
}
