#include "app/calc/check_standard.h"

#include "firn/control.h"
#include "firn/scale.h"

#include <math.h>

/* The values that count, by thermometer; and the occasions they came from. */
struct gathered {
	GHashTable *by_standard; /* name -> GArray of double */
	GHashTable *occasions;
};

static void free_values(void *values)
{
	g_array_unref(values);
}

static bool gather(const GArray *values, struct gathered *ret)
{
	for (guint i = 0; i < values->len; i++) {
		const struct calc_check_value *v = LAB_AT(values, calc_check_value, i);
		GArray *own;

		if (!(v->value > 0.0 && isfinite(v->value)))
			return false;
		if (!v->counts)
			continue;
		own = g_hash_table_lookup(ret->by_standard, v->standard);
		if (own == NULL) {
			own = g_array_new(FALSE, FALSE, sizeof(double));
			g_hash_table_insert(ret->by_standard, (gpointer)v->standard, own);
		}
		g_array_append_val(own, v->value);
		g_hash_table_add(ret->occasions, (gpointer)v->occasion);
	}
	return true;
}

static struct firn_check_values values_of(const GArray *own)
{
	return (struct firn_check_values){ own->len, (const double *)(const void *)own->data };
}

/* Kelvin in one unit of a value: of W by the slope, of R(TPW) by the slope times R. */
static double kelvin_per_unit(enum lab_point point, double per_K, double mean)
{
	return 1.0 / (point == LAB_H2O ? per_K * mean : per_K);
}

/* Deviations in kelvin of each thermometer from its own mean, which can be pooled whatever the
   thermometers' resistance. */
static void pool(const struct gathered *all, enum lab_point point, double per_K,
		 struct calc_check_history *ret)
{
	g_autoptr(GPtrArray) kept = g_ptr_array_new_with_free_func(free_values);
	g_autoptr(GArray) standards = g_array_new(FALSE, FALSE, sizeof(struct firn_check_values));
	struct firn_pooled pooled;
	GHashTableIter iter;
	gpointer values;

	g_hash_table_iter_init(&iter, all->by_standard);
	while (g_hash_table_iter_next(&iter, NULL, &values)) {
		struct firn_check_values own = values_of(values);
		const double mean = firn_check_mean(&own),
			     K_per_unit = kelvin_per_unit(point, per_K, mean);
		GArray *in_kelvin = g_array_sized_new(FALSE, FALSE, sizeof(double), (guint)own.n);

		for (size_t i = 0; i < own.n; i++) {
			const double d_K = (own.x[i] - mean) * K_per_unit;

			g_array_append_val(in_kelvin, d_K);
		}
		g_ptr_array_add(kept, in_kelvin);
		own = values_of(in_kelvin);
		g_array_append_val(standards, own);
		ret->n += (int)own.n;
	}
	ret->n_standards = (int)standards->len;
	ret->n_occasions = (int)g_hash_table_size(all->occasions);
	ret->s_K = LAB_NOT_GIVEN;
	if (firn_pooled_s(standards->len,
			  (const struct firn_check_values *)(const void *)standards->data,
			  &pooled) < 0)
		return; /* nothing counts yet */
	ret->s_K = pooled.s;
	ret->dof = fmin(pooled.dof, (double)ret->n_occasions - 1.0);
}

static void judge(const struct gathered *all, enum lab_point point, double per_K, double limit_K,
		  struct calc_check_value *v)
{
	const GArray *own = g_hash_table_lookup(all->by_standard, v->standard);
	struct firn_control_limits limits;
	struct firn_check_values known;

	v->mean = v->deviation_K = LAB_NOT_GIVEN;
	v->outside = false;
	if (own == NULL)
		return;
	known = values_of(own);
	v->mean = firn_check_mean(&known);
	v->deviation_K = (v->value - v->mean) * kelvin_per_unit(point, per_K, v->mean);
	limits = firn_control_limits(0.0, limit_K, 1.0);
	v->outside = lab_given(limit_K) && firn_control_is_outside(&limits, v->deviation_K);
}

bool calc_check_history(enum lab_point point, double k, GArray *values,
			struct calc_check_history *ret)
{
	g_autoptr(GHashTable) by_standard =
	    g_hash_table_new_full(g_str_hash, g_str_equal, NULL, free_values);
	g_autoptr(GHashTable) occasions = g_hash_table_new(g_str_hash, g_str_equal);
	struct gathered all = { by_standard, occasions };
	double wr, per_K;

	*ret = (struct calc_check_history){ .s_K = LAB_NOT_GIVEN };
	if (firn_scale_wr_at((enum firn_point)point, false, &wr, &per_K) < 0 ||
	    !gather(values, &all))
		return false;
	pool(&all, point, per_K, ret);
	ret->limit_K = k * ret->s_K;
	for (guint i = 0; i < values->len; i++)
		judge(&all, point, per_K, ret->limit_K, LAB_AT(values, calc_check_value, i));
	return true;
}

double calc_check_kelvin(enum lab_point point, double value)
{
	double wr, per_K;

	return firn_scale_wr_at((enum firn_point)point, false, &wr, &per_K) < 0
		   ? LAB_NOT_GIVEN
		   : kelvin_per_unit(point, per_K, value);
}

double calc_tpw_change_K(double from_ohm, double to_ohm)
{
	return (to_ohm - from_ohm) * calc_check_kelvin(LAB_H2O, from_ohm);
}
