/* The scale recorded on a tape. */
#include "firn/scale.h"

static enum firn_status wr_joined(double t90_K, double *ret_wr, double *ret_slope)
{
	return firn_scale_wr(t90_K, false, ret_wr, ret_slope);
}

static enum firn_status t90_joined(double wr, double *ret_t90_K, double *ret_slope)
{
	return firn_scale_t90(wr, false, ret_t90_K, ret_slope);
}

static enum firn_status t90_from_zero(double wr, double *ret_t90_K, double *ret_slope)
{
	return firn_scale_t90(wr, true, ret_t90_K, ret_slope);
}

struct firn_node firn_wr_below(struct firn_node t90_K)
{
	static const struct firn_function f = { "W_r by ITS-90 (9a)", firn_scale_wr_below, NULL };

	return firn_apply(&f, t90_K);
}

struct firn_node firn_wr_above(struct firn_node t90_K)
{
	static const struct firn_function f = { "W_r by ITS-90 (10a)", firn_scale_wr_above, NULL };

	return firn_apply(&f, t90_K);
}

struct firn_node firn_wr(bool from_zero, struct firn_node t90_K)
{
	static const struct firn_function f = { "W_r by ITS-90 (9a) or (10a)", wr_joined, NULL };

	return from_zero ? firn_wr_above(t90_K) : firn_apply(&f, t90_K);
}

struct firn_node firn_t90_of_wr(bool from_zero, struct firn_node wr)
{
	static const struct firn_function joined = { "T90, root of ITS-90 (9a) or (10a)",
						     t90_joined, NULL };
	static const struct firn_function zero = { "T90, root of ITS-90 (10a)", t90_from_zero,
						   NULL };

	return firn_apply(from_zero ? &zero : &joined, wr);
}

struct firn_node firn_vapour_t90(struct firn_node p_Pa)
{
	static const struct firn_function f = { "T90 by ITS-90 (11a) or (11b)",
						firn_scale_vapour_t90, NULL };

	return firn_apply(&f, p_Pa);
}

static bool uses_w_al(const struct firn_subrange *subrange)
{
	return subrange->terms[subrange->n_coefficients - 1].kind == FIRN_TERM_ABOVE_AL;
}

void firn_deviation_terms(const struct firn_subrange *subrange, struct firn_node w,
			  struct firn_node w_al, struct firn_node *ret_terms)
{
	for (size_t k = 0; k < subrange->n_coefficients; k++) {
		const struct firn_term *term = &subrange->terms[k];

		ret_terms[k] = term->kind == FIRN_TERM_ABOVE_AL
				   ? firn_formula_named(term->formula, "W, W_Al", 2,
							(const struct firn_node[]){ w, w_al })
				   : firn_formula_named(term->formula, "W", 1, &w);
	}
}

/* Coefficients 0 to n_terms - 1 from the n points with the places `chosen`, by least squares;
   with as many points as coefficients, exactly. */
static void solve(const struct firn_subrange *subrange, size_t n_terms, size_t n,
		  const size_t *chosen, const struct firn_node *w, const struct firn_node *wr,
		  struct firn_node *ret_c)
{
	struct firn_node a[FIRN_MOST_COEFFICIENTS * FIRN_POINTS], b[FIRN_POINTS];

	for (size_t i = 0; i < n; i++) {
		const struct firn_node W = w[chosen[i]], Wr = wr[chosen[i]];

		for (size_t k = 0; k < n_terms; k++)
			a[i * n_terms + k] =
			    firn_formula_named(subrange->terms[k].formula, "W", 1, &W);
		b[i] = firn_formula("deltaW = W - Wr", W, Wr);
	}
	firn_least_squares(n, n_terms, a, b, ret_c);
}

/* d of H2O_Ag: what a, b, c leave at the silver point. */
static struct firn_node silver_coefficient(const struct firn_node *abc, struct firn_node W_Ag,
					   struct firn_node Wr_Ag, struct firn_node W_Al)
{
	const struct firn_node a = abc[0], b = abc[1], c = abc[2];

	return firn_formula("d = (W_Ag - Wr_Ag - (a*(W_Ag - 1) + b*(W_Ag - 1)^2 + c*(W_Ag - 1)^3))"
			    "/(W_Ag - W_Al)^2",
			    W_Ag, Wr_Ag, W_Al, a, b, c);
}

enum firn_status firn_deviation_solve(const struct firn_subrange *subrange, size_t n,
				      const struct firn_node *w, const struct firn_node *wr,
				      struct firn_node *ret_c, struct firn_node *ret_w_al)
{
	const bool silver = uses_w_al(subrange);
	const size_t al = 2, ag = 3; /* places in the points of H2O_Ag */
	const size_t n_terms = subrange->n_coefficients - (silver ? 1 : 0);
	size_t chosen[FIRN_POINTS], n_chosen = 0;

	if (n < subrange->n_points || n > FIRN_POINTS)
		return FIRN_E_SINGULAR;
	for (size_t i = 0; i < n; i++)
		if (!silver || i != ag)
			chosen[n_chosen++] = i;
	solve(subrange, n_terms, n_chosen, chosen, w, wr, ret_c);
	*ret_w_al = silver ? w[al] : (struct firn_node){ 0 };
	if (silver)
		ret_c[ag] = silver_coefficient(ret_c, w[ag], wr[ag], w[al]);
	for (size_t k = 0; k < subrange->n_coefficients; k++)
		ret_c[k] = firn_name(subrange->coefficients[k], ret_c[k]);
	return firn_tape_status(w[0].tape);
}

struct firn_node firn_deviation(const struct firn_subrange *subrange, const struct firn_node *c,
				struct firn_node w, struct firn_node w_al)
{
	struct firn_node x[FIRN_MOST_COEFFICIENTS + 2];
	size_t n = 0;

	for (; n < subrange->n_coefficients; n++)
		x[n] = c[n];
	x[n++] = w;
	if (uses_w_al(subrange))
		x[n++] = w_al;
	return firn_formula_named(subrange->formula, subrange->names, n, x);
}

struct firn_node firn_wr_by_deviation(struct firn_node W, struct firn_node deltaW)
{
	return firn_formula("Wr = W - deltaW", W, deltaW);
}

struct firn_node firn_wr_of_w(const struct firn_subrange *subrange, const struct firn_node *c,
			      struct firn_node w, struct firn_node w_al)
{
	return firn_wr_by_deviation(w, firn_deviation(subrange, c, w, w_al));
}
