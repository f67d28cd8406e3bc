#include "app/simulate/compare.h"

#include "app/calc/reduce.h"

#include <math.h>

static const char *const halved_names[SIMULATE_KINDS] = {
	[SIMULATE_CELL] = "cell",
	[SIMULATE_DEPTH] = "depth",
	[SIMULATE_LINEARITY] = "linearity",
	[SIMULATE_MANTLE] = "mantle_age",
	[SIMULATE_RESISTOR] = "resistor",
	[SIMULATE_ISOTOPES] = "isotopes",
	[SIMULATE_IMPURITIES] = "impurities",
};

const char *simulate_halved_name(int halved)
{
	if (halved < 0 || halved >= SIMULATE_KINDS)
		return "nothing";
	return halved < LAB_TERMS ? lab_term_name((enum lab_term)halved) : halved_names[halved];
}

static void halve_in_cells(lab_calibration *record, int halved)
{
	for (guint i = 0; i < record->cells->len; i++) {
		struct lab_cell *cell = LAB_AT(record->cells, lab_cell, i);

		if (halved == SIMULATE_CELL)
			cell->u_cell_K *= 0.5;
		if (halved == SIMULATE_ISOTOPES) {
			cell->u_d_D *= 0.5;
			cell->u_d_18O *= 0.5;
			cell->u_x_D_umol_per_mol *= 0.5;
			cell->u_x22 *= 0.5;
			cell->u_x21 *= 0.5;
		}
		if (halved == SIMULATE_IMPURITIES)
			cell->total_umol_per_mol *= 0.5;
	}
}

static void halve_in_visits(lab_calibration *record, int halved)
{
	for (guint i = 0; i < record->visits->len; i++) {
		struct lab_visit *visit = LAB_AT(record->visits, lab_visit, i);

		if (halved < LAB_TERMS)
			visit->terms[halved].u *= 0.5;
		if (halved == SIMULATE_DEPTH)
			visit->u_depth_m *= 0.5;
		if (halved == SIMULATE_MANTLE)
			visit->u_mantle_age_K *= 0.5;
	}
}

/* In the budget alone: the readings have been taken. */
static void halve(lab_calibration *record, int halved)
{
	if (halved == SIMULATE_NOTHING)
		return;
	halve_in_cells(record, halved);
	halve_in_visits(record, halved);
	if (halved == SIMULATE_LINEARITY)
		LAB_AT(record->bridges, lab_bridge, 0)->u_linearity *= 0.5;
	for (guint i = 0; halved == SIMULATE_RESISTOR && i < record->resistors->len; i++)
		LAB_AT(record->resistors, lab_resistor, i)->u_ohm *= 0.5;
}

struct run {
	const struct simulate_laboratory *laboratory;
	const struct simulate_settings *settings;
	struct simulate_errors *errors; /* of each calibration */
	base_messages **messages;       /* of each; NULL: reduced */
	struct simulate_result *ret;
};

static void calibrate(void *context, size_t i)
{
	struct run *run = context;
	const struct simulate_draws draws = { run->settings->seed, i };
	g_autoptr(base_messages) messages = base_messages_new();
	g_auto(simulate_calibration) calibration = { 0 };
	g_autoptr(lab_calibration_result) result = NULL;

	simulate_measure(run->laboratory, &draws, &calibration);
	halve(calibration.record, run->settings->halved);
	result =
	    run->settings->trials > 0
		? calc_reduce_by_trials(calibration.record, run->settings->trials, NULL, messages)
		: calc_reduce(calibration.record, messages);
	if (result == NULL) {
		run->messages[i] = g_steal_pointer(&messages);
		return;
	}
	simulate_compare(run->laboratory, &calibration, result, &run->errors[i]);
	if (i == 0)
		simulate_look(result, run->ret);
}

/* Mean and spread of one number a calibration, added in the order of calibrations. */
struct sum {
	double x, x2;
};

static void add(struct sum *sum, double x)
{
	sum->x += x;
	sum->x2 += x * x;
}

static struct simulate_mean mean_of(const struct sum *sum, size_t n)
{
	const double mean = sum->x / (double)n;
	const double variance = (sum->x2 - mean * sum->x) / (double)(n - 1);

	return (struct simulate_mean){ mean, sqrt(fmax(variance, 0.0) / (double)n) };
}

static void add_line(struct simulate_line *line, const struct simulate_error *e, double share)
{
	line->t90_K = e->t90_K;
	line->squares += share * e->z * e->z;
	line->squares_total += share * e->z_total * e->z_total;
	line->linear += share * e->linear;
	line->trials += share * e->trials;
	line->u2_K2 += share * e->u_K * e->u_K;
}

/* Means over a subrange's table of one calibration, and from those over all calibrations. */
static void summarise(const struct run *run, size_t k)
{
	struct simulate_subrange *ret = &run->ret->subranges[k];
	const size_t n = run->settings->n, n_lines = run->errors[0].tables[k]->len;
	struct sum squares = { 0 }, total = { 0 }, linear = { 0 }, linear_total = { 0 },
		   trials = { 0 };

	ret->subrange = run->laboratory->judged[k];
	ret->n_lines = n_lines;
	ret->lines = g_new0(struct simulate_line, n_lines);
	for (size_t i = 0; i < n; i++) {
		double mean[5] = { 0 };

		for (size_t j = 0; j < n_lines; j++) {
			const struct simulate_error *e =
			    LAB_AT(run->errors[i].tables[k], simulate_error, j);

			add_line(&ret->lines[j], e, 1.0 / (double)n);
			mean[0] += e->z * e->z / (double)n_lines;
			mean[1] += e->z_total * e->z_total / (double)n_lines;
			mean[2] += e->linear / (double)n_lines;
			mean[3] += e->linear_total / (double)n_lines;
			mean[4] += e->trials / (double)n_lines;
		}
		add(&squares, mean[0]);
		add(&total, mean[1]);
		add(&linear, mean[2]);
		add(&linear_total, mean[3]);
		add(&trials, mean[4]);
	}
	ret->squares = mean_of(&squares, n);
	ret->squares_total = mean_of(&total, n);
	ret->linear = mean_of(&linear, n);
	ret->linear_total = mean_of(&linear_total, n);
	ret->trials = mean_of(&trials, n);
	if (run->settings->trials > 0)
		return;
	ret->trials = (struct simulate_mean){ (double)NAN, (double)NAN };
	for (size_t j = 0; j < n_lines; j++)
		ret->lines[j].trials = (double)NAN;
}

static void summarise_the_rest(const struct run *run)
{
	struct simulate_result *ret = run->ret;
	const size_t n = run->settings->n;
	struct sum in_use = { 0 }, r_tpw = { 0 };

	for (size_t i = 0; i < n; i++) {
		add(&in_use, run->errors[i].squares_in_use);
		add(&r_tpw, run->errors[i].squares_r_tpw);
		ret->mean_u2_in_use += run->errors[i].u2_in_use / (double)n;
		ret->mean_u2_r_tpw += run->errors[i].u2_r_tpw / (double)n;
	}
	ret->squares_in_use = mean_of(&in_use, n);
	ret->squares_r_tpw = mean_of(&r_tpw, n);
}

/* Every calibration was reduced, and every table has the same lines; what was wrong is told once.
 */
static bool is_whole(const struct run *run, base_messages *messages)
{
	for (size_t i = 0; i < run->settings->n; i++) {
		for (size_t m = 0;
		     run->messages[i] != NULL && m < base_messages_n(run->messages[i]); m++)
			base_messages_add(messages, BASE_FAILURE, "", (struct base_mark){ 0, 0 },
					  "simulated calibration %" G_GSIZE_FORMAT " (%s): %s", i,
					  run->laboratory->name,
					  base_messages_at(run->messages[i], m)->text);
		if (run->messages[i] != NULL)
			return false;
		for (size_t k = 0; k < run->laboratory->n_judged; k++) {
			const guint lines = run->errors[i].tables[k]->len;

			if (lines > 0 && lines == run->errors[0].tables[k]->len)
				continue;
			base_messages_add(messages, BASE_FAILURE, "", (struct base_mark){ 0, 0 },
					  "simulated calibration %" G_GSIZE_FORMAT
					  " (%s): its table has %u lines that can be judged",
					  i, run->laboratory->name, lines);
			return false;
		}
	}
	return true;
}

bool simulate_run(const struct simulate_laboratory *laboratory,
		  const struct simulate_settings *settings, base_threads *threads,
		  base_messages *messages, struct simulate_result *ret)
{
	const size_t n = settings->n;
	struct run run = { .laboratory = laboratory,
			   .settings = settings,
			   .errors = g_new0(struct simulate_errors, n),
			   .messages = g_new0(base_messages *, n),
			   .ret = ret };
	bool good;

	*ret = (struct simulate_result){ .n = n, .n_subranges = laboratory->n_judged };
	base_threads_run(threads, n, calibrate, &run);
	good = is_whole(&run, messages);
	for (size_t k = 0; good && k < laboratory->n_judged; k++)
		summarise(&run, k);
	if (good)
		summarise_the_rest(&run);
	for (size_t i = 0; i < n; i++) {
		simulate_errors_clear(&run.errors[i]);
		base_messages_free(run.messages[i]);
	}
	g_free(run.errors);
	g_free(run.messages);
	return good;
}

void simulate_result_clear(struct simulate_result *result)
{
	for (size_t k = 0; k < result->n_subranges; k++)
		g_free(result->subranges[k].lines);
}

bool simulate_is_near(struct simulate_mean x, double want)
{
	return fabs(x.mean - want) <= 3.0 * x.sd;
}

bool simulate_squares_hold(const struct simulate_result *result)
{
	bool hold = simulate_is_near(result->squares_in_use, 1.0) &&
		    simulate_is_near(result->squares_r_tpw, 1.0);

	for (size_t k = 0; k < result->n_subranges; k++)
		hold = hold && simulate_is_near(result->subranges[k].squares, 1.0) &&
		       simulate_is_near(result->subranges[k].squares_total, 1.0);
	return hold;
}

/* Half of u leaves 1 - 3/4 f of the variance. */
static double share_of(double right_u2, double halved_u2)
{
	return (1.0 - halved_u2 / right_u2) / 0.75;
}

double simulate_share(const struct simulate_result *right, const struct simulate_result *halved)
{
	double most = fmax(share_of(right->mean_u2_in_use, halved->mean_u2_in_use),
			   share_of(right->mean_u2_r_tpw, halved->mean_u2_r_tpw));

	for (size_t k = 0; k < right->n_subranges; k++) {
		const struct simulate_subrange *x = &right->subranges[k],
					       *y = &halved->subranges[k];
		double mean = 0.0;

		for (size_t j = 0; j < x->n_lines; j++)
			mean += share_of(x->lines[j].u2_K2, y->lines[j].u2_K2) / (double)x->n_lines;
		most = fmax(most, mean);
	}
	return most;
}
