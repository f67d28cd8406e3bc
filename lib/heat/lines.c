/*
 * One linear solution for each guess of which cells are solid, melting and liquid; T is linear in H
 * within each. That is Newton's method for a piecewise linear law: it ends when no cell changes.
 */
#include "lib/heat/lines.h"

#include <math.h>
#include <stdlib.h>

enum { MOST_GUESSES = 40, ARRAYS = 13 };
static const double rounding = 1e-12; /* of the latent heat: no change of phase */

bool lines_allocate(struct lines *lines, size_t most)
{
	double **const arrays[ARRAYS] = { &lines->b,      &lines->g,        &lines->c_solid,
					  &lines->latent, &lines->c_liquid, &lines->melt,
					  &lines->h,      &lines->t,        &lines->live,
					  &lines->c,      &lines->shift,    &lines->ratio,
					  &lines->part };

	lines->phase = calloc((most + 1) * LINES, sizeof *lines->phase);
	if (lines->phase == NULL)
		return false;
	for (int i = 0; i < ARRAYS; i++) {
		*arrays[i] = calloc((most + 1) * LINES, sizeof(double));
		if (*arrays[i] == NULL)
			return false;
	}
	return true;
}

void lines_release(struct lines *lines)
{
	double *const arrays[ARRAYS] = { lines->b,    lines->g, lines->c_solid, lines->c_liquid,
					 lines->melt, lines->h, lines->t,       lines->latent,
					 lines->live, lines->c, lines->shift,   lines->ratio,
					 lines->part };

	free(lines->phase);
	for (int i = 0; i < ARRAYS; i++)
		free(arrays[i]);
}

enum phase { HELD, SOLID, MELTING, LIQUID };

/* live: T is unknown, H = c T - shift; else T stands in shift. */
static inline void take_phase(struct lines *s, size_t x, enum phase phase)
{
	s->phase[x] = (unsigned char)phase;
	s->live[x] = phase == SOLID || phase == LIQUID ? 1 : 0;
	s->c[x] = phase == LIQUID ? s->c_liquid[x] : s->c_solid[x];
	s->shift[x] = phase == SOLID    ? s->c[x] * s->melt[x]
		      : phase == LIQUID ? s->c[x] * s->melt[x] - s->latent[x]
		      : phase == HELD   ? s->t[x]
					: s->melt[x];
}

static enum phase phase_of(double h, double latent)
{
	return h < 0 || latent == 0 ? SOLID : h > latent ? LIQUID : MELTING;
}

static void take_phases(struct lines *s)
{
	for (size_t x = 0; x < s->n * LINES; x++)
		take_phase(s, x, s->c_solid[x] < INFINITY ? phase_of(s->h[x], s->latent[x]) : HELD);
}

static void eliminate(struct lines *s)
{
	double ratio[LINES] = { 0 }, part[LINES];

	for (int l = 0; l < LINES; l++)
		part[l] = s->first[l];
	for (size_t k = 0; k < s->n; k++) {
		const size_t row = k * LINES;
		const double *below = s->g + row, *above = s->g + row + LINES;
		const bool is_last = k + 1 == s->n;

		for (int l = 0; l < LINES; l++) {
			const size_t x = row + (size_t)l;
			const double live = s->live[x];
			const double a = live * below[l], c = live * above[l];
			const double cap = live > 0 ? s->c[x] : 1;
			const double right = live > 0 ? s->b[x] + s->shift[x] : s->shift[x];
			const double pivot = cap + a * (1 - ratio[l]) + c;
			const double end = is_last ? c * s->last[l] : 0;

			/* part[l] is what the row below knows of T there, ratio[l] its share of T
			   here. */
			part[l] = (right + a * part[l] + end) / pivot;
			ratio[l] = is_last ? 0 : c / pivot;
			s->part[x] = part[l];
			s->ratio[x] = ratio[l];
		}
	}
}

static void substitute(struct lines *s)
{
	double t[LINES] = { 0 };

	for (size_t k = s->n; k-- > 0;)
		for (int l = 0; l < LINES; l++) {
			const size_t x = k * LINES + (size_t)l;

			t[l] = s->part[x] + s->ratio[x] * t[l];
			s->t[x] = t[l];
		}
}

/* H from T, or from what flows in where T does not move. */
static void account(struct lines *s)
{
	for (size_t k = 0; k < s->n; k++)
		for (int l = 0; l < LINES; l++) {
			const size_t x = k * LINES + (size_t)l;
			const double t = s->t[x];
			const double below = k > 0 ? s->t[x - LINES] : s->first[l];
			const double above = k + 1 < s->n ? s->t[x + LINES] : s->last[l];
			const double flown =
			    s->b[x] + s->g[x] * (below - t) + s->g[x + LINES] * (above - t);

			s->h[x] = s->live[x] > 0 ? s->c[x] * t - s->shift[x] : flown;
		}
}

/* How many cells are not in the phase that their H says, by more than rounding: a cell at the edge
   of two phases would never find one. */
static int changes(struct lines *s)
{
	int n = 0;

	for (size_t x = 0; x < s->n * LINES; x++) {
		const double h = s->h[x], latent = s->latent[x], slack = rounding * latent;
		const unsigned char phase = s->phase[x];

		if (latent == 0 || (phase == SOLID && h <= slack) ||
		    (phase == LIQUID && h >= latent - slack) ||
		    (phase == MELTING && h >= -slack && h <= latent + slack))
			continue;
		take_phase(s, x, phase_of(h, latent));
		n++;
	}
	return n;
}

bool lines_solve(struct lines *s)
{
	take_phases(s);
	for (int guess = 0; guess < MOST_GUESSES; guess++) {
		eliminate(s);
		substitute(s);
		account(s);
		if (changes(s) == 0)
			return true;
	}
	return false;
}
