#include "app/report/page.h"

#include <string.h>

const struct report_font report_font_body = { 10.2, 14.3, false };
const struct report_font report_font_small = { 9.45, 12.75, false };
const struct report_font report_font_heading = { 12.3, 16.5, false };
const struct report_font report_font_title = { 24.75, 30.0, false };
const struct report_font report_font_subtitle = { 12.3, 17.25, false };
const struct report_font report_font_label = { 10.2, 14.3, true };
const struct report_font report_font_foot = { 8.85, 11.25, false };

char *report_markup(const char *text)
{
	g_autofree char *line = g_utf8_make_valid(text, -1);

	for (char *p = line; *p != '\0'; p++) {
		if (*p == '\n' || *p == '\r' || *p == '\t')
			*p = ' ';
	}
	return g_markup_escape_text(g_strstrip(line), -1);
}

static void check_signs(struct report_canvas *canvas, const char *text)
{
	const gunichar missing = report_fonts_missing(canvas->fonts, text);
	char sign[8] = "";

	if (missing == 0)
		return;
	if (g_unichar_isprint(missing))
		sign[g_unichar_to_utf8(missing, sign)] = '\0';
	base_messages_add(canvas->messages, BASE_ERROR, canvas->file, (struct base_mark){ 0, 0 },
			  "the font " REPORT_FONT_FAMILY
			  " has no sign %s (U+%04X) for \"%s\"; write "
			  "it with letters that it has: Latin, Greek or Cyrillic",
			  sign, missing, text);
}

/* <sub> and <sup> as this family looks best with them; Pango's own depend on the font's tables. */
static char *set_indices(const char *markup, double size)
{
	GString *to = g_string_new(markup);
	g_autofree char *low =
	    g_strdup_printf("<span size=\"%d\" rise=\"%d\">", (int)(0.7 * size * PANGO_SCALE),
			    (int)(-0.16 * size * PANGO_SCALE));
	g_autofree char *high =
	    g_strdup_printf("<span size=\"%d\" rise=\"%d\">", (int)(0.7 * size * PANGO_SCALE),
			    (int)(0.36 * size * PANGO_SCALE));

	g_string_replace(to, "<sub>", low, 0);
	g_string_replace(to, "<sup>", high, 0);
	g_string_replace(to, "</sub>", "</span>", 0);
	g_string_replace(to, "</sup>", "</span>", 0);
	return g_string_free(to, FALSE);
}

PangoLayout *report_layout(struct report_canvas *canvas, const char *markup,
			   const struct report_font *font, double width)
{
	PangoLayout *layout = pango_layout_new(report_fonts_context(canvas->fonts));
	PangoFontDescription *description = pango_font_description_new();

	pango_font_description_set_family_static(description, REPORT_FONT_FAMILY);
	pango_font_description_set_absolute_size(description, font->size * PANGO_SCALE);
	if (font->italic)
		pango_font_description_set_style(description, PANGO_STYLE_ITALIC);
	pango_layout_set_font_description(layout, description);
	pango_font_description_free(description);
	g_autofree char *set = set_indices(markup, font->size);
	pango_layout_set_markup(layout, set, -1);
	if (width > 0.0) {
		pango_layout_set_width(layout, (int)(width * PANGO_SCALE));
		pango_layout_set_wrap(layout, PANGO_WRAP_WORD_CHAR);
	}
	check_signs(canvas, pango_layout_get_text(layout));
	if (canvas->texts != NULL)
		g_ptr_array_add(canvas->texts, g_strdup(pango_layout_get_text(layout)));
	return layout;
}

double report_layout_width(PangoLayout *layout)
{
	PangoRectangle extent;

	pango_layout_get_extents(layout, NULL, &extent);
	return (double)extent.width / PANGO_SCALE;
}

void report_draw_line(struct report_canvas *canvas, PangoLayout *layout, int line, double x,
		      double y)
{
	cairo_move_to(canvas->cr, x, y);
	pango_cairo_show_layout_line(canvas->cr, pango_layout_get_line_readonly(layout, line));
}

void report_draw_text(struct report_canvas *canvas, const char *markup,
		      const struct report_font *font, double align, double x, double y)
{
	g_autoptr(PangoLayout) layout = report_layout(canvas, markup, font, 0.0);

	report_draw_line(canvas, layout, 0, x - align * report_layout_width(layout), y);
}

void report_draw_rule(struct report_canvas *canvas, double x1, double x2, double y, double width)
{
	cairo_set_line_width(canvas->cr, width);
	cairo_move_to(canvas->cr, x1, y);
	cairo_line_to(canvas->cr, x2, y);
	cairo_stroke(canvas->cr);
}

void report_tag_begin(struct report_canvas *canvas, const char *tag)
{
	cairo_tag_begin(canvas->cr, tag, NULL);
}

void report_tag_end(struct report_canvas *canvas, const char *tag)
{
	cairo_tag_end(canvas->cr, tag);
}

/* The family's letters rise 0.72 and fall 0.24 of the size: the line sits in the middle. */
double report_font_ascent(const struct report_font *font)
{
	return 0.5 * (font->leading - 0.96 * font->size) + 0.72 * font->size;
}
