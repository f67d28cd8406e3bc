/* Messages about readings: a few of one kind, then how many more. */
#ifndef FILE_READINGS_SAY_H
#define FILE_READINGS_SAY_H

#include "app/base/messages.h"
#include "app/file/csv.h"

#include <glib.h>

enum file_say_kind {
	FILE_SAY_FIELDS,
	FILE_SAY_QUOTES,
	FILE_SAY_VISIT,
	FILE_SAY_TIME,
	FILE_SAY_ORDER,
	FILE_SAY_CURRENT,
	FILE_SAY_NUMBER,
	FILE_SAY_OVERLOAD,
	FILE_SAY_SIGN,
	FILE_SAY_BOTH,
	FILE_SAY_EMPTY,
	FILE_SAY_RESISTOR,
	FILE_SAY_BATH,
	FILE_SAY_KINDS
};

struct file_say {
	base_messages *messages;
	const char *path;
	const struct file_csv *csv;
	size_t of_kind[FILE_SAY_KINDS];
	struct base_mark first_unsaid[FILE_SAY_KINDS];
	size_t count;   /* of all messages, unsaid ones included */
	bool lost_rows; /* a row could not be told apart into fields */
};

/* At a byte of the record read last. */
void file_say(struct file_say *say, enum file_say_kind kind, const char *at, const char *format,
	      ...) G_GNUC_PRINTF(4, 5);

/* What can be said only once a file, such as a fault of the header. */
void file_say_once(struct file_say *say, const char *at, const char *format, ...)
    G_GNUC_PRINTF(3, 4);

/* "and N more", for each kind that was cut short. */
void file_say_rest(const struct file_say *say);

#endif
