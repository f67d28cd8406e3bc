#include "app/file/text.h"

#include <string.h>

enum { LONGEST_QUOTE = 40 };

struct base_mark file_text_mark(const char *text, size_t offset)
{
	struct base_mark mark = { 1, 1 };

	for (size_t i = file_text_bom(text, offset); i < offset; i++) {
		const unsigned char c = (unsigned char)text[i];

		if (c == '\n' || (c == '\r' && !(i + 1 < offset && text[i + 1] == '\n'))) {
			mark.line++;
			mark.column = 1;
		} else if (c != '\r' && (c & 0xc0) != 0x80) {
			mark.column++;
		}
	}
	return mark;
}

const char *file_text_line(const char *text, size_t length, size_t line)
{
	const char *at = text + file_text_bom(text, length), *end = text + length;

	for (; line > 0 && at < end; at++) {
		if (*at == '\n' || (*at == '\r' && !(at + 1 < end && at[1] == '\n')))
			line--;
	}
	return at;
}

size_t file_text_bom(const char *text, size_t length)
{
	return length >= 3 && memcmp(text, "\xef\xbb\xbf", 3) == 0 ? 3 : 0;
}

static bool is_wide(const char *text, size_t length)
{
	if (length < 2)
		return false;
	return memcmp(text, "\xff\xfe", 2) == 0 || memcmp(text, "\xfe\xff", 2) == 0 ||
	       ((text[0] == '\0') != (text[1] == '\0'));
}

/*
 * Characters that make a reader and the program see different texts. U+0085, U+2028 and U+2029 end
 * a line for YAML but not for an editor, so lines would be miscounted; U+200B, U+2060 and, within a
 * text, U+FEFF cannot be seen; U+202A to U+202E and U+2066 to U+2069 turn round what follows.
 * The character, or 0.
 */
static unsigned deceptive(const unsigned char *p, size_t left)
{
	if (left >= 2 && p[0] == 0xc2 && p[1] == 0x85)
		return 0x85;
	if (left < 3 || (p[0] != 0xe2 && p[0] != 0xef))
		return 0;

	const unsigned c = (p[0] & 0x0fu) << 12 | (p[1] & 0x3fu) << 6 | (p[2] & 0x3fu);
	const bool is_one = c == 0x200b || (c >= 0x2028 && c <= 0x202e) || c == 0x2060 ||
			    (c >= 0x2066 && c <= 0x2069) || c == 0xfeff;
	return is_one ? c : 0;
}

/* What opens a file that is no text at all, and what it then is. */
static const char *other_kind(const char *text, size_t length)
{
	static const struct {
		const char *start, *is;
	} kinds[] = {
		{ "PK\x03\x04", "a spreadsheet or an archive" },
		{ "\xd0\xcf\x11\xe0", "a document of an office program" },
		{ "%PDF-", "a PDF" },
		{ "\x1f\x8b", "a compressed file" },
		{ "\x89PNG", "a picture" },
	};

	for (size_t i = 0; i < G_N_ELEMENTS(kinds); i++) {
		const size_t n = strlen(kinds[i].start);

		if (length >= n && memcmp(text, kinds[i].start, n) == 0)
			return kinds[i].is;
	}
	return NULL;
}

/* How far a text is nothing but printable ASCII, tabs and ends of lines. Eight bytes are looked at
   together: none of them is above 0x7e or below a blank. */
static size_t plain_start(const char *text, size_t length)
{
	const guint64 ones = G_GUINT64_CONSTANT(0x0101010101010101), high = ones * 0x80;
	size_t i = 0;

	while (i < length) {
		const unsigned char c = (unsigned char)text[i];
		guint64 word;

		if (length - i >= sizeof(word)) {
			memcpy(&word, text + i, sizeof(word));
			if (((word | (word + ones) | (word - ones * ' ')) & high) == 0) {
				i += sizeof(word);
				continue;
			}
		}
		if ((c < 0x20 || c > 0x7e) && c != '\t' && c != '\n' && c != '\r')
			break;
		i++;
	}
	return i;
}

static struct base_mark mark_behind(int before, const char *text, size_t offset)
{
	struct base_mark mark = file_text_mark(text, offset);

	mark.line += before;
	return mark;
}

bool file_text_check(const char *file, const char *text, size_t length, base_messages *messages)
{
	const char *other = other_kind(text, length);

	if (other != NULL) {
		base_messages_add(messages, BASE_ERROR, file, (struct base_mark){ 1, 1 },
				  "this is %s, not text; export or save it as text in UTF-8",
				  other);
		return false;
	}
	if (is_wide(text, length)) {
		base_messages_add(messages, BASE_ERROR, file, (struct base_mark){ 1, 1 },
				  "this is text in UTF-16 or UTF-32; save it as UTF-8");
		return false;
	}
	return file_text_check_lines(file, 0, text, length, messages);
}

bool file_text_check_lines(const char *file, int before, const char *text, size_t length,
			   base_messages *messages)
{
	const char *end = text + length;
	const size_t plain = plain_start(text, length);

	if (plain == length)
		return true;
	if (!g_utf8_validate(text + plain, (gssize)(length - plain), &end) && *end != '\0') {
		base_messages_add(messages, BASE_ERROR, file,
				  mark_behind(before, text, (size_t)(end - text)),
				  "this character is not in UTF-8 (byte 0x%02X); save the file as "
				  "UTF-8",
				  (unsigned char)*end);
		return false;
	}
	for (size_t i = before == 0 && plain == 0 ? file_text_bom(text, length) : plain; i < length;
	     i++) {
		const unsigned char *p = (const unsigned char *)text + i;
		const unsigned odd = deceptive(p, length - i);

		if (*p >= 0x20 && *p != 0x7f && odd == 0)
			continue;
		if (*p == '\t' || *p == '\n' || *p == '\r')
			continue;
		base_messages_add(messages, BASE_ERROR, file, mark_behind(before, text, i),
				  "a character that can't be seen, U+%04X, has no place in a text "
				  "file; remove it",
				  odd != 0 ? odd : *p);
		return false;
	}
	return true;
}

char *file_quote(const char *text)
{
	if (g_utf8_strlen(text, -1) <= LONGEST_QUOTE)
		return g_strdup_printf("\"%s\"", text);

	g_autofree char *start = g_utf8_substring(text, 0, LONGEST_QUOTE);
	return g_strdup_printf("\"%s...\"", start);
}
