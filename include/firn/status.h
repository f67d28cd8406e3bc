/* What a call of libfirn tells about itself. */
#ifndef FIRN_STATUS_H
#define FIRN_STATUS_H

/* A status that nobody reads loses a failure: clang warns of it, for every function that returns
   one. gcc takes this attribute at functions only, and passes it over here. */
#ifdef __clang__
#define FIRN_TO_BE_READ __attribute__((warn_unused_result))
#else
#define FIRN_TO_BE_READ
#endif

/* Zero: computed. Above zero: computed, with a reservation. Below zero: not computed. */
enum FIRN_TO_BE_READ firn_status {
	FIRN_OK = 0,
	FIRN_WARN_SIGN = 1,         /* a quantity has the physically wrong sign */
	FIRN_WARN_FEW = 2,          /* too few readings for what was asked; the rest is there */
	FIRN_WARN_CONSTANT = 3,     /* readings without any spread: hung, or below resolution */
	FIRN_WARN_EXTRAPOLATED = 4, /* outside the range that the constants were made for */
	FIRN_E_DOMAIN = -1,         /* a number is not finite or out of its range */
	FIRN_E_SINGULAR = -2,       /* the inputs do not determine the result */
	FIRN_E_MEMORY = -3,         /* no memory */
	FIRN_E_FOREIGN = -4,        /* quantities of two tapes in one operation */
	FIRN_E_FORMULA = -5,        /* a formula's text is wrong; in lib/ a defect of ours */
	FIRN_E_CORRELATION = -6,    /* no set of quantities can have these correlations */
	FIRN_E_UNKNOWN = -7,        /* a name that stands for nothing here */
};

/* A few words for a person, in English; never NULL. */
const char *firn_status_text(enum firn_status status);

#endif
