#include "lib/num/blocks.h"
#include "lib/num/elementary.h"
#include "lib/num/elementary_core.h"
#include "lib/num/lanes.h"
#include "lib/num/random_core.h"
#include "ziggurat.h"

#include <float.h>

enum { QUARTER = NUM_RANDOM_GROUP / 4 };

void LEVEL(num_words)(const struct num_source *source, uint64_t first, size_t n, uint64_t *ret)
{
	const struct num_source s = *source;

	for (size_t group = 0; group < n; group += NUM_RANDOM_GROUP) {
		uint64_t *restrict to = ret + group;

		for (size_t i = 0; i < QUARTER; i++) {
			const threefry4x64_ctr_t w = random_words(&s, (first + group) / 4 + i, 0);

			to[i] = w.v[0];
			to[QUARTER + i] = w.v[1];
			to[2 * QUARTER + i] = w.v[2];
			to[3 * QUARTER + i] = w.v[3];
		}
	}
}

void LEVEL(num_uniforms)(const struct num_source *source, uint64_t first, size_t n, double *ret)
{
	const struct num_source s = *source;

	for (size_t group = 0; group < n; group += NUM_RANDOM_GROUP) {
		double *restrict to = ret + group;

		for (size_t i = 0; i < QUARTER; i++) {
			const threefry4x64_ctr_t w = random_words(&s, (first + group) / 4 + i, 0);

			to[i] = random_uniform(w.v[0]) - 0.5;
			to[QUARTER + i] = random_uniform(w.v[1]) - 0.5;
			to[2 * QUARTER + i] = random_uniform(w.v[2]) - 0.5;
			to[3 * QUARTER + i] = random_uniform(w.v[3]) - 0.5;
		}
	}
}

/* Hands the trials that are marked (NaN) to the slow way. */
static void finish_normals(const struct num_source *source, uint64_t first, size_t vectors,
			   const uint64_t *words, double *z)
{
	lanes_mask marked = { 0 };

	for (size_t v = 0; v < vectors; v++) {
		lanes_double x;

		memcpy(&x, z + v * LANES_WIDTH, sizeof(x));
		marked = lanes_note(marked, x != x);
	}
	for (size_t lane = 0; lane < LANES_WIDTH; lane++) {
		uint64_t bits = (uint64_t)marked[lane];

		for (; bits != 0; bits &= bits - 1) {
			const size_t v = vectors - 1 - lanes_lowest(bits);
			const size_t i = v * LANES_WIDTH + lane;
			struct num_lane again = num_lane_of(source, first + i);

			z[i] = num_normal_of(words[i], &again);
		}
	}
}

void LEVEL(num_normals)(const struct num_source *source, uint64_t first, size_t n, uint64_t *words,
			double *ret)
{
	const uint64_t *restrict w = words;
	double *restrict z = ret;

	LEVEL(num_words)(source, first, n, words);
	for (size_t i = 0; i < n; i++) {
		const uint64_t layer = w[i] & 255;
		const double part = random_fraction(w[i]);
		const double x = random_signed(part * ziggurat_x[layer], w[i]);

		z[i] = part < ziggurat_inside[layer] ? x : (double)NAN;
	}
	for (size_t i = 0; i < n; i += NUM_RANDOM_GROUP)
		finish_normals(source, first + i, NUM_RANDOM_GROUP / LANES_WIDTH, words + i, z + i);
}

/* Shape 1 and more: the first attempt of all, then those that its squeeze does not take. */
static void gammas(const struct num_source *source, double shape, uint64_t first, size_t n,
		   uint64_t *words, double *u, double *ret)
{
	struct num_source part = *source;
	const double d = shape - 1.0 / 3.0, c = 1.0 / sqrt(9.0 * d);

	part.purpose = NUM_GAMMA_UNIFORM;
	LEVEL(num_uniforms)(&part, first, n, u);
	part.purpose = NUM_GAMMA_NORMAL;
	LEVEL(num_normals)(&part, first, n, words, ret);
	part.purpose = NUM_GAMMA_UNIFORM;
	for (size_t i = 0; i < n; i++) {
		const double z = ret[i], root = 1.0 + c * z, uniform = u[i] + 0.5;

		if (root > 0.0 && random_gamma_squeeze(z, uniform)) {
			ret[i] = d * (root * root * root);
		} else {
			struct num_lane lane = num_lane_of(&part, first + i);

			ret[i] = num_gamma_of(shape, z, uniform, &lane);
		}
	}
}

void LEVEL(num_gammas)(const struct num_source *source, double shape, uint64_t first, size_t n,
		       uint64_t *words, double *u, double *ret)
{
	struct num_source small = *source;

	if (shape >= 1.0) {
		gammas(source, shape, first, n, words, u, ret);
		return;
	}
	/* G(shape) = G(shape + 1) U^(1/shape): Marsaglia and Tsang, as above. */
	gammas(source, shape + 1.0, first, n, words, u, ret);
	small.purpose = NUM_GAMMA_SMALL;
	LEVEL(num_uniforms)(&small, first, n, u);
	for (size_t i = 0; i < n; i++)
		u[i] += 0.5;
	LEVEL(num_lns)(n, u);
	for (size_t i = 0; i < n; i++)
		u[i] /= shape;
	LEVEL(num_exps)(n, u);
	for (size_t i = 0; i < n; i++)
		ret[i] *= u[i];
}

void LEVEL(num_sines)(size_t n, double *x)
{
	/* (-1)^k pi^(2k + 1)/(2k + 1)!; what follows is below 1e-18 at 1/2. Printed by mpmath. */
	static const double c[] = { 3.141592653589793,      -5.16771278004997,
				    2.5501640398773455,     -0.5992645293207921,
				    0.08214588661112823,    -0.0073704309457143504,
				    0.00046630280576761255, -2.1915353447830217e-05,
				    7.952054001475513e-07,  -2.2948428997269873e-08,
				    5.392664662608129e-10,  -1.0518471716932065e-11 };

	for (size_t i = 0; i < n; i++) {
		const double r = x[i], r2 = r * r;
		double y = c[11];

		for (int k = 10; k >= 0; k--)
			y = y * r2 + c[k];
		x[i] = y * r;
	}
}

void LEVEL(num_exps)(size_t n, double *x)
{
	bool bulk = true;

	for (size_t i = 0; i < n; i++)
		bulk &= x[i] > -746.0 && x[i] < 710.0;
	if (bulk)
		for (size_t i = 0; i < n; i++)
			x[i] = exp_core(x[i]);
	else
		for (size_t i = 0; i < n; i++)
			x[i] = num_exp(x[i]);
}

void LEVEL(num_lns)(size_t n, double *x)
{
	bool bulk = true;

	for (size_t i = 0; i < n; i++)
		bulk &= x[i] >= DBL_MIN && x[i] <= DBL_MAX;
	if (bulk)
		for (size_t i = 0; i < n; i++)
			x[i] = ln_core(x[i], 0.0);
	else
		for (size_t i = 0; i < n; i++)
			x[i] = num_ln(x[i]);
}
