/*
 * What a laboratory does with its book, one use case after the other, each as often as is wanted:
 * number k of an act has names of its own. All of it is invented.
 */
#ifndef FAULT_BOOK_ACTS_H
#define FAULT_BOOK_ACTS_H

#include "app/base/messages.h"

#include <stdbool.h>

struct desk {
	char *place;        /* of the book */
	char *folder;       /* for files beside it */
	char *exported;     /* a book that was exported, to be imported */
	const char *server; /* where books are made; NULL: they are files */
	int issued;         /* number of the last calibration that has its certificate; 0: none */
};

/* The folder with its files, and the book with its people, a thermometer and the first export.
   server: of PostgreSQL, or NULL. job: a job file to be calibrated again and again. */
bool desk_open(struct desk *desk, const char *server, const char *job, base_messages *messages);
void desk_close(struct desk *desk);

struct act {
	const char *name;

	/* What stands before it, for the kth time; NULL: nothing. */
	bool (*prepare)(struct desk *desk, int k, base_messages *messages);

	/* Opens the book, acts, and closes it. */
	bool (*carry_out)(struct desk *desk, int k, base_messages *messages);

	/* What it makes beside the book, to be freed; NULL: it writes into the book. */
	char *(*makes)(const struct desk *desk, int k);
	bool makes_book;
};
extern const struct act book_acts[]; /* ends with a NULL name */

#endif
