/* The one text of a JSON value: RFC 8785, so that its SHA-256 is the identity of what it says. */
#ifndef BASE_CANONICAL_H
#define BASE_CANONICAL_H

#include <glib.h>
#include <jansson.h>

/*
 * base_canonical - RFC 8785 (JSON Canonicalization Scheme): no space, members in the order of their
 * UTF-16 code units, numbers as ECMAScript prints them. Release with g_free.
 *
 * An integer beyond 2^53 is written as the double nearest to it, as the RFC has it.
 */
char *base_canonical(const json_t *json);

/* The same value for people: members in the same order and numbers with the same digits, two spaces
   a level; what fits on a line of 100 bytes and holds nothing nested stays on one. Ends with a line
   feed; read back, it is the same value. Release with g_free. */
char *base_pretty(const json_t *json);

#endif
