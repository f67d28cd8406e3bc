/* Jobs with wrong points, references, choices and sections. */
#include "app/file/bad_job.h"

static const struct bad_case cases[] = {
	{ "point misspelt", "point: H2O", "point: H20",
	  "8:15: point is \"H20\"; did you mean H2O?" },
	{ "point in other case", "point: Al", "point: AL",
	  "9:15: point is \"AL\"; did you mean Al?" },
	{ "point unknown", "point: Al", "point: Cu",
	  "9:15: point is \"Cu\"; it is one of e-H2, e-H2-vapour, Ne, O2, Ar, Hg, H2O, Ga, In, Sn, "
	  "Zn, Al or Ag" },
	{ "point by its name", "point: Al", "point: Tin",
	  "9:15: point is \"Tin\"; write its symbol, Sn" },
	{ "point by its letters", "point: H2O", "point: TPW",
	  "8:15: point is \"TPW\"; write its symbol, H2O" },
	{ "point missing", "{point: Al, u_cell_mK: 0.5}", "{u_cell_mK: 0.5}",
	  "9:3: cell AL has no point; say which fixed point it holds, as in point: H2O" },
	{ "isotopes of aluminium", "u_cell_mK: 0.5", "isotopes: {dD: 0, d18O: 0}",
	  "9:19: isotopes matter at the points of H2O, e-H2 and Ne only; leave the key out" },
	{ "isotopes of hydrogen in water", "dD: -0.0583, d18O: -0.0081", "xD_umol_per_mol: 89",
	  "8:48: xD_umol_per_mol belongs to an analysis of hydrogen, and this is a cell of H2O" },
	{ "isotopes unknown, misspelt", "isotopes: {dD: -0.0583, d18O: -0.0081}",
	  "isotopes: unkown", "8:47: isotopes is \"unkown\"; did you mean unknown?" },
	{ "triple point of aluminium", "u_cell_mK: 0.5", "triple: true",
	  "9:19: triple is said of gallium cells only; every other point is what the scale "
	  "defines" },
	{ "pressure at a triple point", "u_mK: 0.03", "pressure_Pa: 101325",
	  "12:64: pressure_Pa is of no use here: only melting and freezing points depend on the "
	  "pressure of a gas" },
	{ "pressure of a water cell", "u_cell_mK: 0.04", "pressure_Pa: 101325",
	  "8:20: pressure_Pa is of no use here: only melting and freezing points depend on the "
	  "pressure of a gas" },
	{ "vapour pressure missing", ", vapour_pressure_Pa: 33321", "",
	  "15:5: visit 4 has no vapour_pressure_Pa; the temperature of e-H2-vapour follows from "
	  "it; give it in pascal" },
	{ "vapour pressure elsewhere", "u_mK: 0.03", "vapour_pressure_Pa: 33321",
	  "12:64: vapour_pressure_Pa belongs to visits to e-H2-vapour, whose temperature follows "
	  "from it" },
	{ "mantle of aluminium", "depth_m: 0.17", "mantle_age: {effect_mK: 0}",
	  "13:48: mantle_age is said of visits to the triple point of water only" },
	{ "depth of a measurement", "measure: true", "measure: true, depth_m: 0.1",
	  "16:29: depth_m belongs to a visit to a cell, and this one measures an unknown "
	  "temperature" },
	{ "u_mK of a measurement", "measure: true", "measure: true, u_mK: 0.1",
	  "16:29: u_mK is about the temperature of a cell; for the place of a measurement write "
	  "u_temperature_mK" },
	{ "u_temperature_mK of a cell", "u_mK: 0.03", "u_temperature_mK: 0.03",
	  "12:64: u_temperature_mK belongs to a measured temperature; for a visit to a cell write "
	  "u_mK" },
	{ "unknown cell", "cell: AL", "cell: ALU",
	  "13:19: there is no cell \"ALU\"; did you mean AL?" },
	{ "unknown resistor", "id: 3, cell: W1, resistor: S", "id: 3, cell: W1, resistor: R100",
	  "14:33: there is no resistor \"R100\"; this job has S" },
	{ "unknown bridge", "bridge: B1, depth_m: 0.17", "bridge: B2, depth_m: 0.17",
	  "13:44: there is no bridge \"B2\"; did you mean B1?" },
	{ "no bridges at all", "bridges:\n  B1: {u_linearity: 2e-8}\n", "",
	  "10:44: there is no bridge \"B1\"; describe it under bridges" },
	{ "neither cell nor measure", "measure: true, ", "",
	  "16:5: visit 12 has no cell; name the cell, or write measure: true for a temperature to "
	  "be found" },
	{ "cell and measure", "measure: true", "measure: true, cell: W1",
	  "16:14: visit 12 has both cell and measure; a visit is to a cell, or measures an unknown "
	  "temperature" },
	{ "measure false", "measure: true", "measure: false",
	  "16:14: visit 12 has measure: false and no cell; name the cell" },
	{ "measure yes", "measure: true", "measure: yes",
	  "16:23: measure is \"yes\"; write true or false" },
	{ "tpw unknown", "103100, tpw: 3", "103100, tpw: 5",
	  "13:89: there is no visit \"5\"; this job has 1, 12, 13, 2, 3 or 4" },
	{ "tpw is itself", "103100, tpw: 3", "103100, tpw: 2",
	  "13:89: visit 2 names itself as tpw; name the visit to water that it is divided by" },
	{ "tpw is not water", "true, resistor: S, tpw: 3", "true, resistor: S, tpw: 2",
	  "16:47: visit 2 is to Al; tpw names a visit to the triple point of water, H2O" },
	{ "tpw is a measurement", "103100, tpw: 3", "103100, tpw: 12",
	  "13:89: visit 12 is to an unknown temperature; tpw names a visit to the triple point of "
	  "water, H2O" },
	{ "tpw of a water visit", "u_mK: 0.03", "tpw: 3",
	  "12:69: visit 1 is itself to the triple point of water; tpw is for the other visits" },
	{ "duplicate id", "{id: 3, cell: W1", "{id: 1, cell: W1",
	  "14:10: there is a visit \"1\" already, on line 12; give each visit an id of its own" },
	{ "id missing", "{id: 12, ", "{",
	  "16:5: visit number 5 of the list has no id; give it a number or a name of its own, as "
	  "in id: 1" },
	{ "id a list", "id: 12", "id: [12]", "16:10: id is a list; it is a text" },
	{ "id with blank", "id: 12", "id: \"12 \"",
	  "16:10: id is no name; a name stands on one line, has no blank at its ends and at most "
	  "64 characters" },
	{ "event without kind", "tpw: after", "events: [{after: 1}]",
	  "18:10: event 1 has no kind; say what happened: anneal, transport, repair, shock or "
	  "other" },
	{ "event after nothing", "tpw: after", "events: [{after: 77, kind: anneal}]",
	  "18:18: there is no visit \"77\"; this job has 1, 12, 13, 2, 3 or 4" },
	{ "event of another kind", "tpw: after", "events: [{after: 1, kind: aneal}]",
	  "18:27: kind is \"aneal\"; did you mean anneal?" },
	{ "term misspelt", "u_mK: 0.03", "terms: {dynamics: {u_mK: 0.1}}",
	  "12:72: terms has no key \"dynamics\"; did you mean dynamic?" },
	{ "term without u", "u_mK: 0.03", "terms: {dynamic: {dof: 3}}",
	  "12:82: dof stands without u_mK; give both or neither" },
	{ "term a number", "u_mK: 0.03", "terms: {dynamic: 0.1}",
	  "12:81: dynamic is a single value here; it has to be made of keys with values, as in "
	  "key: value" },
	{ "sensor misspelt", "sensor: long stem", "sensor: longstem",
	  "2:35: sensor is \"longstem\"; did you mean long stem?" },
	{ "sensor unknown", "sensor: long stem", "sensor: industrial",
	  "2:35: sensor is \"industrial\"; it is one of long stem, capsule or high temperature" },
	{ "tpw scheme", "tpw: after", "tpw: afterwards",
	  "18:6: tpw is \"afterwards\"; it is one of after, before, one or interpolated" },
	{ "wr from nowhere", "tpw: after", "wr_at_points: tabel",
	  "18:15: wr_at_points is \"tabel\"; did you mean table?" },
	{ "subrange misspelt", "subranges: all", "subranges: [H2O-Al]",
	  "19:13: a subrange is \"H2O-Al\"; did you mean H2O_Al?" },
	{ "subrange by word", "subranges: all", "subranges: H2O_Al",
	  "19:12: subranges is \"H2O_Al\"; write all, or a list such as [H2O_Zn, Hg_Ga]" },
	{ "no subrange", "subranges: all", "subranges: []",
	  "19:12: subranges is an empty list; write all, or name one" },
	{ "paper", "tpw: after", "report: {paper: a4}",
	  "18:17: paper is \"a4\"; did you mean A4?" },
	{ "thermometer without id", "{id: T-0417, sensor", "{sensor",
	  "2:1: the thermometer has no id; say which thermometer it is, as in id: T-0417" },
	{ "thermometer missing",
	  "thermometer: {id: T-0417, sensor: long stem, nominal_ohm: 25.5}\n", "",
	  "1:1: the job has no thermometer; say which one: thermometer: {id: ...}" },
	{ "thermometer a word", "thermometer: {id: T-0417, sensor: long stem, nominal_ohm: 25.5}",
	  "thermometer: T-0417",
	  "2:14: the thermometer is a single value here; it has to be made of keys with values, as "
	  "in key: value" },
	{ "resistors a list", "resistors:\n  S: {ohm", "resistors:\n  - {ohm",
	  "4:3: resistors is a list; it is made of names, each with keys of its own below it" },
	{ "cell empty", "  AL: {point: Al, u_cell_mK: 0.5}", "  AL:",
	  "9:6: cell AL is empty here; it has to be made of keys with values, as in key: value" },
	{ "visits a mapping",
	  "visits:\n  - {id: 1, cell: W1, resistor: S, bridge: B1, depth_m: 0.265, u_mK: 0.03}\n  "
	  "- {id: 2, cell: AL, resistor: S, bridge: B1, depth_m: 0.17, pressure_Pa: 103100, tpw: "
	  "3}\n  - {id: 3, cell: W1, resistor: S, depth_m: 0.265}\n  - {id: 4, cell: H, resistor: "
	  "S, vapour_pressure_Pa: 33321}\n  - {id: 12, measure: true, resistor: S, tpw: 3}\n  - "
	  "{id: 13, measure: true, tpw: 3}\n",
	  "visits: {1: {cell: W1}}\n",
	  "11:9: visits is a group of keys; it is a list, as in [one, two]" },
	{ "readings missing", "readings: readings.csv\n", "",
	  "1:1: the job has no readings; name the CSV file, as in readings: readings.csv" },
	{ "readings elsewhere", "readings.csv", "none/readings.csv",
	  "20:11: none/readings.csv cannot be read: there is no such file; check the name and the "
	  "folder" },
	{ "readings a directory", "readings.csv", ".",
	  "20:11: . cannot be read: this is a directory; a file is needed" },
	{ "resistor misspelt", "{id: 3, cell: W1, resistor: S", "{id: 3, cell: W1, resitor: S",
	  "14:23: visit 3 has no key \"resitor\"; did you mean resistor?" },
	{ "resistor unknown for ratios", "measure: true, resistor: S", "measure: true, resistor: X",
	  "16:39: there is no resistor \"X\"; this job has S" },
	{ "several at once", "resistor: S, bridge: B1, depth_m: 0.265, u_mK: 0.03",
	  "resistor: T, bridge: B1, depth_m: 0,265, u_mK: -1",
	  "12:33: there is no resistor \"T\"; this job has S\n"
	  "12:57: depth_m is \"0,265\"; "
	  "decimals have a point: 0.265\n"
	  "12:70: u_mK is -1; a standard uncertainty of a temperature is in millikelvin, 0 to "
	  "10000" },
};

int main(void)
{
	struct CMUnitTest *tests = bad_tests(cases, G_N_ELEMENTS(cases), bad_job_case);
	const int failed = _cmocka_run_group_tests("bad references", tests, G_N_ELEMENTS(cases),
						   bad_set_up, bad_tear_down);

	g_free(tests);
	return failed;
}
