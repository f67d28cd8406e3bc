/* A plain model as nodes, by central differences. */
#include "firn/differences.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

/* Everything one call needs: values, and what each result changes with each quantity. */
struct differences {
	size_t n, m;
	double *x, *y, *low, *high; /* n, m, m, m */
	double *slope;              /* [m][n] */
	double *bend;               /* m */
	struct firn_node *terms;    /* n */
	struct firn_node *results;  /* m */
};

static void release(struct differences *d)
{
	free(d->x);
	free(d->y);
	free(d->low);
	free(d->high);
	free(d->slope);
	free(d->bend);
	free(d->terms);
	free(d->results);
}

static bool allocate(struct differences *d)
{
	d->x = calloc(d->n, sizeof(double));
	d->y = calloc(d->m, sizeof(double));
	d->low = calloc(d->m, sizeof(double));
	d->high = calloc(d->m, sizeof(double));
	d->slope = calloc(d->m * d->n, sizeof(double));
	d->bend = calloc(d->m, sizeof(double));
	d->terms = calloc(d->n, sizeof *d->terms);
	d->results = calloc(d->m, sizeof *d->results);
	return d->x != NULL && d->y != NULL && d->low != NULL && d->high != NULL &&
	       d->slope != NULL && d->bend != NULL && d->terms != NULL && d->results != NULL;
}

static bool all_finite(size_t n, const double *x)
{
	for (size_t i = 0; i < n; i++)
		if (!isfinite(x[i]))
			return false;
	return true;
}

static enum firn_status value_at(struct differences *d, size_t i, double x_i,
				 firn_plain_model *model, void *context, double *ret)
{
	const double kept = d->x[i];
	enum firn_status status;

	d->x[i] = x_i;
	status = model(context, d->x, ret);
	d->x[i] = kept;
	if (status < 0)
		return status;
	return all_finite(d->m, ret) ? FIRN_OK : FIRN_E_DOMAIN;
}

/* Quantity i moved by its u to both sides. */
static enum firn_status move(struct differences *d, size_t i, double u, firn_plain_model *model,
			     void *context)
{
	const double above = d->x[i] + u, below = d->x[i] - u;
	enum firn_status status = value_at(d, i, above, model, context, d->high);

	if (status == FIRN_OK)
		status = value_at(d, i, below, model, context, d->low);
	for (size_t k = 0; k < d->m && status == FIRN_OK; k++) {
		const double bend = 0.5 * (d->high[k] + d->low[k]) - d->y[k];

		d->slope[k * d->n + i] = (d->high[k] - d->low[k]) / (above - below);
		d->bend[k] += bend * bend;
	}
	return status;
}

/* y + sum of slopes times what each x differs from its estimate. */
static struct firn_node law(const struct differences *d, size_t k, const struct firn_node *x,
			    const char *const *names)
{
	struct firn_tape *const tape = x[0].tape;
	struct firn_node y;

	for (size_t i = 0; i < d->n; i++)
		d->terms[i] = firn_sub(x[i], firn_constant(tape, d->x[i]));
	y = firn_linear(d->n, d->slope + k * d->n, d->terms);
	y = firn_add(firn_constant(tape, d->y[k]), y);
	return firn_label("", "computed on a grid; sensitivities by central differences", d->n,
			  names, x, y);
}

enum firn_status firn_by_differences(size_t n, const struct firn_node *x, const char *const *names,
				     size_t m, firn_plain_model *model, void *context,
				     struct firn_node *ret_y, double *ret_bend)
{
	struct differences d = { .n = n, .m = m };
	enum firn_status status = FIRN_OK;

	if (n == 0 || m == 0 || n > SIZE_MAX / sizeof(double) / m)
		return FIRN_E_DOMAIN;
	if (!allocate(&d))
		status = FIRN_E_MEMORY;
	for (size_t i = 0; i < n && status == FIRN_OK; i++)
		d.x[i] = firn_value(x[i]);
	if (status == FIRN_OK && !all_finite(n, d.x))
		status =
		    firn_tape_status(x[0].tape) < 0 ? firn_tape_status(x[0].tape) : FIRN_E_DOMAIN;
	if (status == FIRN_OK)
		status = value_at(&d, 0, d.x[0], model, context, d.y);
	for (size_t i = 0; i < n && status == FIRN_OK; i++) {
		const double u = firn_u(x[i]);

		if (isnan(u)) /* a sweep without memory, on a tape that is sound */
			status = FIRN_E_MEMORY;
		if (u > 0)
			status = move(&d, i, u, model, context);
	}
	for (size_t k = 0; k < m && status == FIRN_OK; k++) {
		d.results[k] = law(&d, k, x, names);
		status = firn_tape_status(x[0].tape) < 0 ? firn_tape_status(x[0].tape) : FIRN_OK;
	}
	for (size_t k = 0; k < m && status == FIRN_OK; k++) {
		ret_y[k] = d.results[k];
		if (ret_bend != NULL)
			ret_bend[k] = sqrt(d.bend[k]);
	}
	release(&d);
	return status;
}
