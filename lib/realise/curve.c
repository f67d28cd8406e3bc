#include "lib/realise/curve.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Where x stands, or would stand, among the n sorted values. */
static size_t place(size_t n, const double *sorted, double x)
{
	size_t low = 0, high = n;

	while (low < high) {
		const size_t middle = low + (high - low) / 2;

		if (sorted[middle] < x)
			low = middle + 1;
		else
			high = middle;
	}
	return low;
}

static void insert(size_t *n, double *sorted, double x)
{
	const size_t at = place(*n, sorted, x);

	memmove(sorted + at + 1, sorted + at, (*n - at) * sizeof(*sorted));
	sorted[at] = x;
	++*n;
}

static void drop(size_t *n, double *sorted, double x)
{
	const size_t at = place(*n, sorted, x);

	memmove(sorted + at, sorted + at + 1, (*n - at - 1) * sizeof(*sorted));
	--*n;
}

bool curve_median(size_t n, const double *x, size_t width, double *ret)
{
	double *sorted = malloc((width + 1) * sizeof(*sorted));
	size_t held = 0, from = 0, to = 0;

	if (sorted == NULL)
		return false;
	for (size_t i = 0; i < n; i++) {
		const size_t half = width / 2, reach = i < half ? i : half;
		const size_t arm = n - 1 - i < reach ? n - 1 - i : reach; /* shorter at the ends */

		while (to <= i + arm)
			insert(&held, sorted, x[to++]);
		while (from < i - arm)
			drop(&held, sorted, x[from++]);
		ret[i] = sorted[held / 2];
	}
	free(sorted);
	return true;
}

size_t curve_width(size_t n, const double *t_s, double window_s)
{
	const double span = t_s[n - 1] - t_s[0];
	const double wanted = span > 0.0 ? window_s / span * (double)(n - 1) : 3.0;
	size_t width = wanted >= (double)n ? n : (size_t)wanted;

	if (width < 3)
		width = 3;
	if (width % 2 == 0)
		width--;
	return width;
}

struct curve_line curve_line(const double *t_s, const double *x, size_t first, size_t last)
{
	const double count = (double)(last - first + 1);
	double t = 0.0, y = 0.0, tt = 0.0, ty = 0.0, yy = 0.0;

	for (size_t i = first; i <= last; i++) {
		t += t_s[i] - t_s[first];
		y += x[i] - x[first];
	}
	t /= count;
	y /= count;
	for (size_t i = first; i <= last; i++) {
		const double dt = t_s[i] - t_s[first] - t, dy = x[i] - x[first] - y;

		tt += dt * dt;
		ty += dt * dy;
		yy += dy * dy;
	}
	const double slope = tt > 0.0 ? ty / tt : 0.0;
	return (struct curve_line){
		.slope = slope,
		.s = count > 2.0 ? sqrt(fmax(0.0, yy - slope * ty) / (count - 2.0)) : 0.0,
	};
}
