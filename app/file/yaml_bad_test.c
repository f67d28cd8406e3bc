/* Files that are no YAML, or more YAML than our files use. */
#include "app/file/bad_job.h"

static const struct bad_case cases[] = {
	{ "not closed", "{id: T-0417, sensor: long stem, nominal_ohm: 25.5}",
	  "{id: T-0417, sensor: long stem",
	  "3:10: a { is not closed before this place; add , or } (it opened on line 2)" },
	{ "tab", "  B1: {u", "\tB1: {u", "6:1: a tab; YAML is indented with spaces" },
	{ "colon in a text", "tpw: after", "tpw: after: all",
	  "18:11: a second \": \" on one line; put a text with a colon in quotes, or check the "
	  "indentation" },
	{ "key without colon", "tpw: after", "tpw after",
	  "18:1: a key without its \": \"; write key: value" },
	{ "indentation", "  AL: {point", "   AL: {point",
	  "9:4: a key is missing, or the indentation differs from the lines above; align it with "
	  "them (they begin on line 8)" },
	{ "value starts with @", "tpw: after", "tpw: @after",
	  "18:6: a value cannot start with @; put it in quotes" },
	{ "value starts with %", "tpw: after", "tpw: %after",
	  "18:6: a value cannot start with %; put it in quotes" },
	{ "quote not closed", "id: T-0417", "id: \"T-0417",
	  "2:19: a quote opens here and is never closed; add the closing quote" },
	{ "bracket not closed", "subranges: all", "subranges: [H2O_Al, Hg_Ga",
	  "20:9: a [ is not closed before this place; add , or ] (it opened on line 19)" },
	{ "escape in quotes", "id: T-0417", "id: \"T\\-0417\"",
	  "2:21: a \\ in double quotes starts an escape; use single quotes to write it as it is" },
	{ "list beside keys", "tpw: after", "- tpw",
	  "18:1: a key is missing, or the indentation differs from the lines above; align it with "
	  "them (they begin on line 1)" },
	{ "alias", "cells:\n", "cells: &a\n  X: *a\n",
	  "8:6: aliases (*name) are not used here; write the value once more" },
	{ "tag", "id: 12", "id: !!str 12",
	  "16:10: tags (!...) are not used here; write the value alone" },
	{ "second document", "tpw: after", "---\ntpw: after",
	  "18:1: a second document starts here; a file holds one: remove the ---" },
	{ "key is a list", "tpw: after", "[tpw]: after",
	  "18:1: a key is a word, not a list; write key: value" },
	{ "duplicate key", "depth_m: 0.17,", "depth_m: 0.17, depth_m: 0.18,",
	  "13:63: the key \"depth_m\" stands twice, first on line 13; keep one of them" },
	{ "duplicate section", "bridges:", "cells: {}\nbridges:",
	  "8:1: the key \"cells\" stands twice, first on line 5; keep one of them" },
	{ "empty file", NULL, "",
	  "1:1: the file is empty; it begins with its kind, such as kind: fixed-point "
	  "calibration" },
	{ "comment only", NULL, "# nothing\n",
	  "1:1: the file is empty; it begins with its kind, such as kind: fixed-point "
	  "calibration" },
	{ "not a mapping", NULL, "- kind: fixed-point calibration\n",
	  "1:1: the job is a list here; it has to be made of keys with values, as in key: value" },
	{ "a single word", NULL, "readings.csv\n",
	  "1:1: the job is a single value here; it has to be made of keys with values, as in key: "
	  "value" },
	{ "utf-16", NULL, "\xff\xfek\x01",
	  "1:1: this is text in UTF-16 or UTF-32; save it as UTF-8" },
	{ "latin-1", "long stem,", "long stem, maker: K\xf6hler,",
	  "2:54: this character is not in UTF-8 (byte 0xF6); save the file as UTF-8" },
	{ "control character", "T-0417",
	  "T\x07"
	  "0417",
	  "2:20: a character that can't be seen, U+0007, has no place in a text file; remove it" },
	{ "line separator", "T-0417",
	  "T\xe2\x80\xa8"
	  "0417",
	  "2:20: a character that can't be seen, U+2028, has no place in a text file; remove it" },
	{ "invisible character", "T-0417",
	  "T\xe2\x80\x8b"
	  "0417",
	  "2:20: a character that can't be seen, U+200B, has no place in a text file; remove it" },
	{ "text turned round", "T-0417",
	  "T\xe2\x80\xae"
	  "0417",
	  "2:20: a character that can't be seen, U+202E, has no place in a text file; remove it" },
	{ "byte order mark in the middle", "tpw: after", "\xef\xbb\xbftpw: after",
	  "18:1: a character that can't be seen, U+FEFF, has no place in a text file; remove it" },
	{ "a colon on the line of a byte order mark", "kind: f", "\xef\xbb\xbfkind: b: f",
	  "1:8: a second \": \" on one line; put a text with a colon in quotes, or check the "
	  "indentation" },
	{ "a } too many", "u_linearity: 2e-8}", "u_linearity: 2e-8}}",
	  "6:26: a } that closes nothing; remove it" },
	{ "a dash forgotten", "  - {id: 2", "  {id: 2",
	  "13:3: a { } cannot stand here by itself; in a list a \"- \" stands before it" },
	{ "another version of YAML", "kind: f", "%YAML 9.9\n---\nkind: f",
	  "1:1: this asks for another version of YAML; remove the line that begins with %" },
	{ "too deep", "subranges: all",
	  "subranges: "
	  "[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]",
	  "19:43: lists and mappings within one another deeper than 32; no file needs that" },
};

int main(void)
{
	struct CMUnitTest *tests = bad_tests(cases, G_N_ELEMENTS(cases), bad_job_case);
	const int failed = _cmocka_run_group_tests("bad YAML", tests, G_N_ELEMENTS(cases),
						   bad_set_up, bad_tear_down);

	g_free(tests);
	return failed;
}
