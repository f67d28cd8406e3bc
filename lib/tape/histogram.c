/* How the trials of a result are spread, in bins fixed by the first of them. */
#include "firn/joint.h"
#include "lib/tape/joint.h"

#include <stdlib.h>

enum { HISTOGRAM_PILOT = 4096, WIDTHS = 50 };
#define QUARTILE_DISTANCES 2.5

struct bins {
	const struct replay_plan *plan;
	size_t n;
	struct firn_histogram *tasks; /* [task][n]: each counts for itself */
};

/* The next 1, 2 or 5 times a power of ten from x up, as a whole number times or over one. */
struct round_width {
	double factor, power; /* power 10^|l|; a width is factor*power, or factor/power below 1 */
	bool divides;
};

static struct round_width width_from(double x)
{
	const int l = (int)floor(log10(x));
	const double rest = x / pow(10.0, l);
	const bool carries = rest > 5.0 * (1.0 + 1e-9);
	const int exponent = carries ? l + 1 : l;

	return (struct round_width){
		.factor = carries                     ? 1.0
			  : rest > 2.0 * (1.0 + 1e-9) ? 5.0
			  : rest > 1.0 + 1e-9         ? 2.0
						      : 1.0,
		.power = pow(10.0, abs(exponent)),
		.divides = exponent < 0,
	};
}

static double widths(const struct round_width *width, double n)
{
	return width->divides ? n * width->factor / width->power : n * width->factor * width->power;
}

/* n values, sorted. */
static void set_bins(size_t n, const double *x, struct firn_histogram *ret)
{
	const double first = x[n / 4], third = x[n - 1 - n / 4];
	const double reach = QUARTILE_DISTANCES * (third - first);
	double low = x[0], high = x[n - 1];

	*ret = (struct firn_histogram){ .n = 0 };
	if (reach > 0.0) { /* else most values are one: nothing to go by */
		low = fmax(low, first - reach);
		high = fmin(high, third + reach);
	}
	if (!isfinite(high - low) || !((high - low) / WIDTHS > 0.0))
		return;
	const struct round_width width = width_from((high - low) / WIDTHS);
	const double size = widths(&width, 1.0);
	const double place = floor(low / size), last = floor(high / size);

	/* so narrow that whole numbers of widths can't be told apart */
	if (!isfinite(size) || !(size > 0.0) || fmax(fabs(place), fabs(last)) > 1e15 ||
	    !(last - place < FIRN_HISTOGRAM_MOST_BINS))
		return;
	ret->width = size;
	ret->from = widths(&width, place);
	ret->n = (size_t)(last - place) + 1;
}

static void count_value(struct firn_histogram *h, double y)
{
	const double place = (y - h->from) / h->width;

	if (place >= (double)h->n)
		h->above++;
	else if (place >= 0.0)
		h->counts[(size_t)place]++;
	else if (place < 0.0) /* not for NaN */
		h->below++;
}

static bool count_block(void *context, size_t task, const double *values, size_t valid)
{
	const struct bins *bins = context;

	for (size_t i = 0; i < bins->n; i++) {
		struct firn_histogram *h = &bins->tasks[task * bins->n + i];
		const double *y = values + i * bins->plan->block;

		for (size_t t = 0; h->n > 0 && t < valid; t++)
			count_value(h, y[t]);
	}
	return true;
}

static void add_counts(const struct firn_histogram *from, struct firn_histogram *to)
{
	to->below += from->below;
	to->above += from->above;
	for (size_t i = 0; i < to->n; i++)
		to->counts[i] += from->counts[i];
}

static bool all_finite(size_t n, const double *x)
{
	for (size_t i = 0; i < n; i++)
		if (!isfinite(x[i]))
			return false;
	return true;
}

static enum firn_status fix_bins(const struct replay_plan *plan, uint64_t trials,
				 struct firn_histogram *ret)
{
	const size_t m = trials < HISTOGRAM_PILOT ? (size_t)trials : HISTOGRAM_PILOT;
	double *pilot = malloc(plan->n_outputs * m * sizeof(*pilot));
	struct replay_work work;
	const bool good = replay_work_new(plan, &work) && pilot != NULL;

	if (good)
		trials_values(plan, &work, 0, m, pilot);
	for (size_t i = 0; good && i < plan->n_outputs; i++) {
		ret[i] = (struct firn_histogram){ .n = 0 };
		if (!all_finite(m, pilot + i * m))
			continue;
		statistics_sort(m, pilot + i * m);
		set_bins(m, pilot + i * m, &ret[i]);
	}
	replay_work_free(&work);
	free(pilot);
	return good ? FIRN_OK : FIRN_E_MEMORY;
}

static enum firn_status count_all(const struct replay_plan *plan,
				  const struct firn_monte_carlo_settings *settings,
				  struct firn_histogram *ret)
{
	struct joint_pass pass = joint_pass_of(plan, settings->trials);
	struct bins bins = { .plan = plan, .n = plan->n_outputs };
	enum firn_status status = FIRN_E_MEMORY;

	bins.tasks = malloc(pass.n_tasks * bins.n * sizeof(*bins.tasks));
	if (bins.tasks != NULL) {
		for (size_t i = 0; i < pass.n_tasks * bins.n; i++)
			bins.tasks[i] = ret[i % bins.n];
		pass.take = count_block;
		pass.context = &bins;
		status = joint_play(&pass, settings);
		for (size_t i = 0; status >= 0 && i < pass.n_tasks * bins.n; i++)
			add_counts(&bins.tasks[i], &ret[i % bins.n]);
	}
	free(bins.tasks);
	return status;
}

enum firn_status firn_monte_carlo_histogram(size_t n, const struct firn_node *y,
					    const struct firn_monte_carlo_settings *settings,
					    struct firn_histogram *ret)
{
	struct replay_plan *plan = NULL;
	enum firn_status status = trials_plan(n, y, settings, &plan);

	if (status >= 0)
		status = fix_bins(plan, settings->trials, ret);
	if (status >= 0)
		status = count_all(plan, settings, ret);
	replay_plan_free(plan);
	return status;
}
