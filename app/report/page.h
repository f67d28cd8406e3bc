/*
 * What a page is made of. A document is a row of blocks; each block falls into parts (lines of a
 * paragraph, rows of a table) between which a page may end. Lengths are in points, y grows
 * downwards. Texts are Pango markup: what comes from a job goes through report_markup first.
 */
#ifndef REPORT_PAGE_H
#define REPORT_PAGE_H

#include "app/report/fonts.h"

#include <cairo.h>
#include <stdbool.h>

/* Where layouts are made and drawn. While pages are planned cr is NULL. */
struct report_canvas {
	report_fonts *fonts;
	cairo_t *cr;
	base_messages *messages;
	const char *file; /* that messages are about */
	double room;      /* height of a page between its head and foot */
	GPtrArray *texts; /* char *: each text that is laid out is added to it; NULL: none is */
};

struct report_block;
struct report_block_class {
	/* Lays out for a width; sets the number of parts. */
	void (*prepare)(struct report_block *block, struct report_canvas *canvas, double width);
	/* How far the parts from `from` on fit into a height: the part that no longer does. `from`
	   itself when none fits, as when too few would stand alone. *ret_height: of those that do.
	 */
	int (*fit)(const struct report_block *block, int from, double height, double *ret_height);
	void (*draw)(const struct report_block *block, struct report_canvas *canvas, int from,
		     int to, double x, double y);
	void (*free)(struct report_block *block);
};

/* The first member of every kind of block. */
struct report_block {
	const struct report_block_class *class;
	int parts;
	double space;   /* above it; dropped at the top of a page */
	bool keep_next; /* not the last thing on a page */
	bool new_page;  /* the first thing on a page, or in its upper half */
};

/* Sizes in points, from the drawing of the certificate. */
struct report_font {
	double size, leading;
	bool italic;
};
extern const struct report_font report_font_body, report_font_small, report_font_heading,
    report_font_title, report_font_subtitle, report_font_label, report_font_foot;

/* Plain text to markup: characters of markup escaped, line ends and tabs to spaces. */
char *report_markup(const char *text);

/* A layout of a text; width 0: on one line. A sign that the font lacks is an error that names it
   and the text. */
PangoLayout *report_layout(struct report_canvas *canvas, const char *markup,
			   const struct report_font *font, double width);
double report_layout_width(PangoLayout *layout);

/* Draws a line of a layout with its baseline at y, and its left edge at x. */
void report_draw_line(struct report_canvas *canvas, PangoLayout *layout, int line, double x,
		      double y);

/* The same for a layout of one line that is thrown away; `align`: 0 x is its left edge, 0.5 its
   middle, 1 its right. */
void report_draw_text(struct report_canvas *canvas, const char *markup,
		      const struct report_font *font, double align, double x, double y);

void report_draw_rule(struct report_canvas *canvas, double x1, double x2, double y, double width);

/* Structure for readers by ear; `tag` is one of PDF's own. */
void report_tag_begin(struct report_canvas *canvas, const char *tag);
void report_tag_end(struct report_canvas *canvas, const char *tag);

/* Distance of the first baseline from the top of a line of this font. */
double report_font_ascent(const struct report_font *font);

/*
 * A paragraph or heading. `tag`: P, H1, H2. `measure`: widest line as a share of the width (0 to
 * 1). `align`: 0 left, 0.5 middle, 1 right.
 */
struct report_block *report_paragraph(const char *markup, const struct report_font *font,
				      const char *tag, double space, double measure, double align);

/* "1  Results at the fixed points" */
struct report_block *report_heading(int number, const char *markup, bool new_page);

/* Title, with a number at the right edge. */
struct report_block *report_title(const char *markup, const char *number_markup);

/* An italic label in a hanging column, and what it is. */
struct report_block *report_definition(const char *label_markup, const char *markup, double space);

/* Rules to sign on, side by side: italic caption, then lines; both markup. */
struct report_signature {
	const char *caption, *lines;
};
struct report_block *report_signatures(size_t n, const struct report_signature *signatures);

#endif
