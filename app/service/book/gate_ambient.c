/* The gate of the surroundings (ISO/IEC 17025:2017, 6.3): noted while readings were taken, and
   within the laboratory's limits. */
#include "app/base/time.h"
#include "app/service/book/ambient.h"
#include "app/service/book/gates.h"

#include <math.h>

static void judge(struct service_gating *g, const char *limit_name, const char *what, double value,
		  bool at_least)
{
	const struct service_limit *limit = service_limit_named(g->limits, limit_name);
	struct service_gate gate = { .name = "ambient", .value = value, .at_least = at_least };

	if (!lab_given(limit->value))
		return;
	gate.thing = service_book_label("calibration", g->id);
	if (lab_given(value)) {
		gate.what = g_strdup(what);
		gate.limit = limit->value;
		gate.unit = g_strdup("°C");
		gate.source = service_limit_source(limit);
	} else {
		gate.state = SERVICE_GATE_CLOSED;
		gate.what = g_strdup("no air temperature was noted, and a limit of it is set");
	}
	service_gate_add(g, &gate);
}

bool service_gate_ambient(struct service_gating *g)
{
	const struct service_ambient a = service_ambient_of(g->book, g->calibration);
	struct service_gate gate = { .name = "ambient", .value = LAB_NOT_GIVEN };

	if (a.n > 0) {
		gate.what = g_strdup("conditions were noted all the time");
		if (a.from_us > g->first_us || a.until_us < g->last_us) {
			gate.state = SERVICE_GATE_CLOSED;
			g_free(gate.what);
			gate.what = g_strdup("conditions were noted for a part of the readings "
					     "only; name the records of all of it");
		}
	} else {
		gate.state = SERVICE_GATE_NOT_JUDGED;
		gate.what = g_strdup("names no ambient record; the conditions are those that its "
				     "report says");
	}
	gate.thing = service_book_label("calibration", g->id);
	service_gate_add(g, &gate);
	judge(g, "ambient_low_C", "the lowest air temperature was", a.low_C, true);
	judge(g, "ambient_high_C", "the highest air temperature was", a.high_C, false);
	return true;
}
