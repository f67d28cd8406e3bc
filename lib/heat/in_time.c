/* The same course on two grids, for its error. */
#include "firn/conduction.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

/* A step grows with the root of what it may be wrong by: twice as long. */
static const double coarser = 4;

/* ret[i*n + j]: probe j at time i. */
static enum firn_status course(const struct firn_body *body, double accuracy_K, size_t n_times,
			       const double *times_s, size_t n, const struct firn_probe *probes,
			       double *ret, struct firn_energy *ret_energy)
{
	struct firn_transient *t;
	enum firn_status status = firn_transient_new(body, &t);

	if (status != FIRN_OK)
		return status;
	/* Before the work: what can't be answered. */
	status = firn_transient_read(t, n, probes, ret);
	for (size_t i = 0; i < n_times && status == FIRN_OK; i++) {
		status = firn_transient_run(t, times_s[i], accuracy_K);
		if (status == FIRN_OK)
			status = firn_transient_read(t, n, probes, ret + i * n);
	}
	*ret_energy = firn_transient_energy(t);
	firn_transient_free(t);
	return status;
}

enum firn_status firn_conduction_in_time(const struct firn_body *body, double accuracy_K,
					 size_t n_times, const double *times_s, size_t n,
					 const struct firn_probe *probes, struct firn_answer *ret,
					 struct firn_energy *ret_energy)
{
	struct firn_body coarse = *body;
	struct firn_energy energy;
	double *values;
	enum firn_status status;

	if (body->grid.halvings < 1 || n_times == 0 || n > SIZE_MAX / 4 / sizeof(double) / n_times)
		return FIRN_E_DOMAIN;
	values = calloc(2 * n_times * n + 1, sizeof(double));
	if (values == NULL)
		return FIRN_E_MEMORY;
	coarse.grid.halvings--;
	status = course(&coarse, coarser * accuracy_K, n_times, times_s, n, probes,
			values + n_times * n, &energy);
	if (status == FIRN_OK)
		status = course(body, accuracy_K, n_times, times_s, n, probes, values, &energy);
	for (size_t k = 0; k < n_times * n && status == FIRN_OK; k++) {
		const double error = fabs(values[k] - values[n_times * n + k]);

		ret[k] =
		    (struct firn_answer){ values[k], k < n ? error : fmax(error, ret[k - n].error),
					  (double)NAN };
	}
	if (status == FIRN_OK && ret_energy != NULL)
		*ret_energy = energy;
	free(values);
	return status;
}
