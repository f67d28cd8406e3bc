/* The sections of a certificate, in the order in which they stand; shared by the files that write
   them. */
#ifndef REPORT_CERTIFICATE_PARTS_H
#define REPORT_CERTIFICATE_PARTS_H

#include "app/lab/calibration.h"
#include "app/lab/calibration_result.h"
#include "app/report/pdf.h"
#include "app/report/rounding.h"

struct certificate {
	const struct lab_calibration *job;
	const struct lab_calibration_result *result;
	report_pdf *pdf;
	base_messages *messages;
	int sections, defined; /* headings and definitions so far */
};

/* R(0.01 °C), t90 and the thin-spaced parts of it, as markup. */
#define MARKUP_R_TPW "<i>R</i>(0.01\u00a0°C)"
#define MARKUP_T90   "<i>t</i><sub>90</sub>"

void certificate_front(struct certificate *c);  /* title, item, method, traceability */
void certificate_points(struct certificate *c); /* results at the fixed points */
void certificate_signatures(struct certificate *c);
void certificate_interpolation(struct certificate *c); /* coefficients, correlations */
void certificate_plots(struct certificate *c);
void certificate_table(struct certificate *c); /* t, W, dt/dW, U */
void certificate_use(struct certificate *c);   /* how to use it, what U leaves out */

void certificate_heading(struct certificate *c, const char *markup, bool new_page);
void certificate_body(struct certificate *c, const char *markup);  /* a paragraph */
void certificate_small(struct certificate *c, const char *markup); /* in small print */

/* Factor from standard to expanded uncertainty: the job's own, or by probability and dof. */
double certificate_k(const struct certificate *c, double dof);

const struct lab_curve *certificate_curve(const struct certificate *c, const char *name);

/* The two that are tabled and drawn: of the range that goes lowest, and of that from 0 °C which
   goes highest; NULL where there is none. */
void certificate_curves(const struct certificate *c, const struct lab_curve **ret_low,
			const struct lab_curve **ret_high);
char *certificate_curve_range(const struct lab_curve *curve);

#endif
