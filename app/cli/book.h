/* What the actions of `firn book` share. */
#ifndef CLI_BOOK_H
#define CLI_BOOK_H

#include "app/cli/cli.h"
#include "app/service/book/book.h"

struct cli_book_action {
	const char *name;
	int (*run)(int argc, char **argv);
	const char *summary;
};
/* Each ends with a name of NULL. */
extern const struct cli_book_action cli_book_whole[];   /* the book as one thing */
extern const struct cli_book_action cli_book_records[]; /* what stands in it */
extern const struct cli_book_action cli_book_work[];    /* calibrations and certificates */

extern const struct cli_book_action cli_book_answers[]; /* what an assessor asks */
extern const struct cli_book_action cli_book_limits[];  /* what holds a release back */

extern const struct cli_book_action cli_book_guide[]; /* procedures, step by step */

extern const struct cli_book_action cli_book_readings[]; /* readings by the million */

extern const struct cli_book_action cli_book_today[]; /* what there is to do */

/* An action on its way: options read, the book open. */
struct cli_book_call {
	struct cli_common common;
	char *where, *person, *why; /* as the options or the environment say */
	char *at;                   /* the time of the act, in a simulated book */
	char **arguments;           /* behind the options; ends with NULL */
	int n;
	service_book *book;
	base_messages *messages;
	struct service_act act;
	int status; /* CLI_DONE, or why there is nothing more to do */
};

/*
 * Reads options and opens the book. own may be NULL. least and most: how many arguments the action
 * takes; writes: whether it needs to know who acts. False: call->status says how the action ends,
 * and what is wrong has been said.
 */
struct cli_book_form {
	const char *usage, *summary;
	const GOptionEntry *own;
	int least, most;
	bool writes;
};
bool cli_book_begin(struct cli_book_call *call, int argc, char **argv,
		    const struct cli_book_form *form);
/* The same where --at is a day (YYYY-MM-DD) that is looked at, in any book. */
bool cli_book_begin_at_day(struct cli_book_call *call, int argc, char **argv,
			   const struct cli_book_form *form);

/* Prints the output (may be NULL), says the messages, frees everything; the exit status. */
int cli_book_end(struct cli_book_call *call, bool good, const GString *output);

#endif
