#include "app/report/picture_parts.h"

#include <math.h>
#include <string.h>

/* Light colours of the drawing of the pages; they keep apart in grey too. */
const double report_ink_rgb[REPORT_INKS][3] = {
#define RGB(hex)                                                                                   \
	{                                                                                          \
		((hex) >> 16) / 255.0, (((hex) >> 8) & 0xff) / 255.0, ((hex)&0xff) / 255.0         \
	}
	[REPORT_SHEET] = RGB(0xFBFCFC),      [REPORT_INK] = RGB(0x12242C),
	[REPORT_INK_2] = RGB(0x3F535C),      [REPORT_INK_3] = RGB(0x586B74),
	[REPORT_HAIR] = RGB(0xC9D3D6),       [REPORT_ICE] = RGB(0xAFD8E4),
	[REPORT_ICE_LINE] = RGB(0x2A7C98),   [REPORT_WATER] = RGB(0xE4EFF1),
	[REPORT_WATER_LINE] = RGB(0x8DB3BF), [REPORT_METAL] = RGB(0xDDD3BC),
	[REPORT_METAL_LINE] = RGB(0x8A7440), [REPORT_MELT] = RGB(0xF2EBDB),
	[REPORT_GLASS] = RGB(0x6B838C),      [REPORT_EMBER] = RGB(0xA84300),
	[REPORT_MADDER] = RGB(0x9B1B3B),
#undef RGB
};

const struct report_hatch report_hatches[] = {
	[REPORT_NO_TEXTURE] = { 0 },
	[REPORT_HATCHED_ICE] = { 7.0, 28.0, 1.0, 0.0, REPORT_ICE_LINE },
	[REPORT_HATCHED_METAL] = { 6.0, -45.0, 1.0, 0.0, REPORT_METAL_LINE },
	[REPORT_DASHED_LIQUID] = { 18.0, 0.0, 1.0, 6.0, REPORT_WATER_LINE },
};

const double *report_dash_lengths(enum report_dash dash, int *ret_n)
{
	static const double lengths[][2] = {
		[REPORT_DASHED] = { 4.0, 3.0 },
		[REPORT_LONG_DASHED] = { 10.0, 4.0 },
		[REPORT_DOTTED] = { 1.5, 3.0 },
	};

	*ret_n = dash == REPORT_SOLID ? 0 : 2;
	return lengths[dash];
}

static void clear_shape(gpointer data)
{
	struct report_shape *shape = data;

	g_free(shape->text);
	if (shape->strokes != NULL)
		g_array_unref(shape->strokes);
}

report_picture *report_picture_new(double width, double height, const char *title)
{
	report_picture *picture = g_new0(report_picture, 1);

	picture->width = width;
	picture->height = height;
	picture->title = g_strdup(title);
	picture->shapes = g_array_new(FALSE, TRUE, sizeof(struct report_shape));
	g_array_set_clear_func(picture->shapes, clear_shape);
	picture->strokes = g_array_new(FALSE, TRUE, sizeof(struct report_stroke));
	return picture;
}

void report_picture_free(report_picture *picture)
{
	if (picture == NULL)
		return;
	g_free(picture->title);
	g_array_unref(picture->shapes);
	g_array_unref(picture->strokes);
	g_free(picture);
}

double report_picture_width(const report_picture *picture)
{
	return picture->width;
}

/* ---- outlines ---- */

static void add_stroke(report_picture *picture, char op, double x, double y)
{
	const struct report_stroke stroke = { op, { x, y } };

	if (!isfinite(x) || !isfinite(y)) {
		picture->broken = true;
		return;
	}
	g_array_append_val(picture->strokes, stroke);
	picture->broken = false;
}

void report_picture_move(report_picture *picture, double x, double y)
{
	add_stroke(picture, 'M', x, y);
}

void report_picture_line(report_picture *picture, double x, double y)
{
	const bool first = picture->strokes->len == 0 || picture->broken;

	add_stroke(picture, first ? 'M' : 'L', x, y);
}

void report_picture_curve(report_picture *picture, double x1, double y1, double x2, double y2,
			  double x, double y)
{
	const struct report_stroke stroke = { 'C', { x1, y1, x2, y2, x, y } };

	g_array_append_val(picture->strokes, stroke);
}

void report_picture_close(report_picture *picture)
{
	add_stroke(picture, 'Z', 0.0, 0.0);
}

void report_picture_draw(report_picture *picture, const struct report_pen *pen)
{
	struct report_shape shape = { .strokes = picture->strokes, .pen = *pen };

	if (shape.pen.width <= 0.0)
		shape.pen.width = 1.0;
	picture->strokes = g_array_new(FALSE, TRUE, sizeof(struct report_stroke));
	picture->broken = false;
	g_array_append_val(picture->shapes, shape);
}

void report_picture_rect(report_picture *picture, double x, double y, double width, double height,
			 const struct report_pen *pen)
{
	report_picture_move(picture, x, y);
	report_picture_line(picture, x + width, y);
	report_picture_line(picture, x + width, y + height);
	report_picture_line(picture, x, y + height);
	report_picture_close(picture);
	report_picture_draw(picture, pen);
}

void report_picture_circle(report_picture *picture, double x, double y, double r,
			   const struct report_pen *pen)
{
	const double c = 0.5522847498 * r; /* four cubics, round to 0.03 % of r */

	report_picture_move(picture, x + r, y);
	report_picture_curve(picture, x + r, y + c, x + c, y + r, x, y + r);
	report_picture_curve(picture, x - c, y + r, x - r, y + c, x - r, y);
	report_picture_curve(picture, x - r, y - c, x - c, y - r, x, y - r);
	report_picture_curve(picture, x + c, y - r, x + r, y - c, x + r, y);
	report_picture_close(picture);
	report_picture_draw(picture, pen);
}

void report_picture_diamond(report_picture *picture, double x, double y, double r,
			    const struct report_pen *pen)
{
	report_picture_move(picture, x, y - r);
	report_picture_line(picture, x + r, y);
	report_picture_line(picture, x, y + r);
	report_picture_line(picture, x - r, y);
	report_picture_close(picture);
	report_picture_draw(picture, pen);
}

void report_picture_segment(report_picture *picture, double x1, double y1, double x2, double y2,
			    const struct report_pen *pen)
{
	report_picture_move(picture, x1, y1);
	report_picture_line(picture, x2, y2);
	report_picture_draw(picture, pen);
}

/* ---- texts ---- */

void report_picture_text(report_picture *picture, double x, double y, double align, double size,
			 enum report_voice voice, enum report_ink ink, const char *text)
{
	struct report_shape shape = { .text = g_strdup(text),
				      .pen = { .fill = ink },
				      .x = x,
				      .y = y,
				      .align = align,
				      .size = size,
				      .voice = voice };

	g_array_append_val(picture->shapes, shape);
}

double report_picture_paragraph(report_picture *picture, double x, double y, int characters,
				double size, enum report_voice voice, enum report_ink ink,
				const char *text)
{
	g_auto(GStrv) words = g_strsplit(text, " ", -1);
	g_autoptr(GString) line = g_string_new(NULL);

	for (char **word = words; *word != NULL; word++) {
		if (line->len > 0 &&
		    g_utf8_strlen(line->str, -1) + 1 + g_utf8_strlen(*word, -1) > characters) {
			report_picture_text(picture, x, y, 0.0, size, voice, ink, line->str);
			y += 1.25 * size;
			g_string_truncate(line, 0);
		}
		g_string_append_printf(line, "%s%s", line->len > 0 ? " " : "", *word);
	}
	report_picture_text(picture, x, y, 0.0, size, voice, ink, line->str);
	return y + 1.25 * size;
}
