/* Fuzz target: a sealed block of readings, as a database gives it back. */
#include "fuzz/fuzz.h"

#include "app/store/block.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	struct store_readings readings = { g_array_new(FALSE, TRUE, sizeof(struct store_reading)),
					   g_string_chunk_new(64) };
	g_autoptr(GArray) buckets = g_array_new(FALSE, FALSE, sizeof(struct block_bucket));

	if (block_decode(data, size, &readings, NULL)) {
		const struct store_reading *first = (const void *)readings.readings->data;
		const guint n = readings.readings->len;
		g_autoptr(GByteArray) again = block_encode(first, n);
		struct store_readings same = { g_array_new(FALSE, TRUE,
							   sizeof(struct store_reading)),
					       g_string_chunk_new(64) };

		/* Whatever it held is held again. */
		FUZZ_HOLDS(block_decode(again->data, again->len, &same, NULL));
		FUZZ_HOLDS(same.readings->len == n);
		for (guint i = 0; i < n; i++)
			FUZZ_HOLDS(block_same_reading(
			    &first[i], &g_array_index(same.readings, struct store_reading, i)));
		store_readings_clear(&same);
	}
	(void)block_summary(data, size, buckets, NULL);
	store_readings_clear(&readings);
	return 0;
}
