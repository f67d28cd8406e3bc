/*
 * The book in use: who may write what, when, and what must then hold. Every function that writes is
 * one transaction, or part of the caller's; it is on the disk when it returns true, and else
 * nothing was written. The reasons are in the messages, whose "file" is the record ("cell W1").
 */
#ifndef SERVICE_BOOK_BOOK_H
#define SERVICE_BOOK_BOOK_H

#include "app/base/messages.h"
#include "app/lab/record.h"
#include "app/store/store.h"

#include <glib.h>
#include <jansson.h>
#include <stdbool.h>
#include <stdint.h>

struct service_book {
	char *where;
	store *store;
	int depth;    /* of transactions within one another; the outermost is the store's */
	bool refused; /* a part of the transaction was rolled back, and so all of it will be */
	base_messages *messages; /* of the outermost */
	size_t said;             /* of them, when it began */
};
typedef struct service_book service_book;

service_book *service_book_open(const char *where, bool write, base_messages *messages);
void service_book_close(service_book *book);

/* A new book of which fill() writes the first entries in the transaction that makes it. */
typedef bool service_book_fill(service_book *book, void *data, base_messages *messages);
bool service_book_make(const char *where, const struct store_identity *identity,
		       service_book_fill *fill, void *data, base_messages *messages);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(service_book, service_book_close)

/* Who acts, when, and why in that person's words (NULL: nothing said). */
struct service_act {
	const char *person; /* id; "init" for what makes a book */
	int64_t time_us;    /* 0: now, by the clock; another time only in a simulated book */
	const char *why;
};

/* A new book: its laboratory and the first person, who may manage. */
struct service_beginning {
	const char *where;
	const char *laboratory, *address; /* names, as on certificates */
	const char *person, *name;        /* id and name of the first person */
	bool simulated;
	int64_t time_us; /* 0: now */
};
bool service_book_create(const struct service_beginning *beginning, base_messages *messages);

/* ---- records ---- */

/* The latest version; NULL with an error when there is none. Release with json_decref. ret_version
   may be NULL. */
json_t *service_book_get(service_book *book, const char *kind, const char *id, int64_t *ret_version,
			 base_messages *messages);

/* The same without a word when there is none. */
json_t *service_book_look(service_book *book, const char *kind, const char *id);

/*
 * service_book_put - a new version of a record.
 *
 * The person must be authorised on that day for what the kind asks for; the body must say what the
 * kind may say; what it refers to must be in the book; its state must follow from the last one.
 * expected: the version that the writer has seen, 0 for a new record; when somebody else has
 * written since, the message tells which fields they changed. What was in the book before changes
 * with a reason only. What reducing, checking and issuing leave in calibrations and certificates is
 * theirs alone and can't be put; an issued certificate may be withdrawn.
 */
bool service_book_put(service_book *book, const struct service_act *act, const char *action,
		      const char *kind, const char *id, const json_t *body, int64_t expected,
		      base_messages *messages);

/* Whether service_book_put would take it, as far as rules of the book go that no single record can
   tell: a reason for a change, what use cases alone make, nothing simulated in a real book. */
bool service_book_may_be_put(service_book *book, const struct service_act *act, const char *kind,
			     const char *id, const json_t *body, int64_t expected,
			     base_messages *messages);

/* Whether the records and files that a body names are in the book; each that isn't is an error
   about `label`. */
bool service_book_references_hold(service_book *book, const char *kind, const json_t *body,
				  const char *label, base_messages *messages);

/* Members take the place of the record's, null takes one away. expected 0: whichever version is
   there. */
bool service_book_change(service_book *book, const struct service_act *act, const char *kind,
			 const char *id, const json_t *members, int64_t expected,
			 base_messages *messages);

/* ---- parts of larger use cases ---- */

/* A transaction around several calls. A use case within it that begins one of its own becomes part
   of it; when one is refused, nothing of it can be committed any more. */
bool service_book_begin(service_book *book, base_messages *messages);
bool service_book_commit(service_book *book, base_messages *messages);
void service_book_rollback(service_book *book);

/* One or the other; whether it was committed. */
bool service_book_end(service_book *book, bool good, base_messages *messages);

/* service_book_put within the caller's transaction. */
bool service_book_write(service_book *book, const struct service_act *act, const char *action,
			const char *kind, const char *id, const json_t *body, int64_t expected,
			base_messages *messages);

/* The same where the act asks for another authorisation than the kind does: checking, issuing. */
bool service_book_write_as(service_book *book, const struct service_act *act, const char *right,
			   const char *action, const char *kind, const char *id, const json_t *body,
			   int64_t expected, base_messages *messages);

/* Whether the person may act ("operate", "check", "issue", "manage") at that time; else an error.
 */
bool service_book_may(service_book *book, const struct service_act *act, const char *what,
		      base_messages *messages);

/* The same of a person's record, on a day (YYYY-MM-DD). */
bool service_person_may(const json_t *person, const char *what, const char *day);

/* The time of an act: the clock's, or the stated one in a simulated book. */
int64_t service_book_time(const service_book *book, const struct service_act *act);

/* The store's error as a message about `label`; releases it. */
void service_book_say(base_messages *messages, const char *label, GError *error);

/* Where the book could not be read, reasons that were given may stand on that alone: it is told
   itself, once. */
void service_book_say_trouble(const service_book *book);

/* "cell W1". Release with g_free. */
char *service_book_label(const char *kind, const char *id);

/* Text of a member, NULL when it is none. */
const char *service_book_text(const json_t *body, const char *name);

#endif
