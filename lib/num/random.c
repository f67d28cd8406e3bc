#include "lib/num/random_core.h"
#include "lib/num/elementary.h"
#include "ziggurat.h"

#include <math.h>

/* Spreads every bit over all (the finaliser of SplitMix64; from memory). */
static uint64_t mixed(uint64_t x)
{
	x = (x ^ x >> 30) * UINT64_C(0xbf58476d1ce4e5b9);
	x = (x ^ x >> 27) * UINT64_C(0x94d049bb133111eb);
	return x ^ x >> 31;
}

uint64_t num_stream(const char *name)
{
	uint64_t hash = UINT64_C(0xcbf29ce484222325); /* FNV-1a */

	for (; *name != '\0'; name++)
		hash = (hash ^ (unsigned char)*name) * UINT64_C(0x100000001b3);
	return mixed(hash);
}

uint64_t num_next_stream(uint64_t stream)
{
	return mixed(stream + UINT64_C(0x9e3779b97f4a7c15));
}

struct num_lane num_lane_of(const struct num_source *source, uint64_t trial)
{
	struct num_lane lane = { .source = *source, .trial = trial };

	lane.source.purpose += NUM_AGAIN;
	return lane;
}

uint64_t num_lane_word(struct num_lane *lane)
{
	if (lane->left == 0) {
		const threefry4x64_ctr_t words =
		    random_words(&lane->source, lane->trial, lane->attempt++);

		for (unsigned i = 0; i < 4; i++)
			lane->words[i] = words.v[i];
		lane->left = 4;
	}
	return lane->words[4 - lane->left--];
}

double num_uniform_of(uint64_t word)
{
	return random_uniform(word);
}

double num_lane_uniform(struct num_lane *lane)
{
	return random_uniform(num_lane_word(lane));
}

/* Beyond the base layer's edge r (Marsaglia, Technometrics 6 (1964) 101). */
static double tail(struct num_lane *lane)
{
	const double r = ziggurat_x[1];
	double x, y;

	do {
		x = -num_ln(num_lane_uniform(lane)) / r;
		y = -num_ln(num_lane_uniform(lane));
	} while (2.0 * y < x * x);
	return r + x;
}

/* Whether a part u of a layer's height, at x, is below the density. The chord is nowhere further
   from the density than h^2/8 of its largest second derivative, so that few need the exponential;
   the margin is far above what rounding does to either. */
static bool below_density(unsigned i, double x, double u)
{
	const double low = ziggurat_density[i], high = ziggurat_density[i + 1];
	const double x0 = ziggurat_x[i], width = x0 - ziggurat_x[i + 1];
	const double chord = (x0 - x) / width, bent = high * (x0 > 1.0 ? x0 * x0 : 1.0);
	const double margin = 0.125 * width * width * bent / (high - low) + 1e-9;

	if (fabs(u - chord) > margin)
		return u < chord;
	return low + u * (high - low) < num_exp(-0.5 * x * x);
}

double num_normal_of(uint64_t word, struct num_lane *lane)
{
	for (;; word = num_lane_word(lane)) {
		const unsigned i = random_layer(word);
		const double part = random_fraction(word), x = part * ziggurat_x[i];

		if (part < ziggurat_inside[i])
			return random_signed(x, word);
		if (i == 0)
			return random_signed(tail(lane), word);
		if (below_density(i, x, num_lane_uniform(lane)))
			return random_signed(x, word);
	}
}

double num_gamma_of(double shape, double z, double u, struct num_lane *lane)
{
	const double d = shape - 1.0 / 3.0, c = 1.0 / sqrt(9.0 * d);

	for (;;) {
		const double root = 1.0 + c * z, v = root * root * root;

		if (root > 0.0 && (random_gamma_squeeze(z, u) ||
				   num_ln(u) < 0.5 * z * z + d * (1.0 - v + num_ln(v))))
			return d * v;
		z = num_normal_of(num_lane_word(lane), lane);
		u = num_lane_uniform(lane);
	}
}
