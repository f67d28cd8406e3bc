/*
 * Proof by simulation: whole calibrations from known truth, through calc_reduce(), and how far the
 * results lie from it in their stated uncertainties. docs/methods/simulation.md fixes what is drawn
 * and what is judged. Results depend on the laboratory, the settings and the seed alone.
 */
#ifndef SIMULATE_SIMULATE_H
#define SIMULATE_SIMULATE_H

#include "app/base/messages.h"
#include "app/base/threads.h"
#include "app/simulate/laboratory.h"

#define SIMULATE_SEED 20310325

/* Kinds of terms whose u can be halved in the budget alone; below LAB_TERMS those of a visit. */
enum simulate_halved {
	SIMULATE_CELL = LAB_TERMS,
	SIMULATE_DEPTH,
	SIMULATE_LINEARITY,
	SIMULATE_MANTLE,
	SIMULATE_RESISTOR,
	SIMULATE_ISOTOPES,
	SIMULATE_IMPURITIES,
	SIMULATE_KINDS,
	SIMULATE_NOTHING = -1,
};
const char *simulate_halved_name(int halved);

struct simulate_settings {
	uint64_t seed;
	size_t n;       /* calibrations, 2 and more */
	int64_t trials; /* of Monte Carlo in each; 0: none */
	int halved; /* enum lab_term or enum simulate_halved; SIMULATE_NOTHING: the right budget */
};

/* A mean over calibrations, and its standard deviation from their spread. */
struct simulate_mean {
	double mean, sd;
};

/* One temperature of a subrange's table, over all calibrations. */
struct simulate_line {
	double t90_K;
	double squares, squares_total; /* means of ((estimate - truth)/u)^2 */
	double linear, trials;         /* coverage; trials NaN: none were made */
	double u2_K2;                  /* mean of u^2, of the calibration alone */
};

struct simulate_subrange {
	enum lab_subrange subrange;
	struct simulate_mean squares, squares_total; /* calibration alone, and with departures */
	struct simulate_mean linear, linear_total, trials; /* coverage; trials NaN: none */
	size_t n_lines;
	struct simulate_line *lines;
};

struct simulate_result {
	size_t n;
	size_t n_subranges;
	struct simulate_subrange subranges[SIMULATE_MOST_JUDGED];
	struct simulate_mean squares_in_use, squares_r_tpw;
	double mean_u2_in_use, mean_u2_r_tpw;
	/* Of the first calibration: largest and smallest share of the rectangles in the variance of
	   W at a point, and fewest degrees of freedom of an input, readings apart. */
	double largest_rectangle, smallest_rectangle, fewest_dof;
};

/* False with messages when a calibration could not be reduced: the simulation, or the reduction, is
   wrong. */
bool simulate_run(const struct simulate_laboratory *laboratory,
		  const struct simulate_settings *settings, base_threads *threads,
		  base_messages *messages, struct simulate_result *ret);
void simulate_result_clear(struct simulate_result *result);
typedef struct simulate_result simulate_result;
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(simulate_result, simulate_result_clear)

/* Whether a mean is `want` within three of its standard deviations. */
bool simulate_is_near(struct simulate_mean x, double want);

/* Whether every mean of squares is 1 by that measure: what a wrong budget fails. */
bool simulate_squares_hold(const struct simulate_result *result);

/* The largest share of the variance that the halved term makes in one of the judgements (in a
   table: the mean over its lines): from u^2 with the right budget and with the halved one. */
double simulate_share(const struct simulate_result *right, const struct simulate_result *halved);

#endif
