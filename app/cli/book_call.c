#include "app/cli/book.h"

#include "app/base/time.h"

#include <string.h>

static bool wrong(struct cli_book_call *call, int status)
{
	call->status = status;
	return false;
}

/* What was given as an option, or else stands in the environment. */
static void fill_in(char **text, const char *variable)
{
	if (*text == NULL)
		*text = g_strdup(g_getenv(variable));
}

static bool names_are_there(struct cli_book_call *call, bool writes)
{
	if (call->where == NULL || call->where[0] == '\0')
		return wrong(call,
			     cli_wrong(&call->common, "no book is named; write --book FILE, or set "
						      "FIRN_BOOK"));
	if (writes && (call->person == NULL || call->person[0] == '\0'))
		return wrong(call, cli_wrong(&call->common,
					     "it isn't said who acts; write --as PERSON, or set "
					     "FIRN_PERSON"));
	if (writes && strcmp(call->person, "init") == 0)
		return wrong(call, cli_wrong(&call->common,
					     "init is nobody's id; write --as and the id of a "
					     "person"));
	return true;
}

/* The options of every action, and the action's own. Who only reads may say who it is, as scripts
   do that say it always, but needn't be told of it. */
static GOptionEntry *all_options(struct cli_book_call *call, const struct cli_book_form *form,
				 bool day)
{
	const GOptionEntry *own = form->own;
	const int hidden = form->writes ? 0 : G_OPTION_FLAG_HIDDEN;
	const GOptionEntry shared[] = {
		{ "book", 0, 0, G_OPTION_ARG_FILENAME, &call->where,
		  "The book: a file or postgresql://...", "BOOK" },
		{ "as", 0, hidden, G_OPTION_ARG_STRING, &call->person, "Who acts", "PERSON" },
		{ "why", 0, hidden, G_OPTION_ARG_STRING, &call->why, "The reason", "TEXT" },
		{ "at", 0, day ? 0 : hidden, G_OPTION_ARG_STRING, &call->at,
		  day ? "On which day; without it today"
		      : "When, in a book of simulated work; a real book takes the clock's "
			"time",
		  day ? "DATE" : "TIME" },
	};
	size_t n = 0;
	GOptionEntry *all;

	while (own != NULL && own[n].long_name != NULL)
		n++;
	all = g_new0(GOptionEntry, n + G_N_ELEMENTS(shared) + 1);
	memcpy(all, shared, sizeof shared);
	if (n > 0)
		memcpy(all + G_N_ELEMENTS(shared), own, n * sizeof *own);
	return all;
}

/* The time of an act can be chosen where nothing is real; a day can be looked at in any book. */
static bool time_is_right(struct cli_book_call *call, bool day)
{
	const char *fault;

	if (call->at == NULL)
		return true;
	if (day)
		return base_date_is_valid(call->at) ||
		       wrong(call, cli_wrong(&call->common, "--at is a date such as 2031-03-04"));
	if (!store_identity(call->book->store)->simulated)
		return wrong(call,
			     cli_wrong(&call->common, "--at is for books of simulated work; "
						      "in this one the clock tells the time"));
	fault = base_time_parse(call->at, strlen(call->at), &call->act.time_us);
	return fault == NULL || wrong(call, cli_wrong(&call->common, "--at %s", fault));
}

/* What the usage names beyond the arguments that are there. */
static char *missing_words(const struct cli_book_call *call, const struct cli_book_form *form)
{
	g_auto(GStrv) words = g_strsplit(form->usage, " ", -1);
	GString *missing = g_string_new(NULL);

	for (int i = call->n; i < form->least; i++)
		g_string_append_printf(missing, "%s%s",
				       i == call->n           ? ""
				       : i + 1 == form->least ? " and "
							      : ", ",
				       words[i]);
	g_string_append(missing, form->least - call->n == 1 ? " is missing" : " are missing");
	return g_string_free(missing, FALSE);
}

static bool count_is_right(struct cli_book_call *call, const struct cli_book_form *form)
{
	g_autofree char *fault = NULL;

	if (call->n < form->least)
		fault = missing_words(call, form);
	else if (call->n > form->most)
		fault = g_strdup_printf("'%.60s' is too much", call->arguments[form->most]);
	return fault == NULL || wrong(call, cli_wrong(&call->common, "%s; usage: %s %s", fault,
						      g_get_prgname(), form->usage));
}

static bool begin(struct cli_book_call *call, int argc, char **argv,
		  const struct cli_book_form *form, bool day)
{
	g_autofree GOptionEntry *options = all_options(call, form, day);

	call->messages = base_messages_new();
	if (!cli_options(&argc, &argv, form->usage, form->summary, options, &call->common,
			 &call->status))
		return false;
	call->arguments = argv + 1;
	call->n = argc - 1;
	if (!count_is_right(call, form))
		return false;
	fill_in(&call->where, "FIRN_BOOK");
	fill_in(&call->person, "FIRN_PERSON");
	if (!names_are_there(call, form->writes))
		return false;
	call->act = (struct service_act){ call->person, 0, call->why };
	call->book = service_book_open(call->where, form->writes, call->messages);
	if (call->book == NULL)
		return wrong(call, cli_report(&call->common, call->messages));
	return time_is_right(call, day);
}

bool cli_book_begin(struct cli_book_call *call, int argc, char **argv,
		    const struct cli_book_form *form)
{
	return begin(call, argc, argv, form, false);
}

bool cli_book_begin_at_day(struct cli_book_call *call, int argc, char **argv,
			   const struct cli_book_form *form)
{
	return begin(call, argc, argv, form, true);
}

/* What a command found rests on all that it asked the book for. */
static bool was_read(struct cli_book_call *call)
{
	const GError *trouble = store_trouble(call->book->store);

	if (trouble == NULL || base_messages_count(call->messages, BASE_FAILURE) > 0)
		return trouble == NULL;
	service_book_say(call->messages, call->where, g_error_copy(trouble));
	return false;
}

int cli_book_end(struct cli_book_call *call, bool good, const GString *output)
{
	int status = call->status;

	if (call->book != NULL && status == CLI_DONE) {
		good = was_read(call) && good;
		status = cli_report(&call->common, call->messages);
		if (!good && status == CLI_DONE)
			status = CLI_FAILED;
		if (good && output != NULL) {
			const int printed = cli_print(&call->common, output->str, output->len);

			status = printed != CLI_DONE ? printed : status;
		}
	}
	service_book_close(call->book);
	base_messages_free(call->messages);
	g_free(call->where);
	g_free(call->person);
	g_free(call->why);
	g_free(call->at);
	return status;
}
