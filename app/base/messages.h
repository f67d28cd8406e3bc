/* What is wrong with a user's files or values, collected so that all of it comes at once. */
#ifndef BASE_MESSAGES_H
#define BASE_MESSAGES_H

#include <glib.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>

/* So many messages of a file that have one format are told; one more tells how many follow. */
#define BASE_MESSAGES_ALIKE 20

enum base_message_kind {
	BASE_ERROR,       /* the user's files, values or command are wrong: exit status 2 */
	BASE_RESERVATION, /* computed, but to be known */
	BASE_FAILURE,     /* the machine or the program failed: exit status 3 */
};

/* Where something stands in a file; line and column count from 1, 0 where there is none. */
struct base_mark {
	int line, column;
};

struct base_message {
	enum base_message_kind kind;
	char *file; /* "" where no file is meant */
	struct base_mark mark;
	char *text; /* "what is wrong; what would be right" */
};

typedef struct base_messages base_messages;

base_messages *base_messages_new(void);
void base_messages_free(base_messages *messages);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(base_messages, base_messages_free)

/* The format "%s" stands for texts of any kind, which are not counted as alike. */
void base_messages_add(base_messages *messages, enum base_message_kind kind, const char *file,
		       struct base_mark mark, const char *format, ...) G_GNUC_PRINTF(5, 6);

void base_messages_add_valist(base_messages *messages, enum base_message_kind kind,
			      const char *file, struct base_mark mark, const char *format,
			      va_list arguments) G_GNUC_PRINTF(5, 0);

/* How many of one kind, those included that are only counted. */
size_t base_messages_count(const base_messages *messages, enum base_message_kind kind);
size_t base_messages_n(const base_messages *messages);
const struct base_message *base_messages_at(const base_messages *messages, size_t i);

/* To be called once, before printing: sorted by file (in order of first mention), line and column;
 * a message said twice stands once. */
void base_messages_sort(base_messages *messages);

/* 0, 2 or 3 as the worst of the messages asks. */
int base_messages_exit_status(const base_messages *messages);

/* One line a message, "file:line:column: text", or as one JSON array of
   {"kind", "file", "line", "column", "text"}. */
void base_messages_print(const base_messages *messages, FILE *to);
void base_messages_print_json(const base_messages *messages, FILE *to);

#endif
