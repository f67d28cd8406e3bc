/*
 * How far a step may go, and how it is made.
 *
 * A long split step hardly damps what changes quickly in both directions. So each step is made of
 * several, every one a quarter as long as the one before, down to the time of the quickest cell:
 * what the long ones leave the short ones take.
 */
#include "lib/heat/transient.h"

#include <math.h>
#include <string.h>

static const double shrink = 0.25;      /* of the steps within one */
static const double most_growth = 1.5;  /* from one step to the next */
static const double least_growth = 0.2; /* of a step that is tried again */
static const double front_leaps = 0.05; /* of a cell: what both ways of a step may differ */
static const double front_moves = 0.5;  /* of a cell, in one step */
static const double shortest = 1e-12;   /* of the time reached: no step can be made */

static void keep(struct firn_transient *t)
{
	memcpy(t->t_old, t->field->t_K, t->cells * sizeof(double));
	memcpy(t->h_old, t->h_J, t->cells * sizeof(double));
}

static void put_back(struct firn_transient *t)
{
	memcpy(t->field->t_K, t->t_old, t->cells * sizeof(double));
	memcpy(t->h_J, t->h_old, t->cells * sizeof(double));
}

/* How many times the longest part of a step fits into it, all parts together. */
static double parts_of(const struct firn_transient *t, double step_s)
{
	double sum = 1;

	for (double tau_s = step_s; tau_s > t->fast_s; sum += tau_s / step_s)
		tau_s *= shrink;
	return sum;
}

/* One step of its parts. h_rate: W into the cells, for where their fronts will be in its middle. */
static bool cycle(struct firn_transient *t, const double *h_rate, double step_s)
{
	const double sum = parts_of(t, step_s);

	for (double tau_s = step_s / sum;; tau_s *= shrink) {
		front_place(t, h_rate, tau_s);
		if (!split_step(t, tau_s))
			return false;
		if (tau_s * sum <= t->fast_s)
			return true;
	}
}

static void take_rate(struct firn_transient *t, double tau_s)
{
	for (size_t cell = 0; cell < t->cells; cell++)
		t->h_rate_now[cell] = (t->h_J[cell] - t->h_old[cell]) / tau_s;
}

/* Where fronts will go, by the longest part alone. */
static bool try_rate(struct firn_transient *t, double step_s)
{
	const struct firn_energy before = t->energy;
	const double tau_s = step_s / parts_of(t, step_s);
	bool solved;

	front_place(t, t->h_rate, tau_s);
	solved = split_step(t, tau_s);
	take_rate(t, tau_s);
	put_back(t);
	t->energy = before;
	return solved;
}

/* The same way at once and in two halves; what the first comes to stays in t_once, h_once. */
static bool both_ways(struct firn_transient *t, double step_s, struct firn_energy *ret_once)
{
	const struct firn_energy before = t->energy;

	if (!try_rate(t, step_s) || !cycle(t, t->h_rate_now, step_s))
		return false;
	memcpy(t->t_once, t->field->t_K, t->cells * sizeof(double));
	memcpy(t->h_once, t->h_J, t->cells * sizeof(double));
	*ret_once = t->energy;
	take_rate(t, step_s);
	put_back(t);
	t->energy = before;
	return cycle(t, t->h_rate_now, 0.5 * step_s) && cycle(t, t->h_rate_now, 0.5 * step_s);
}

/* How many times too far apart both came. */
static double excess(const struct firn_transient *t, double accuracy_K)
{
	double most = 0;

	for (size_t cell = 0; cell < t->cells; cell++) {
		most = fmax(most, fabs(t->field->t_K[cell] - t->t_once[cell]) / accuracy_K);
		if (t->latent_J[cell] > 0 && t->drawn[cell] == DRAWN_FRONT) {
			const double moved = t->h_J[cell] - t->h_old[cell];
			const double leap = t->h_J[cell] - t->h_once[cell];

			most = fmax(most, fabs(moved) / (front_moves * t->latent_J[cell]));
			most = fmax(most, fabs(leap) / (front_leaps * t->latent_J[cell]));
		}
	}
	return most;
}

/*
 * Richardson in time: two halves have half the error of the whole. Heat is kept by it, as it is by
 * both. Not where something freezes: there 1 % of a cell's latent heat is worth a kelvin, and what
 * is taken off would make hot spots of fronts that are a little apart.
 */
static void extrapolate(struct firn_transient *t, const struct firn_energy *once)
{
	for (size_t cell = 0; cell < t->cells; cell++)
		if (t->c_solid[cell] < INFINITY) {
			t->h_J[cell] += t->h_J[cell] - t->h_once[cell];
			t->field->t_K[cell] = t->h_J[cell] / t->c_solid[cell];
		}
	t->energy.entered += t->energy.entered - once->entered;
	t->energy.generated += t->energy.generated - once->generated;
	t->energy.exchanged += t->energy.exchanged - once->exchanged;
}

static void keep_rates(struct firn_transient *t, double step_s)
{
	for (size_t cell = 0; cell < t->cells; cell++)
		t->h_rate[cell] = (t->h_J[cell] - t->h_old[cell]) / step_s;
}

/* False: no step is short enough. */
static bool step(struct firn_transient *t, double most_s, double accuracy_K)
{
	const struct firn_energy before = t->energy;
	struct firn_energy once;
	double step_s = fmin(t->pace_s, most_s);

	keep(t);
	for (;;) {
		const bool is_whole = step_s == most_s;
		const bool solved = both_ways(t, step_s, &once);
		const double too_far = solved ? excess(t, accuracy_K) : 4;
		const double next = 0.9 / sqrt(fmax(too_far, 1e-6));

		if (solved && too_far <= 1) {
			if (!t->freezes)
				extrapolate(t, &once);
			keep_rates(t, step_s);
			/* A step cut short to end in time says little of the next. */
			t->pace_s = fmax(is_whole ? t->pace_s : 0,
					 step_s * fmin(fmax(next, least_growth), most_growth));
			t->time_s += step_s;
			t->steps++;
			return true;
		}
		put_back(t);
		t->energy = before;
		step_s *= fmax(fmin(next, 0.7), least_growth);
		t->pace_s = step_s;
		if (step_s < shortest * (t->time_s + most_s))
			return false;
	}
}

enum firn_status firn_transient_run(struct firn_transient *t, double until_s, double accuracy_K)
{
	if (!(until_s >= t->time_s) || !isfinite(until_s) || !(accuracy_K > 0))
		return FIRN_E_DOMAIN;
	while (t->time_s < until_s) {
		const double left_s = until_s - t->time_s;

		if (!step(t, left_s, accuracy_K))
			return FIRN_E_SINGULAR;
		/* The last step ends there, not a rounding before it. */
		if (until_s - t->time_s < 1e-12 * until_s)
			t->time_s = until_s;
	}
	return FIRN_OK;
}
