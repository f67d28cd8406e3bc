/* What the parsers of YAML and CSV share: bytes that must be text in UTF-8. */
#ifndef FILE_TEXT_H
#define FILE_TEXT_H

#include "app/base/messages.h"

#include <glib.h>
#include <stdbool.h>

/*
 * file_text_check - whether bytes are text in UTF-8 without control characters, and if not, one
 * message that says where and what would be right. UTF-16 and UTF-32 are recognised by their byte
 * order marks or their zeros.
 */
bool file_text_check(const char *file, const char *text, size_t length, base_messages *messages);

/* The same for lines out of the middle of a text, behind so many lines of it. */
bool file_text_check_lines(const char *file, int before, const char *text, size_t length,
			   base_messages *messages);

/* Line and column, in characters, of a byte of a text; lines end at LF, CR or CR LF. */
struct base_mark file_text_mark(const char *text, size_t offset);

/* Where a line starts, counted from 0, after a byte order mark; the end when there are fewer. */
const char *file_text_line(const char *text, size_t length, size_t line);

/* Three bytes when the text starts with the byte order mark of UTF-8, else none. */
size_t file_text_bom(const char *text, size_t length);

/* What a file wrote, in quotes, cut to a length that suits a message. Release with g_free. */
char *file_quote(const char *text);

#endif
