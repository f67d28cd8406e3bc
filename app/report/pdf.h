/*
 * A document of blocks as PDF: pages broken so that no heading ends one, head and foot with number
 * and page n of N on each, tagged for readers by ear. The same blocks give the same bytes.
 */
#ifndef REPORT_PDF_H
#define REPORT_PDF_H

#include "app/report/page.h"

struct report_document {
	const char *file;                     /* that messages are about */
	const char *paper;                    /* "A4" or "Letter"; NULL: A4 */
	const char *title, *author, *subject; /* plain; author NULL: none */
	const char *date; /* of the paper, YYYY-MM-DD: the only date in the file */
	const char *head_left, *head_right, *foot_left; /* markup; NULL: empty */
	const char *watermark;                          /* across each page; NULL: none */
	GPtrArray *texts; /* takes a copy of each text that is laid out, plain; NULL: none */
};

typedef struct report_pdf report_pdf;

report_pdf *report_pdf_new(const struct report_document *document);
void report_pdf_free(report_pdf *pdf);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(report_pdf, report_pdf_free)

/* Takes the block. */
void report_pdf_add(report_pdf *pdf, struct report_block *block);
/* The last block stays on a page with the one that follows. */
void report_pdf_keep_last(report_pdf *pdf);

/* False, with messages and nothing written, when a sign is missing, something doesn't fit or there
   is no memory. */
bool report_pdf_write(report_pdf *pdf, report_fonts *fonts, GByteArray *to,
		      base_messages *messages);

#endif
