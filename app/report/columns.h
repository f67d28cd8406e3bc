/* Text for a terminal: columns in line, paragraphs wrapped, at most 100 characters wide. */
#ifndef REPORT_COLUMNS_H
#define REPORT_COLUMNS_H

#include <glib.h>

#define REPORT_TEXT_WIDTH 100

enum report_columns_kind {
	REPORT_COLUMNS_LEFT,
	REPORT_COLUMNS_RIGHT,
	REPORT_COLUMNS_DECIMAL, /* in line at the point */
};

typedef struct report_columns report_columns;

report_columns *report_columns_new(void);
void report_columns_add(report_columns *columns, enum report_columns_kind kind,
			const char *heading);
/* The next cell; rows fill from left to right. NULL is empty. */
void report_columns_cell(report_columns *columns, const char *text);
/* Writes the rows under their headings, indented by two, and releases the columns. Where a row is
   too wide the longest texts are cut and end with an ellipsis; numbers never are. */
void report_columns_print(report_columns *columns, GString *to);

/* Width of a text on a terminal: wide characters count twice, combining ones not at all. */
int report_text_width(const char *text);

/* A paragraph, wrapped between words; lines after the first are indented by `hang` spaces. */
void report_wrap(GString *to, const char *text, int hang);

#endif
