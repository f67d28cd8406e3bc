/* Jobs with numbers out of their range, and keys that miss what they belong to. */
#include "app/file/bad_job.h"

static const struct bad_case cases[] = {
	{ "negative depth", "depth_m: 0.17", "depth_m: -0.17",
	  "13:57: depth_m is -0.17; depths count downwards from the surface of the liquid, in "
	  "metres, and are 0 to 2" },
	{ "depth in millimetres", "depth_m: 0.17", "depth_m: 170",
	  "13:57: depth_m is 170; depths count downwards from the surface of the liquid, in "
	  "metres, and are 0 to 2" },
	{ "negative uncertainty", "u_cell_mK: 0.04", "u_cell_mK: -0.04",
	  "8:31: u_cell_mK is -0.04; a standard uncertainty of a temperature is in millikelvin, 0 "
	  "to 10000" },
	{ "negative uncertainty of a resistor", "u_ohm: 0.00001", "u_ohm: -0.00001",
	  "4:31: u_ohm is -0.00001; a standard uncertainty of a resistor is in ohm, 0 to a tenth "
	  "of the resistor" },
	{ "no degrees of freedom", "u_mK: 0.03", "u_mK: 0.03, dof: 0",
	  "12:81: dof is 0; degrees of freedom are 0.5 (u known to 100 %) or more; leave "
	  "them out where they are infinite" },
	{ "resistor of no ohm", "ohm: 100.000512", "ohm: 0",
	  "4:12: ohm is 0; a resistor is in ohm, above 0 and at most 1000000" },
	{ "resistor in kelvin", "at_C: 23", "at_C: 296.15",
	  "4:46: at_C is 296.15; the temperature of a resistor is in degrees Celsius, 0 to 60" },
	{ "coefficient in ppm", "per_K: 3.1e-6", "per_K: 3.1",
	  "4:57: per_K is 3.1; a temperature coefficient is relative and per kelvin, such as "
	  "3e-6" },
	{ "linearity in ppm", "u_linearity: 2e-8", "u_linearity: 0.02",
	  "6:21: u_linearity is 0.02; it is a fraction, 0 to 0.001: 0.02 parts in a million are "
	  "2e-8" },
	{ "isotopes per mille", "dD: -0.0583, d18O: -0.0081", "dD: -58.3, d18O: -8.1",
	  "8:52: dD is -58.3; a delta is a fraction: -58.3 per mille are -0.0583\n"
	  "8:65: d18O is -8.1; a delta is a fraction: -8.1 per mille are -0.0081" },
	{ "pressure in kilopascal", "pressure_Pa: 103100", "pressure_Pa: 103.1",
	  "13:76: pressure_Pa is 103.1, which looks like kilopascal; a pressure is in pascal (one "
	  "atmosphere is 101325)" },
	{ "pressure in hectopascal", "pressure_Pa: 103100", "pressure_Pa: 1031",
	  "13:76: pressure_Pa is 1031, which looks like hectopascal, millibar or torr; a pressure "
	  "is in pascal (one atmosphere is 101325)" },
	{ "pressure in bar", "pressure_Pa: 103100", "pressure_Pa: 1.031",
	  "13:76: pressure_Pa is 1.031, which looks like bar or atmospheres; a pressure is in "
	  "pascal (one atmosphere is 101325)" },
	{ "vapour pressure in kilopascal", "vapour_pressure_Pa: 33321",
	  "vapour_pressure_Pa: 33.321",
	  "15:55: vapour_pressure_Pa is 33.321; a vapour pressure of hydrogen is in pascal, 10000 "
	  "to 200000 (33321 at 17.035 K)" },
	{ "probability in per cent", "tpw: after", "tpw: after\ncoverage_probability: 95",
	  "19:23: coverage_probability is 95; a probability lies between 0 and 1: 95 % is 0.95" },
	{ "factor of nothing", "tpw: after", "tpw: after\ncoverage_factor: 0",
	  "19:18: coverage_factor is 0; a coverage factor is above 0, such as 2" },
	{ "mantle makes hotter", "u_mK: 0.03", "mantle_age: {effect_mK: 0.05}",
	  "12:88: effect_mK is 0.05; a mantle makes its cell colder, so the effect is 0 or "
	  "negative, in millikelvin, down to -1" },
	{ "u without its value", "depth_m: 0.265, u_mK: 0.03", "u_depth_m: 0.002",
	  "12:48: u_depth_m stands without depth_m; give both or neither" },
	{ "dof without u", "u_mK: 0.03", "dof: 4",
	  "12:64: dof stands without u_mK; give both or neither" },
	{ "coefficient without temperature", "at_C: 23, ", "",
	  "4:40: per_K stands without at_C; give both or neither" },
	{ "dD alone", ", d18O: -0.0081", "", "8:48: dD stands without d18O; give both or neither" },
	{ "deeper than a head correction goes", "depth_m: 0.17", "depth_m: 2.5",
	  "13:57: depth_m is 2.5; depths count downwards from the surface of the liquid, in "
	  "metres, and are 0 to 2" },
	{ "deuterium all but gone", "dD: -0.0583", "dD: -0.9",
	  "8:52: dD is -0.9; a delta is a fraction: -58.3 per mille are -0.0583" },
	{ "impure by a tenth", "u_cell_mK: 0.5", "total_umol_per_mol: 1e5",
	  "9:39: total_umol_per_mol is 1e5; an amount fraction of impurities is in umol/mol, 0 to "
	  "10000: 1 part in a million is 1" },
	{ "impurity in parts in a billion", "u_cell_mK: 0.5",
	  "impurities: [{element: Fe, x_umol_per_mol: 50000, k: 0.1}]",
	  "9:62: x_umol_per_mol is 50000; an amount fraction of impurities is in umol/mol, 0 to "
	  "10000: 1 part in a million is 1" },
	{ "distribution beyond any", "u_cell_mK: 0.5",
	  "impurities: [{element: Fe, x_umol_per_mol: 1, k: 25}]",
	  "9:68: k is 25; a distribution coefficient is 0 to 20: below 1 where the impurity lowers "
	  "the point" },
	{ "slope per mol", "u_cell_mK: 0.5",
	  "impurities: [{element: Fe, x_umol_per_mol: 1, K_per_umol_per_mol: -0.7}]",
	  "9:85: K_per_umol_per_mol is -0.7; the slope of the liquidus is in kelvin per umol/mol, "
	  "such as -7e-7" },
	{ "certificate in microkelvin", "u_cell_mK: 0.5", "certificate: {correction_mK: 60}",
	  "9:48: correction_mK is 60; the correction of a cell is in millikelvin, -50 to 50" },
	{ "impurity without slope", "u_cell_mK: 0.5",
	  "impurities: [{element: Fe, x_umol_per_mol: 1}]",
	  "9:32: impurity 1 has no k; give its distribution coefficient k, or the slope of the "
	  "liquidus as K_per_umol_per_mol" },
	{ "impurity with two slopes", "u_cell_mK: 0.5",
	  "impurities: [{element: Fe, x_umol_per_mol: 1, k: 0.1, K_per_umol_per_mol: -1e-4}]",
	  "9:65: k and K_per_umol_per_mol say the same twice; keep one of them" },
	{ "impurity without name", "u_cell_mK: 0.5", "impurities: [{x_umol_per_mol: 1, k: 0.1}]",
	  "9:32: impurity 1 has no element; name it, as in element: Fe" },
	{ "certificate contains without a correction", "u_cell_mK: 0.5",
	  "certificate: {contains: [head]}",
	  "9:33: contains stands without correction_mK; it says what the correction holds" },
	{ "certificate contains the same twice", "u_cell_mK: 0.5",
	  "certificate: {correction_mK: 0, contains: [head, isotopes, head]}",
	  "9:78: contains has \"head\" twice; keep one of them" },
	{ "certificate contains something else", "u_cell_mK: 0.5",
	  "certificate: {correction_mK: 0, contains: [isotope]}",
	  "9:62: contains is \"isotope\"; did you mean isotopes?" },
	{ "both coverages", "tpw: after", "coverage_factor: 2\ncoverage_probability: 0.95",
	  "18:1: coverage_factor and coverage_probability exclude each other; keep one of them" },
	{ "release incomplete", "tpw: after", "release: {number: 26-014, date: 2026-11-24}",
	  "18:1: release has no name and no function; give number, date, name and function, or "
	  "leave release out for a draft" },
	{ "release date", "tpw: after",
	  "release: {number: 1, date: 24.11.2026, name: A, function: B}",
	  "18:28: date is \"24.11.2026\"; write a day of the calendar as year-month-day: "
	  "2026-11-24" },
	{ "release date of no calendar", "tpw: after",
	  "release: {number: 1, date: 2026-02-30, name: A, function: B}",
	  "18:28: date is \"2026-02-30\"; write a day of the calendar as year-month-day: "
	  "2026-11-24" },
};

int main(void)
{
	struct CMUnitTest *tests = bad_tests(cases, G_N_ELEMENTS(cases), bad_job_case);
	const int failed = _cmocka_run_group_tests("bad values", tests, G_N_ELEMENTS(cases),
						   bad_set_up, bad_tear_down);

	g_free(tests);
	return failed;
}
