/* Gates that look at the thermometer itself: as received, through heat treatment, through the
 * calibration. */
#include "app/base/time.h"
#include "app/calc/check_standard.h"
#include "app/service/book/gates.h"
#include "app/service/book/members.h"
#include "app/service/book/past.h"

#include <math.h>
#include <string.h>

struct judged {
	struct service_gating *g;
	const char *thermometer;
	struct service_past past;
};

static void judge_receipt(const struct judged *j)
{
	const double now_ohm = service_book_number_of(j->past.receipt, "r_tpw_ohm"),
		     last_ohm = j->past.last_ohm;
	const struct service_limit *limit = service_limit_named(j->g->limits, "r_tpw_received_mK");
	struct service_gate gate = { .name = "receipt", .value = LAB_NOT_GIVEN };

	if (j->past.receipt == NULL)
		return;
	gate.thing = service_book_label("thermometer", j->thermometer);
	if (lab_given(now_ohm) && lab_given(last_ohm)) {
		gate.value = fabs(1e3 * calc_tpw_change_K(last_ohm, now_ohm));
		gate.limit = limit->value;
		gate.unit = g_strdup("mK");
		gate.source = service_limit_source(limit);
		gate.what = g_strdup_printf(
		    "R(TPW) as received (receipt %s) lies from that of the last certificate%s%s by",
		    j->past.receipt_id, j->past.last_certificate != NULL ? " " : "",
		    j->past.last_certificate != NULL ? j->past.last_certificate : "");
	} else {
		gate.state = SERVICE_GATE_NOT_JUDGED;
		gate.what =
		    g_strdup_printf("receipt %s doesn't state R(TPW) as received, or that of "
				    "the last certificate is neither in it nor in this book",
				    j->past.receipt_id);
	}
	service_gate_add(j->g, &gate);
}

static bool rose_each_time(const GArray *treatments)
{
	for (guint i = 0; i < treatments->len; i++)
		if (!(g_array_index(treatments, struct service_treatment, i).change_mK > 0.0))
			return false;
	return treatments->len > 1;
}

/* CCT Guide ch. 5 (2018), 4.2: little change, ready; more, again; a rise with each cycle, rejected.
 */
static void judge_treatments(const struct judged *j)
{
	const struct service_limit *cycles = service_limit_named(j->g->limits, "anneal_cycles");
	const struct service_limit *change = service_limit_named(j->g->limits, "anneal_change_mK");
	const guint n = j->past.treatments->len;
	struct service_gate gate = { .name = "heat treatment" };
	double last_mK;

	if (n == 0)
		return;
	last_mK =
	    fabs(g_array_index(j->past.treatments, struct service_treatment, n - 1).change_mK);
	gate.thing = service_book_label("thermometer", j->thermometer);
	gate.what = g_strdup("heat treatments before this calibration:");
	gate.value = n;
	gate.limit = cycles->value;
	gate.unit = g_strdup("1");
	gate.source = service_limit_source(cycles);
	service_gate_add(j->g, &gate);
	gate.thing = service_book_label("thermometer", j->thermometer);
	gate.what =
	    g_strdup(last_mK > change->value && rose_each_time(j->past.treatments)
			 ? "R(TPW) rose with every heat treatment, a sign of contamination or "
			   "oxidation, and the last one changed it by"
			 : "the last heat treatment changed R(TPW) by");
	gate.value = last_mK;
	gate.limit = change->value;
	gate.unit = g_strdup("mK");
	gate.source = service_limit_source(change);
	service_gate_add(j->g, &gate);
}

bool service_gate_receipt_and_treatment(struct service_gating *g)
{
	struct judged j = { .g = g,
			    .thermometer = service_book_text(g->calibration, "thermometer") };
	const bool good =
	    service_past_of(g->book, j.thermometer, g->first_us, &j.past, g->messages);

	if (good) {
		judge_receipt(&j);
		judge_treatments(&j);
	}
	service_past_clear(&j.past);
	return good;
}

/* The laboratory's limit for the kind of sensor; the job may ask for less, not for more. */
void service_gate_stability(struct service_gating *g)
{
	const struct lab_criterion *usual = lab_criterion_of_stability(g->job->thermometer.sensor);
	const struct service_limit *limit =
	    usual != NULL ? service_limit_named(g->limits, usual->name) : NULL;
	const double laboratory_mK = limit != NULL ? limit->value : LAB_NOT_GIVEN;
	const double own_mK = 1e3 * g->job->limits.r_tpw_change_K;
	const bool own = lab_given(own_mK) && !(own_mK >= laboratory_mK);
	struct service_gate gate = {
		.name = "stability",
		.thing = service_book_label("thermometer",
					    service_book_text(g->calibration, "thermometer")),
		.value = 1e3 * g->result->tpw_change_K,
		.limit = own ? own_mK : laboratory_mK,
	};

	if (lab_given(gate.value) && lab_given(gate.limit)) {
		gate.what = g_strdup("R(TPW) moved through the calibration by");
		gate.unit = g_strdup("mK");
		gate.source = own ? g_strdup("limit of the job") : service_limit_source(limit);
	} else {
		gate.state = SERVICE_GATE_NOT_JUDGED;
		gate.what = g_strdup(lab_given(gate.value)
					 ? "no limit is stated for R(TPW) through a calibration of "
					   "its kind of sensor"
					 : "R(TPW) was measured once; how it moved isn't known");
		gate.value = LAB_NOT_GIVEN;
	}
	service_gate_add(g, &gate);
}
