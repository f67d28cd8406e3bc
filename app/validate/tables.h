/* Shapes of the tables that tools/make_validation.py makes. */
#ifndef VALIDATE_TABLES_H
#define VALIDATE_TABLES_H

#include <stdbool.h>
#include <stddef.h>

enum validate_kind {
	VALIDATE_WR,
	VALIDATE_WR_FROM_ZERO,
	VALIDATE_APPROXIMATE_BELOW,
	VALIDATE_APPROXIMATE_ABOVE,
	VALIDATE_FACTOR,
	VALIDATE_MODEL,
	VALIDATE_TRIALS,
};

/* A row of data/validation.csv; what a kind has no use for is NaN or NULL. */
struct validate_row {
	enum validate_kind kind;
	double at;
	const char *model, *output, *quantity;
	double want, tolerance;
	const char *source;
};

struct validate_point {
	const char *name;
	double t90_K, wr;
};

struct validate_pair {
	double x, y;
	bool above; /* of W_r(T90): by equation (10a) */
};

struct validate_model {
	const char *name;
	const unsigned char *text; /* YAML */
	size_t length;
};

#endif
