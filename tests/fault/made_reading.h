/* Readings of which every bit follows from their visit and number, so that a test can tell after a
   crash what must stand in the book without having kept it. */
#ifndef FAULT_MADE_READING_H
#define FAULT_MADE_READING_H

#include "app/base/time.h"
#include "app/store/block.h"
#include "app/store/store.h"

#include <math.h>

/* The finaliser of SplitMix64 (Steele, Lea, Flood, OOPSLA 2014): each input bit reaches all. */
static inline uint64_t made_bits(uint64_t x)
{
	x += UINT64_C(0x9e3779b97f4a7c15);
	x = (x ^ (x >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
	x = (x ^ (x >> 27)) * UINT64_C(0x94d049bb133111eb);
	return x ^ (x >> 31);
}

static inline struct store_reading made_reading(const char *visit, int64_t number)
{
	const uint64_t bits = made_bits(made_bits(g_str_hash(visit)) ^ (uint64_t)number);
	const int kind = (int)(bits & 31);

	return (struct store_reading){
		.time_us = kind == 0 ? BASE_NO_TIME
				     : INT64_C(1900000000000000) + number * 1500000 +
					   (int64_t)(bits >> 50),
		.current_mA = kind < 16 ? 1.0 : 1.41421356,
		.value = kind == 1 ? (double)NAN : 0.8 + (double)(bits >> 11) * 0x1p-56,
		.bath_C = kind % 3 == 0 ? (double)NAN : 23.0 + kind * 1e-3,
		.quantity = STORE_RATIO,
		.flag = kind == 2 ? "set aside: knock" : NULL,
	};
}

/* Number of the first reading that is not the one made for its place; -1: all are. */
static inline int64_t made_difference(const char *visit, const struct store_readings *found)
{
	for (guint i = 0; i < found->readings->len; i++) {
		const struct store_reading want = made_reading(visit, i);

		if (!block_same_reading(&g_array_index(found->readings, struct store_reading, i),
					&want))
			return i;
	}
	return -1;
}

#endif
