/* Jobs with a wrong kind, unknown keys, and numbers that look right and are not. */
#include "app/file/bad_job.h"

static const struct bad_case cases[] = {
	{ "other kind", "fixed-point calibration", "measurement model",
	  "1:7: kind is \"measurement model\", for which there is another command; this command "
	  "reads kind: fixed-point calibration" },
	{ "kind misspelt", "fixed-point calibration", "fixed point calibration",
	  "1:7: kind is \"fixed point calibration\"; this command reads kind: fixed-point "
	  "calibration" },
	{ "kind missing", "kind: fixed-point calibration\n", "",
	  "1:1: the file does not say its kind; add kind: fixed-point calibration" },
	{ "key kind misspelt",
	  "kind:", "knd:", "1:1: the job has no key \"knd\"; did you mean kind?" },
	{ "a key like kind in another file", NULL, "knd: some file\nversion: 3\n",
	  "1:1: the file does not say its kind; add kind: fixed-point calibration" },
	{ "another file", NULL, "name: some file\nversion: 3\n",
	  "1:1: the file does not say its kind; add kind: fixed-point calibration" },
	{ "key misspelt", "depth_m: 0.17", "dept_m: 0.17",
	  "13:48: visit 2 has no key \"dept_m\"; did you mean depth_m?" },
	{ "key in other case", "depth_m: 0.17", "Depth_m: 0.17",
	  "13:48: visit 2 has no key \"Depth_m\"; did you mean depth_m?" },
	{ "key in other unit", "depth_m: 0.17", "depth_mm: 170",
	  "13:48: visit 2 has no key \"depth_mm\"; did you mean depth_m? Its value is in metres" },
	{ "temperature in fahrenheit", "at_C: 23", "at_F: 73",
	  "4:40: resistor S has no key \"at_F\"; did you mean at_C? Its value is in degrees "
	  "Celsius" },
	{ "expanded uncertainty", "u_mK: 0.03", "U_mK: 0.06",
	  "12:64: \"U_mK\" would be an expanded uncertainty; give the standard uncertainty, u_mK, "
	  "which is U divided by its k" },
	{ "required key misspelt", "{ohm: 100.000512", "{ohms: 100.000512",
	  "4:7: resistor S has no key \"ohms\"; did you mean ohm?" },
	{ "section misspelt",
	  "visits:", "visit:", "11:1: the job has no key \"visit\"; did you mean visits?" },
	{ "section unknown", "tpw: after", "colour: red",
	  "18:1: the job has no key \"colour\"; it can have kind, thermometer, resistors, bridges, "
	  "cells, visits, events, tpw, wr_at_points, subranges, least_squares, "
	  "simulated, "
	  "coverage_probability, coverage_factor, limits, use, release, report or readings" },
	{ "decimal comma", "depth_m: 0.17", "depth_m: 0,17",
	  "13:57: depth_m is \"0,17\"; decimals have a point: 0.17" },
	{ "decimal comma in a block", "  B1: {u_linearity: 2e-8}",
	  "  B1:\n    u_linearity: 0,00001",
	  "7:18: u_linearity is \"0,00001\"; decimals have a point: 0.00001" },
	{ "comma with two meanings", "nominal_ohm: 25.5", "nominal_ohm: 25,500",
	  "2:59: nominal_ohm is \"25,500\"; a comma can be read in two ways; write 25.500 or "
	  "25500" },
	{ "thousands with commas", "pressure_Pa: 103100", "pressure_Pa: 103,100.0",
	  "13:76: pressure_Pa is \"103,100.0\"; thousands have no separator: 103100.0" },
	{ "thousands with points", "pressure_Pa: 103100", "pressure_Pa: 1.031.000",
	  "13:76: pressure_Pa is \"1.031.000\"; thousands have no separator: 1031000" },
	{ "thousands with blanks", "pressure_Pa: 103100", "pressure_Pa: 103 100",
	  "13:76: pressure_Pa is \"103 100\"; digits have no separator: 103100" },
	{ "unit", "depth_m: 0.17", "depth_m: 170 mm",
	  "13:57: depth_m is \"170 mm\"; write the number alone, without a unit or other letters "
	  "(a name such as depth_m says the unit)" },
	{ "per cent", "u_linearity: 2e-8", "u_linearity: 2%",
	  "6:21: u_linearity is \"2%\"; fractions are not in per cent; this would be 0.02" },
	{ "with its uncertainty", "ohm: 100.000512", "ohm: 100.000512(10)",
	  "4:12: ohm is \"100.000512(10)\"; write the number alone, 100.000512; its standard "
	  "uncertainty has a key of its own" },
	{ "plus minus", "ohm: 100.000512", "ohm: 100.000512 +/- 0.00001",
	  "4:12: ohm is \"100.000512 +/- 0.00001\"; write the number alone, 100.000512; its "
	  "standard uncertainty has a key of its own" },
	{ "typographic minus", "dD: -0.0583",
	  "dD: \xe2\x88\x92"
	  "0.0583",
	  "8:52: dD is \"\xe2\x88\x92"
	  "0.0583\"; the minus sign is the one of the keyboard: "
	  "-0.0583" },
	{ "exponent with D", "per_K: 3.1e-6", "per_K: 3.1D-6",
	  "4:57: per_K is \"3.1D-6\"; the exponent has an e: 3.1e-6" },
	{ "in quotes", "depth_m: 0.17", "depth_m: \"0.17\"",
	  "13:57: depth_m is a text in quotes, \"0.17\"; a number stands without quotes" },
	{ "empty", "depth_m: 0.17",
	  "depth_m: ", "13:57: depth_m is empty; write a number, or leave the key out" },
	{ "null", "depth_m: 0.17", "depth_m: ~",
	  "13:57: depth_m is empty; write a number, or leave the key out" },
	{ "not a number", "depth_m: 0.17", "depth_m: .nan",
	  "13:57: depth_m is \".nan\"; write a number, or leave it out where it may be absent" },
	{ "infinite", "depth_m: 0.17", "depth_m: .inf",
	  "13:57: depth_m is \".inf\"; write a finite number, or leave it out where it may be "
	  "absent" },
	{ "too large", "depth_m: 0.17", "depth_m: 1e999",
	  "13:57: depth_m is \"1e999\"; no number here is as large; check the exponent" },
	{ "hexadecimal", "depth_m: 0.17", "depth_m: 0x11",
	  "13:57: depth_m is \"0x11\"; write it in decimal digits" },
	{ "a word", "depth_m: 0.17", "depth_m: deep",
	  "13:57: depth_m is \"deep\"; write a number, such as 0.265 or 1e-5" },
	{ "a list", "depth_m: 0.17", "depth_m: [0.17]",
	  "13:57: depth_m is a list; it is one number" },
	{ "infinite degrees of freedom", "u_mK: 0.03", "u_mK: 0.03, dof: .inf",
	  "12:81: dof is \".inf\"; degrees of freedom are 0.5 (u known to 100 %) or more; leave "
	  "them out where they are infinite" },
};

int main(void)
{
	struct CMUnitTest *tests = bad_tests(cases, G_N_ELEMENTS(cases), bad_job_case);
	const int failed = _cmocka_run_group_tests("bad keys and numbers", tests,
						   G_N_ELEMENTS(cases), bad_set_up, bad_tear_down);

	g_free(tests);
	return failed;
}
