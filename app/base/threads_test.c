#include "tests/support/near.h"
#include "app/base/threads.h"

enum { N = 1000 };

struct seen {
	int times[N];
	int sum;
};

static void see(void *context, size_t i)
{
	struct seen *seen = context;

	g_atomic_int_inc(&seen->times[i]);
	g_atomic_int_add(&seen->sum, (int)i);
}

/* Each number once, with any number of threads, and more than one call of the same pool. */
static void test_run(void **state)
{
	static const int threads[] = { 1, 2, 3, 7, 0 };

	(void)state;
	for (size_t t = 0; t < 5; t++) {
		g_autoptr(base_threads) pool = base_threads_new(threads[t]);
		struct seen seen = { .sum = 0 };

		for (int call = 0; call < 3; call++)
			base_threads_run(pool, N, see, &seen);
		base_threads_run(NULL, N, see, &seen);
		base_threads_run(pool, 0, see, &seen);
		for (size_t i = 0; i < N; i++)
			assert_int_equal(seen.times[i], 4);
		assert_int_equal(seen.sum, 4 * N * (N - 1) / 2);
	}
}

int main(void)
{
	const struct CMUnitTest tests[] = { cmocka_unit_test(test_run) };

	return cmocka_run_group_tests_name("threads", tests, NULL, NULL);
}
