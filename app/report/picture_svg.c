/* A picture as SVG 1.1: no scripts, no links, nothing from outside. */
#include "app/report/picture_parts.h"

#include "firn/number.h"

#include <math.h>

/* To a hundredth of a px. */
static void append_number(GString *to, double x)
{
	char text[FIRN_NUMBER_SIZE];
	const double rounded = round(x * 100.0) / 100.0;

	firn_number_print(rounded == 0.0 ? 0.0 : rounded, text); /* no minus before zero */
	g_string_append(to, text);
}

static void append_colour(GString *to, const char *name, enum report_ink ink)
{
	const double *rgb = report_ink_rgb[ink];

	if (ink == REPORT_NO_INK)
		g_string_append_printf(to, " %s=\"none\"", name);
	else
		g_string_append_printf(
		    to, " %s=\"#%02X%02X%02X\"", name, (unsigned)lround(rgb[0] * 255.0),
		    (unsigned)lround(rgb[1] * 255.0), (unsigned)lround(rgb[2] * 255.0));
}

static void append_length(GString *to, const char *name, double x)
{
	g_string_append_printf(to, " %s=\"", name);
	append_number(to, x);
	g_string_append_c(to, '"');
}

static void append_pattern(GString *to, enum report_texture texture)
{
	const struct report_hatch *h = &report_hatches[texture];

	g_string_append_printf(to, "<pattern id=\"texture-%d\" patternUnits=\"userSpaceOnUse\"",
			       (int)texture);
	append_length(to, "width", h->length > 0.0 ? h->side : h->side);
	append_length(to, "height", h->length > 0.0 ? 0.6 * h->side : h->side);
	g_string_append(to, " patternTransform=\"rotate(");
	append_number(to, h->angle_deg);
	g_string_append(to, ")\"><path d=\"M0 ");
	append_number(to, 0.5 * h->width);
	g_string_append_c(to, 'H');
	append_number(to, h->length > 0.0 ? h->length : h->side);
	g_string_append(to, "\" fill=\"none\"");
	append_colour(to, "stroke", h->ink);
	append_length(to, "stroke-width", h->width);
	g_string_append(to, " stroke-opacity=\"0.55\"/></pattern>\n");
}

static void append_outline(GString *to, const struct report_shape *shape)
{
	g_string_append(to, "<path d=\"");
	for (guint i = 0; i < shape->strokes->len; i++) {
		const struct report_stroke *s =
		    &g_array_index(shape->strokes, struct report_stroke, i);
		const int n = s->op == 'C' ? 6 : s->op == 'Z' ? 0 : 2;

		g_string_append_c(to, s->op);
		for (int k = 0; k < n; k++) {
			if (k > 0)
				g_string_append_c(to, ' ');
			append_number(to, s->x[k]);
		}
	}
	g_string_append_c(to, '"');
}

static void append_line_style(GString *to, const struct report_pen *pen)
{
	int n;
	const double *lengths = report_dash_lengths(pen->dash, &n);

	append_colour(to, "stroke", pen->line);
	if (pen->line == REPORT_NO_INK)
		return;
	append_length(to, "stroke-width", pen->width);
	if (n == 0)
		return;
	g_string_append(to, " stroke-dasharray=\"");
	for (int i = 0; i < n; i++) {
		if (i > 0)
			g_string_append_c(to, ' ');
		append_number(to, lengths[i]);
	}
	g_string_append_c(to, '"');
}

static void append_shape(GString *to, const struct report_shape *shape)
{
	const struct report_pen *pen = &shape->pen;

	append_outline(to, shape);
	append_colour(to, "fill", pen->fill);
	append_line_style(to, pen);
	if (pen->pale > 0.0)
		append_length(to, "opacity", 1.0 - pen->pale);
	g_string_append(to, "/>\n");
	if (pen->texture == REPORT_NO_TEXTURE)
		return;
	append_outline(to, shape);
	g_string_append_printf(to, " fill=\"url(#texture-%d)\"", (int)pen->texture);
	if (pen->pale > 0.0)
		append_length(to, "opacity", 1.0 - pen->pale);
	g_string_append(to, "/>\n");
}

static void append_text(GString *to, const struct report_shape *shape)
{
	static const char *const voices[] = { "tell", "tell strong", "say" };
	g_autofree char *escaped = g_markup_escape_text(shape->text, -1);

	g_string_append_printf(to, "<text class=\"%s\"", voices[shape->voice]);
	append_length(to, "x", shape->x);
	append_length(to, "y", shape->y);
	append_length(to, "font-size", shape->size);
	if (shape->align > 0.0)
		g_string_append_printf(to, " text-anchor=\"%s\"",
				       shape->align < 1.0 ? "middle" : "end");
	append_colour(to, "fill", shape->pen.fill);
	g_string_append_printf(to, ">%s</text>\n", escaped);
}

void report_picture_svg(const report_picture *picture, GString *to)
{
	g_autofree char *title = g_markup_escape_text(picture->title, -1);

	g_string_append(to,
			"<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" viewBox=\"0 0 ");
	append_number(to, picture->width);
	g_string_append_c(to, ' ');
	append_number(to, picture->height);
	g_string_append_c(to, '"');
	append_length(to, "width", picture->width);
	append_length(to, "height", picture->height);
	g_string_append_printf(to,
			       ">\n<title>%s</title>\n<style>text{font-family:'Commissioner "
			       "Variable','DejaVu Sans','Liberation Sans',sans-serif;"
			       "font-variant-numeric:tabular-nums lining-nums}"
			       ".say{font-family:'Literata Variable','Gentium Book "
			       "Plus',Georgia,serif}.strong{font-weight:600}</style>\n<defs>\n",
			       title);
	for (int texture = REPORT_HATCHED_ICE; texture <= REPORT_DASHED_LIQUID; texture++)
		append_pattern(to, (enum report_texture)texture);
	g_string_append(to, "</defs>\n<rect");
	append_length(to, "width", picture->width);
	append_length(to, "height", picture->height);
	append_colour(to, "fill", REPORT_SHEET);
	g_string_append(to, "/>\n");
	for (guint i = 0; i < picture->shapes->len; i++) {
		const struct report_shape *shape =
		    &g_array_index(picture->shapes, struct report_shape, i);

		if (shape->text != NULL)
			append_text(to, shape);
		else
			append_shape(to, shape);
	}
	g_string_append(to, "</svg>\n");
}
