/* A picture as one page of PDF, on white paper. */
#include "app/report/picture_parts.h"

#include "app/report/page.h"
#include "app/report/program.h"

#include <cairo-pdf.h>
#include <math.h>

#define POINTS 0.75 /* of a px */

static void set_ink(cairo_t *cr, enum report_ink ink, double pale)
{
	static const double white[3] = { 1.0, 1.0, 1.0 };
	const double *rgb = ink == REPORT_SHEET ? white : report_ink_rgb[ink];

	cairo_set_source_rgba(cr, rgb[0], rgb[1], rgb[2], 1.0 - pale);
}

static void trace(cairo_t *cr, const struct report_shape *shape)
{
	cairo_new_path(cr);
	for (guint i = 0; i < shape->strokes->len; i++) {
		const struct report_stroke *s =
		    &g_array_index(shape->strokes, struct report_stroke, i);
		const double *x = s->x;

		switch (s->op) {
		case 'M':
			cairo_move_to(cr, x[0], x[1]);
			break;
		case 'L':
			cairo_line_to(cr, x[0], x[1]);
			break;
		case 'C':
			cairo_curve_to(cr, x[0], x[1], x[2], x[3], x[4], x[5]);
			break;
		default:
			cairo_close_path(cr);
		}
	}
}

/* Lines of the texture over all of the shape's box, kept within it. */
static void hatch(cairo_t *cr, const struct report_shape *shape)
{
	const struct report_hatch *h = &report_hatches[shape->pen.texture];
	double x0, y0, x1, y1;

	cairo_save(cr);
	trace(cr, shape);
	cairo_path_extents(cr, &x0, &y0, &x1, &y1);
	cairo_clip(cr);

	/* Turned about the origin, as in the SVG, so that neighbours' lines meet. */
	const double reach = hypot(fmax(fabs(x0), fabs(x1)), fmax(fabs(y0), fabs(y1)));
	const double dy = h->length > 0.0 ? 0.6 * h->side : h->side;
	const double across = ceil(reach / h->side) * h->side;
	cairo_rotate(cr, h->angle_deg * G_PI / 180.0);
	cairo_new_path(cr);
	for (double y = -ceil(reach / dy) * dy; y <= reach; y += dy) {
		cairo_move_to(cr, -across, y + 0.5 * h->width);
		cairo_line_to(cr, across, y + 0.5 * h->width);
	}
	const double dashes[2] = { h->length, h->side - h->length };
	if (h->length > 0.0)
		cairo_set_dash(cr, dashes, 2, 0.0);
	set_ink(cr, h->ink, 1.0 - 0.55 * (1.0 - shape->pen.pale));
	cairo_set_line_width(cr, h->width);
	cairo_stroke(cr);
	cairo_restore(cr);
}

static void draw_shape(cairo_t *cr, const struct report_shape *shape)
{
	const struct report_pen *pen = &shape->pen;
	int n;
	const double *lengths = report_dash_lengths(pen->dash, &n);

	if (pen->fill != REPORT_NO_INK) {
		trace(cr, shape);
		set_ink(cr, pen->fill, pen->pale);
		cairo_fill(cr);
	}
	if (pen->texture != REPORT_NO_TEXTURE)
		hatch(cr, shape);
	if (pen->line == REPORT_NO_INK)
		return;
	trace(cr, shape);
	set_ink(cr, pen->line, pen->pale);
	cairo_set_line_width(cr, pen->width);
	cairo_set_dash(cr, lengths, n, 0.0);
	cairo_stroke(cr);
}

static void draw_text(struct report_canvas *canvas, const struct report_shape *shape)
{
	const struct report_font font = { shape->size, 1.25 * shape->size, false };
	g_autofree char *escaped = report_markup(shape->text);

	/* On paper what is strong is told by its ink alone: the font has no half-bold. */
	set_ink(canvas->cr, shape->pen.fill, 0.0);
	report_draw_text(canvas, escaped, &font, shape->align, shape->x, shape->y);
}

static cairo_status_t append(void *closure, const unsigned char *data, unsigned length)
{
	g_byte_array_append(closure, data, length);
	return CAIRO_STATUS_SUCCESS;
}

static void draw_all(const report_picture *picture, struct report_canvas *canvas)
{
	for (guint i = 0; i < picture->shapes->len; i++) {
		const struct report_shape *shape =
		    &g_array_index(picture->shapes, struct report_shape, i);

		if (shape->text != NULL)
			draw_text(canvas, shape);
		else
			draw_shape(canvas->cr, shape);
	}
}

static void set_metadata(cairo_surface_t *surface, const report_picture *picture)
{
	g_autofree char *program =
	    g_strdup_printf("%s %s", report_program_name, report_program_version);

	cairo_pdf_surface_restrict_to_version(surface, CAIRO_PDF_VERSION_1_5);
	cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, picture->title);
	cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATOR, program);
	/* What is no date is left out; without it the clock's would stand there. */
	cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, "none");
}

bool report_picture_pdf(const report_picture *picture, report_fonts *fonts, const char *file,
			GByteArray *to, base_messages *messages)
{
	const size_t before = base_messages_n(messages);
	g_autoptr(GByteArray) bytes = g_byte_array_new();
	cairo_surface_t *surface = cairo_pdf_surface_create_for_stream(
	    append, bytes, POINTS * picture->width, POINTS * picture->height);
	struct report_canvas canvas = { .fonts = fonts, .messages = messages, .file = file };

	set_metadata(surface, picture);
	canvas.cr = cairo_create(surface);
	cairo_scale(canvas.cr, POINTS, POINTS);
	draw_all(picture, &canvas);
	cairo_show_page(canvas.cr);
	cairo_surface_finish(surface);

	const cairo_status_t status = cairo_status(canvas.cr) != CAIRO_STATUS_SUCCESS
					  ? cairo_status(canvas.cr)
					  : cairo_surface_status(surface);
	cairo_destroy(canvas.cr);
	cairo_surface_destroy(surface);
	if (status != CAIRO_STATUS_SUCCESS)
		base_messages_add(messages, BASE_FAILURE, file, (struct base_mark){ 0, 0 },
				  "the PDF was not made: %s", cairo_status_to_string(status));
	if (base_messages_n(messages) > before)
		return false;
	g_byte_array_append(to, bytes->data, bytes->len);
	return true;
}
