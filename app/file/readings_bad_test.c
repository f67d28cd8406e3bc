/* Readings that are wrong. Places are those of the CSV file unless the row names another. */
#include "app/file/bad_job.h"

#include "app/file/readings.h"

static const struct bad_case cases[] = {
	{ "empty file", NULL, "",
	  "1:1: the file has no header; it starts with time,visit,current_mA,ratio" },
	{ "comment only", NULL, "# from the bridge\n",
	  "2:1: the file has no header; it starts with time,visit,current_mA,ratio" },
	{ "semicolons", NULL, "time;visit;current_mA;ratio\n;1;1;0,2551\n",
	  "1:1: the columns are separated by semicolons; separate them by commas, and give "
	  "decimals a point" },
	{ "tabs", NULL, "time\tvisit\tcurrent_mA\tratio\n\t1\t1\t0.2551\n",
	  "1:1: the columns are separated by tabs; separate them by commas, and give decimals a "
	  "point" },
	{ "no header", "time,visit,current_mA,ratio,resistance_ohm,bath_C,flag\n", "",
	  "1:1: the first line names no column; the file starts with a header such as "
	  "time,visit,current_mA,ratio" },
	{ "header only", NULL, "time,visit,current_mA,ratio\n",
	  "1:1: the file has a header and no readings; add a row for each" },
	{ "column misspelt", "current_mA", "curent_mA",
	  "1:12: there is no column \"curent_mA\"; did you mean current_mA?" },
	{ "current in ampere by its name", "current_mA", "current_A",
	  "1:12: there is no column \"current_A\"; did you mean current_mA? Its value is in "
	  "milliamperes" },
	{ "column in other case", "ratio", "Ratio",
	  "1:23: there is no column \"Ratio\"; did you mean ratio?" },
	{ "column unknown", "flag", "operator",
	  "1:51: there is no column \"operator\"; the columns are time, visit, current_mA, ratio, "
	  "resistance_ohm, bath_C or flag" },
	{ "column twice", "flag", "visit",
	  "1:51: the column \"visit\" stands twice; keep one of them" },
	{ "no visit", "time,visit,", "time,flag,",
	  "1:50: the column \"flag\" stands twice; keep one of them" },
	{ "quoted header", "time,visit", "\"time,visit",
	  "1:1: the header has a quote that does not belong there; write the names of the columns "
	  "without quotes" },
	{ "nothing measured", NULL, "visit,current_mA\n1,1\n",
	  "1:1: the header has neither ratio nor resistance_ohm; one of them holds the readings" },
	{ "utf-16", NULL, "\xff\xfet\x01",
	  "1:1: this is text in UTF-16 or UTF-32; save it as UTF-8" },
	{ "latin-1", "0.2551,,23.0,\n", "0.2551,,23.0,gel\xf6scht\n",
	  "2:47: this character is not in UTF-8 (byte 0xF6); save the file as UTF-8" },
	{ "control character", "0.2551,,23.0,\n", "0.2551,,23.0,\x1b[2J\n",
	  "2:44: a character that can't be seen, U+001B, has no place in a text file; remove it" },
	{ "decimal comma makes a field", "1,1,0.2551,,23.0,", "1,1,0,2551,,23.0,",
	  "2:1: the row has 8 fields and the header 7; decimals have a point, and a text with a "
	  "comma stands in quotes" },
	{ "decimal comma in quotes", "1,1,0.2551", "1,1,\"0,2551\"",
	  "2:31: ratio is \"0,2551\"; decimals have a point: 0.2551" },
	{ "field missing", "1,1,0.2551,,23.0,", "1,1,0.2551,,",
	  "2:1: the row has 6 fields and the header 7; leave a field empty where nothing is known, "
	  "but keep its comma" },
	{ "comment below the header", "2026-11-24T10", "# aluminium\n2026-11-24T10",
	  "4:1: comments stand before the header only; put a remark into the column flag" },
	{ "not a number", "0.8611", "NaN",
	  "4:31: ratio is NaN, an instrument's sign for an overload or for no reading; write \"set "
	  "aside: \" and the reason into the column flag" },
	{ "infinite", "0.8611", "inf",
	  "4:31: ratio is inf, an instrument's sign for an overload or for no reading; write \"set "
	  "aside: \" and the reason into the column flag" },
	{ "overload", "0.8611", "9.9E37",
	  "4:31: ratio is 9.9E37, an instrument's sign for an overload or for no reading; write "
	  "\"set aside: \" and the reason into the column flag" },
	{ "instrument's not a number", "0.8611", "9.91E+37",
	  "4:31: ratio is 9.91E+37, an instrument's sign for an overload or for no reading; write "
	  "\"set aside: \" and the reason into the column flag" },
	{ "word", "0.8611", "OVLD",
	  "4:31: ratio is OVLD, an instrument's sign for an overload or for no reading; write "
	  "\"set aside: \" and the reason into the column flag" },
	{ "word of a spreadsheet", "0.8611", "#N/A",
	  "4:31: ratio is #N/A, a spreadsheet's sign for an error; write \"set aside: \" and the "
	  "reason into the column flag" },
	{ "digit misread", "0.8611", "O.8611",
	  "4:31: ratio is \"O.8611\"; write a number, such as 0.265 or 1e-5" },
	{ "spreadsheet", NULL, "PK\x03\x04",
	  "1:1: this is a spreadsheet or an archive, not text; export or save it as text in "
	  "UTF-8" },
	{ "unit", "0.2551", "25.51 ohm",
	  "2:31: ratio is \"25.51 ohm\"; write the number alone, without a unit or other letters "
	  "(a name such as depth_m says the unit)" },
	{ "zero", "0.8611", "0", "4:31: ratio is 0; a ratio of resistances is above 0" },
	{ "negative", "0.8611", "-0.8611",
	  "4:31: ratio is -0.8611; a ratio of resistances is above 0" },
	{ "empty", "0.8611", "",
	  "4:31: the row has no reading; give ratio or resistance_ohm, or write \"set aside: \" "
	  "and the reason into the column flag" },
	{ "both", "0.8611,", "0.8611,86.1",
	  "4:38: the row has both ratio and resistance_ohm; leave one of them empty" },
	{ "no current", "2,1,0.8611", "2,,0.8611",
	  "4:29: current_mA is empty; give the measuring current in milliampere" },
	{ "zero current", "2,1,0.8611", "2,0,0.8611",
	  "4:29: current_mA is 0; a measuring current is above 0" },
	{ "negative current", "2,1,0.8611", "2,-1,0.8611",
	  "4:29: current_mA is -1; a measuring current is above 0" },
	{ "current in ampere", "2,1,0.8611", "2,0.001,0.8611",
	  "4:29: current_mA is 0.001; this looks like ampere: a current is in milliampere, and "
	  "0.001 A is 1" },
	{ "current in microampere", "2,1,0.8611", "2,1000,0.8611",
	  "4:29: current_mA is 1000; this looks like microampere: a current is in milliampere, at "
	  "most 100" },
	{ "current with unit", "2,1,0.8611", "2,1 mA,0.8611",
	  "4:29: current_mA is \"1 mA\"; write the number alone, without a unit or other letters "
	  "(a name such as depth_m says the unit)" },
	{ "current overload", "2,1,0.8611", "2,9.9E37,0.8611",
	  "4:29: current_mA is 9.9E37; this is an instrument's sign for an overload; write the "
	  "current that flowed" },
	{ "time without offset", "10:00:00+01:00", "10:00:00",
	  "4:1: time \"2026-11-24T10:00:00\" has no offset from UTC; add it, as in "
	  "2026-11-24T09:30:00+01:00, or Z for UTC" },
	{ "time of another country", "2026-11-24T10:00:00+01:00", "11/24/2026 10:00",
	  "4:1: time \"11/24/2026 10:00\" is not a time as RFC 3339 has it; write it as "
	  "2026-11-24T09:30:00+01:00" },
	{ "no such day", "2026-11-24T10:00:00", "2026-11-31T10:00:00",
	  "4:1: time \"2026-11-31T10:00:00+01:00\" has no such date; write year, month and day as "
	  "2026-11-24" },
	{ "offset without colon", "10:00:00+01:00", "10:00:00+0100",
	  "4:1: time \"2026-11-24T10:00:00+0100\" has an offset that cannot be read; write +01:00, "
	  "-05:00 or Z" },
	{ "out of order", "T09:01:00", "T08:59:00",
	  "3:1: time is before that of the reading above of this visit (2026-11-24T08:00:00Z); "
	  "readings stand in the order in which they were taken" },
	{ "out of order by the offset", "T09:01:00+01:00", "T09:01:00+02:00",
	  "3:1: time is before that of the reading above of this visit (2026-11-24T08:00:00Z); "
	  "readings stand in the order in which they were taken" },
	{ "unknown visit", ",2,1,0.8611", ",22,1,0.8611",
	  "4:27: the job has no visit \"22\"; add it there, or correct this id" },
	{ "visit empty", ",2,1,0.8611", ",,1,0.8611",
	  "4:27: visit is empty; say which visit of the job the reading belongs to" },
	{ "visit without readings", "2026-11-24T10:00:00+01:00,2,1,0.8611,,23.0,\n", "",
	  "job.yaml:13:5: visit 2 has no readings in readings.csv; add them there, or remove the "
	  "visit" },
	{ "all set aside", "0.8611,,23.0,", "0.8611,,23.0,set aside: knock",
	  "job.yaml:13:5: visit 2 has only readings that were set aside in readings.csv; it needs "
	  "at least one that counts" },
	{ "ratio without a resistor", ",13,1,,5.6", ",13,1,0.056,",
	  "8:7: a ratio needs a resistor, and visit 13 names none; add resistor: to the visit, or "
	  "give resistance_ohm" },
	{ "bath in kelvin", "0.8611,,23.0", "0.8611,,296.15",
	  "4:39: bath_C is 296.15; the temperature of the resistor is in degrees Celsius, 0 to "
	  "60" },
	{ "bath with comma", "0.8611,,23.0", "0.8611,,\"23,0\"",
	  "4:39: bath_C is \"23,0\"; decimals have a point: 23.0" },
	{ "quote not closed", "0.8611,,23.0,", "0.8611,,23.0,\"open",
	  "4:44: a quote opens here and is never closed; add the closing quote" },
	{ "text after a quote", "0.8611,,23.0,", "0.8611,,23.0,\"a\" b",
	  "4:48: text after a closing quote; a quote within quotes is written twice" },
	{ "stray quote", "0.8611,,23.0,", "0.8611,,23.0,a \"b\"",
	  "4:46: a quote within a field; put the whole field in quotes and write the inner quote "
	  "twice" },
	{ "quoted lines count", "1.4142,0.2551,,23.0,\n2026-11-24T10:00:00+01:00,2,1,0.8611",
	  "1.4142,0.2551,,23.0,\"two\nlines\"\n2026-11-24T10:00:00+01:00,2,1,0",
	  "5:31: ratio is 0; a ratio of resistances is above 0" },
	{ "carriage returns count", "1.4142,0.2551,,23.0,\n2026-11-24T10:00:00+01:00,2,1,0.8611",
	  "1.4142,0.2551,,23.0,\r\n\r\n2026-11-24T10:00:00+01:00,2,1,0",
	  "5:31: ratio is 0; a ratio of resistances is above 0" },
	{ "columns count characters", "0.2551,,23.0,\n2026-11-24T10:00:00+01:00,2,1,0.8611,,23.0",
	  "0.2551,,23.0,\n\"2026-11-24T10:00:00+01:00\",2,1,0.8611,,\xce\xa9",
	  "4:41: bath_C is \"\xce\xa9\"; write a number, such as 0.265 or 1e-5" },
};

static void bad_readings_case(void **state)
{
	const struct bad_case *c = *state;
	g_autofree char *readings = bad_edit(bad_readings, c);

	bad_job_try(c, bad_job, readings, "readings.csv");
}

int main(void)
{
	struct CMUnitTest *tests = bad_tests(cases, G_N_ELEMENTS(cases), bad_readings_case);
	const int failed = _cmocka_run_group_tests("bad readings", tests, G_N_ELEMENTS(cases),
						   bad_set_up, bad_tear_down);

	g_free(tests);
	return failed;
}
