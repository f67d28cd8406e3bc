/* Whole files, in and out, and the identity of their bytes. */
#ifndef BASE_FILE_H
#define BASE_FILE_H

#include "app/base/messages.h"

#include <glib.h>
#include <stdbool.h>

#define BASE_FILE_ERROR (base_file_error_quark())
GQuark base_file_error_quark(void);

enum base_file_error {
	BASE_FILE_WRONG,  /* the user named something that cannot be read or written: exit status 2
			   */
	BASE_FILE_FAILED, /* the machine failed: disk full, input or output error: exit status 3 */
};

/* BASE_ERROR or BASE_FAILURE. */
enum base_message_kind base_file_error_kind(const GError *error);

/*
 * base_file_read - all bytes of a regular file.
 *
 * Given: the most bytes to accept, and what the file is meant to be ("a job"), for the message.
 * Returned: the bytes, or NULL with an error in BASE_FILE_ERROR whose text is a whole sentence
 * without the path: "there is no such file; check the name and the folder". A directory, a device
 * and a pipe are refused.
 */
GBytes *base_file_read(const char *path, size_t limit, const char *what, GError **error);

/* A regular file open for reading, for what is too long to be held whole; the caller closes it. -1
   with an error as above. */
int base_file_open(const char *path, GError **error);

/*
 * base_file_write - the file with exactly these bytes, or as it was before.
 *
 * The bytes go to a temporary file beside it, to the disk, and only then take the name; a link is
 * followed. A failure removes the temporary file. A device or pipe that exists (/dev/stdout) is
 * written to directly. SIGXFSZ and SIGPIPE must be ignored for a limit on file size or a closed
 * pipe to come back as an error.
 */
bool base_file_write(const char *path, const void *bytes, size_t n, GError **error);

/* SHA-256 of bytes in 64 lower-case hexadecimal digits. Release with g_free. */
char *base_sha256(const void *bytes, size_t n);

#endif
