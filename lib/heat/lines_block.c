/*
 * One linear solution for each guess of which cells are solid, melting and liquid; T is linear in H
 * within each. That is Newton's method for a piecewise linear law: it ends when no cell changes.
 *
 * Compiled once for each instruction set (lib/num/level.h).
 */
#include "lib/heat/lines.h"
#include "lib/num/level.h"

#include <math.h>

enum { MOST_GUESSES = 40 };
static const double rounding = 1e-12; /* of the latent heat: no change of phase */

enum phase { HELD, SOLID, MELTING, LIQUID };

static inline enum phase phase_of(double h, double latent)
{
	return h < 0 || latent == 0 ? SOLID : h > latent ? LIQUID : MELTING;
}

/* The slack keeps a cell at the edge of two phases from going to and fro by rounding. */
static inline void take_phase(struct lines *s, size_t x, enum phase phase)
{
	const double latent = s->of.latent[x], slack = rounding * latent, melt = s->of.melt[x];
	const double c = phase == LIQUID ? s->of.c_liquid[x] : s->of.c_solid[x];
	const bool is_live = phase == SOLID || phase == LIQUID;

	s->live[x] = is_live ? 1 : 0;
	s->c[x] = is_live ? c : 1;
	s->shift[x] =
	    is_live ? c * melt - (phase == LIQUID ? latent : 0) : (phase == HELD ? s->t[x] : melt);
	s->low[x] = phase == LIQUID ? latent - slack : phase == MELTING ? -slack : -INFINITY;
	s->high[x] = latent == 0 || phase == LIQUID ? INFINITY
		     : phase == MELTING             ? latent + slack
						    : slack;
}

static void take_phases(struct lines *s)
{
	for (size_t x = 0; x < s->n * LINES; x++)
		take_phase(s, x,
			   s->of.c_solid[x] < INFINITY ? phase_of(s->h[x], s->of.latent[x]) : HELD);
}

/* part: T of a cell while the one above were at 0; ratio: what each kelvin of that one adds. */
static void eliminate(struct lines *s)
{
	double ratio[LINES] = { 0 }, part[LINES];

	for (int l = 0; l < LINES; l++)
		part[l] = s->first[l];
	for (size_t k = 0; k < s->n; k++) {
		const size_t row = k * LINES;
		const double *restrict below = s->g + row, *restrict above = s->g + row + LINES;
		const double *restrict live = s->live + row, *restrict c = s->c + row;
		const double *restrict b = s->b + row, *restrict shift = s->shift + row;
		double *restrict ret_part = s->part + row, *restrict ret_ratio = s->ratio + row;

		for (int l = 0; l < LINES; l++) {
			const double from_below = live[l] * below[l],
				     from_above = live[l] * above[l];
			const double pivot = 1 / (c[l] + from_below * (1 - ratio[l]) + from_above);

			part[l] = (live[l] * b[l] + shift[l] + from_below * part[l]) * pivot;
			ratio[l] = from_above * pivot;
			ret_part[l] = part[l];
			ret_ratio[l] = ratio[l];
		}
	}
}

static void substitute(struct lines *s)
{
	double t[LINES];

	for (int l = 0; l < LINES; l++)
		t[l] = s->last[l];
	for (size_t k = s->n; k-- > 0;) {
		const size_t row = k * LINES;
		const double *restrict part = s->part + row, *restrict ratio = s->ratio + row;
		double *restrict ret = s->t + row;

		for (int l = 0; l < LINES; l++) {
			t[l] = part[l] + ratio[l] * t[l];
			ret[l] = t[l];
		}
	}
}

/* H from T, or from what flows in where T does not move. Returned: how many cells do not keep to
   the phase that was guessed. */
static int account(struct lines *s)
{
	int strayed = 0;

	for (size_t k = 0; k < s->n; k++) {
		const size_t row = k * LINES;
		const double *restrict t = s->t + row;
		const double *restrict below = k > 0 ? t - LINES : s->first;
		const double *restrict above = k + 1 < s->n ? t + LINES : s->last;
		const double *restrict g = s->g + row, *restrict b = s->b + row;
		const double *restrict live = s->live + row, *restrict c = s->c + row;
		const double *restrict shift = s->shift + row;
		const double *restrict low = s->low + row, *restrict high = s->high + row;
		double *restrict ret = s->h + row;

		for (int l = 0; l < LINES; l++) {
			const double flown =
			    b[l] + g[l] * (below[l] - t[l]) + g[LINES + l] * (above[l] - t[l]);
			const double h = live[l] > 0 ? c[l] * t[l] - shift[l] : flown;

			ret[l] = h;
			strayed += (h < low[l]) | (h > high[l]);
		}
	}
	return strayed;
}

static void guess_again(struct lines *s)
{
	for (size_t x = 0; x < s->n * LINES; x++)
		if (s->h[x] < s->low[x] || s->h[x] > s->high[x])
			take_phase(s, x, phase_of(s->h[x], s->of.latent[x]));
}

bool LEVEL(lines_solve)(struct lines *s)
{
	take_phases(s);
	for (int guess = 0; guess < MOST_GUESSES; guess++) {
		eliminate(s);
		substitute(s);
		if (account(s) == 0)
			return true;
		guess_again(s);
	}
	return false;
}
