/*
 * A file system for SQLite on a disk that fails when it is told to: a call that doesn't succeed, or
 * the power that goes.
 *
 * It stands before SQLite's own and keeps beside each file what the disk holds for sure: what was
 * written before the last xSync. A new name, and the removal of an old one, are sure at the next
 * sync of that file (SQLite's own syncs the folder with it) or of the removal. mmap is left out, so
 * that every byte comes by here; shared memory and locks are SQLite's own. One thread.
 */
#ifndef FAULT_WEAK_DISK_H
#define FAULT_WEAK_DISK_H

#include <stdbool.h>
#include <stdint.h>

/* SQLite's default from here on; every other program sees the files as always. */
void weak_disk_install(void);

enum weak_disk_kind {
	WEAK_DISK_ERROR, /* a call of any kind fails: SQLITE_IOERR */
	WEAK_DISK_FULL,  /* a call that writes fails: SQLITE_FULL */
	WEAK_DISK_POWER, /* a call that changes the disk is the last: then nothing works */
};

/* From now on: the nth call of that kind (1, 2, ...) fails, and with go_on all after it. */
void weak_disk_fail_at(enum weak_disk_kind kind, long n, bool go_on);
void weak_disk_heal(void); /* no call fails any more */

/* Whether the call that was to fail has come; how many calls of that kind have, failing or not. */
bool weak_disk_has_failed(void);
long weak_disk_calls(void);

/*
 * weak_disk_restore - the power is back: the files become what the disk has kept, and work again.
 *
 * Of what was not synced, by the bits of the seed: nothing, a beginning, or any of the writes, in
 * which case the last is torn, a beginning of its bytes standing before the old ones. All
 * connections to the files must be closed.
 */
void weak_disk_restore(uint64_t seed);

#endif
