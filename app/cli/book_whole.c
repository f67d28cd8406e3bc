/* The book as one thing: made, checked, copied. */
#include "app/cli/book.h"

#include "app/base/time.h"
#include "app/cli/book_answer.h"
#include "app/service/book/check_book.h"
#include "app/service/book/export.h"

#include <string.h>

static int init(int argc, char **argv)
{
	g_autofree char *laboratory = NULL, *address = NULL, *name = NULL, *person = NULL,
			*at = NULL;
	gboolean simulated = FALSE;
	int64_t time_us = 0;
	const char *fault;
	const GOptionEntry own[] = {
		{ "laboratory", 0, 0, G_OPTION_ARG_STRING, &laboratory,
		  "Name of the laboratory, as on certificates", "NAME" },
		{ "address", 0, 0, G_OPTION_ARG_STRING, &address, "Its address", "TEXT" },
		{ "as", 0, 0, G_OPTION_ARG_STRING, &person, "Id of the first person", "PERSON" },
		{ "name", 0, 0, G_OPTION_ARG_STRING, &name, "Name of the first person", "NAME" },
		{ "simulated", 0, 0, G_OPTION_ARG_NONE, &simulated,
		  "For invented work: every certificate says SPECIMEN", NULL },
		{ "at", 0, 0, G_OPTION_ARG_STRING, &at,
		  "When it begins, for a book of simulated work", "TIME" },
		{ NULL, 0, 0, G_OPTION_ARG_NONE, NULL, NULL, NULL },
	};
	struct cli_common common = { 0 };
	g_autoptr(base_messages) messages = base_messages_new();
	int status = CLI_DONE;

	if (!cli_options(&argc, &argv, "BOOK", "Makes a new book: a file, or postgresql://...", own,
			 &common, &status))
		return status;
	if (argc != 2)
		return cli_wrong(&common,
				 "name the one book to be made; usage: firn book init BOOK");
	if (laboratory == NULL || address == NULL || person == NULL || name == NULL)
		return cli_wrong(&common,
				 "a book begins with --laboratory NAME --address TEXT and the "
				 "first person, who may let others in: --as PERSON --name "
				 "NAME");
	if (at != NULL && !simulated)
		return cli_wrong(&common, "--at is for books of simulated work; in others the "
					  "clock tells the time");
	fault = at != NULL ? base_time_parse(at, strlen(at), &time_us) : NULL;
	if (fault != NULL)
		return cli_wrong(&common, "--at %s", fault);
	const struct service_beginning beginning = { .where = argv[1],
						     .laboratory = laboratory,
						     .address = address,
						     .person = person,
						     .name = name,
						     .simulated = simulated,
						     .time_us = time_us };
	service_book_create(&beginning, messages);
	return cli_report(&common, messages);
}

struct faults {
	GString *text;
	int n;
};

static void note_fault(const char *place, const char *what, void *data)
{
	struct faults *faults = data;

	faults->n++;
	g_string_append_printf(faults->text, "%s: %s\n", place, what);
}

static int check(int argc, char **argv)
{
	const struct cli_book_form form = { "",
					    "Reads everything, computes every hash anew, and looks "
					    "whether records, readings and "
					    "files that belong together are there.",
					    NULL,
					    0,
					    0,
					    false };
	struct cli_book_call call = { 0 };
	g_autoptr(GString) output = g_string_new(NULL);
	struct faults faults = { output, 0 };
	bool good = false;

	if (cli_book_begin(&call, argc, argv, &form)) {
		GError *error = NULL;

		good = store_check(call.book->store, note_fault, &faults, &error);
		if (!good)
			service_book_say(call.messages, call.where, error);
		good = good &&
		       service_book_check_records(call.book, note_fault, &faults, call.messages);
		if (faults.n == 0)
			g_string_append(output, "the book is sound\n");
		good = good && service_book_tell_overdue(call.book, output, call.messages);
	}
	const int status = cli_book_end(&call, good, output);
	return status == CLI_DONE && faults.n > 0 ? CLI_NOT_ACCEPTED : status;
}

static void tell_last(const json_t *answer, GString *to)
{
	const json_t *entry = json_object_get(answer, "last");

	if (entry == NULL) {
		g_string_append(to, "nothing stands in the log\n");
		return;
	}
	g_string_append_printf(to, "entry %" G_GINT64_FORMAT " of the log, ",
			       cli_book_integer(entry, "entry"));
	cli_book_tell_time(entry, "time", to);
	g_string_append_printf(to, " by %s: %s %s %s, version %" G_GINT64_FORMAT "\nhash %s\n",
			       cli_book_text(entry, "who"), cli_book_text(entry, "action"),
			       cli_book_text(entry, "kind"), cli_book_text(entry, "id"),
			       cli_book_integer(entry, "version"), cli_book_text(entry, "hash"));
}

static int last(int argc, char **argv)
{
	const struct cli_book_form form = {
		"",
		"The last entry of the log and its hash, which stands for everything before it.\n"
		"Two books with the same last entry are the same book; noted elsewhere, it shows\n"
		"later whether the log was written anew.",
		NULL,
		0,
		0,
		false
	};
	struct cli_book_call call = { 0 };
	json_t *answer = json_object();
	bool good = false;

	if (cli_book_begin(&call, argc, argv, &form)) {
		GError *error = NULL;
		struct store_entry entry;

		good = store_last(call.book->store, &entry, &error);
		if (!good)
			service_book_say(call.messages, call.where, error);
		else if (entry.seq > 0)
			json_object_set_new(answer, "last", cli_book_entry(&entry));
		store_entry_clear(&entry);
	}
	return cli_book_answer(&call, good, answer, tell_last);
}

static int backup(int argc, char **argv)
{
	const struct cli_book_form form = {
		"FILE", "Makes a copy while others may work, opens and checks it.", NULL, 1, 1,
		false
	};
	struct cli_book_call call = { 0 };
	g_autoptr(GString) output = g_string_new(NULL);
	bool good = false;

	if (cli_book_begin(&call, argc, argv, &form)) {
		GError *error = NULL;

		good = store_backup(call.book->store, call.arguments[0], &error);
		if (!good)
			service_book_say(call.messages, call.arguments[0], error);
		g_string_append_printf(output, "%s is a sound copy\n", call.arguments[0]);
	}
	return cli_book_end(&call, good, output);
}

static int move(int argc, char **argv)
{
	const struct cli_book_form form = {
		"BOOK",
		"Copies the whole book to another database, a file or postgresql://..., and checks "
		"it there.\nThe old one stays as it is: nothing more should be written into it.",
		NULL,
		1,
		1,
		false,
	};
	struct cli_book_call call = { 0 };
	g_autoptr(GString) output = g_string_new(NULL);
	bool good = false;

	if (cli_book_begin(&call, argc, argv, &form)) {
		GError *error = NULL;

		good = store_move(call.book->store, call.arguments[0], &error);
		if (!good)
			service_book_say(call.messages, call.arguments[0], error);
		g_string_append_printf(output, "the book is in %s now\n", call.arguments[0]);
	}
	return cli_book_end(&call, good, output);
}

static int export(int argc, char **argv)
{
	const struct cli_book_form form = {
		"FOLDER", "Writes the whole book as plain files, with their hashes.", NULL, 1, 1,
		false
	};
	struct cli_book_call call = { 0 };
	bool good = false;

	if (cli_book_begin(&call, argc, argv, &form))
		good = service_book_export(call.book, call.arguments[0], call.messages);
	return cli_book_end(&call, good, NULL);
}

static int import(int argc, char **argv)
{
	struct cli_common common = { 0 };
	g_autoptr(base_messages) messages = base_messages_new();
	int status = CLI_DONE;

	if (!cli_options(&argc, &argv, "FOLDER BOOK",
			 "Makes a new book from a folder that firn book export wrote.", NULL,
			 &common, &status))
		return status;
	if (argc != 3)
		return cli_wrong(&common,
				 "name the exported folder and the book to be made; usage: "
				 "firn book import FOLDER BOOK");
	service_book_import_folder(argv[1], argv[2], messages);
	return cli_report(&common, messages);
}

const struct cli_book_action cli_book_whole[] = {
	{ "init", init, "make a new book" },
	{ "check", check, "whether everything is as it was written" },
	{ "last", last, "the last entry of the log and its hash, to be noted elsewhere" },
	{ "backup", backup, "a checked copy, made while others work" },
	{ "move", move, "the whole book to another database, and back" },
	{ "export", export, "the whole book as plain files, for twenty years" },
	{ "import", import, "a new book from an exported folder" },
	{ NULL, NULL, NULL },
};
