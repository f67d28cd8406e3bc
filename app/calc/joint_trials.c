#include "app/calc/joint_trials.h"

#include "firn/joint.h"

#include <math.h>

enum { MOST_FOR_COVARIANCE = 50 }; /* outputs; ours */

G_STATIC_ASSERT(LAB_MOST_BINS >= FIRN_HISTOGRAM_MOST_BINS);

static struct lab_trials *trials_of(const struct lab_evaluation *e, size_t i)
{
	return &g_array_index(e->outputs, struct lab_evaluated, i).trials;
}

enum firn_status joint_trials_histograms(const struct firn_node *y,
					 const struct firn_monte_carlo_settings *settings,
					 struct lab_evaluation *e)
{
	const size_t n = e->outputs->len;
	g_autofree struct firn_histogram *found = g_new0(struct firn_histogram, n);
	const enum firn_status status = firn_monte_carlo_histogram(n, y, settings, found);

	for (size_t i = 0; i < n && status >= 0; i++) {
		struct lab_histogram *to = &trials_of(e, i)->histogram;

		*to = (struct lab_histogram){ .from = found[i].from,
					      .width = found[i].width,
					      .below = (int64_t)found[i].below,
					      .above = (int64_t)found[i].above };
		to->n = trials_of(e, i)->judged ? (int)found[i].n : 0;
		for (int k = 0; k < to->n; k++)
			to->counts[k] = (int64_t)found[i].counts[k];
	}
	return status;
}

/* Correlations of the trials, where they have any: NaN elsewhere. */
static void add_correlations(struct lab_evaluation *e)
{
	const size_t n = e->outputs->len;

	e->trial_correlations = g_new0(double, n *n);
	for (size_t i = 0; i < n; i++)
		for (size_t j = 0; j < n; j++)
			e->trial_correlations[i * n + j] =
			    i == j ? 1.0
				   : e->joint.trials[i * n + j] /
					 (trials_of(e, i)->u * trials_of(e, j)->u);
}

static bool all_have_u(const struct lab_evaluation *e)
{
	for (size_t i = 0; i < e->outputs->len; i++)
		if (!lab_given(trials_of(e, i)->u))
			return false;
	return true;
}

static enum firn_status find_regions(const struct firn_node *y,
				     const struct firn_monte_carlo_settings *settings,
				     struct lab_evaluation *e)
{
	const size_t n = e->outputs->len;
	g_autofree double *means = g_new0(double, n);
	struct firn_joint_region region;
	const enum firn_status status =
	    firn_monte_carlo_joint(n, y, settings, means, e->joint.trials, &region);

	if (status >= 0 && all_have_u(e)) {
		e->joint.k_ellipsoid = region.k_ellipsoid;
		e->joint.k_rectangle = region.k_rectangle;
	}
	return status;
}

enum firn_status joint_trials_add(const struct firn_node *y,
				  const struct firn_monte_carlo_settings *settings,
				  struct lab_evaluation *e)
{
	const size_t n = e->outputs->len;
	const double p = settings->coverage_probability;
	enum firn_status status;

	if (n < 2)
		return FIRN_OK;
	if (n > MOST_FOR_COVARIANCE) {
		trials_reserve(e, "Covariances are not sought by trials of more than %d outputs.",
			       MOST_FOR_COVARIANCE);
		return FIRN_OK;
	}
	e->joint = (struct lab_joint){
		.linear = g_new0(double, n *n),
		.trials = g_new0(double, n *n),
		.k_ellipsoid = LAB_NOT_GIVEN,
		.k_rectangle = LAB_NOT_GIVEN,
		.k_ellipsoid_normal = firn_joint_factor_ellipsoid(n, p),
		.k_rectangle_normal = firn_joint_factor_rectangle(n, p),
	};
	if (settings->trials > FIRN_JOINT_MOST_TRIALS)
		trials_reserve(
		    e, "Joint regions are not sought with more than %" G_GUINT64_FORMAT " trials.",
		    FIRN_JOINT_MOST_TRIALS);
	status = firn_covariance(n, y, e->joint.linear);
	if (status >= 0)
		status = settings->trials > FIRN_JOINT_MOST_TRIALS
			     ? firn_monte_carlo_covariance(n, y, settings, e->joint.trials)
			     : find_regions(y, settings, e);
	if (status >= 0)
		add_correlations(e);
	return status;
}
