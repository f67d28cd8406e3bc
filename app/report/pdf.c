#include "app/report/pdf.h"

#include "app/report/program.h"

#include <cairo-pdf.h>
#include <math.h>
#include <string.h>

struct report_pdf {
	struct report_document document;
	GPtrArray *blocks;
};

/* Where parts of a block stand. */
struct fragment {
	struct report_block *block;
	int from, to, page;
	double y;
};

struct sheet {
	double width, height;
};

static const double mm = 72.0 / 25.4;
static const double margin = 20.0 * 72.0 / 25.4, head_baseline = 58.0, head_rule = 71.0,
		    body_top = 86.0, foot_rule = 50.0,
		    body_bottom = 62.0; /* the last two from the lower edge */

report_pdf *report_pdf_new(const struct report_document *document)
{
	report_pdf *pdf = g_new0(report_pdf, 1);

	pdf->document = *document;
	pdf->blocks = g_ptr_array_new();
	return pdf;
}

void report_pdf_free(report_pdf *pdf)
{
	if (pdf == NULL)
		return;
	for (guint i = 0; i < pdf->blocks->len; i++) {
		struct report_block *block = g_ptr_array_index(pdf->blocks, i);

		block->class->free(block);
	}
	g_ptr_array_unref(pdf->blocks);
	g_free(pdf);
}

void report_pdf_add(report_pdf *pdf, struct report_block *block)
{
	g_ptr_array_add(pdf->blocks, block);
}

void report_pdf_keep_last(report_pdf *pdf)
{
	if (pdf->blocks->len > 0)
		((struct report_block *)g_ptr_array_index(pdf->blocks, pdf->blocks->len - 1))
		    ->keep_next = true;
}

static struct sheet sheet_of(const struct report_document *document)
{
	if (document->paper != NULL && strcmp(document->paper, "Letter") == 0)
		return (struct sheet){ 612.0, 792.0 };
	return (struct sheet){ 210.0 * mm, 297.0 * mm };
}

/* Height that a block and whatever must stay with it take at least, spaces between included. */
static double least_height(const report_pdf *pdf, guint index, double room)
{
	double sum = 0.0;

	for (guint i = index; i < pdf->blocks->len; i++) {
		const struct report_block *block = g_ptr_array_index(pdf->blocks, i);
		double height = 0.0, low = 0.0, high = room;

		if (i > index)
			sum += block->space;
		if (block->parts == 0)
			continue;
		if (block->keep_next) {
			block->class->fit(block, 0, room, &height);
			sum += height;
			continue;
		}
		/* The least height at which something of it fits, to a point. */
		while (high - low > 1.0) {
			const double middle = 0.5 * (low + high);

			if (block->class->fit(block, 0, middle, &height) > 0)
				high = middle;
			else
				low = middle;
		}
		return sum + high;
	}
	return sum;
}

/* The place where the next block goes. */
struct place {
	int page;
	double y, room;
};

static void next_page(struct place *at)
{
	at->page++;
	at->y = 0.0;
}

/* Places a block, over as many pages as it takes. */
static void place_block(struct report_block *block, struct place *at, GArray *ret_fragments)
{
	int from = 0;

	while (from < block->parts) {
		struct fragment fragment = { block, from, from, at->page, at->y };
		double height = 0.0;

		fragment.to = block->class->fit(block, from, at->room - at->y, &height);
		if (fragment.to == from && at->y <= 0.0) {
			/* Higher than a page: drawn all the same, so that nothing is lost. */
			fragment.to = from + 1;
			height = at->room;
		}
		if (fragment.to > from)
			g_array_append_val(ret_fragments, fragment);
		from = fragment.to;
		at->y += height;
		if (from < block->parts)
			next_page(at);
	}
}

/* Breaks the blocks into fragments on pages; returns the number of pages. */
static int paginate(const report_pdf *pdf, double room, GArray *ret_fragments)
{
	struct place at = { .room = room };

	for (guint i = 0; i < pdf->blocks->len; i++) {
		struct report_block *block = g_ptr_array_index(pdf->blocks, i);

		if (i == 0 ||
		    at.y > 0.0) /* a page's first block sits at its top, but for the title */
			at.y += block->space;
		if (at.y > 0.0 && i > 0 &&
		    ((block->new_page && at.y > 0.5 * room) ||
		     at.y + least_height(pdf, i, room) > room))
			next_page(&at);
		place_block(block, &at, ret_fragments);
	}
	return at.page + 1;
}

static void draw_watermark(const report_pdf *pdf, struct report_canvas *canvas, struct sheet sheet)
{
	const struct report_font font = { 150.0, 150.0, false };

	if (pdf->document.watermark == NULL)
		return;
	cairo_save(canvas->cr);
	cairo_translate(canvas->cr, 0.5 * sheet.width, 0.5 * sheet.height);
	cairo_rotate(canvas->cr, -atan2(sheet.height, sheet.width));
	cairo_set_source_rgb(canvas->cr, 0.91, 0.91, 0.91);
	report_draw_text(canvas, pdf->document.watermark, &font, 0.5, 0.0, 50.0);
	cairo_restore(canvas->cr);
}

/* A line that gets smaller where it would not fit. Only at half its size is it cut. */
static PangoLayout *fitted_line(struct report_canvas *canvas, const char *markup,
				struct report_font font, double width)
{
	const double least = 0.5 * font.size;
	PangoLayout *layout = report_layout(canvas, markup, &font, 0.0);

	while (report_layout_width(layout) > width && font.size > least) {
		g_object_unref(layout);
		font.size *= 0.95;
		layout = report_layout(canvas, markup, &font, 0.0);
	}
	pango_layout_set_width(layout, (int)(width * PANGO_SCALE));
	pango_layout_set_ellipsize(layout, PANGO_ELLIPSIZE_END);
	return layout;
}

static void draw_head(const report_pdf *pdf, struct report_canvas *canvas, struct sheet sheet)
{
	const struct report_font font = { 11.6, 16.0, false }, right_font = { 9.3, 12.0, false };
	const double right = sheet.width - margin, width = right - margin;
	double taken = 0.0;

	if (pdf->document.head_left != NULL) {
		g_autofree char *capitals = g_strdup_printf(
		    "<span font_features=\"smcp=1\" letter_spacing=\"%d\">%s</span>",
		    (int)(0.09 * font.size * PANGO_SCALE), pdf->document.head_left);
		g_autoptr(PangoLayout) layout = fitted_line(canvas, capitals, font, width);

		taken = report_layout_width(layout);
		report_draw_line(canvas, layout, 0, margin, head_baseline);
	}
	if (pdf->document.head_right != NULL) {
		g_autoptr(PangoLayout) layout =
		    fitted_line(canvas, pdf->document.head_right, right_font, width);
		const double own = report_layout_width(layout);
		const bool above = taken + 12.0 > width - own; /* or beside the name */

		report_draw_line(canvas, layout, 0, right - own,
				 head_baseline - (above ? 17.0 : 0.0));
	}
	report_draw_rule(canvas, margin, right, head_rule, 0.6);
}

static void draw_foot(const report_pdf *pdf, struct report_canvas *canvas, struct sheet sheet,
		      int page, int pages)
{
	const double right = sheet.width - margin, y = sheet.height - foot_rule;
	const double baseline = y + 5.0 + report_font_ascent(&report_font_foot);
	g_autofree char *number = g_strdup_printf("page %d of %d", page, pages);

	report_draw_rule(canvas, margin, right, y, 0.4);
	if (pdf->document.foot_left != NULL) {
		g_autoptr(PangoLayout) layout = fitted_line(
		    canvas, pdf->document.foot_left, report_font_foot, right - margin - 80.0);

		report_draw_line(canvas, layout, 0, margin, baseline);
	}
	report_draw_text(canvas, number, &report_font_foot, 1.0, right, baseline);
}

static void draw_pages(const report_pdf *pdf, struct report_canvas *canvas, struct sheet sheet,
		       const GArray *fragments, int pages)
{
	guint next = 0;

	report_tag_begin(canvas, "Document");
	for (int page = 0; page < pages; page++) {
		draw_watermark(pdf, canvas, sheet);
		draw_head(pdf, canvas, sheet);
		for (; next < fragments->len; next++) {
			const struct fragment *f = &g_array_index(fragments, struct fragment, next);

			if (f->page != page)
				break;
			f->block->class->draw(f->block, canvas, f->from, f->to, margin,
					      body_top + f->y);
		}
		draw_foot(pdf, canvas, sheet, page + 1, pages);
		if (page + 1 == pages)
			report_tag_end(canvas, "Document");
		cairo_show_page(canvas->cr);
	}
}

static cairo_status_t append(void *closure, const unsigned char *data, unsigned length)
{
	g_byte_array_append(closure, data, length);
	return CAIRO_STATUS_SUCCESS;
}

/* Without a date of creation cairo takes the clock's. */
static void set_metadata(cairo_surface_t *surface, const struct report_document *document)
{
	g_autofree char *time = g_strdup_printf("%sT00:00:00Z", document->date);
	g_autofree char *program =
	    g_strdup_printf("%s %s", report_program_name, report_program_version);

	cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, document->title);
	if (document->author != NULL)
		cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_AUTHOR,
					       document->author);
	cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_SUBJECT, document->subject);
	cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATOR, program);
	cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, time);
	cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_MOD_DATE, time);
}

static bool failed(const base_messages *messages, size_t before)
{
	return base_messages_count(messages, BASE_ERROR) +
		   base_messages_count(messages, BASE_FAILURE) >
	       before;
}

bool report_pdf_write(report_pdf *pdf, report_fonts *fonts, GByteArray *to, base_messages *messages)
{
	const struct sheet sheet = sheet_of(&pdf->document);
	const size_t before =
	    base_messages_count(messages, BASE_ERROR) + base_messages_count(messages, BASE_FAILURE);
	const double room = sheet.height - body_top - body_bottom;
	struct report_canvas canvas = { .fonts = fonts,
					.messages = messages,
					.file = pdf->document.file,
					.room = room,
					.texts = pdf->document.texts };
	g_autoptr(GArray) fragments = g_array_new(FALSE, TRUE, sizeof(struct fragment));
	g_autoptr(GByteArray) bytes = g_byte_array_new();

	for (guint i = 0; i < pdf->blocks->len; i++) {
		struct report_block *block = g_ptr_array_index(pdf->blocks, i);

		block->class->prepare(block, &canvas, sheet.width - 2.0 * margin);
	}
	if (failed(messages, before))
		return false;
	const int pages = paginate(pdf, room, fragments);

	cairo_surface_t *surface =
	    cairo_pdf_surface_create_for_stream(append, bytes, sheet.width, sheet.height);
	cairo_pdf_surface_restrict_to_version(surface, CAIRO_PDF_VERSION_1_5);
	set_metadata(surface, &pdf->document);
	canvas.cr = cairo_create(surface);
	draw_pages(pdf, &canvas, sheet, fragments, pages);
	cairo_surface_finish(surface);

	const cairo_status_t status = cairo_status(canvas.cr) != CAIRO_STATUS_SUCCESS
					  ? cairo_status(canvas.cr)
					  : cairo_surface_status(surface);
	cairo_destroy(canvas.cr);
	cairo_surface_destroy(surface);
	if (status != CAIRO_STATUS_SUCCESS)
		base_messages_add(messages, BASE_FAILURE, pdf->document.file,
				  (struct base_mark){ 0, 0 }, "the PDF was not made: %s",
				  cairo_status_to_string(status));
	if (failed(messages, before))
		return false;
	g_byte_array_append(to, bytes->data, bytes->len);
	return true;
}
