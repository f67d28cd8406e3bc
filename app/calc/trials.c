#include "app/calc/trials.h"
#include "app/calc/joint_trials.h"
#include "app/calc/law_causes.h"

#include "firn/monte_carlo.h"

#include <math.h>

/* Ours: above the first the shortest interval, which keeps both tails, is not sought; the second
   bounds the adaptive procedure. */
#define MOST_FOR_SHORTEST INT64_C(100000000)
#define MOST_ADAPTIVE     UINT64_C(100000000)

static struct lab_evaluated *output_at(const struct lab_evaluation *e, guint i)
{
	return &g_array_index(e->outputs, struct lab_evaluated, i);
}

void trials_reserve(struct lab_evaluation *e, const char *format, ...)
{
	va_list arguments;

	va_start(arguments, format);
	g_autofree char *text = g_strdup_vprintf(format, arguments);
	va_end(arguments);
	g_ptr_array_add(e->reservations, g_string_chunk_insert(e->text, text));
}

/* A coverage factor stands for the probability that it has with a normal distribution. */
static double probability(const struct lab_model *model)
{
	return lab_given(model->coverage_factor) ? erf(model->coverage_factor / sqrt(2.0))
						 : model->coverage_probability;
}

static bool failed(const struct lab_model *model, enum firn_status status, base_messages *messages)
{
	if (status == FIRN_E_DOMAIN)
		base_messages_add(
		    messages, BASE_ERROR, model->path, (struct base_mark){ 0, 0 },
		    "monte_carlo: so high a coverage probability or factor is beyond trials; "
		    "the adaptive procedure takes at least 200/(1 - p) of them, and here "
		    "at most 10^8");
	else
		base_messages_add(messages, status == FIRN_E_MEMORY ? BASE_FAILURE : BASE_ERROR,
				  model->path, (struct base_mark){ 0, 0 },
				  "the trials could not be done: %s", firn_status_text(status));
	return false;
}

static void reserve_for(struct lab_evaluation *e, const struct lab_evaluated *x,
			const struct firn_monte_carlo_result *r)
{
	if (r->no_value) {
		trials_reserve(
		    e,
		    "%s: the model has no value in some of the trials (outside the range of a "
		    "function, or without a root), so the trials give no result.",
		    x->name);
		return;
	}
	if (r->no_u)
		trials_reserve(
		    e,
		    "%s: an input known with %s has no standard deviation%s; the trials give "
		    "intervals only.",
		    x->name, r->no_mean ? "1 degree of freedom" : "2 or fewer degrees of freedom",
		    r->no_mean ? " and no mean" : "");
	if (r->copula)
		trials_reserve(
		    e,
		    "%s: inputs are correlated that are not jointly normal. Their trials stand on "
		    "a Gaussian copula: each has its own distribution, their normal scores the "
		    "correlation stated. JCGM 101 does not cover this.",
		    x->name);
}

static void add_output(const struct lab_model *model, struct lab_evaluation *e, guint i,
		       struct firn_node y, const struct firn_monte_carlo_result *r, uint64_t trials)
{
	struct lab_evaluated *x = output_at(e, i);
	const double tolerance =
	    firn_numerical_tolerance(r->no_u ? x->u : r->u, model->monte_carlo.digits);

	x->trials = (struct lab_trials){
		.n = (int64_t)trials,
		.value = r->value,
		.u = r->u,
		.low = r->low,
		.high = r->high,
		.shortest_low = r->shortest_low,
		.shortest_high = r->shortest_high,
		.low_noise = r->low_noise,
		.high_noise = r->high_noise,
		.tolerance = tolerance,
		.judged = !r->no_value,
		.linear_law_holds = firn_linear_law_holds(x->value, x->U, r, tolerance),
	};
	reserve_for(e, x, r);
	if (x->trials.judged && !x->trials.linear_law_holds)
		x->causes = law_causes_find(y, probability(model), x->k, tolerance, e->text);
}

static enum firn_status number_of_trials(const struct lab_model *model, const struct firn_node *y,
					 size_t n, struct firn_monte_carlo_settings *settings,
					 struct lab_evaluation *e)
{
	bool stable = true;
	enum firn_status status = FIRN_OK;

	if (model->monte_carlo.adaptive &&
	    200.0 / (1.0 - settings->coverage_probability) > (double)MOST_ADAPTIVE)
		return FIRN_E_DOMAIN; /* not even two blocks */
	if (model->monte_carlo.adaptive) {
		settings->trials = MOST_ADAPTIVE;
		status = firn_monte_carlo_enough(n, y, settings, model->monte_carlo.digits,
						 &settings->trials, &stable);
	}
	if (status >= 0 && !stable)
		trials_reserve(e,
			       "The adaptive procedure was ended after %" G_GUINT64_FORMAT
			       " trials, before %d digits of every u stood still.",
			       settings->trials, model->monte_carlo.digits);
	settings->shortest = settings->trials <= MOST_FOR_SHORTEST;
	if (!settings->shortest)
		trials_reserve(
		    e,
		    "The shortest intervals are not sought with more than %" G_GINT64_FORMAT
		    " trials.",
		    MOST_FOR_SHORTEST);
	return status;
}

bool trials_add(const struct lab_model *model, const struct firn_node *y, base_threads *threads,
		base_messages *messages, struct lab_evaluation *ret)
{
	const guint n = ret->outputs->len;
	g_autofree struct firn_monte_carlo_result *results =
	    g_new0(struct firn_monte_carlo_result, n);
	struct firn_monte_carlo_settings settings = {
		.trials = (uint64_t)model->monte_carlo.trials,
		.seed = model->monte_carlo.seed,
		.coverage_probability = probability(model),
		.run = base_threads_run,
		.runner = threads,
	};
	enum firn_status status = number_of_trials(model, y, n, &settings, ret);

	if (status >= 0)
		status = firn_monte_carlo(n, y, &settings, results);
	if (status < 0)
		return failed(model, status, messages);
	ret->trials_probability = settings.coverage_probability;
	ret->trials_digits = model->monte_carlo.digits;
	for (guint i = 0; i < n; i++)
		add_output(model, ret, i, y[i], &results[i], settings.trials);
	status = joint_trials_histograms(y, &settings, ret);
	if (status >= 0)
		status = joint_trials_add(y, &settings, ret);
	return status >= 0 || failed(model, status, messages);
}
