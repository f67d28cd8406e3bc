/*
 * Preparing a conversion: polynomials that follow the functions of scale.h.
 *
 * A piece is interpolated at the Chebyshev points, where the error of interpolation is near the
 * least possible. The size of the last coefficients tells the degree that is needed, and the
 * polynomial is held against the function. Where no degree that the kernels know suffices, the
 * piece is made shorter: from the top downwards, each is about as long as it can be.
 */
#include "lib/scale/batch.h"

#include "lib/scale/range.h"

#include <math.h>

/* What the accuracy in firn/batch.h is divided into, in kelvin: coefficients left out, and the
   whole as the check finds it; the rest is for points between those that are checked. */
static const double left_out_K = 3e-12, found_K = 6e-12;

static const double tpw_K = 273.16;

enum {
	NODES = 40,         /* so many that those beyond the highest degree tell what is left out */
	CHECKS = 2 * NODES, /* of a piece */
	MOST_EDGES = 4,
	MOST_SHORTER = 12, /* shorter than a thousandth: it will not do */
	LONGER = 5         /* steps by which a piece is then lengthened */
};

struct curve;

/* y of x, and how many kelvin a unit of y is worth there. */
typedef enum firn_status curve_function(const struct curve *curve, double x, double *ret_y,
					double *ret_K_per_y);

struct curve {
	curve_function *at;
	const struct firn_subrange *subrange;
	const double *c;
	double w_al;
	bool from_zero;
};

static enum firn_status t90_of_w(const struct curve *curve, double x, double *ret_y,
				 double *ret_K_per_y)
{
	double slope;
	const enum firn_status status =
	    firn_subrange_t90(curve->subrange, curve->c, curve->w_al, x, ret_y, &slope);

	*ret_K_per_y = 1.0;
	return status >= 0 && !(slope > 0.0) ? FIRN_E_SINGULAR : status;
}

static enum firn_status w_of_t90(const struct curve *curve, double x, double *ret_y,
				 double *ret_K_per_y)
{
	double slope = NAN;
	const enum firn_status status =
	    firn_subrange_w(curve->subrange, curve->c, curve->w_al, x, ret_y, &slope);

	*ret_K_per_y = 1.0 / slope;
	return status;
}

static enum firn_status wr_of_t90(const struct curve *curve, double x, double *ret_y,
				  double *ret_K_per_y)
{
	double slope = NAN;
	const enum firn_status status = firn_scale_wr(x, curve->from_zero, ret_y, &slope);

	*ret_K_per_y = 1.0 / slope;
	return status;
}

/* The coefficients of the Chebyshev series from low to high, and the most that a unit is worth. */
static enum firn_status series(const struct curve *curve, double low, double high,
			       double ret_a[NODES], double *ret_K_per_y)
{
	const double half_turn = acos(-1.0), centre = 0.5 * (low + high), half = 0.5 * (high - low);
	double y[NODES], K_per_y, most_K_per_y = 0.0;

	for (int k = 0; k < NODES; k++) {
		const double x = cos((k + 0.5) * half_turn / NODES);
		const enum firn_status status =
		    curve->at(curve, centre + half * x, &y[k], &K_per_y);

		if (status < 0)
			return status;
		most_K_per_y = fmax(most_K_per_y, K_per_y);
	}
	/* Less a value from the middle, rounding is that of what varies. */
	for (int j = 0; j < NODES; j++) {
		double sum = 0.0;

		for (int k = 0; k < NODES; k++)
			sum += (y[k] - y[NODES / 2]) *
			       cos(j * (2 * k + 1) % (4 * NODES) * half_turn / (2 * NODES));
		ret_a[j] = sum * (j == 0 ? 1.0 : 2.0) / NODES;
	}
	ret_a[0] += y[NODES / 2];
	*ret_K_per_y = most_K_per_y;
	return FIRN_OK;
}

/* The lowest degree that leaves out little enough; 0: none. */
static size_t degree_needed(const double a[NODES], double K_per_y)
{
	static const size_t degrees[] = BATCH_DEGREES;

	for (size_t i = 0; i < sizeof(degrees) / sizeof(degrees[0]); i++) {
		double left_out = 0.0;

		for (size_t k = degrees[i] + 1; k < NODES; k++)
			left_out += fabs(a[k]);
		if (left_out * K_per_y <= left_out_K)
			return degrees[i];
	}
	return 0;
}

/* Powers of x in place of Chebyshev polynomials, by T(k + 1) = 2 x T(k) - T(k - 1). Their numbers
   grow as 2.4^k and the coefficients fall faster where a degree suffices: nothing cancels. */
static void to_powers(size_t degree, const double a[NODES], double *ret_c)
{
	double before[FIRN_BATCH_DEGREE + 2] = { 0.0, 1.0 }, now[FIRN_BATCH_DEGREE + 2] = { 1.0 };

	for (size_t i = 0; i <= FIRN_BATCH_DEGREE; i++)
		ret_c[i] = 0.0;
	for (size_t k = 0; k <= degree; k++) {
		for (size_t i = 0; i <= k; i++)
			ret_c[i] += a[k] * now[i];
		/* T(-1) is T(1), so that the first step holds as well */
		for (size_t i = k + 2; i-- > 0;) {
			const double next = (i > 0 ? 2.0 * now[i - 1] : 0.0) - before[i];

			before[i] = now[i];
			now[i] = next;
		}
	}
}

static double polynomial(const struct firn_batch_piece *piece, double input)
{
	const double x = piece->scale * input + piece->offset;
	double y = piece->c[piece->degree];

	for (size_t k = piece->degree; k-- > 0;)
		y = y * x + piece->c[k];
	return y;
}

static bool follows(const struct firn_batch_piece *piece, const struct curve *curve)
{
	double y, K_per_y;

	for (int i = 0; i < CHECKS; i++) {
		const double x = piece->low + (piece->high - piece->low) * (i + 0.5) / CHECKS;

		if (curve->at(curve, x, &y, &K_per_y) < 0 ||
		    !(fabs(polynomial(piece, x) - y) * K_per_y <= found_K))
			return false;
	}
	return true;
}

/* One polynomial from low to high, if one will do; otherwise its degree is 0. */
static enum firn_status fit(const struct curve *curve, double low, double high,
			    struct firn_batch_piece *ret)
{
	double a[NODES], K_per_y;
	const enum firn_status status = series(curve, low, high, a, &K_per_y);

	if (status < 0)
		return status;
	*ret = (struct firn_batch_piece){
		.low = low,
		.high = high,
		.scale = 2.0 / (high - low),
		.offset = -(high + low) / (high - low),
		.degree = degree_needed(a, K_per_y),
	};
	if (ret->degree == 0)
		return FIRN_OK;
	to_powers(ret->degree, a, ret->c);
	if (!follows(ret, curve))
		ret->degree = 0;
	return FIRN_OK;
}

/* The longest piece that ends at high, or nearly so. Towards 0 K everything changes by ratios. */
static enum firn_status fit_longest(const struct curve *curve, double low, double high,
				    struct firn_batch_piece *ret)
{
	struct firn_batch_piece piece = { 0 };
	double too_low = low, good = high;
	enum firn_status status = fit(curve, low, high, ret);

	for (int i = 0; status >= 0 && ret->degree == 0; i++) {
		if (i == MOST_SHORTER)
			return FIRN_E_SINGULAR;
		good = sqrt(too_low * high);
		status = fit(curve, good, high, ret);
		if (ret->degree == 0)
			too_low = good;
	}
	for (int i = 0; i < LONGER && status >= 0 && good < high; i++) {
		const double middle = sqrt(too_low * good);

		status = fit(curve, middle, high, &piece);
		if (piece.degree == 0) {
			too_low = middle;
			continue;
		}
		good = middle;
		*ret = piece;
	}
	return status;
}

/* Polynomials from low to high, added behind those of the batch. */
static enum firn_status add(struct firn_batch *batch, const struct curve *curve, double low,
			    double high)
{
	const size_t first = batch->n;

	while (high > low) {
		if (batch->n == FIRN_BATCH_PIECES)
			return FIRN_E_SINGULAR;

		struct firn_batch_piece *piece = &batch->pieces[batch->n++];
		const enum firn_status status = fit_longest(curve, low, high, piece);

		if (status < 0)
			return status;
		high = piece->low;
	}
	for (size_t i = first, k = batch->n - 1; i < k; i++, k--) {
		const struct firn_batch_piece piece = batch->pieces[i];

		batch->pieces[i] = batch->pieces[k];
		batch->pieces[k] = piece;
	}
	return FIRN_OK;
}

/* Between edges, which rise; the last input that counts as within is `last`. */
static enum firn_status prepare(const struct curve *curve, size_t n_edges, const double *edges,
				double last, struct firn_batch *ret)
{
	struct firn_batch batch = { 0 };

	for (size_t i = 0; i + 1 < n_edges; i++) {
		if (!(edges[i] < edges[i + 1]))
			return FIRN_E_SINGULAR;
		const enum firn_status status = add(&batch, curve, edges[i], edges[i + 1]);
		if (status < 0)
			return status;
	}
	batch.pieces[batch.n - 1].high = nextafter(last, INFINITY);
	*ret = batch;
	return FIRN_OK;
}

static bool has_join(const struct firn_subrange *subrange)
{
	return !subrange->from_zero && subrange->high_K >= tpw_K;
}

static bool uses_w_al(const struct firn_subrange *subrange)
{
	return subrange->terms[subrange->n_coefficients - 1].kind == FIRN_TERM_ABOVE_AL;
}

/* The W where the function changes: the ends, and between them the ends of both reference functions
   at 273.16 K, or the aluminium point. */
static enum firn_status edges_in_w(const struct curve *curve, double *ret_edges, size_t *ret_n)
{
	const struct firn_subrange *s = curve->subrange;
	double t90_K[MOST_EDGES] = { s->low_K - FIRN_SCALE_ROUNDING_K };
	size_t n = 1;

	if (has_join(s)) {
		t90_K[n++] = nextafter(tpw_K, 0.0);
		t90_K[n++] = tpw_K;
	}
	t90_K[n++] = s->high_K + FIRN_SCALE_ROUNDING_K;
	for (size_t i = 0; i < n; i++) {
		double slope;
		const enum firn_status status =
		    firn_subrange_w(s, curve->c, curve->w_al, t90_K[i], &ret_edges[i], &slope);

		if (status < 0)
			return status;
	}
	if (uses_w_al(s) && curve->w_al > ret_edges[0] && curve->w_al < ret_edges[n - 1]) {
		ret_edges[n] = ret_edges[n - 1];
		ret_edges[n - 1] = curve->w_al;
		n++;
	}
	*ret_n = n;
	return FIRN_OK;
}

static struct curve curve_of(curve_function *at, const struct firn_subrange *subrange,
			     const double *c, double w_al)
{
	return (struct curve){ at, subrange, c, w_al, subrange->from_zero };
}

/* By another unit of the input: x is divided by what it was multiplied by. */
static bool rescale(struct firn_batch *batch, double factor)
{
	for (size_t i = 0; i < batch->n; i++) {
		struct firn_batch_piece *piece = &batch->pieces[i];

		piece->low /= factor;
		piece->high /= factor;
		piece->scale *= factor;
	}
	return isfinite(batch->pieces[batch->n - 1].high) && batch->pieces[0].low > 0.0 &&
	       isfinite(batch->pieces[0].scale) && batch->pieces[0].scale > 0.0;
}

enum firn_status firn_batch_t90(const struct firn_subrange *subrange, const double *c, double w_al,
				double w_per_x, struct firn_batch *ret)
{
	const struct curve curve = curve_of(t90_of_w, subrange, c, w_al);
	double edges[MOST_EDGES];
	size_t n = 0;
	struct firn_batch batch;
	enum firn_status status;

	if (!(w_per_x > 0.0 && isfinite(w_per_x)) || (uses_w_al(subrange) && !isfinite(w_al)))
		return FIRN_E_DOMAIN;
	status = edges_in_w(&curve, edges, &n);
	if (status < 0)
		return status;
	status = prepare(&curve, n, edges, edges[n - 1], &batch);
	if (status < 0)
		return status;
	if (!rescale(&batch, w_per_x))
		return FIRN_E_DOMAIN;
	*ret = batch;
	return FIRN_OK;
}

enum firn_status firn_batch_w(const struct firn_subrange *subrange, const double *c, double w_al,
			      struct firn_batch *ret)
{
	const struct curve curve = curve_of(w_of_t90, subrange, c, w_al);
	double edges[MOST_EDGES] = { subrange->low_K }, t90_al_K, slope;
	size_t n = 1;

	if (uses_w_al(subrange)) {
		if (!isfinite(w_al))
			return FIRN_E_DOMAIN;
		if (firn_subrange_t90(subrange, c, w_al, w_al, &t90_al_K, &slope) == FIRN_OK)
			edges[n++] = t90_al_K;
	}
	if (has_join(subrange))
		edges[n++] = tpw_K;
	/* beyond the end, so that 273.16 K itself has a piece, of equation (10a) */
	edges[n++] = subrange->high_K + FIRN_SCALE_ROUNDING_K;
	return prepare(&curve, n, edges, subrange->high_K, ret);
}

enum firn_status firn_batch_wr(bool from_zero, struct firn_batch *ret)
{
	const struct curve curve = { .at = wr_of_t90, .from_zero = from_zero };
	const double edges[] = { SCALE_LOW_K, tpw_K, SCALE_HIGH_K };
	const double edges_from_zero[] = { 273.15, SCALE_HIGH_K };

	return from_zero ? prepare(&curve, 2, edges_from_zero, SCALE_HIGH_K, ret)
			 : prepare(&curve, 3, edges, SCALE_HIGH_K, ret);
}
