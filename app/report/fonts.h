/*
 * The one family that certificates are set in: Gentium Book Plus, upright and italic, loaded from
 * its own files through a font configuration of our own. What a machine has installed besides can't
 * slip in, and the same text gives the same page everywhere.
 */
#ifndef REPORT_FONTS_H
#define REPORT_FONTS_H

#include "app/base/messages.h"

#include <pango/pangocairo.h>

#define REPORT_FONT_FAMILY "Gentium Book Plus"

typedef struct report_fonts report_fonts;

/* Looked for in the folder that FIRN_FONTS names, then in fonts/truetype/gentiumplus of the
   system's data folders. NULL with a BASE_FAILURE when the files aren't there. */
report_fonts *report_fonts_new(base_messages *messages);
void report_fonts_free(report_fonts *fonts);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(report_fonts, report_fonts_free)

/* For layouts: one unit is one point, no hinting, English. Belongs to the fonts. */
PangoContext *report_fonts_context(const report_fonts *fonts);

/* The first character of a plain text that the family has no sign for; 0: none. */
gunichar report_fonts_missing(const report_fonts *fonts, const char *text);

#endif
