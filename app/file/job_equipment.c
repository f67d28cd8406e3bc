/* thermometer, resistors, bridges */
#include "app/file/job_parts.h"

#define FIELD(record, member) offsetof(struct record, member)

static const struct file_range length_mm = { 0.0, 1000.0, false, false,
					     "a length is in millimetres, 0 to 1000" };
static const struct file_range nominal = { 0.0, 1e5, true, false,
					   "a nominal resistance is in ohm, above 0 and at most "
					   "100000" };
static const struct file_range ohm = { 0.0, 1e6, true, false,
				       "a resistor is in ohm, above 0 and at most 1000000" };
static const struct file_range u_ohm = {
	0.0, 1e5, false, false,
	"a standard uncertainty of a resistor is in ohm, 0 to a tenth of the resistor"
};
static const struct file_range u_bath = {
	0.0, 10.0, false, false,
	"a standard uncertainty of a resistor's temperature is in kelvin, 0 to 10"
};
static const struct file_range bath = {
	0.0, 60.0, false, false, "the temperature of a resistor is in degrees Celsius, 0 to 60"
};
static const struct file_range per_K = {
	-1e-3, 1e-3, false, false,
	"a temperature coefficient is relative and per kelvin, such "
	"as 3e-6"
};
static const struct file_range u_per_K = {
	0.0, 1e-3, false, false,
	"a standard uncertainty of a coefficient is relative and "
	"per kelvin, such as 2e-7"
};
static const struct file_range of_ratio = { 0.0, 1e-3, false, false,
					    "it is a fraction, 0 to 0.001: 0.02 parts in a million "
					    "are 2e-8" };

static const char *const sensors[] = { "long stem", "capsule", "high temperature", NULL };

static const struct file_number_field thermometer_numbers[] = {
	{ "nominal_ohm", FIELD(lab_thermometer, nominal_ohm), &nominal, 0.0, NULL },
	{ "element_mm", FIELD(lab_thermometer, element_m), &length_mm, 1e-3, NULL },
	{ "tip_to_element_mm", FIELD(lab_thermometer, tip_to_element_m), &length_mm, 1e-3, NULL },
};

static const struct file_number_field resistor_numbers[] = {
	{ "ohm", FIELD(lab_resistor, ohm), &ohm, 0.0, NULL },
	{ "u_ohm", FIELD(lab_resistor, u_ohm), &u_ohm, 0.0, NULL },
	{ "at_C", FIELD(lab_resistor, at_C), &bath, 0.0, NULL },
	{ "per_K", FIELD(lab_resistor, per_K), &per_K, 0.0, "at_C" },
	{ "u_per_K", FIELD(lab_resistor, u_per_K), &u_per_K, 0.0, "per_K" },
	{ "u_bath_K", FIELD(lab_resistor, u_bath_K), &u_bath, 0.0, "per_K" },
};

static const struct file_number_field bridge_numbers[] = {
	{ "u_linearity", FIELD(lab_bridge, u_linearity), &of_ratio, 0.0, NULL },
	{ "u_current_ratio", FIELD(lab_bridge, u_current_ratio), &of_ratio, 0.0, NULL },
	{ "resolution", FIELD(lab_bridge, resolution), &of_ratio, 0.0, NULL },
};

void file_job_thermometer(struct file_job *job, struct file_map *top)
{
	const struct file_node *node = file_get(top, "thermometer");
	struct lab_thermometer *t = &job->c->thermometer;
	struct file_map map;

	if (node == NULL) {
		if (!file_has(top, "thermometer"))
			file_missing(top, "thermometer", "say which one: thermometer: {id: ...}");
		return;
	}
	file_map_open(&map, &job->reader, node, "the thermometer", "thermometer");
	t->id = lab_calibration_text(job->c, file_name(&map, "id"));
	t->sensor = (enum lab_sensor)(file_choice(&map, "sensor", sensors) + 1);
	file_numbers(&map, thermometer_numbers, G_N_ELEMENTS(thermometer_numbers), t);
	t->maker = file_job_text(job, &map, "maker");
	t->type = file_job_text(job, &map, "type");
	t->serial = file_job_text(job, &map, "serial");
	t->condition = file_job_text(job, &map, "condition");
	if (map.node != NULL && !file_has(&map, "id"))
		file_missing(&map, "id", "say which thermometer it is, as in id: T-0417");
	file_map_close(&map);
}

/* A relative uncertainty in parts in a million, or the resistance once more, written as ohm. */
static void check_u_ohm(struct file_map *map, struct lab_resistor *r)
{
	const struct file_node *node = file_get(map, "u_ohm");

	if (node == NULL || !lab_given(r->ohm) || !lab_given(r->u_ohm) || r->u_ohm <= 0.1 * r->ohm)
		return;
	file_wrong(map->reader, node->mark, "u_ohm is %s and the resistor is of %s ohm; %s",
		   node->text, file_peek(map->node, "ohm"), u_ohm.right);
	r->u_ohm = LAB_NOT_GIVEN;
}

static void resistor(struct file_job *job, struct file_map *map, const char *name)
{
	struct lab_resistor *r = lab_add_resistor(job->c);

	file_job_add_id(job, "resistor", name, job->c->resistors->len - 1);
	r->id = lab_calibration_text(job->c, name);
	file_numbers(map, resistor_numbers, G_N_ELEMENTS(resistor_numbers), r);
	check_u_ohm(map, r);
	r->dof = file_dof_of(map, "u_ohm");
	r->certificate = file_job_text(job, map, "certificate");
	if (map->node != NULL && !file_has(map, "ohm"))
		file_missing(map, "ohm", "give its certified resistance in ohm");
}

static void bridge(struct file_job *job, struct file_map *map, const char *name)
{
	struct lab_bridge *b = lab_add_bridge(job->c);

	file_job_add_id(job, "bridge", name, job->c->bridges->len - 1);
	b->id = lab_calibration_text(job->c, name);
	file_numbers(map, bridge_numbers, G_N_ELEMENTS(bridge_numbers), b);
	b->certificate = file_job_text(job, map, "certificate");
}

void file_job_resistors(struct file_job *job, struct file_map *top)
{
	file_job_named(job, top, "resistors", "resistor", resistor);
}

void file_job_bridges(struct file_job *job, struct file_map *top)
{
	file_job_named(job, top, "bridges", "bridge", bridge);
}
