/* Calibrations: from a job file to an issued certificate. */
#include "app/cli/book.h"

#include "app/base/file.h"
#include "app/service/book/calibrate.h"
#include "app/service/book/certificate.h"
#include "app/service/book/draft.h"
#include "app/service/book/import_job.h"
#include "app/service/book/plan.h"
#include "app/service/book/transcribe.h"

static int import_job(int argc, char **argv)
{
	const struct cli_book_form form = {
		"JOB CALIBRATION",
		"Brings a job file and its readings into the book as the calibration of that id.",
		NULL,
		2,
		2,
		true,
	};
	struct cli_book_call call = { 0 };
	g_autoptr(GString) output = g_string_new(NULL);
	bool good = false;

	if (cli_book_begin(&call, argc, argv, &form)) {
		const bool simulated = store_identity(call.book->store)->simulated;

		good = service_book_import_job(call.book, &call.act, call.arguments[0],
					       call.arguments[1],
					       simulated ? "simulated" : "imported", call.messages);
		g_string_append_printf(output, "calibration %s is in the book\n",
				       call.arguments[1]);
	}
	return cli_book_end(&call, good, output);
}

static int plan(int argc, char **argv)
{
	struct service_plan p = { NULL, NULL, NULL, NULL, false };
	g_autofree char *order = NULL;
	gboolean check = FALSE;
	const GOptionEntry own[] = {
		{ "order", 0, 0, G_OPTION_ARG_STRING, &order, "The order that asks for it",
		  "ORDER" },
		{ "check", 0, 0, G_OPTION_ARG_NONE, &check, "Indium too, as a redundant point",
		  NULL },
		{ NULL, 0, 0, G_OPTION_ARG_NONE, NULL, NULL, NULL },
	};
	const struct cli_book_form form = {
		"CALIBRATION THERMOMETER SUBRANGE ...",
		"Plans a calibration: the points in the order practice wants, R(TPW) after each.",
		own,
		3,
		13,
		true,
	};
	struct cli_book_call call = { 0 };
	g_autoptr(GString) output = g_string_new(NULL);
	bool good = false;

	if (cli_book_begin(&call, argc, argv, &form)) {
		p.calibration = call.arguments[0];
		p.thermometer = call.arguments[1];
		p.subranges = (const char *const *)call.arguments + 2;
		p.order = order;
		p.check = check;
		good = service_calibration_plan(call.book, &call.act, &p, output, call.messages);
	}
	return cli_book_end(&call, good, output);
}

static int transcribe(int argc, char **argv)
{
	struct service_transcription t = { NULL, NULL, NULL, NULL, NULL };
	g_autofree char *again = NULL, *again_by = NULL, *map = NULL;
	const GOptionEntry own[] = {
		{ "map", 0, 0, G_OPTION_ARG_FILENAME, &map,
		  "What columns, units, decimals and dates mean (docs/book.md)", "FILE" },
		{ "again", 0, 0, G_OPTION_ARG_FILENAME, &again,
		  "The same readings, typed a second time: both must agree", "FILE" },
		{ "again-by", 0, 0, G_OPTION_ARG_STRING, &again_by,
		  "Who typed them the second time: somebody else", "PERSON" },
		{ NULL, 0, 0, G_OPTION_ARG_NONE, NULL, NULL, NULL },
	};
	const struct cli_book_form form = {
		"VISIT FILE", "Brings readings of an old file into an open visit.", own, 2, 2, true
	};
	struct cli_book_call call = { 0 };
	g_autoptr(GString) output = g_string_new(NULL);
	size_t n = 0;
	bool good = false;

	if (cli_book_begin(&call, argc, argv, &form)) {
		t.visit = call.arguments[0];
		t.file = call.arguments[1];
		t.map = map;
		t.again = again;
		t.again_by = again_by;
		if (map == NULL)
			call.status =
			    cli_wrong(&call.common, "write --map FILE, which says what the "
						    "columns mean; docs/book.md shows one");
		else
			good = service_book_transcribe(call.book, &call.act, &t, &n, call.messages);
		g_string_append_printf(output, "%zu readings are in visit %s\n", n, t.visit);
	}
	return cli_book_end(&call, good, output);
}

static int reduce(int argc, char **argv)
{
	const struct cli_book_form form = {
		"CALIBRATION", "Reduces a calibration from what the book holds.", NULL, 1, 1, true
	};
	struct cli_book_call call = { 0 };
	g_autoptr(GString) output = g_string_new(NULL);
	bool good = false;

	if (cli_book_begin(&call, argc, argv, &form))
		good = service_calibration_reduce(call.book, &call.act, call.arguments[0], output,
						  call.messages);
	return cli_book_end(&call, good, output);
}

static int agree(int argc, char **argv)
{
	const struct cli_book_form form = {
		"CALIBRATION",
		"You have looked through a reduced calibration and agree: it becomes checked.",
		NULL,
		1,
		1,
		true,
	};
	struct cli_book_call call = { 0 };
	g_autoptr(GString) output = g_string_new(NULL);
	bool good = false;

	if (cli_book_begin(&call, argc, argv, &form)) {
		good = service_calibration_check(call.book, &call.act, call.arguments[0],
						 call.messages);
		g_string_append_printf(output, "calibration %s is checked\n", call.arguments[0]);
	}
	return cli_book_end(&call, good, output);
}

static int issue(int argc, char **argv)
{
	g_autofree char *replaces = NULL;
	const GOptionEntry own[] = {
		{ "replaces", 0, 0, G_OPTION_ARG_STRING, &replaces,
		  "The certificate that this one replaces", "NUMBER" },
		{ NULL, 0, 0, G_OPTION_ARG_NONE, NULL, NULL, NULL },
	};
	const struct cli_book_form form = { "CALIBRATION NUMBER",
					    "Issues the certificate of a checked calibration.",
					    own,
					    2,
					    2,
					    true };
	struct cli_book_call call = { 0 };
	g_autoptr(GString) output = g_string_new(NULL);
	bool good = false;

	if (cli_book_begin(&call, argc, argv, &form)) {
		good = service_certificate_issue(call.book, &call.act, call.arguments[0],
						 call.arguments[1], replaces, call.messages);
		g_string_append_printf(output, "certificate %s is issued\n", call.arguments[1]);
	}
	return cli_book_end(&call, good, output);
}

static bool write_bytes(struct cli_book_call *call, GBytes *bytes, const char *path)
{
	g_autoptr(GError) error = NULL;

	if (path == NULL)
		return true;
	if (base_file_write(path, g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes), &error))
		return true;
	base_messages_add(call->messages, base_file_error_kind(error), path,
			  (struct base_mark){ 0, 0 }, "%s", error->message);
	return false;
}

static bool write_file(struct cli_book_call *call, const char *which, const char *path)
{
	g_autoptr(GBytes) bytes = NULL;

	if (path == NULL)
		return true;
	bytes = service_certificate_file(call->book, call->arguments[0], which, call->messages);
	return bytes != NULL && write_bytes(call, bytes, path);
}

static int draft(int argc, char **argv)
{
	g_autofree char *pdf = NULL, *result = NULL, *job = NULL, *readings = NULL;
	const GOptionEntry own[] = {
		{ "pdf", 0, 0, G_OPTION_ARG_FILENAME, &pdf, "Write the certificate as a draft",
		  "FILE" },
		{ "result", 0, 0, G_OPTION_ARG_FILENAME, &result, "Write its data file", "FILE" },
		{ "job", 0, 0, G_OPTION_ARG_FILENAME, &job,
		  "Write it as a job file, which firn reduce takes", "FILE" },
		{ "readings", 0, 0, G_OPTION_ARG_FILENAME, &readings,
		  "Write the readings of that job", "FILE" },
		{ NULL, 0, 0, G_OPTION_ARG_NONE, NULL, NULL, NULL },
	};
	const struct cli_book_form form = {
		"CALIBRATION",
		"Writes what a calibration would be on paper, from its records as they are now: "
		"for "
		"who\nchecks it before anybody answers for it.",
		own,
		1,
		1,
		false,
	};
	struct cli_book_call call = { 0 };
	bool good = false;

	if (cli_book_begin(&call, argc, argv, &form)) {
		struct service_draft d;

		if (pdf == NULL && result == NULL && job == NULL && readings == NULL)
			call.status = cli_wrong(&call.common, "say what to write: --pdf, --result, "
							      "--job or --readings FILE");
		else {
			good = service_calibration_draft(call.book, call.arguments[0], &d,
							 call.messages) &&
			       write_bytes(&call, d.pdf, pdf) &&
			       write_bytes(&call, d.result, result) &&
			       write_bytes(&call, d.job, job) &&
			       write_bytes(&call, d.readings, readings);
			service_draft_clear(&d);
		}
	}
	return cli_book_end(&call, good, NULL);
}

static int certificate(int argc, char **argv)
{
	g_autofree char *pdf = NULL, *result = NULL, *job = NULL, *readings = NULL;
	const GOptionEntry own[] = {
		{ "pdf", 0, 0, G_OPTION_ARG_FILENAME, &pdf, "Write the certificate", "FILE" },
		{ "result", 0, 0, G_OPTION_ARG_FILENAME, &result, "Write its data file", "FILE" },
		{ "job", 0, 0, G_OPTION_ARG_FILENAME, &job, "Write the job behind it", "FILE" },
		{ "readings", 0, 0, G_OPTION_ARG_FILENAME, &readings,
		  "Write the readings behind it", "FILE" },
		{ NULL, 0, 0, G_OPTION_ARG_NONE, NULL, NULL, NULL },
	};
	const struct cli_book_form form = {
		"NUMBER", "Writes the files of an issued certificate, as they were issued.",
		own,      1,
		1,        false
	};
	struct cli_book_call call = { 0 };
	bool good = false;

	if (cli_book_begin(&call, argc, argv, &form))
		good = write_file(&call, "pdf", pdf) && write_file(&call, "result", result) &&
		       write_file(&call, "job", job) && write_file(&call, "readings", readings);
	return cli_book_end(&call, good, NULL);
}

const struct cli_book_action cli_book_work[] = {
	{ "plan", plan, "a calibration before it begins: points in their order" },
	{ "job", import_job, "a job file and its readings become a calibration of the book" },
	{ "transcribe", transcribe, "readings of an old file become those of a visit" },
	{ "reduce", reduce, "a calibration from its readings to its result" },
	{ "draft", draft, "its certificate as a draft, its job and readings, for who checks" },
	{ "agree", agree, "a checker agrees with a reduced calibration" },
	{ "issue", issue, "a signatory issues the certificate of a checked one" },
	{ "certificate", certificate, "the files of an issued certificate" },
	{ NULL, NULL, NULL },
};
