/* Text to doubles and back, held to strtod and printf of the C library bit by bit and byte by byte.
   The program keeps to the "C" locale here. */
#include "tests/support/near.h"
#include "firn/number.h"
#include "lib/num/decimal.h"

#include <float.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MANY = 300000, LONG = 420 };

static uint64_t seed = 20261125;

/* splitmix64 (Steele, Lea and Flood 2014; from memory) */
static uint64_t draw(void)
{
	uint64_t z = seed += UINT64_C(0x9e3779b97f4a7c15);

	z = (z ^ z >> 30) * UINT64_C(0xbf58476d1ce4e5b9);
	z = (z ^ z >> 27) * UINT64_C(0x94d049bb133111eb);
	return z ^ z >> 31;
}

static double of_bits(uint64_t bits)
{
	double x;

	memcpy(&x, &bits, sizeof(x));
	return x;
}

static bool same_bits(double a, double b)
{
	return memcmp(&a, &b, sizeof(a)) == 0;
}

/* Any finite double, or a subnormal. */
static double draw_double(bool subnormal)
{
	for (;;) {
		const uint64_t bits = draw();
		const double x = of_bits(subnormal ? bits & UINT64_C(0x800fffffffffffff) : bits);

		if (isfinite(x))
			return x;
	}
}

static void check_text(const char *text)
{
	double x = 0.0;
	const size_t length = strlen(text);

	if (firn_number_prefix(text, length, &x) != length)
		fail_msg("\"%s\" is not read whole", text);
	if (!same_bits(x, strtod(text, NULL)))
		fail_msg("\"%s\": %.17g, and by strtod %.17g", text, x, strtod(text, NULL));
}

static void test_any_double(void **state)
{
	char text[LONG];

	(void)state;
	for (int i = 0; i < MANY; i++) {
		snprintf(text, sizeof(text), "%.*e", 14 + i % 5, draw_double(i % 8 == 0));
		check_text(text);
	}
}

static void test_any_digits(void **state)
{
	char text[LONG];

	(void)state;
	for (int i = 0; i < MANY; i++) {
		const uint64_t a = draw(), b = draw(), c = draw();
		const int e = (int)(c % 700) - 360;

		switch (i % 5) {
		case 0: /* up to 20 digits */
			snprintf(text, sizeof(text), "%" PRIu64 "e%d", a >> (b % 64), e);
			break;
		case 1: /* 19 digits are cut, more follow */
			snprintf(text, sizeof(text), "%" PRIu64 "%019" PRIu64 ".%" PRIu64 "e%d",
				 a >> (b % 64), b >> 1, c, e);
			break;
		case 2: /* leading zeros */
			snprintf(text, sizeof(text), "-000.%0*" PRIu64 "E%+d", (int)(b % 60), a, e);
			break;
		case 3: /* trailing zeros */
			snprintf(text, sizeof(text), "%" PRIu64 "%0*de%d", a, (int)(b % 200) + 1, 0,
				 e);
			break;
		default: /* as files have them */
			snprintf(text, sizeof(text), "%u.%0*" PRIu64, (unsigned)(a % 1000),
				 (int)(b % 13) + 1, c % 1000000000);
		}
		check_text(text);
	}
}

/* One digit up or down, the last; as far as that goes without a carry. */
static void check_beside(char *text)
{
	char *last = strchr(text, 'e') - 1;
	const char digit = *last;

	check_text(text);
	for (int step = -1; step <= 1; step += 2) {
		*last = (char)(digit + step);
		if (*last >= '0' && *last <= '9')
			check_text(text);
	}
	*last = digit;
}

/* A number of a list, and what stands behind it. */
static void append_number(char *to, int kind)
{
	static const char *const behind[] = { ",", ",", ",", ",", ",", "\n", "\r\n", " ", ";" };
	char number[64];
	const uint64_t a = draw();

	if (kind % 4 == 0)
		snprintf(number, sizeof(number), "%.*g", (int)(a % 17) + 1, draw_double(false));
	else
		snprintf(number, sizeof(number), "%s%u.%0*u", a % 8 == 0 ? "-" : "",
			 (unsigned)(a >> 60), (int)(a >> 20 & 15), (unsigned)(a >> 40 & 0xfffff));
	strcat(to, number);
	strcat(to, behind[draw() % (sizeof(behind) / sizeof(behind[0]))]);
}

/* Read as a list, and one after the other. */
static void test_list(void **state)
{
	enum { MOST = 6 };

	(void)state;
	for (int i = 0; i < MANY; i++) {
		char text[LONG] = "";
		double got[MOST], want;
		size_t length = 0, at = 0, end = 0, n = 0;

		for (int k = 0; k < 4; k++)
			append_number(text, i + k);
		const size_t size = strlen(text) - draw() % 2, most = draw() % MOST;
		char *exact = malloc(size); /* no end: reading beyond it is found */
		assert_non_null(exact);
		memcpy(exact, text, size);
		const size_t n_got = firn_number_list(exact, size, most, got, &length);
		while (n < most) {
			const size_t one = firn_number_prefix(exact + at, size - at, &want);

			at += one;
			if (one == 0 || (at < size && strchr(",\r\n", exact[at]) == NULL))
				break;
			if (n < n_got)
				assert_true(same_bits(got[n], want));
			n++;
			end = at;
			if (at == size || exact[at] != ',')
				break;
			at++;
		}
		assert_int_equal(n_got, n);
		assert_int_equal(length, end);
		free(exact);
	}
}

/* Written out exactly, the middle between two doubles goes to the even one, and a last digit more
   or less decides otherwise. Needs a type with a bit more. */
static void test_halfway(void **state)
{
#if LDBL_MANT_DIG >= 64
	(void)state;
	for (int i = 0; i < MANY / 10; i++) {
		/* up to 2^-200 in some: 250 digits; most are near 1, where few digits do */
		const int range = i % 4 == 0 ? 200 : 40;
		const double x = ldexp(1.0 + (double)(draw() >> 12) * 0x1p-52,
				       (int)(draw() % (unsigned)range) - range / 2);
		const long double middle = ((long double)x + (long double)nextafter(x, 1e300)) / 2;
		char text[LONG];

		snprintf(text, sizeof(text), "%.300Le", middle);
		char *end = strchr(text, 'e'), *last = end;
		while (last[-1] == '0')
			last--;
		memmove(last, end, strlen(end) + 1);
		check_beside(text);
	}
#else
	(void)state;
	skip();
#endif
}

/* Middles of few digits: of integers above 2^53, of their halves and so on, and of powers of ten.
 */
static void test_short_halfway(void **state)
{
	char text[LONG];

	(void)state;
	for (int i = 0; i < MANY; i++) {
		const uint64_t odd = UINT64_C(1) << 53 | draw() >> 10 | 1;
		const uint64_t fives = i % 2 ? 1 : 5;

		if (i % 4 < 2)
			snprintf(text, sizeof(text), "%" PRIu64 "%s", odd,
				 fives == 1 ? "e0" : "00e-2");
		else
			snprintf(text, sizeof(text), "%" PRIu64 "e-1", (odd >> 1 | 1) * 5);
		check_beside(text);
		snprintf(text, sizeof(text), "%d.%08ue%d", i % 10, (unsigned)draw() % 100000000,
			 (int)(draw() % 46) + 1);
		check_text(text);
	}
}

static void test_ends_of_the_range(void **state)
{
	static const char *const texts[] = {
		"0e0",
		"-0.0",
		"0e99999999999",
		"1e-99999999999",
		"1e99999999999",
		"4.9406564584124654e-324",
		"2.4703282292062327e-324",
		"2.4703282292062328e-324",
		"2.470328229206232720882843964341106861825299013071623822127928412503e-324",
		"7.4109846876186982e-324",
		"2.2250738585072011e-308",
		"2.2250738585072014e-308",
		"2.225073858507201136057409796709131975934819546351645648023426e-308",
		"1.7976931348623157e308",
		"1.7976931348623158e308",
		"1.7976931348623159e308",
		"179769313486231580793728971405303415079934132710037826936173778e246",
		"9007199254740993",
		"9007199254740992999999999999999999999",
		"9223372036854775807",
		"18446744073709551615",
		"18446744073709551616e-20",
		"9999999999999999999",
		"99999999999999999999",
		"1e22",
		"1e23",
		"8.988465674311580e307",
	};

	(void)state;
	for (size_t i = 0; i < sizeof(texts) / sizeof(texts[0]); i++)
		check_text(texts[i]);
	for (int e = -400; e <= 400; e++) {
		char text[LONG];

		snprintf(text, sizeof(text), "1e%d", e);
		check_text(text);
		snprintf(text, sizeof(text), "18446744073709551615e%d", e);
		check_text(text);
	}
}

/* The C library is asked rarely, or all this would be of no use: for integers of 10^17 to 10^23,
   and where the product of a negative power should be a tie or an integer. */
static void test_declines_rarely(void **state)
{
	int declined = 0;
	double x;

	(void)state;
	for (int i = 0; i < MANY; i++) {
		uint64_t digits[3];
		int exponents[3];

		declined += !num_decimal_nearest(draw(), (int)(draw() % 640) - 330, &x);
		declined += !num_decimal_digits(fabs(draw_double(false)), digits, exponents);
	}
	assert_true(declined > 0 && declined < 2 * MANY / 1000);
}

/* ---- printing ---- */

static void check_shortest(double x)
{
	char text[FIRN_NUMBER_SIZE], wanted[64];

	for (int digits = 15; digits <= 17; digits++) {
		snprintf(wanted, sizeof(wanted), "%.*g", digits, x);
		if (strtod(wanted, NULL) == x)
			break;
	}
	assert_int_equal(firn_number_print(x, text), strlen(wanted));
	assert_string_equal(text, wanted);
}

static void test_shortest(void **state)
{
	(void)state;
	for (int i = 0; i < MANY; i++) {
		char text[64];

		check_shortest(draw_double(i % 8 == 0));
		snprintf(text, sizeof(text), "%.*ge%d", 1 + i % 17, draw_double(false),
			 (int)(draw() % 9));
		snprintf(text, sizeof(text), "%u.%0*u", (unsigned)(draw() % 2000), 1 + i % 9,
			 (unsigned)(draw() % 1000));
		check_shortest(strtod(text, NULL));
		/* integers, around the length at which they change to an exponent as well */
		check_shortest((double)(draw() >> (draw() % 64)));
		/* halves of integers: ties when digits are dropped */
		check_shortest(ldexp((double)(draw() >> 11), (int)(draw() % 40) - 45));
	}
	for (int e = -330; e <= 308; e++) {
		char text[64];

		snprintf(text, sizeof(text), "1e%d", e);
		check_shortest(strtod(text, NULL));
		check_shortest(nextafter(strtod(text, NULL), 0.0));
		check_shortest(nextafter(strtod(text, NULL), 1e300));
	}
	for (int e = -1074; e <= 1023; e++)
		check_shortest(ldexp(-1.0, e));
}

static void check_fixed(double x, int places)
{
	char text[64], wanted[64];

	snprintf(wanted, sizeof(wanted), "%.*f", places, x);
	assert_int_equal(firn_number_print_fixed(x, places, text, sizeof(text)), strlen(wanted));
	assert_string_equal(text, wanted);
}

static void test_fixed(void **state)
{
	(void)state;
	for (int i = 0; i < MANY; i++) {
		const double any = ldexp((double)(draw() >> 11), -(int)(draw() % 120) - 4);
		const int places = (int)(draw() % 21);
		/* ties: an odd number of halves of the last place, where those are powers of two */
		const double tie = (double)(draw() >> 45 | 1) / 32.0;

		check_fixed(i % 2 ? any : -any, places);
		check_fixed(933.4735 * (double)(draw() >> 11) * 0x1p-53, 7);
		check_fixed(tie, 4);
		check_fixed(-tie, 3);
	}
	for (int places = 0; places <= 20; places++) {
		static const double some[] = { 0.0,  -0.0,   0.5,  -0.5,   1.5, 0.999999999999,
					       1e14, 1e-300, 5e-8, -5e-8,  1.0, 999999999999999.9,
					       0.05, 1e-7,   9.5,  5e-324, 10.0 };

		for (size_t i = 0; i < sizeof(some) / sizeof(some[0]); i++)
			check_fixed(some[i], places);
	}
}

/* As snprintf does it: cut to the room there is, and the length that it would have had. */
static void test_fixed_room(void **state)
{
	char text[8] = "xxxxxxx";

	(void)state;
	assert_int_equal(firn_number_print_fixed(273.16, 3, text, sizeof(text)), 7);
	assert_string_equal(text, "273.160");
	assert_int_equal(firn_number_print_fixed(273.16, 4, text, sizeof(text)), 8);
	assert_string_equal(text, "273.160");
	assert_int_equal(firn_number_print_fixed(1.5, 1, text, 1), 3);
	assert_string_equal(text, "");
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_any_double),
		cmocka_unit_test(test_any_digits),
		cmocka_unit_test(test_list),
		cmocka_unit_test(test_halfway),
		cmocka_unit_test(test_short_halfway),
		cmocka_unit_test(test_ends_of_the_range),
		cmocka_unit_test(test_declines_rarely),
		cmocka_unit_test(test_shortest),
		cmocka_unit_test(test_fixed),
		cmocka_unit_test(test_fixed_room),
	};

	return cmocka_run_group_tests_name("decimal", tests, NULL, NULL);
}
