/*
 * What the fuzz targets share. Each target holds one parser of outside bytes to what it promises,
 * beyond not crashing: libFuzzer and the sanitizers see to that.
 */
#ifndef FUZZ_FUZZ_H
#define FUZZ_FUZZ_H

#include "app/base/messages.h"

#include <glib.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Called by libFuzzer with each input. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* A promise that must hold for every input; a finding when it doesn't. */
#define FUZZ_HOLDS(condition)                                                                      \
	do {                                                                                       \
		if (!(condition))                                                                  \
			fuzz_broken(__FILE__, __LINE__, #condition);                               \
	} while (0)
G_NORETURN void fuzz_broken(const char *file, int line, const char *promise);

/* One input for two parsers: the bytes before the first 0xFF, which is never part of UTF-8, and
   those after it (none when there is no 0xFF). Release with g_bytes_unref. */
void fuzz_split(const uint8_t *data, size_t size, GBytes **ret_first, GBytes **ret_second);

/*
 * Holds messages to their contract: text of one line in UTF-8 without control characters, a place
 * that counts from 1, no failure of the machine; and an error exactly when nothing was made.
 */
void fuzz_check_messages(const base_messages *messages, bool made);

/* Holds a text to strict JSON: no NaN, no key twice. */
void fuzz_check_json(const GString *text);

#endif
