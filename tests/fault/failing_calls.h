/*
 * Calls that fail when they are told to: of SQLite to its disk, of the store to its database, of
 * the program to the file system. One thread.
 *
 * The linker puts the functions of failing_calls.c in place of others (FAILING_CALLS in
 * tests/fault/meson.build names them); until the first fail_call() they only pass on.
 */
#ifndef FAULT_FAILING_CALLS_H
#define FAULT_FAILING_CALLS_H

#include <stdbool.h>

enum failing {
	FAILING_DISK,       /* a call of SQLite to its files: SQLITE_IOERR */
	FAILING_ROOM,       /* from then on, calls of SQLite that write: SQLITE_FULL */
	FAILING_STATEMENT,  /* a statement, the beginning or the end of a transaction */
	FAILING_CONNECTION, /* the connection to the server goes before a statement */
	FAILING_ANSWER,     /* a commit is carried out, and its answer is lost */
	FAILING_FILE,       /* a file or folder made, written, brought to the disk, or named: EIO */
};
#define FAILING_KINDS (FAILING_FILE + 1)

/* From now on the nth such call (1, 2, ...) fails; 0: none does, they are counted only. */
void fail_call(enum failing kind, long n);
void fail_no_call(void);

/* Whether the call that was to fail has come. */
bool call_has_failed(void);

#endif
