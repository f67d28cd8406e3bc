/* Guided procedures: the program's own are whole, and a laboratory takes no caution away. */
#include "app/file/bad_test.h"
#include "app/file/procedure.h"
#include "app/report/procedure.h"

static const char good[] = "kind: procedure change\n"
			   "procedure: tpw-dry-ice\n"
			   "source: quality manual 7.3, revision 4\n"
			   "cautions:\n"
			   "  wet-floor: {hazard: Wet floor, caution: Wipe it., source: own}\n"
			   "steps:\n"
			   "  cool-first: {leave_out: the cells live in the bath}\n"
			   "  dry: {do: Dry it., cautions: [wet-floor, alcohol, glass-and-cold]}\n"
			   "  fill: {time: {least: 25, most: 30, unit: min, source: own}}\n"
			   "  weigh: {after: fill, do: Weigh it., why: To know., source: own}\n";

static const struct bad_case cases[] = {
	{ "a caution taken away", "wet-floor, alcohol, ", "wet-floor, ",
	  "8:32: step dry is no longer shown with alcohol; a laboratory adds cautions and takes "
	  "none away: list it too" },
	{ "all cautions taken away", "[wet-floor, alcohol, glass-and-cold]", "[]",
	  "8:32: step dry is no longer shown with alcohol, glass-and-cold; a laboratory adds "
	  "cautions and takes none away: list it too" },
	{ "a step with cautions left out",
	  "fill: {time: {least: 25, most: 30, unit: min, source: own}}",
	  "fill: {leave_out: no dry ice here}",
	  "9:10: step fill is shown with dry-ice, alcohol, ice-bursts-glass and can't be left "
	  "out; change what it says instead" },
	{ "a caution's words changed", "wet-floor: {", "dry-ice: {",
	  "5:3: caution dry-ice is the program's own, and its words stay; add one of another name "
	  "beside it\n"
	  "8:33: there is no caution \"wet-floor\"; describe it under cautions, or take one of "
	  "firn cell procedure --cautions" },
	{ "a caution misspelt", "glass-and-cold", "glass-and-colt",
	  "8:53: there is no caution \"glass-and-colt\"; did you mean glass-and-cold?" },
	{ "a caution without its words", "caution: Wipe it., ", "",
	  "5:3: caution wet-floor has no caution; say what to do about it" },
	{ "a step that moves", "fill: {", "fill: {after: dry, ",
	  "9:10: after would move a step; its place stays" },
	{ "a new step without a place", "after: fill, ", "",
	  "10:3: step weigh has no after; it is a new step; name the one that it comes after, or "
	  "before" },
	{ "a new step after none", "after: fill", "after: fil",
	  "10:18: there is no step fil in tpw-dry-ice; did you mean fill?" },
	{ "two places", "after: fill", "after: fill, before: fill",
	  "10:24: before and after exclude each other; keep one of them" },
	{ "a step's name", "weigh:", "Weigh:",
	  "10:3: \"Weigh\" cannot be the name of a step; use small letters, digits and - between "
	  "them, at most 40, such as keep-open" },
	{ "times exchanged", "least: 25, most: 30", "least: 30, most: 25",
	  "9:16: least is more than most; exchange them" },
	{ "a time without its source", "unit: min, source: own", "unit: min",
	  "9:10: time has no source; say where the time comes from" },
	{ "a unit of time", "unit: min", "unit: hours",
	  "9:44: unit is \"hours\"; it is one of s, min, h or d" },
	{ "another procedure", "procedure: tpw-dry-ice", "procedure: ga-melt",
	  "2:12: the file changes ga-melt, and tpw-dry-ice was asked for; ask for ga-melt" },
	{ "nobody's words", "source: quality manual 7.3, revision 4\n", "",
	  "1:1: the procedure has no source; say whose words these are, as in source: quality "
	  "manual 7.3, revision 4" },
	{ "a key misspelt", "leave_out:", "leaveout:",
	  "7:16: step cool-first has no key \"leaveout\"; did you mean leave_out?" },
	{ "another kind", "procedure change", "measurement model",
	  "1:7: kind is \"measurement model\", for which there is another command; this command "
	  "reads kind: procedure change" },
};

static void bad_change(void **state)
{
	const struct bad_case *c = *state;
	g_autofree char *text = bad_edit(good, c);
	g_autoptr(base_messages) messages = base_messages_new();

	bad_write("change.yaml", text);
	g_autoptr(lab_procedure) got = file_read_procedure("tpw-dry-ice", "change.yaml", messages);
	g_autofree char *said = bad_messages(messages, "change.yaml");
	assert_string_equal(said, c->want);
	assert_null(got);
	assert_int_equal(base_messages_exit_status(messages), 2);
}

static void good_change(void **state)
{
	g_autoptr(base_messages) messages = base_messages_new();
	const struct lab_step *step;
	guint fill, weigh;

	(void)state;
	bad_write("change.yaml", good);
	g_autoptr(lab_procedure) got = file_read_procedure("tpw-dry-ice", "change.yaml", messages);
	assert_non_null(got);
	assert_null(lab_procedure_step(got, "cool-first", NULL));
	step = lab_procedure_step(got, "dry", NULL);
	assert_string_equal(step->what, "Dry it.");
	assert_string_equal(step->changed, "changed");
	assert_int_equal(step->cautions->len, 3);
	step = lab_procedure_step(got, "fill", &fill);
	assert_near(step->time.least, 25.0, 0.0);
	assert_int_equal(step->cautions->len, 3); /* nothing was said of them: they stay */
	step = lab_procedure_step(got, "weigh", &weigh);
	assert_int_equal(weigh, fill + 1);
	assert_string_equal(step->changed, "added");
}

/* What is kept in the book must come back as it was, words of the day included. */
static void kept_again(const lab_procedure *procedure)
{
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(GString) first = g_string_new(NULL), second = g_string_new(NULL);

	report_procedure_json(procedure, first);
	g_autoptr(GBytes) bytes = g_bytes_new(first->str, first->len);
	g_autoptr(lab_procedure) again = file_parse_kept_procedure("kept", bytes, messages);
	assert_non_null(again);
	report_procedure_json(again, second);
	assert_string_equal(first->str, second->str);
}

static void the_programs_own(void **state)
{
	(void)state;
	for (const char *const *name = file_procedure_names(); *name != NULL; name++) {
		g_autoptr(base_messages) messages = base_messages_new();
		g_autoptr(lab_procedure) got = file_read_procedure(*name, NULL, messages);
		g_autofree char *said = bad_messages(messages, "");

		assert_string_equal(said, "");
		assert_string_equal(got->name, *name);
		assert_true(got->steps->len > 0);
		kept_again(got);
	}
}

/* Each caution stands in the text before what the first step with it does. */
static void cautions_come_first(void **state)
{
	(void)state;
	for (const char *const *name = file_procedure_names(); *name != NULL; name++) {
		g_autoptr(base_messages) messages = base_messages_new();
		g_autoptr(lab_procedure) got = file_read_procedure(*name, NULL, messages);
		g_autoptr(GString) whole = g_string_new(NULL);
		const char *at;

		report_procedure_text(got, whole);
		at = whole->str;
		for (guint i = 0; i < got->steps->len; i++) {
			const struct lab_step *step = got->steps->pdata[i];
			g_autofree char *heading = g_strdup_printf("\n%2u  %s\n", i + 1, step->id);
			g_autofree char *does = g_strdup_printf("\n    %.20s", step->what);
			const char *const from = strstr(at, heading);
			const char *const done = from == NULL ? NULL : strstr(from, does);

			assert_non_null(done);
			for (guint c = 0; c < step->cautions->len; c++) {
				const struct lab_caution *caution = step->cautions->pdata[c];
				g_autofree char *mark =
				    g_strdup_printf("!! CAUTION, %s", caution->hazard);
				const char *const shown = strstr(from, mark);

				assert_non_null(shown);
				assert_true(shown < done);
			}
			at = done;
		}
	}
}

int main(void)
{
	const struct CMUnitTest whole[] = {
		cmocka_unit_test(good_change),
		cmocka_unit_test(the_programs_own),
		cmocka_unit_test(cautions_come_first),
	};
	const size_t n = G_N_ELEMENTS(cases);
	struct CMUnitTest *tests = bad_tests(cases, n, bad_change);

	tests = g_renew(struct CMUnitTest, tests, n + G_N_ELEMENTS(whole));
	memcpy(tests + n, whole, sizeof whole);
	const int failed = _cmocka_run_group_tests("procedures", tests, n + G_N_ELEMENTS(whole),
						   bad_set_up, bad_tear_down);
	g_free(tests);
	return failed;
}
