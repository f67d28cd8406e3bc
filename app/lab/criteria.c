#include "app/lab/criteria.h"

#include "app/base/suggest.h"
#include "limits_table.h"

#include <glib.h>
#include <string.h>

const struct lab_criterion *lab_criterion_named(const char *name)
{
	for (const struct lab_criterion *c = lab_criteria; c->name != NULL; c++)
		if (strcmp(c->name, name) == 0)
			return c;
	return NULL;
}

const struct lab_criterion *lab_criterion_of_stability(enum lab_sensor sensor)
{
	static const char *const names[] = {
		[LAB_SENSOR_NOT_GIVEN] = NULL,
		[LAB_LONG_STEM] = "r_tpw_change_long_stem_mK",
		[LAB_CAPSULE] = "r_tpw_change_capsule_mK",
		[LAB_HIGH_TEMPERATURE] = "r_tpw_change_high_temperature_mK",
	};

	return names[sensor] != NULL ? lab_criterion_named(names[sensor]) : NULL;
}

const char *lab_criterion_mark(char mark)
{
	switch (mark) {
	case 'R':
		return "read in the source";
	case 'P':
		return "read in a summary";
	case 'A':
		return "read in its abstract";
	case 'C':
		return "computed";
	case 'M':
		return "from memory";
	default:
		return "stated by the laboratory";
	}
}

static char *unknown(const char *name)
{
	const char *names[64] = { NULL }, *near;

	for (size_t i = 0; i + 1 < G_N_ELEMENTS(names) && lab_criteria[i].name != NULL; i++)
		names[i] = lab_criteria[i].name;
	near = base_suggest(name, names);
	return near != NULL ? g_strdup_printf("is no limit that anything asks for; did you mean "
					      "%s?",
					      near)
			    : g_strdup("is no limit that anything asks for; firn book limits lists "
				       "those there are");
}

char *lab_criterion_fault(const json_t *limit)
{
	const char *name = json_string_value(json_object_get(limit, "name"));
	const char *unit = json_string_value(json_object_get(limit, "unit"));
	const struct lab_criterion *known = name != NULL ? lab_criterion_named(name) : NULL;

	if (name == NULL || unit == NULL)
		return NULL; /* told by the fields themselves */
	if (known == NULL)
		return unknown(name);
	if (strcmp(unit, known->unit) != 0)
		return g_strdup_printf("has the unit %s; state it in %s", unit, known->unit);
	if (!(json_number_value(json_object_get(limit, "value")) >= 0.0))
		return g_strdup("is negative; a limit is 0 or more");
	return NULL;
}
