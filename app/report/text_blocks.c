/* Blocks of running text: paragraphs, headings, definitions, signatures. */
#include "app/report/page.h"

#include <string.h>

#define LABEL_WIDTH 88.5

/* Lines, with a label or a number beside the first where there is one. */
struct text_block {
	struct report_block block;
	char *markup, *beside, *tag;
	struct report_font font, beside_font;
	double measure, align, indent, width;
	bool beside_right;
	PangoLayout *layout;
};

static void text_prepare(struct report_block *block, struct report_canvas *canvas, double width)
{
	struct text_block *text = (struct text_block *)block;

	text->width = width;
	g_clear_object(&text->layout);
	text->layout = report_layout(canvas, text->markup, &text->font,
				     text->measure * (width - text->indent));
	block->parts = pango_layout_get_line_count(text->layout);
}

/* No line of a paragraph stands alone on a page. */
static int text_fit(const struct report_block *block, int from, double height, double *ret_height)
{
	const struct text_block *text = (const struct text_block *)block;
	const int left = block->parts - from;
	int n = (int)((height + 1e-6) / text->font.leading);

	if (n >= left)
		n = left;
	else if (left - n == 1)
		n--;
	if (n == 1 && left > 1 && from == 0)
		n = 0;
	*ret_height = n * text->font.leading;
	return from + n;
}

static double line_x(const struct text_block *text, int line)
{
	PangoRectangle extent;

	if (text->align <= 0.0)
		return text->indent;
	pango_layout_line_get_extents(pango_layout_get_line_readonly(text->layout, line), NULL,
				      &extent);
	return text->indent +
	       text->align * (text->width - text->indent - (double)extent.width / PANGO_SCALE);
}

static void text_draw(const struct report_block *block, struct report_canvas *canvas, int from,
		      int to, double x, double y)
{
	const struct text_block *text = (const struct text_block *)block;
	const double baseline = y + report_font_ascent(&text->font);

	report_tag_begin(canvas, text->tag);
	if (from == 0 && text->beside != NULL)
		report_draw_text(canvas, text->beside, &text->beside_font,
				 text->beside_right ? 1.0 : 0.0,
				 text->beside_right ? x + text->width : x, baseline);
	for (int i = from; i < to; i++)
		report_draw_line(canvas, text->layout, i, x + line_x(text, i),
				 baseline + (i - from) * text->font.leading);
	report_tag_end(canvas, text->tag);
}

static void text_free(struct report_block *block)
{
	struct text_block *text = (struct text_block *)block;

	g_free(text->markup);
	g_free(text->beside);
	g_free(text->tag);
	g_clear_object(&text->layout);
	g_free(text);
}

static const struct report_block_class text_class = { text_prepare, text_fit, text_draw,
						      text_free };

static struct text_block *new_text(const char *markup, const struct report_font *font,
				   const char *tag, double space)
{
	struct text_block *text = g_new0(struct text_block, 1);

	text->block = (struct report_block){ .class = &text_class, .space = space };
	text->markup = g_strdup(markup);
	text->tag = g_strdup(tag);
	text->font = *font;
	text->beside_font = *font;
	text->measure = 1.0;
	return text;
}

struct report_block *report_paragraph(const char *markup, const struct report_font *font,
				      const char *tag, double space, double measure, double align)
{
	struct text_block *text = new_text(markup, font, tag, space);

	text->measure = measure;
	text->align = align;
	return &text->block;
}

struct report_block *report_heading(int number, const char *markup, bool new_page)
{
	g_autofree char *numbered = g_strdup_printf("%d\xe2\x80\x83%s", number, markup);
	struct text_block *text = new_text(numbered, &report_font_heading, "H2", 16.5);

	text->block.keep_next = true;
	text->block.new_page = new_page;
	return &text->block;
}

struct report_block *report_title(const char *markup, const char *number_markup)
{
	struct text_block *text = new_text(markup, &report_font_title, "H1", 24.0);

	text->beside = g_strdup(number_markup);
	text->beside_font = (struct report_font){ 18.0, 30.0, false };
	text->beside_right = true;
	text->block.keep_next = true;
	return &text->block;
}

struct report_block *report_definition(const char *label_markup, const char *markup, double space)
{
	struct text_block *text = new_text(markup, &report_font_body, "P", space);

	text->beside = g_strdup(label_markup);
	text->beside_font = report_font_label;
	text->indent = LABEL_WIDTH;
	return &text->block;
}

#define MOST_SIGNATURES 4

struct signatures_block {
	struct report_block block;
	size_t n;
	struct {
		char *caption, *lines;
		PangoLayout *layout;
	} of[MOST_SIGNATURES];
	double width, height;
};

static const double signature_gap = 19.5,
		    signature_ink = 45.0; /* between; above the rule, to sign */

static void signatures_prepare(struct report_block *block, struct report_canvas *canvas,
			       double width)
{
	struct signatures_block *s = (struct signatures_block *)block;
	int lines = 0;

	s->width = (width - (double)(s->n - 1) * signature_gap) / (double)s->n;
	for (size_t i = 0; i < s->n; i++) {
		g_clear_object(&s->of[i].layout);
		s->of[i].layout =
		    report_layout(canvas, s->of[i].lines, &report_font_small, s->width);
		lines = MAX(lines, pango_layout_get_line_count(s->of[i].layout));
	}
	s->height = signature_ink + 4.0 + (1 + lines) * report_font_small.leading;
	block->parts = 1;
}

static int signatures_fit(const struct report_block *block, int from, double height,
			  double *ret_height)
{
	*ret_height = ((const struct signatures_block *)block)->height;
	return *ret_height <= height ? 1 : from;
}

static void signatures_draw(const struct report_block *block, struct report_canvas *canvas,
			    int from, int to, double x, double y)
{
	const struct signatures_block *s = (const struct signatures_block *)block;
	struct report_font caption = report_font_small;

	(void)from;
	(void)to;
	caption.italic = true;
	for (size_t i = 0; i < s->n; i++) {
		const double left = x + (double)i * (s->width + signature_gap),
			     top = y + signature_ink;
		double baseline = top + 4.0 + report_font_ascent(&caption);

		report_draw_rule(canvas, left, left + s->width, top, 0.45);
		report_tag_begin(canvas, "P");
		report_draw_text(canvas, s->of[i].caption, &caption, 0.0, left, baseline);
		for (int k = 0; k < pango_layout_get_line_count(s->of[i].layout); k++)
			report_draw_line(canvas, s->of[i].layout, k, left,
					 baseline += caption.leading);
		report_tag_end(canvas, "P");
	}
}

static void signatures_free(struct report_block *block)
{
	struct signatures_block *s = (struct signatures_block *)block;

	for (size_t i = 0; i < s->n; i++) {
		g_free(s->of[i].caption);
		g_free(s->of[i].lines);
		g_clear_object(&s->of[i].layout);
	}
	g_free(s);
}

static const struct report_block_class signatures_class = {
	signatures_prepare,
	signatures_fit,
	signatures_draw,
	signatures_free,
};

struct report_block *report_signatures(size_t n, const struct report_signature *signatures)
{
	struct signatures_block *s = g_new0(struct signatures_block, 1);

	g_assert(n > 0 && n <= MOST_SIGNATURES);
	s->block = (struct report_block){ .class = &signatures_class, .space = 0.0 };
	s->n = n;
	for (size_t i = 0; i < n; i++) {
		s->of[i].caption = g_strdup(signatures[i].caption);
		s->of[i].lines = g_strdup(signatures[i].lines);
	}
	return &s->block;
}
