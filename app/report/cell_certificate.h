/* The draft of a certificate for a cell that was compared, as PDF. */
#ifndef REPORT_CELL_CERTIFICATE_H
#define REPORT_CELL_CERTIFICATE_H

#include "app/lab/cell_compare.h"

/*
 * Appends the PDF to `to`: always a draft, which says so in its title and across each page.
 * Refused, with the reason in messages and nothing appended: no cell is named (report: {cell}), the
 * datum is no named reference, or the comparisons do not agree. Same records, same program, same
 * bytes.
 */
bool report_cell_certificate_pdf(const lab_cell_comparison *comparison,
				 const lab_cell_compare *found, GByteArray *to,
				 base_messages *messages);

#endif
