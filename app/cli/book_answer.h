/* What an action of `firn book` answers: text for people, with --json the same for programs. */
#ifndef CLI_BOOK_ANSWER_H
#define CLI_BOOK_ANSWER_H

#include "app/cli/book.h"

/* The answer as text for people, at the end of `to`. */
typedef void cli_book_tell(const json_t *answer, GString *to);

/*
 * Ends an action: prints the answer, says the messages, frees everything; returns the exit status.
 * answer: an object, taken over; NULL where there is none. With --json it gets the members kind
 * ("book list") and schema, and is printed by base_pretty.
 */
int cli_book_answer(struct cli_book_call *call, bool good, json_t *answer, cli_book_tell *tell);

/* The same where one sentence says all. */
int cli_book_said(struct cli_book_call *call, bool good, json_t *answer, const char *format, ...)
    G_GNUC_PRINTF(4, 5);

/* The text that --json gives of an answer, for actions without a book. */
void cli_book_json(json_t *answer, GString *to);

/* Who wrote which version of a record, when and why, as {"kind", "id", "version", "time", "who",
   "action", "why", "entry", "hash"}; its body is not in it. */
json_t *cli_book_entry(const struct store_entry *entry);

/* Members of an answer, for those who tell it: "" and 0 where there is none. */
const char *cli_book_text(const json_t *answer, const char *name);
int64_t cli_book_integer(const json_t *answer, const char *name);
/* An RFC 3339 time to the second, as it stands in text for people. */
void cli_book_tell_time(const json_t *answer, const char *name, GString *to);

#endif
