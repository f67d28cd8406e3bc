#include "app/cli/picture.h"

#include "app/base/file.h"

static bool write_file(const char *path, const void *bytes, size_t n, base_messages *messages)
{
	g_autoptr(GError) error = NULL;

	if (base_file_write(path, bytes, n, &error))
		return true;
	base_messages_add(messages, base_file_error_kind(error), path, (struct base_mark){ 0, 0 },
			  "%s", error->message);
	return false;
}

bool cli_picture_write(const report_picture *picture, const char *svg, const char *pdf,
		       base_messages *messages)
{
	g_autoptr(report_fonts) fonts = pdf == NULL ? NULL : report_fonts_new(messages);
	g_autoptr(GByteArray) bytes = g_byte_array_new();
	g_autoptr(GString) text = g_string_new(NULL);

	if (pdf != NULL &&
	    (fonts == NULL || !report_picture_pdf(picture, fonts, pdf, bytes, messages)))
		return false;
	report_picture_svg(picture, text);
	return (svg == NULL || write_file(svg, text->str, text->len, messages)) &&
	       (pdf == NULL || write_file(pdf, bytes->data, bytes->len, messages));
}
