/*
 * A drawing, once for the screen (SVG) and once for paper (PDF). Lengths are in px of the SVG, a
 * px being 0.75 pt on paper; y grows downwards. Colours have names of what they draw and come with
 * a texture where a solid must be told from a liquid without them.
 *
 * Texts are plain. On screen they are set in the fonts of the pages, with others where these
 * are missing; on paper in the certificates' font. Neither is measured here, so a drawing leaves
 * room.
 */
#ifndef REPORT_PICTURE_H
#define REPORT_PICTURE_H

#include "app/report/fonts.h"

#include <glib.h>
#include <stdbool.h>

enum report_ink {
	REPORT_NO_INK,
	REPORT_SHEET, /* the ground */
	REPORT_INK,   /* numbers, verdicts, what was measured */
	REPORT_INK_2, /* running text */
	REPORT_INK_3, /* units, axes, sources */
	REPORT_HAIR,
	REPORT_ICE,
	REPORT_ICE_LINE,
	REPORT_WATER,
	REPORT_WATER_LINE,
	REPORT_METAL,
	REPORT_METAL_LINE,
	REPORT_MELT,
	REPORT_GLASS,
	REPORT_EMBER,  /* the middle of the sensor; events */
	REPORT_MADDER, /* limits; unfit */
	REPORT_INKS
};

enum report_texture {
	REPORT_NO_TEXTURE,
	REPORT_HATCHED_ICE,
	REPORT_HATCHED_METAL,
	REPORT_DASHED_LIQUID
};

/* How a line runs. */
enum report_dash { REPORT_SOLID, REPORT_DASHED, REPORT_LONG_DASHED, REPORT_DOTTED };

struct report_pen {
	enum report_ink fill;
	enum report_texture texture; /* over the fill */
	enum report_ink line;
	double width; /* of the line; 0: 1 px */
	enum report_dash dash;
	double pale; /* 0: as it is; towards 1: the paler */
};

enum report_voice { REPORT_TELL, REPORT_TELL_STRONG, REPORT_SAY }; /* numbers, verdict, sentence */

typedef struct report_picture report_picture;

/* title: what it shows, in a sentence, for who can't see it. */
report_picture *report_picture_new(double width, double height, const char *title);
void report_picture_free(report_picture *picture);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(report_picture, report_picture_free)

double report_picture_width(const report_picture *picture);

/* A line or an outline: begun, carried on, and drawn. A point that isn't finite breaks it. */
void report_picture_move(report_picture *picture, double x, double y);
void report_picture_line(report_picture *picture, double x, double y);
void report_picture_curve(report_picture *picture, double x1, double y1, double x2, double y2,
			  double x, double y); /* cubic, by two control points */
void report_picture_close(report_picture *picture);
void report_picture_draw(report_picture *picture, const struct report_pen *pen);

/* The same for what is wanted often. */
void report_picture_rect(report_picture *picture, double x, double y, double width, double height,
			 const struct report_pen *pen);
void report_picture_circle(report_picture *picture, double x, double y, double r,
			   const struct report_pen *pen);
void report_picture_diamond(report_picture *picture, double x, double y, double r,
			    const struct report_pen *pen);
void report_picture_segment(report_picture *picture, double x1, double y1, double x2, double y2,
			    const struct report_pen *pen);

/* align: 0 x is the left edge, 0.5 the middle, 1 the right; y is the baseline. */
void report_picture_text(report_picture *picture, double x, double y, double align, double size,
			 enum report_voice voice, enum report_ink ink, const char *text);
/* Over several lines of at most so many characters, downwards; returns the baseline after them. */
double report_picture_paragraph(report_picture *picture, double x, double y, int characters,
				double size, enum report_voice voice, enum report_ink ink,
				const char *text);

void report_picture_svg(const report_picture *picture, GString *to);

/* One page of the picture's size; the same picture gives the same bytes. False, with messages, when
   a sign is missing or there is no memory; `file` is what they are about. */
bool report_picture_pdf(const report_picture *picture, report_fonts *fonts, const char *file,
			GByteArray *to, base_messages *messages);

#endif
