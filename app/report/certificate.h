/* The certificate of a fixed-point calibration, or its draft, as PDF. */
#ifndef REPORT_CERTIFICATE_H
#define REPORT_CERTIFICATE_H

#include "app/lab/calibration.h"
#include "app/lab/calibration_result.h"

/*
 * Appends the PDF to `to`. Without a release it is a draft, says so in its title and across each
 * page, and leaves out what the job does not state. A release that lacks what ISO/IEC 17025:2017,
 * 7.8 asks for, or states an uncertainty below the laboratory's capability, is refused: false,
 * every reason in messages, nothing appended. So is a name with a sign that the font lacks. Same
 * records, same program, same bytes.
 */
bool report_certificate_pdf(const struct lab_calibration *calibration,
			    const struct lab_calibration_result *result, GByteArray *to,
			    base_messages *messages);

/* The same, and each text of its pages added to texts (char *, its owner's to free), so that two
   certificates can be compared in every printed digit. Texts come as they are laid out, some more
   than once; equal records give equal texts in the same order. */
bool report_certificate_texts(const struct lab_calibration *calibration,
			      const struct lab_calibration_result *result, GByteArray *to,
			      GPtrArray *texts, base_messages *messages);

#endif
