/*
 * The full simulation: docs/methods/simulation.md says what is judged, tools/soak_simulation.py
 * runs this and keeps the record.
 *
 *   simulate-calibrations N HALVED_N TRIALS THREADS
 *
 * Prints Markdown; exits with 1 when a judgement fails, with 3 when a calibration could not be
 * reduced.
 */
#include "app/simulate/simulate.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

static const double band = 0.01; /* of a coverage of 95 % */

enum { AGAIN = 5 }; /* times as many calibrations where a mean of squares failed */

#define SQUARES_HEAD                                                                               \
	"| laboratory | squares of | mean | sd | (mean - 1)/sd | within 3 |\n"                     \
	"| --- | --- | --- | --- | --- | --- |\n"

static int failures;

/* "**no**" where a judgement fails, and counts it. */
static const char *judge(bool good)
{
	failures += !good;
	return good ? "yes" : "**no**";
}

/* The same for squares, of which a run judges so many that one may fail by chance: those are
   repeated before they count. */
static const char *judge_squares(struct simulate_mean x)
{
	return simulate_is_near(x, 1.0) ? "yes" : "no, see below";
}

static void print_squares(const char *laboratory, const char *what, struct simulate_mean x,
			  bool judged)
{
	printf("| %s | %s | %.4f | %.4f | %+.1f | %s |\n", laboratory, what, x.mean, x.sd,
	       (x.mean - 1.0) / x.sd, judged ? judge_squares(x) : "stated");
}

static void print_all_squares(const struct simulate_laboratory *laboratory,
			      const struct simulate_result *r)
{
	const bool judged = laboratory->kind != SIMULATE_FEW_REPEATS;

	for (size_t k = 0; k < r->n_subranges; k++) {
		const struct simulate_subrange *s = &r->subranges[k];
		const char *name = lab_subrange_name(s->subrange);
		g_autofree char *alone = g_strdup_printf("%s, calibration alone", name),
				*total = g_strdup_printf("%s, with departures", name);

		print_squares(laboratory->name, alone, s->squares, judged);
		print_squares(laboratory->name, total, s->squares_total, judged);
	}
	print_squares(laboratory->name, "in use", r->squares_in_use, judged);
	print_squares(laboratory->name, "R(TPW)", r->squares_r_tpw, judged);
}

struct extremes {
	double least, most;
};

static struct extremes extremes_of(const struct simulate_subrange *s, bool trials)
{
	struct extremes e = { 1.0, 0.0 };

	for (size_t j = 0; j < s->n_lines; j++) {
		const double x = trials ? s->lines[j].trials : s->lines[j].linear;

		e.least = fmin(e.least, x);
		e.most = fmax(e.most, x);
	}
	return e;
}

static void print_coverage(const char *laboratory, const char *what, struct simulate_mean x,
			   struct extremes e, const char *verdict)
{
	printf("| %s | %s | %.2f | %.2f | %.2f to %.2f | %s |\n", laboratory, what, 100 * x.mean,
	       100 * x.sd, 100 * e.least, 100 * e.most, verdict);
}

static bool is_within(struct simulate_mean x, struct extremes e)
{
	return fabs(x.mean - 0.95) <= band && e.least >= 0.95 - band && e.most <= 0.95 + band;
}

static void print_all_coverage(const struct simulate_laboratory *laboratory,
			       const struct simulate_result *r)
{
	for (size_t k = 0; k < r->n_subranges; k++) {
		const struct simulate_subrange *s = &r->subranges[k];
		const struct extremes linear = extremes_of(s, false), trials = extremes_of(s, true);
		const char *name = lab_subrange_name(s->subrange);
		g_autofree char *by_linear = g_strdup_printf("%s, first order", name),
				*by_trials = g_strdup_printf("%s, trials", name);

		print_coverage(laboratory->name, by_linear, s->linear, linear,
			       laboratory->kind == SIMULATE_WELL_KNOWN
				   ? judge(is_within(s->linear, linear))
				   : "stated");
		print_coverage(
		    laboratory->name, by_trials, s->trials, trials,
		    laboratory->kind == SIMULATE_FEW_REPEATS
			? judge(s->trials.mean >= 0.95 - band && trials.least >= 0.95 - band)
			: judge(is_within(s->trials, trials)));
		printf("| %s | %s, with departures, first order | %.2f | %.2f | | stated |\n",
		       laboratory->name, name, 100 * s->linear_total.mean,
		       100 * s->linear_total.sd);
	}
}

static bool run(const struct simulate_laboratory *laboratory,
		const struct simulate_settings *settings, base_threads *threads,
		struct simulate_result *ret)
{
	g_autoptr(base_messages) messages = base_messages_new();
	const bool good = simulate_run(laboratory, settings, threads, messages, ret);

	base_messages_print(messages, stderr);
	return good;
}

/* A laboratory of which a mean of squares failed, once more: another seed, more calibrations. A
   wrong budget fails again, and by more of its standard deviations; chance does not. */
static bool print_again(const struct simulate_laboratory *laboratory, size_t n,
			base_threads *threads)
{
	const struct simulate_settings settings = { SIMULATE_SEED + 1, AGAIN * n, 0,
						    SIMULATE_NOTHING };
	g_auto(simulate_result) again = { 0 };

	if (!run(laboratory, &settings, threads, &again))
		return false;
	printf("\nOnce more, %zu calibrations with the seed %d:\n\n" SQUARES_HEAD, settings.n,
	       SIMULATE_SEED + 1);
	print_all_squares(laboratory, &again);
	printf("\nAll of them within three: %s\n", judge(simulate_squares_hold(&again)));
	return true;
}

/* Every kind of term of a laboratory halved in turn. */
static bool print_halved(const struct simulate_laboratory *laboratory, size_t n,
			 base_threads *threads)
{
	struct simulate_settings settings = { SIMULATE_SEED, n, 0, SIMULATE_NOTHING };
	g_auto(simulate_result) right = { 0 };
	double smallest = 1.0;

	printf("\nOf the long-stem laboratory, u halved in the budget alone:\n\n| halved | share "
	       "of the variance | largest mean of squares | caught |\n"
	       "| --- | --- | --- | --- |\n");
	if (!run(laboratory, &settings, threads, &right))
		return false;
	for (int halved = 0; halved < SIMULATE_KINDS; halved++) {
		g_auto(simulate_result) r = { 0 };
		double share, most = 0.0;

		settings.halved = halved;
		if (!run(laboratory, &settings, threads, &r))
			return false;
		share = simulate_share(&right, &r);
		for (size_t k = 0; k < r.n_subranges; k++)
			most = fmax(most, r.subranges[k].squares.mean);
		most = fmax(most, fmax(r.squares_in_use.mean, r.squares_r_tpw.mean));
		/* where the right budget fails already, nothing can be told */
		const bool caught = simulate_squares_hold(&right) && !simulate_squares_hold(&r);
		if (caught)
			smallest = fmin(smallest, share);
		printf("| %s | %.3f | %.3f | %s |\n", simulate_halved_name(halved), share, most,
		       share >= 0.2 ? judge(caught)
		       : caught     ? "yes"
				    : "no");
		fflush(stdout);
	}
	printf(
	    "\nThe smallest share that was caught is %.1f %% of the variance (%zu calibrations).\n",
	    100 * smallest, n);
	return true;
}

int main(int argc, char **argv)
{
	if (argc != 5) {
		fputs("simulate-calibrations N HALVED_N TRIALS THREADS\n", stderr);
		return 2;
	}
	const struct simulate_settings settings = { SIMULATE_SEED, strtoul(argv[1], NULL, 10),
						    strtol(argv[3], NULL, 10), SIMULATE_NOTHING };
	g_autoptr(base_threads) threads = base_threads_new(atoi(argv[4]));
	struct simulate_result results[8] = { 0 };

	for (size_t i = 0; i < simulate_n_laboratories; i++) {
		if (!run(&simulate_laboratories[i], &settings, threads, &results[i]))
			return 3;
		printf("%s%s: rectangles %.2f to %.2f of the variance of W at the points, fewest "
		       "degrees of freedom %.0f",
		       i > 0 ? "; " : "", simulate_laboratories[i].name,
		       results[i].smallest_rectangle, results[i].largest_rectangle,
		       results[i].fewest_dof);
	}
	printf(".\n\n" SQUARES_HEAD);
	for (size_t i = 0; i < simulate_n_laboratories; i++)
		print_all_squares(&simulate_laboratories[i], &results[i]);
	for (size_t i = 0; i < simulate_n_laboratories; i++)
		if (simulate_laboratories[i].kind != SIMULATE_FEW_REPEATS &&
		    !simulate_squares_hold(&results[i]) &&
		    !print_again(&simulate_laboratories[i], settings.n, threads))
			return 3;
	printf(
	    "\n| laboratory | intervals of 95 %% | coverage/%% | sd | single temperatures/%% | as "
	    "asked |\n| --- | --- | --- | --- | --- | --- |\n");
	for (size_t i = 0; settings.trials > 0 && i < simulate_n_laboratories; i++)
		print_all_coverage(&simulate_laboratories[i], &results[i]);
	fflush(stdout);
	for (size_t i = 0; i < simulate_n_laboratories; i++)
		simulate_result_clear(&results[i]);
	const size_t n_halved = strtoul(argv[2], NULL, 10);
	if (n_halved > 0 &&
	    !print_halved(simulate_laboratory_named("long stem"), n_halved, threads))
		return 3;
	return failures > 0;
}
