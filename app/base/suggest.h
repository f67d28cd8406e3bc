/* The name that was probably meant. */
#ifndef BASE_SUGGEST_H
#define BASE_SUGGEST_H

#include <stddef.h>

/*
 * base_suggest - the known name nearest to one that is not known, or NULL when none is near.
 *
 * Given: a NULL-terminated list. Near: few letters wrong, missing, added or exchanged (a third of
 * them, at least one), whatever the case; or all right but for the unit behind the last _
 * (depth_mm, or depth alone, for depth_m). The earlier of two equally near ones.
 */
const char *base_suggest(const char *name, const char *const *known);

/*
 * base_unit_meant - the unit of a known name, in words, when the other name differs from it in the
 * unit alone: whoever wrote depth_cm has to convert the value, too. Otherwise NULL.
 */
const char *base_unit_meant(const char *name, const char *known);

#endif
