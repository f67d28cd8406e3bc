/* Blocks give back every reading to the last bit, in few bytes, and never more than they hold. */
#include "app/store/block.h"

#include "app/base/time.h"
#include "tests/support/near.h"

#include <string.h>

static struct store_readings empty(void)
{
	return (struct store_readings){ g_array_new(FALSE, TRUE, sizeof(struct store_reading)),
					g_string_chunk_new(64) };
}

static void check_same(const struct store_reading *readings, size_t n)
{
	g_autoptr(GByteArray) bytes = block_encode(readings, n);
	struct store_readings found = empty();

	assert_true(block_decode(bytes->data, bytes->len, &found, NULL));
	assert_int_equal(found.readings->len, n);
	for (size_t i = 0; i < n; i++)
		assert_true(block_same_reading(
		    &readings[i], &g_array_index(found.readings, struct store_reading, (guint)i)));
	store_readings_clear(&found);
}

/* As a bridge gives them: a second apart, nine decimals, two currents in turn. */
static struct store_reading *usual(size_t n, GRand *rand)
{
	struct store_reading *r = g_new0(struct store_reading, n);

	for (size_t i = 0; i < n; i++) {
		r[i].time_us = INT64_C(1700000000000000) + (int64_t)i * 1000000 +
			       g_rand_int_range(rand, 0, 20000);
		r[i].current_mA = i / 20 % 2 == 0 ? 1 : 1.414214;
		r[i].value = g_rand_int_range(rand, 861170000, 861171000) / 1e9;
		r[i].bath_C = g_rand_int_range(rand, 22990, 23010) / 1e3;
	}
	return r;
}

static void usual_readings_are_small(void **state)
{
	g_autoptr(GRand) rand = g_rand_new_with_seed(7);
	g_autofree struct store_reading *r = usual(BLOCK_READINGS, rand);
	g_autoptr(GByteArray) bytes = block_encode(r, BLOCK_READINGS);
	g_autoptr(GByteArray) summary = block_summarise(r, BLOCK_READINGS);

	(void)state;
	check_same(r, BLOCK_READINGS);
	check_same(r, 1);
	check_same(r, 65);
	assert_true(bytes->len + summary->len < 12 * BLOCK_READINGS);
}

/* Doubles of any bits, times of any size, texts, and what is no number. */
static void strange_readings_come_back(void **state)
{
	g_autoptr(GRand) rand = g_rand_new_with_seed(8);
	struct store_reading r[300];

	(void)state;
	for (int round = 0; round < 400; round++) {
		const size_t n = (size_t)g_rand_int_range(rand, 1, 300);

		memset(r, 0, sizeof r);
		for (size_t i = 0; i < n; i++) {
			const uint64_t bits = ((uint64_t)g_rand_int(rand) << 32) | g_rand_int(rand);

			memcpy(&r[i].value, &bits, sizeof bits);
			if (isnan(r[i].value))
				r[i].value = NAN;
			r[i].current_mA = round % 3 == 0 ? -0.0 : g_rand_int(rand) / 1e6;
			r[i].bath_C = round % 2 == 0 ? NAN : g_rand_int(rand) % 7 == 0 ? NAN : 23;
			r[i].time_us = round % 5 == 0   ? BASE_NO_TIME
				       : round % 5 == 1 ? (int64_t)bits
							: (int64_t)i * INT64_C(60000000);
			r[i].quantity =
			    round % 4 == 0 ? STORE_OHM : (enum store_quantity)(bits & 1);
			r[i].flag = bits % 11 == 0 ? "set aside: knock" : NULL;
		}
		check_same(r, n);
	}
}

/* Neither a byte less nor a byte more nor a changed one makes it read beyond its end. */
static void broken_blocks_are_refused(void **state)
{
	g_autoptr(GRand) rand = g_rand_new_with_seed(9);
	g_autofree struct store_reading *r = usual(200, rand);
	g_autoptr(GByteArray) bytes = NULL;
	struct store_readings found = empty();

	(void)state;
	r[13].flag = "knock";
	bytes = block_encode(r, 200);
	for (guint n = 0; n < bytes->len; n++) {
		g_autofree uint8_t *part = g_memdup2(bytes->data, n);

		assert_false(block_decode(part, n, &found, NULL));
	}
	for (guint i = 0; i < bytes->len; i++) {
		g_autofree uint8_t *changed = g_memdup2(bytes->data, bytes->len);

		changed[i] ^= 0xff;
		(void)block_decode(changed, bytes->len, &found, NULL);
	}
	store_readings_clear(&found);
}

static void buckets_keep_extremes(void **state)
{
	g_autoptr(GRand) rand = g_rand_new_with_seed(10);
	g_autofree struct store_reading *r = usual(100, rand);
	g_autoptr(GByteArray) bytes = NULL;
	g_autoptr(GArray) buckets = g_array_new(FALSE, FALSE, sizeof(struct block_bucket));
	const struct block_bucket *b;

	(void)state;
	r[70].value = 2;
	r[71].value = NAN;
	r[99].value = -1;
	bytes = block_summarise(r, 100);
	assert_true(block_summary(bytes->data, bytes->len, buckets, NULL));
	assert_int_equal(buckets->len, 2);
	b = &g_array_index(buckets, struct block_bucket, 1);
	assert_int_equal(b->n, 36);
	assert_int_equal(b->numbers, 35);
	assert_near(b->low, -1, 0);
	assert_near(b->high, 2, 0);
	assert_true(b->time_first_us == r[64].time_us && b->time_last_us == r[99].time_us);
}

/* What a summary says of any readings is what a plain pass over them finds. */
static void summaries_say_what_is_there(void **state)
{
	g_autoptr(GRand) rand = g_rand_new_with_seed(11);
	g_autofree struct store_reading *r = usual(BLOCK_READINGS, rand);

	(void)state;
	for (size_t n = 1; n <= BLOCK_READINGS; n = n * 3 + 1) {
		g_autoptr(GArray) buckets = g_array_new(FALSE, FALSE, sizeof(struct block_bucket));
		g_autoptr(GByteArray) bytes = NULL;
		size_t at = 0;

		for (size_t i = 0; i < n; i++) {
			if (n % 2 == 0 && g_rand_int(rand) % 3 == 0)
				r[i].value = i % 5 == 0 ? -0.0 : NAN;
			if (n % 3 == 0 && i % 2 == 0)
				r[i].time_us = BASE_NO_TIME;
		}
		bytes = block_summarise(r, n);
		assert_true(block_summary(bytes->data, bytes->len, buckets, NULL));
		for (guint i = 0; i < buckets->len; i++) {
			const struct block_bucket *b =
			    &g_array_index(buckets, struct block_bucket, i);
			struct block_bucket want = BLOCK_EMPTY_BUCKET;

			for (int64_t j = 0; j < b->n; j++)
				block_bucket_add(&want, &r[at++]);
			assert_memory_equal(b, &want, sizeof want);
		}
		assert_int_equal(at, n);
		for (guint less = 1; less < bytes->len; less += 7)
			assert_false(block_summary(bytes->data, bytes->len - less, buckets, NULL));
	}
}

/* Seven words a bucket, as books had them before. */
static void summaries_in_words_are_read(void **state)
{
	const double low = -1.5, high = 2.25, sum = 40.125;
	uint64_t words[7] = { 64, 63, 1000, 2000 };
	g_autoptr(GArray) buckets = g_array_new(FALSE, FALSE, sizeof(struct block_bucket));
	const struct block_bucket want = { 64, 63, 1000, 2000, low, high, sum };

	(void)state;
	memcpy(&words[4], &low, sizeof low);
	memcpy(&words[5], &high, sizeof high);
	memcpy(&words[6], &sum, sizeof sum);
	for (int i = 0; i < 7; i++)
		words[i] = GUINT64_TO_LE(words[i]);
	assert_true(block_summary(words, sizeof words, buckets, NULL));
	assert_int_equal(buckets->len, 1);
	assert_memory_equal(&g_array_index(buckets, struct block_bucket, 0), &want, sizeof want);
	assert_false(block_summary(words, sizeof words - 1, buckets, NULL));
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(usual_readings_are_small),
		cmocka_unit_test(strange_readings_come_back),
		cmocka_unit_test(broken_blocks_are_refused),
		cmocka_unit_test(buckets_keep_extremes),
		cmocka_unit_test(summaries_say_what_is_there),
		cmocka_unit_test(summaries_in_words_are_read),
	};

	return cmocka_run_group_tests(tests, NULL, NULL);
}
