/* The age of an ice mantle: strain and small crystals make a young one read low. */
#ifndef FIRN_MANTLE_H
#define FIRN_MANTLE_H

#include "firn/tape.h"

enum firn_mantle_kind {
	FIRN_MANTLE_SLOW, /* heat pipe, or as slow */
	FIRN_MANTLE_FAST, /* liquid nitrogen, or unknown */
};

/*
 * firn_mantle_age_bound - how far below the triple point a mantle may be, in kelvin (positive).
 *
 * Given: age_d in days, 0 to 10000. A planning curve through published bounds, not a correction:
 * slow 0.2 mK exp(-t/3.74 d); fast 1 mK exp(-t/1.1 d) until both meet; at least 10 uK.
 * Status: FIRN_OK or FIRN_E_DOMAIN.
 *
 * Source: CCT Guide sec. 2.2 (2018), 6.2 (fresh 0.2 mK, or up to 1 mK; 2 to 3 days below 0.1 mK; a
 * week below 0.03 mK, which the curve meets to 1 uK; 10 days about 0.01 mK, met from 11 days on);
 * the curve is ours.
 */
enum firn_status firn_mantle_age_bound(enum firn_mantle_kind kind, double age_d, double *ret_K);

/*
 * firn_mantle_age - the term of a budget: an input named `name`, rectangular within +/- the bound
 * about 0, so u = bound/sqrt(3). Statuses as in firn/correction.h.
 */
enum firn_status firn_mantle_age(struct firn_tape *tape, const char *name,
				 enum firn_mantle_kind kind, double age_d,
				 struct firn_node *ret_dt_K);

#endif
