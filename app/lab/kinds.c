/*
 * What each kind of record may say. Written so that a clause of ISO/IEC 17025:2017 can be found:
 * the comment names it where one asks for the record.
 */
#include "app/lab/record.h"

#include <math.h>

#define END                                                                                        \
	{                                                                                          \
		NULL, LAB_TEXT, false, NULL, NULL, 0, 0, NULL                                      \
	}
#define TEXT(name, needed, what)                                                                   \
	{                                                                                          \
		name, LAB_TEXT, needed, NULL, NULL, 0, 0, what                                     \
	}
#define NUMBER(name, needed, low, high, what)                                                      \
	{                                                                                          \
		name, LAB_NUMBER, needed, NULL, NULL, low, high, what                              \
	}
#define TIME(name, needed, what)                                                                   \
	{                                                                                          \
		name, LAB_TIME, needed, NULL, NULL, 0, 0, what                                     \
	}
#define DATE(name, needed, what)                                                                   \
	{                                                                                          \
		name, LAB_DATE, needed, NULL, NULL, 0, 0, what                                     \
	}
#define YES_NO(name, needed, what)                                                                 \
	{                                                                                          \
		name, LAB_YES_NO, needed, NULL, NULL, 0, 0, what                                   \
	}
#define CHOICE(name, needed, of, what)                                                             \
	{                                                                                          \
		name, LAB_CHOICE, needed, of, NULL, 0, 0, what                                     \
	}
#define REFERENCE(name, needed, of, what)                                                          \
	{                                                                                          \
		name, LAB_REFERENCE, needed, of, NULL, 0, 0, what                                  \
	}
#define REFERENCES(name, needed, of, what)                                                         \
	{                                                                                          \
		name, LAB_REFERENCES, needed, of, NULL, 0, 0, what                                 \
	}
#define HASH(name, needed, what)                                                                   \
	{                                                                                          \
		name, LAB_HASH, needed, NULL, NULL, 0, 0, what                                     \
	}
#define LIST(name, needed, fields, what)                                                           \
	{                                                                                          \
		name, LAB_LIST, needed, NULL, fields, 0, 0, what                                   \
	}
#define OBJECT(name, needed, fields, what)                                                         \
	{                                                                                          \
		name, LAB_OBJECT, needed, NULL, fields, 0, 0, what                                 \
	}
#define JOB(needed, fields, what)                                                                  \
	{                                                                                          \
		"job", LAB_JOB, needed, NULL, fields, 0, 0, what                                   \
	}
#define STATE(of)                                                                                  \
	{                                                                                          \
		"state", LAB_CHOICE, true, of, NULL, 0, 0, "where it stands"                       \
	}
#define NOTE TEXT("note", false, "anything else worth keeping")

#define ANY_EQUIPMENT "resistor|bridge|cell|thermometer|instrument"

static const struct lab_field no_references[] = { END };

/* 6.2.5, 6.2.6: competence and authorisation, with dates. */
static const struct lab_field authorisation[] = {
	CHOICE("act", true, "operate|check|issue|manage", "what the person may do"),
	DATE("from", true, "first day"),
	DATE("until", false, "last day; absent: open"),
	REFERENCE("by", false, "person", "who authorised it"),
	END,
};
static const struct lab_field person[] = {
	TEXT("name", true, "as it stands on certificates"),
	TEXT("function", false, "as it stands on certificates"),
	LIST("authorisations", true, authorisation, "what the person may do, and when"),
	STATE("active|left"),
	NOTE,
	END,
};

/* 7.8.3 f and P14: the least U the laboratory states, by range. */
static const struct lab_field scope_line[] = {
	NUMBER("low_C", true, -273.15, 1100, "lower end of the range, °C"),
	NUMBER("high_C", true, -273.15, 1100, "upper end, °C"),
	NUMBER("U_mK", true, 0, 1e5, "least expanded uncertainty, k = 2, mK"),
	END,
};
static const struct lab_field laboratory[] = {
	TEXT("name", true, "of the laboratory"),
	TEXT("address", true, "as it stands on certificates"),
	TEXT("place", false, "where the work is done"),
	YES_NO("may_check_own_work", true, "whether one may check what one has measured"),
	YES_NO("may_issue_own_work", true,
	       "whether one may issue what one has measured or checked"),
	LIST("scope", true, scope_line, "stated capability; outside it no certificate is issued"),
	TEXT("method", false, "the documented method, with its revision"),
	NOTE,
	END,
};

static const struct lab_field customer[] = {
	TEXT("name", true, "of the customer"),
	TEXT("address", true, "as it stands on certificates"),
	NOTE,
	END,
};

/* 6.4.13. */
#define IDENTITY                                                                                   \
	TEXT("maker", false, "who made it"), TEXT("type", false, "type or model"),                 \
	    TEXT("serial", false, "serial number"), TEXT("place", false, "where it is kept"),      \
	    DATE("in_service", false, "first day of use")

static const struct lab_field equipment[] = {
	IDENTITY,
	JOB(true, no_references, "what the computation needs of it, with the keys of a job file"),
	STATE("in service|out of service|retired"),
	NOTE,
	END,
};
static const struct lab_field instrument[] = {
	IDENTITY,
	TEXT("measures", true, "pressure, air temperature, humidity, length, ..."),
	STATE("in service|out of service|retired"),
	NOTE,
	END,
};

static const struct lab_field cell_geometry[] = {
	NUMBER("well_bore_mm", false, 1, 100, "inner diameter of the well, mm"),
	NUMBER("well_depth_mm", false, 10, 1000, "from the water surface to the bottom, mm"),
	NUMBER("water_level_mm", false, 0, 1000, "from the rim of the well down to the water, mm"),
	NUMBER("outer_mm", false, 5, 500, "outer diameter, mm"),
	NUMBER("wall_mm", false, 0.1, 20, "of the well, mm"),
	CHOICE("material", false, "borosilicate|fused silica|steel|graphite|other", "of the wall"),
	END,
};
static const struct lab_field cell[] = {
	IDENTITY,
	OBJECT("geometry", false, cell_geometry, "what the heat flow depends on"),
	JOB(true, no_references, "point, isotopes, impurities, u_cell_mK, ... as in a job file"),
	STATE("in service|out of service|broken|retired"),
	NOTE,
	END,
};

static const struct lab_field thermometer_geometry[] = {
	NUMBER("sheath_mm", false, 0.5, 30, "outer diameter of the sheath, mm"),
	NUMBER("length_mm", false, 10, 2000, "of the sheath, mm"),
	CHOICE("sheath", false, "silica|steel|platinum|glass|other", "material of the sheath"),
	END,
};
static const struct lab_field thermometer[] = {
	IDENTITY,
	REFERENCE("owner", false, "customer", "absent: the laboratory's own"),
	YES_NO("check_thermometer", false, "measured first and last in a batch"),
	OBJECT("geometry", false, thermometer_geometry, "what the heat flow depends on"),
	JOB(true, no_references, "sensor, nominal_ohm, element_mm, ... as in a job file"),
	STATE("in service|out of service|damaged|returned|retired"),
	NOTE,
	END,
};

/* 6.5.1: a value never enters without its U, k or p, date and due date. */
static const struct lab_field equipment_certificate[] = {
	REFERENCE("equipment", true, ANY_EQUIPMENT, "what was calibrated"),
	TEXT("number", true, "of the certificate"),
	TEXT("issuer", true, "who issued it"),
	CHOICE("route", true,
	       "national institute|accredited laboratory|own realisation|own calibration",
	       "why it is traceable (ILAC-P10)"),
	DATE("date", true, "of the calibration"),
	DATE("due", true, "next calibration"),
	TEXT("quantity", true, "what the value is of: resistance at 23 °C, ratio error, ..."),
	NUMBER("value", true, -INFINITY, INFINITY, "in the unit below"),
	NUMBER("U", true, 0, INFINITY, "expanded uncertainty, same unit"),
	NUMBER("k", false, 1, 10, "coverage factor; or p"),
	NUMBER("p", false, 0.5, 0.9999, "coverage probability; or k"),
	TEXT("unit", true, "of value and U"),
	HASH("file", false, "the certificate's own bytes"),
	NOTE,
	END,
};

/* 6.4.10: intermediate checks. */
static const struct lab_field checked_ratio[] = {
	TEXT("of", true, "what was compared: R-100-3 : R-100-4, both in series : R-25-1, ..."),
	NUMBER("ratio", true, 0, 1e6, "as the bridge read it, corrected for nothing"),
	END,
};
static const struct lab_field equipment_check[] = {
	REFERENCE("equipment", true, ANY_EQUIPMENT, "what was checked"),
	CHOICE("check", true, "ratio one|complement|combination|value|other", "by which check"),
	TIME("time", true, "when"),
	NUMBER("found", true, -INFINITY, INFINITY, "in the unit below"),
	NUMBER("expected", true, -INFINITY, INFINITY, "same unit"),
	NUMBER("u", true, 0, INFINITY, "standard uncertainty of the difference"),
	TEXT("unit", true, "of the three numbers"),
	LIST("ratios", false, checked_ratio,
	     "what found rests on, in unit 1. Ratio one: the one; complement: both ways round; "
	     "combination: each part and last the whole in series"),
	CHOICE("verdict", true, "passed|failed", "by the limit below"),
	NUMBER("limit", true, 0, INFINITY, "of the difference"),
	TEXT("limit_source", true, "where the limit comes from"),
	NOTE,
	END,
};

/* 7.1: review of requests. */
static const struct lab_field order[] = {
	REFERENCE("customer", true, "customer", "who ordered"),
	REFERENCES("thermometers", true, "thermometer", "what is to be calibrated"),
	DATE("date", true, "of the agreement"),
	NUMBER("low_C", true, -273.15, 1100, "lower end of the range, °C"),
	NUMBER("high_C", true, -273.15, 1100, "upper end, °C"),
	NUMBER("U_mK", false, 0, 1e5, "expanded uncertainty wanted, k = 2, mK"),
	CHOICE("decision_rule", false, "none|simple acceptance|guarded by U",
	       "of a statement of conformity (ILAC-G8); absent: none is wanted"),
	DATE("promised", false, "day of delivery"),
	STATE("open|done|cancelled"),
	NOTE,
	END,
};

/* 7.4.3: condition on receipt. */
static const struct lab_field receipt[] = {
	REFERENCE("thermometer", true, "thermometer", "what came"),
	REFERENCE("order", false, "order", "for which order"),
	TIME("time", true, "when"),
	TEXT("condition", true, "as it came"),
	NUMBER("r_tpw_ohm", false, 1e-3, 1e6, "R(TPW) as received, ohm"),
	NUMBER("u_r_tpw_ohm", false, 0, 1e3, "its standard uncertainty, ohm"),
	NUMBER("last_r_tpw_ohm", false, 1e-3, 1e6, "of its last certificate, ohm"),
	NOTE,
	END,
};

static const struct lab_field treatment[] = {
	REFERENCE("thermometer", true, "thermometer", "what was treated"),
	TIME("begun", true, "when it went in"),
	TIME("ended", true, "when it came out"),
	NUMBER("temperature_C", true, 0, 1100, "of the hold, °C"),
	NUMBER("hold_h", true, 0, 1000, "length of the hold, h"),
	NUMBER("cooling_K_per_h", false, 0, 1e5, "on the way down"),
	NUMBER("r_tpw_before_ohm", true, 1e-3, 1e6, "R(TPW) before, ohm"),
	NUMBER("r_tpw_after_ohm", true, 1e-3, 1e6, "R(TPW) after, ohm"),
	REFERENCE("person", true, "person", "who did it"),
	NOTE,
	END,
};

static const struct lab_field realisation[] = {
	REFERENCE("cell", true, "cell", "in which cell"),
	CHOICE("method", true,
	       "dry ice|cooled rod|heat pipe|cold gas|supercooling|inner and outer freeze|slow "
	       "melt|condensation|other",
	       "how it was prepared"),
	TIME("begun", true, "when the mantle was frozen or the freeze began"),
	TIME("ended", false, "when it was given up"),
	REFERENCE("person", true, "person", "who prepared it"),
	TEXT("cautions_shown", false, "which cautions were shown before the steps"),
	STATE("preparing|ageing|usable|ended"),
	NOTE,
	END,
};
static const struct lab_field inspection[] = {
	REFERENCE("realisation", true, "realisation", "of which mantle or freeze"),
	TIME("time", true, "when"),
	REFERENCE("person", true, "person", "who looked"),
	YES_NO("free", false, "whether the mantle turns freely"),
	YES_NO("bridge", false, "whether ice bridges the surface"),
	NUMBER("ice_mm", false, 0, 100, "thickness of the mantle, mm"),
	TEXT("found", true, "what was seen and done"),
	NOTE,
	END,
};

/* Who did which step when, and that each caution was shown before. */
static const struct lab_field showing[] = {
	TEXT("step", true, "before which it was shown"),
	TEXT("caution", true, "which"),
	TIME("time", true, "when"),
	REFERENCE("person", true, "person", "to whom"),
	END,
};
static const struct lab_field step_done[] = {
	TEXT("step", true, "which"),
	TIME("time", true, "when"),
	REFERENCE("person", true, "person", "who did it"),
	TEXT("found", false, "what was written down"),
	TEXT("not_done", false, "why it was not done"),
	END,
};
static const struct lab_field guided_work[] = {
	TEXT("procedure", true, "name of the procedure"),
	HASH("words", true, "the procedure as it was followed, cautions included"),
	REFERENCES("about", true, ANY_EQUIPMENT "|realisation", "what it is about"),
	LIST("shown", true, showing, "cautions shown, in order"),
	LIST("done", true, step_done, "steps, in order"),
	STATE("going on|finished|given up"),
	NOTE,
	END,
};

/* A knock, a power cut, a changed cable: what later readings must be seen with. */
static const struct lab_field event[] = {
	TIME("time", true, "when"),
	REFERENCES("about", true, ANY_EQUIPMENT "|realisation", "what it happened to"),
	TEXT("what", true, "what happened"),
	REFERENCE("person", true, "person", "who noted it"),
	NOTE,
	END,
};

/* 7.8.4.1 b, 7.5: conditions. */
static const struct lab_field ambient[] = {
	TIME("from", true, "first reading"),
	TIME("until", true, "last reading"),
	NUMBER("low_C", false, -50, 80, "lowest air temperature, °C"),
	NUMBER("high_C", false, -50, 80, "highest, °C"),
	NUMBER("low_percent", false, 0, 100, "lowest relative humidity, %"),
	NUMBER("high_percent", false, 0, 100, "highest, %"),
	NUMBER("low_Pa", false, 5e4, 1.2e5, "lowest air pressure, Pa"),
	NUMBER("high_Pa", false, 5e4, 1.2e5, "highest, Pa"),
	REFERENCE("instrument", false, "instrument", "by what it was measured"),
	NOTE,
	END,
};

static const struct lab_field visit_references[] = {
	REFERENCE("cell", false, "cell", "absent for a temperature to be found"),
	REFERENCE("resistor", false, "resistor", "absent where readings are in ohm"),
	REFERENCE("bridge", false, "bridge", ""),
	END,
};
static const struct lab_field exclusion[] = {
	NUMBER("first", true, 0, 1e15, "number of the first reading set aside, from 0"),
	NUMBER("n", true, 1, 1e15, "how many"),
	TEXT("reason", true, "why"),
	REFERENCE("person", true, "person", "who decided"),
	END,
};
static const struct lab_field visit[] = {
	REFERENCE("thermometer", true, "thermometer", "what was measured"),
	REFERENCE("realisation", false, "realisation", "in which mantle or freeze"),
	JOB(true, visit_references, "cell, resistor, bridge, depth_m, ... as in a job file"),
	LIST("exclusions", false, exclusion, "readings set aside; they stay where they are"),
	REFERENCE("person", false, "person", "who measured"),
	CHOICE("provenance", true, "recorded|imported|transcribed|simulated",
	       "how the readings came here"),
	HASH("source", false, "the file that they came from"),
	HASH("second_source", false, "transcribed: the second entry, which agrees"),
	REFERENCE("second_by", false, "person", "transcribed: who made the second entry"),
	STATE("open|closed"),
	NOTE,
	END,
};

static const struct lab_field planned_step[] = {
	CHOICE("point", true, "e-H2|e-H2-vapour|Ne|O2|Ar|Hg|H2O|Ga|In|Sn|Zn|Al|Ag", "which point"),
	TEXT("advice", false, "what is done before"),
	END,
};
static const struct lab_field calibration[] = {
	REFERENCE("thermometer", true, "thermometer", "what is calibrated"),
	REFERENCE("order", false, "order", "for which order"),
	REFERENCE("customer", false, "customer", "for whom"),
	LIST("plan", false, planned_step, "points in the order in which they are to be visited"),
	REFERENCES("visits", false, "visit", "in the order of the sequence"),
	REFERENCES("ambient", false, "ambient", "conditions during the work"),
	JOB(true, no_references, "tpw, subranges, events, report, use, ... as in a job file"),
	REFERENCE("planned_by", false, "person", ""),
	REFERENCE("measured_by", false, "person", ""),
	REFERENCE("reduced_by", false, "person", ""),
	REFERENCE("checked_by", false, "person", ""),
	HASH("job_file", false, "the job that was reduced, as it was"),
	HASH("readings_file", false, "its readings, as they were"),
	HASH("result_file", false, "the result that was checked"),
	TEXT("certificate_number", false, "once it is issued"),
	STATE("planned|measuring|reduced|checked|issued|replaced|cancelled"),
	NOTE,
	END,
};

/* 7.8, 7.11: what was issued, with all that is needed to make it again. */
static const struct lab_field environment[] = {
	TEXT("program", true, "version of this program"),
	TEXT("constants", true, "SHA-256 of the constants and tables"),
	TEXT("libraries", true, "versions of the libraries that numbers and pages pass through"),
	TEXT("fonts", false, "what the pages are set in"),
	TEXT("processor", false, "instruction set that was used"),
	END,
};
static const struct lab_field own_work_rule[] = {
	NUMBER("laboratory_version", true, 1, 1e9, "version of the record laboratory that held"),
	YES_NO("may_check_own_work", true, "what it said of checking"),
	YES_NO("may_issue_own_work", true, "what it said of issuing"),
	END,
};
static const struct lab_field certificate[] = {
	REFERENCE("calibration", true, "calibration", "whose result it states"),
	DATE("date", true, "of issue"),
	REFERENCE("signatory", true, "person", "who issued it"),
	HASH("pdf", true, "the certificate's bytes"),
	HASH("result", true, "its machine-readable twin"),
	HASH("job", true, "the job behind it"),
	HASH("readings", true, "the readings behind it"),
	OBJECT("environment", true, environment, "what it was made with"),
	REFERENCE("replaces", false, "certificate", "7.8.8: the one that it replaces"),
	REFERENCE("replaced_by", false, "certificate", ""),
	TEXT("reason", false, "why it replaces another"),
	YES_NO("own_work", true, "whether signatory, checker and operator are not all different"),
	OBJECT("rule", false, own_work_rule, "the laboratory's rule on one's own work"),
	STATE("issued|replaced|withdrawn"),
	NOTE,
	END,
};

/* 7.10: nonconforming work. While one is open, what it is about is not released. */
static const struct lab_field nonconformity[] = {
	REFERENCES("about", true, ANY_EQUIPMENT "|calibration|visit|realisation",
		   "what it touches"),
	TIME("opened", true, "when"),
	REFERENCE("person", true, "person", "who opened it"),
	TEXT("what", true, "what is wrong"),
	TEXT("decision", false, "what was decided, once it is closed"),
	CHOICE("gate", false,
	       "receipt|stability|heat treatment|check thermometers|equipment checks|traceability|"
	       "order|ambient",
	       "which gate of a release the decision opens for the calibrations it is about"),
	REFERENCE("closed_by", false, "person", "who allowed work to go on"),
	STATE("open|closed"),
	NOTE,
	END,
};

static const struct lab_field named_limit[] = {
	TEXT("name", true, "r_tpw_change_mK, check_thermometer_mK, ..."),
	NUMBER("value", true, -INFINITY, INFINITY, "in the unit below"),
	TEXT("unit", true, ""),
	TEXT("source", true, "where it comes from"),
	END,
};
static const struct lab_field limits[] = {
	LIST("limits", true, named_limit, "named criteria, each with its source"),
	DATE("from", true, "first day on which they hold"),
	NOTE,
	END,
};

static const struct lab_state active_states[] = { { "active", "left" },
						  { "left", "active" },
						  { NULL, NULL } };
static const struct lab_state equipment_states[] = {
	{ "in service", "out of service|retired" },
	{ "out of service", "in service|retired" },
	{ "retired", "" },
	{ NULL, NULL },
};
static const struct lab_state cell_states[] = {
	{ "in service", "out of service|broken|retired" },
	{ "out of service", "in service|broken|retired" },
	{ "broken", "" },
	{ "retired", "" },
	{ NULL, NULL },
};
static const struct lab_state thermometer_states[] = {
	{ "in service", "out of service|damaged|returned|retired" },
	{ "out of service", "in service|damaged|returned|retired" },
	{ "damaged", "returned|retired|in service" },
	{ "returned", "in service|damaged" },
	{ "retired", "" },
	{ NULL, NULL },
};
static const struct lab_state order_states[] = {
	{ "open", "done|cancelled" }, { "done", "" }, { "cancelled", "" }, { NULL, NULL }
};
static const struct lab_state realisation_states[] = {
	{ "preparing", "ageing|usable|ended" },
	{ "ageing", "usable|ended" },
	{ "usable", "ageing|ended" },
	{ "ended", "" },
	{ NULL, NULL },
};
static const struct lab_state guided_states[] = {
	{ "going on", "going on|finished|given up" },
	{ "finished", "" },
	{ "given up", "" },
	{ NULL, NULL },
};
static const struct lab_state visit_states[] = { { "open", "closed" },
						 { "closed", "" },
						 { NULL, NULL } };
static const struct lab_state calibration_states[] = {
	{ "planned", "measuring|cancelled" },
	{ "measuring", "reduced|cancelled" },
	{ "reduced", "measuring|reduced|checked|cancelled" },
	{ "checked", "measuring|reduced|issued|cancelled" },
	{ "issued", "replaced" },
	{ "replaced", "" },
	{ "cancelled", "" },
	{ NULL, NULL },
};
static const struct lab_state certificate_states[] = {
	{ "issued", "replaced|withdrawn" }, { "replaced", "" }, { "withdrawn", "" }, { NULL, NULL }
};
static const struct lab_state nonconformity_states[] = { { "open", "closed" },
							 { "closed", "open" },
							 { NULL, NULL } };

const struct lab_kind lab_kinds[] = {
	{ "person", "who works here and what each may do", person, active_states, "manage" },
	{ "laboratory", "name, scope and rules of the laboratory", laboratory, NULL, "manage" },
	{ "limits", "criteria with their sources", limits, NULL, "manage" },
	{ "customer", "who orders", customer, NULL, "operate" },
	{ "resistor", "standard resistors", equipment, equipment_states, "operate" },
	{ "bridge", "resistance bridges", equipment, equipment_states, "operate" },
	{ "instrument", "other instruments", instrument, equipment_states, "operate" },
	{ "cell", "fixed-point cells", cell, cell_states, "operate" },
	{ "thermometer", "thermometers, own and customers'", thermometer, thermometer_states,
	  "operate" },
	{ "equipment certificate", "what others certify of our equipment", equipment_certificate,
	  NULL, "operate" },
	{ "equipment check", "intermediate checks", equipment_check, NULL, "operate" },
	{ "order", "what was agreed with a customer", order, order_states, "operate" },
	{ "receipt", "what came, and how", receipt, NULL, "operate" },
	{ "heat treatment", "annealing, with R(TPW) before and after", treatment, NULL, "operate" },
	{ "realisation", "one mantle, one freeze, one melt", realisation, realisation_states,
	  "operate" },
	{ "inspection", "a look at a mantle", inspection, NULL, "operate" },
	{ "guided work", "a procedure carried out, cautions first", guided_work, guided_states,
	  "operate" },
	{ "event", "what happened to equipment", event, NULL, "operate" },
	{ "ambient", "conditions over a time", ambient, NULL, "operate" },
	{ "visit", "one stay of a thermometer in one cell", visit, visit_states, "operate" },
	{ "calibration", "from plan to certificate", calibration, calibration_states, "operate" },
	{ "certificate", "what was issued", certificate, certificate_states, "issue" },
	{ "nonconformity", "what is wrong and blocks release", nonconformity, nonconformity_states,
	  "operate" },
	{ NULL, NULL, NULL, NULL, NULL },
};
