#include "app/lab/conversion.h"

struct lab_conversion *lab_conversion_new(void)
{
	struct lab_conversion *conversion = g_new0(struct lab_conversion, 1);

	conversion->r_tpw_ohm = LAB_NOT_GIVEN;
	conversion->subranges = g_array_new(FALSE, TRUE, sizeof(struct lab_conversion_subrange));
	conversion->tpw = g_array_new(FALSE, TRUE, sizeof(struct lab_calibration_tpw));
	conversion->text = g_string_chunk_new(1024);
	return conversion;
}

void lab_conversion_free(struct lab_conversion *conversion)
{
	if (conversion == NULL)
		return;
	g_array_unref(conversion->subranges);
	g_array_unref(conversion->tpw);
	g_string_chunk_free(conversion->text);
	g_free(conversion);
}

char *lab_conversion_text(struct lab_conversion *conversion, const char *text)
{
	return text == NULL ? NULL : g_string_chunk_insert(conversion->text, text);
}
