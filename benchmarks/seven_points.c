/*
 * Monte Carlo of a seven-point calibration through the general tape: 8 inputs a point, a, b, c by
 * least squares, errors of T90 at 500 W with exact 95 % order statistics, 10^6 trials.
 *
 * Commands: "run THREADS LEVEL" (levels as in struct firn_monte_carlo_settings), seconds with
 * recording included, of the thread for one and of the clock on the wall for two; "u", the standard
 * uncertainty in the middle of the table, in kelvin; "memory", the largest resident size in bytes.
 * benchmarks/numpy_seven_points.py states the same model.
 */
#include "benchmarks/driver.h"

#include "firn/monte_carlo.h"
#include "firn/scale.h"

#include <glib.h>
#include <math.h>
#include <stdlib.h>
#include <sys/resource.h>

enum { POINTS = 6, TEMPERATURES = 500 };

struct calibration {
	int threads;
	struct firn_monte_carlo_result results[TEMPERATURES];
};

/* Al twice. W of an invented thermometer: W_r with the deviation below. */
static const enum firn_point points[POINTS] = {
	FIRN_GA, FIRN_IN, FIRN_SN, FIRN_ZN, FIRN_AL, FIRN_AL
};
static const double c_true[] = { -1.57e-4, -1.5e-5, 7.8e-7 };

/* ---- threads ---- */

struct share {
	size_t n, first, step;
	firn_work *work;
	void *context;
};

static gpointer do_share(gpointer data)
{
	const struct share *share = data;

	for (size_t i = share->first; i < share->n; i += share->step)
		share->work(share->context, i);
	return NULL;
}

static void run_threads(void *runner, size_t n, firn_work *work, void *context)
{
	const size_t threads = (size_t)((struct calibration *)runner)->threads;
	struct share shares[2];
	GThread *running[2];

	for (size_t i = 0; i < threads; i++) {
		shares[i] = (struct share){ n, i, threads, work, context };
		running[i] = g_thread_new("share", do_share, &shares[i]);
	}
	for (size_t i = 0; i < threads; i++)
		g_thread_join(running[i]);
}

/* ---- the model ---- */

static struct firn_node normal(struct firn_tape *tape, const char *name, double value, double u)
{
	return firn_tape_input(tape, &(struct firn_input){ .name = name, .value = value, .u = u });
}

static struct firn_node rectangular(struct firn_tape *tape, const char *name, double low,
				    double high)
{
	return firn_tape_input(
	    tape, &(struct firn_input){
		      .name = name, .distribution = FIRN_RECTANGULAR, .low = low, .high = high });
}

/* The resistance at zero current, corrected to the defined temperature: 8 inputs. */
static struct firn_node resistance(struct firn_tape *tape, int k, double r_ohm, double ohm_per_K)
{
	static const char *const kinds[] = { "r1", "r2", "i1", "i2", "head", "cell", "p", "x" };
	char names[8][16];

	for (int i = 0; i < 8; i++)
		snprintf(names[i], sizeof(names[i]), "%d.%s", k, kinds[i]);
	const struct firn_node r1 = normal(tape, names[0], r_ohm + 4e-5, 1e-6);
	const struct firn_node r2 = normal(tape, names[1], r_ohm + 8e-5, 1e-6);
	const struct firn_node i1 = normal(tape, names[2], 1.0, 1e-4);
	const struct firn_node i2 = normal(tape, names[3], sqrt(2.0), 1e-4);
	const struct firn_node head_m = normal(tape, names[4], 0.18, 0.004);
	const struct firn_node cell_K = normal(tape, names[5], 0.0, 1e-4);
	const struct firn_node p_Pa = rectangular(tape, names[6], 101225.0, 101425.0);
	const struct firn_node impurity_K = rectangular(tape, names[7], -2e-4, 2e-4);
	const struct firn_node slope = firn_constant(tape, ohm_per_K);
	const struct firn_node r0 =
	    firn_formula("r0 = (r1*i2^2 - r2*i1^2)/(i2^2 - i1^2)", r1, r2, i1, i2);
	const struct firn_node dt_K =
	    firn_formula("dT = 0.0022*(head_m - 0.18) + 6e-8*(p_Pa - 101325) + cell_K + impurity_K",
			 head_m, p_Pa, cell_K, impurity_K);

	return firn_formula("R = r0 - slope*dt_K", r0, slope, dt_K);
}

static void coefficients(struct firn_tape *tape, struct firn_node ret_c[3])
{
	const struct firn_node r_tpw = resistance(tape, 0, 25.5, 0.1017);
	struct firn_node a[POINTS * 3], b[POINTS];

	for (int k = 0; k < POINTS; k++) {
		double wr, slope, w;

		if (firn_scale_wr_at(points[k], false, &wr, &slope) < 0)
			abort();
		w = wr;
		for (int i = 0; i < 5; i++)
			w = wr + (c_true[0] + (c_true[1] + c_true[2] * (w - 1.0)) * (w - 1.0)) *
				     (w - 1.0);
		const struct firn_node r = resistance(tape, k + 1, 25.5 * w, 25.5 * slope);
		const struct firn_node x = firn_formula("x = r/r_tpw - 1", r, r_tpw);
		const struct firn_node table = firn_constant(tape, wr);

		a[3 * k] = x;
		a[3 * k + 1] = firn_mul(x, x);
		a[3 * k + 2] = firn_mul(a[3 * k + 1], x);
		b[k] = firn_formula("deltaW = x + 1 - table", x, table);
	}
	firn_least_squares(POINTS, 3, a, b, ret_c);
}

/* What the error of the coefficients does to T90 at 500 W: -deltaW's error over the slope. */
static void errors(struct firn_tape *tape, struct firn_node ret_y[TEMPERATURES])
{
	struct firn_node c[3], d[3];

	coefficients(tape, c);
	for (int k = 0; k < 3; k++)
		d[k] = firn_sub(c[k], firn_constant(tape, firn_value(c[k])));
	for (int i = 0; i < TEMPERATURES; i++) {
		const double t90_K = 273.16 + 660.0 * (i + 1) / TEMPERATURES;
		double wr, slope;

		if (firn_scale_wr(t90_K, true, &wr, &slope) < 0)
			abort();
		const double x = wr - 1.0;
		ret_y[i] =
		    firn_linear(3, (double[]){ -x / slope, -x * x / slope, -x * x * x / slope }, d);
	}
}

static double run(struct calibration *calibration, int level)
{
	const clockid_t clock =
	    calibration->threads > 1 ? CLOCK_MONOTONIC : CLOCK_THREAD_CPUTIME_ID;
	const double start = seconds(clock);
	struct firn_tape *tape = firn_tape_new();
	struct firn_node y[TEMPERATURES];
	const struct firn_monte_carlo_settings settings = {
		.trials = 1000000,
		.seed = 1,
		.coverage_probability = 0.95,
		.run = calibration->threads > 1 ? run_threads : NULL,
		.runner = calibration,
		.level = level,
	};
	enum firn_status status;

	errors(tape, y);
	status = firn_monte_carlo(TEMPERATURES, y, &settings, calibration->results);
	firn_tape_free(tape);
	return status < 0 ? (double)NAN : seconds(clock) - start;
}

static double answer(void *context, size_t n, char **words)
{
	struct calibration *calibration = context;
	struct rusage used;

	if (strcmp(words[0], "u") == 0)
		return calibration->results[TEMPERATURES / 2].u;
	if (strcmp(words[0], "memory") == 0)
		return getrusage(RUSAGE_SELF, &used) == 0 ? (double)used.ru_maxrss * 1024.0 : NAN;
	calibration->threads = n > 1 ? atoi(words[1]) : 1;
	return run(calibration, n > 2 ? atoi(words[2]) : 0);
}

int main(void)
{
	static struct calibration calibration;

	return driver_run(answer, &calibration);
}
