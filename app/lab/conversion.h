/* What a result of a fixed-point calibration tells whoever measures with the thermometer. */
#ifndef LAB_CONVERSION_H
#define LAB_CONVERSION_H

#include "app/base/messages.h"
#include "app/lab/calibration.h"
#include "app/lab/value.h"

#include <glib.h>
#include <stdbool.h>

enum { LAB_MOST_COEFFICIENTS = 7 };

struct lab_conversion_subrange {
	enum lab_subrange subrange; /* LAB_NO_SUBRANGE: none of the standard's */
	char *name;                 /* as the result has it */
	bool certificate;           /* false: not the ITS-90 interpolation */
	size_t n;
	char *coefficients[LAB_MOST_COEFFICIENTS]; /* names, in the order of the covariance */
	double values[LAB_MOST_COEFFICIENTS];
	double w_al; /* NaN where the result has none */
	bool covers_w_al;
	/* n x n, or (n + 1) x (n + 1) with W_Al last; row by row */
	double covariance[(LAB_MOST_COEFFICIENTS + 1) * (LAB_MOST_COEFFICIENTS + 1)];
	struct base_mark mark;
};

/* A resistance at the triple point of water, measured for the calibration. */
struct lab_calibration_tpw {
	char *words; /* "R(TPW) of visit 3" */
	double value;
	bool is_ratio;  /* of the bridge; otherwise ohm */
	bool as_stated; /* corrected, as a certificate states it; otherwise a number on the way to
			   it */
};

struct lab_conversion {
	char *path, *thermometer;
	bool accepted;      /* the thermometer meets the criteria */
	char *last_reading; /* RFC 3339, UTC; NULL: the result doesn't tell */
	double r_tpw_ohm;   /* the last of the sequence */
	GArray *subranges;  /* struct lab_conversion_subrange */
	GArray *tpw;        /* struct lab_calibration_tpw */
	GStringChunk *text; /* every char * above */
};
struct lab_conversion *lab_conversion_new(void);
void lab_conversion_free(struct lab_conversion *conversion); /* NULL is accepted */
typedef struct lab_conversion lab_conversion;
G_DEFINE_AUTOPTR_CLEANUP_FUNC(lab_conversion, lab_conversion_free)

/* Keeps a copy of a text for as long as the record; NULL stays NULL. */
char *lab_conversion_text(struct lab_conversion *conversion, const char *text);

/* What a stream of numbers is. */
enum lab_quantity { LAB_W, LAB_RATIO, LAB_OHM };

/* The user's own R(TPW). Values not given are NaN. */
struct lab_own_tpw {
	double ohm, ratio;   /* one of them */
	double last_digit;   /* of the text it was given as: 1e-6 for 25.500123 */
	double resistor_ohm; /* what a ratio is multiplied by */
	const char *date;    /* YYYY-MM-DD, or NULL */
};

#endif
