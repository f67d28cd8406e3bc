#include "app/service/book/recorded.h"

#include <math.h>
#include <string.h>

/* ---- comparing ---- */

struct comparison {
	struct service_differences *found;
	double limit;
};

static void differ(struct comparison *c, const char *path, const json_t *was, const json_t *is)
{
	static const char *const members[] = { "was", "is" };
	const json_t *const values[] = { was, is };
	json_t *one;

	if (++c->found->n > SERVICE_DIFFERENCES_TOLD)
		return;
	one = json_pack("{ss}", "path", path);
	for (size_t i = 0; i < G_N_ELEMENTS(members); i++)
		json_object_set_new(one, members[i],
				    values[i] != NULL ? json_deep_copy(values[i]) : json_null());
	json_array_append_new(c->found->differences, one);
}

static void compare_numbers(struct comparison *c, const char *path, const json_t *was,
			    const json_t *is)
{
	const double a = json_number_value(was), b = json_number_value(is);
	const double scale = fmax(fabs(a), fabs(b));
	const double relative = scale > 0 ? fabs(a - b) / scale : 0;

	c->found->n_numbers++;
	c->found->n_unequal += relative > 0;
	c->found->largest = fmax(c->found->largest, relative);
	if (relative > c->limit)
		differ(c, path, was, is);
}

static void compare(struct comparison *c, const char *path, const json_t *was, const json_t *is);

static void compare_objects(struct comparison *c, const char *path, const json_t *was,
			    const json_t *is)
{
	const char *name;
	json_t *value;

	json_object_foreach((json_t *)was, name, value)
	{
		g_autofree char *at = g_strdup_printf("%s/%s", path, name);

		compare(c, at, value, json_object_get(is, name));
	}
	json_object_foreach((json_t *)is, name, value)
	{
		g_autofree char *at = g_strdup_printf("%s/%s", path, name);

		if (json_object_get(was, name) == NULL)
			differ(c, at, NULL, value);
	}
}

static void compare(struct comparison *c, const char *path, const json_t *was, const json_t *is)
{
	size_t i;
	json_t *value;

	if (json_is_number(was) && json_is_number(is)) {
		compare_numbers(c, path, was, is);
	} else if (json_is_object(was) && json_is_object(is)) {
		compare_objects(c, path, was, is);
	} else if (json_is_array(was) && json_is_array(is) &&
		   json_array_size(was) == json_array_size(is)) {
		json_array_foreach(was, i, value)
		{
			g_autofree char *at = g_strdup_printf("%s/%zu", path, i);

			compare(c, at, value, json_array_get(is, i));
		}
	} else if (!json_equal(was, is)) {
		differ(c, path, was, is);
	}
}

void service_compare_results(const json_t *was, const json_t *is, double limit,
			     struct service_differences *ret)
{
	struct comparison c = { ret, limit };
	json_t *a = json_copy((json_t *)was), *b = json_copy((json_t *)is);

	*ret = (struct service_differences){ .differences = json_array() };
	json_object_del(a, "program");
	json_object_del(b, "program");
	compare(&c, "", a, b);
	json_decref(a);
	json_decref(b);
}

/* ---- taking ---- */

static void take(const json_t *from, const char *name, double *to)
{
	const json_t *value = json_object_get(from, name);

	if (json_is_number(value))
		*to = json_number_value(value);
	else if (json_is_null(value))
		*to = NAN;
}

static void take_estimate(const json_t *from, const char *name, struct lab_estimate *to)
{
	const json_t *estimate = json_object_get(from, name);

	take(estimate, "value", &to->value);
	take(estimate, "u", &to->u);
	take(estimate, "dof", &to->dof);
}

/* Element i of a list; members of what isn't there are left alone. */
static const json_t *at(const json_t *from, const char *name, guint i)
{
	return json_array_get(json_object_get(from, name), i);
}

static void take_visit(const json_t *from, struct lab_visit_result *v)
{
	for (guint i = 0; i < v->currents->len; i++)
		take(at(from, "currents", i), "current_A",
		     &LAB_AT(v->currents, lab_current_result, i)->current_A);
	take_estimate(from, "rs_ohm", &v->rs_ohm);
	take_estimate(from, "r0_ohm", &v->r0_ohm);
	take(from, "self_heating_K", &v->self_heating_K);
	take(from, "self_heating_u_K", &v->self_heating_u_K);
	take(from, "t90_defined_K", &v->t90_defined_K);
	take(from, "depth_m", &v->depth_m);
	take(from, "pressure_Pa", &v->pressure_Pa);
	take(from, "correction_total_K", &v->correction_total_K);
	take_estimate(from, "r_ohm", &v->r_ohm);
	take_estimate(from, "w", &v->w);
	take(from, "wr", &v->wr);
	take(from, "s", &v->s);
	take(from, "u_w_K", &v->u_w_K);
}

static void take_tpw(const json_t *from, struct lab_calibration_result *into)
{
	for (guint i = 0; i < into->tpw->len; i++) {
		struct lab_tpw_value *value = LAB_AT(into->tpw, lab_tpw_value, i);

		take_estimate(at(from, "sequence", i), "ohm", &value->ohm);
		take(at(from, "sequence", i), "change_K", &value->change_K);
	}
	take(from, "change_K", &into->tpw_change_K);
	take(from, "limit_K", &into->tpw_limit_K);
}

static void take_subrange(const json_t *from, struct lab_subrange_result *s)
{
	const guint n = s->coefficients->len;

	take(from, "low_K", &s->low_K);
	take(from, "high_K", &s->high_K);
	take(from, "w_al", &s->w_al);
	for (guint i = 0; i < n; i++) {
		struct lab_coefficient *x = LAB_AT(s->coefficients, lab_coefficient, i);
		const json_t *row = at(from, "covariance", i);

		take_estimate(json_object_get(from, "coefficients"), x->name, &x->estimate);
		for (guint k = 0; k < n && json_is_number(json_array_get(row, k)); k++)
			s->covariance[i * n + k] = json_number_value(json_array_get(row, k));
	}
	for (guint i = 0; i < s->residuals->len; i++) {
		struct lab_residual *x = LAB_AT(s->residuals, lab_residual, i);

		take(at(from, "residuals", i), "value_K", &x->value_K);
		take(at(from, "residuals", i), "u_K", &x->u_K);
	}
}

static void take_curve(const json_t *from, struct lab_curve *curve)
{
	for (guint i = 0; i < curve->points->len; i++) {
		struct lab_curve_point *x = LAB_AT(curve->points, lab_curve_point, i);
		const json_t *point = at(from, "points", i);

		take(point, "t90_K", &x->t90_K);
		take(point, "w", &x->w);
		take(point, "dw_per_K", &x->dw_per_K);
		take(point, "deviation_K", &x->deviation_K);
		take(point, "u_calibration_K", &x->u_calibration_K);
		take(point, "u_in_use_K", &x->u_in_use_K);
		take(point, "u_non_uniqueness_K", &x->u_non_uniqueness_K);
		take(point, "u_inconsistency_K", &x->u_inconsistency_K);
		take(point, "dof", &x->dof);
	}
}

static void take_temperature(const json_t *from, struct lab_temperature *x)
{
	const json_t *t90 = json_object_get(from, "t90_K");

	take(from, "w", &x->w);
	take(from, "wr", &x->wr);
	take(from, "dt_dw_K", &x->dt_dw_K);
	take(t90, "value", &x->t90_K);
	take(t90, "u_calibration", &x->u_calibration_K);
	take(t90, "u_in_use", &x->u_in_use_K);
	take(t90, "dof_calibration", &x->dof_calibration);
	take(t90, "dof_in_use", &x->dof_in_use);
	take(t90, "non_uniqueness", &x->u_non_uniqueness_K);
	take(t90, "inconsistency", &x->u_inconsistency_K);
}

static void take_overlap(const json_t *from, struct lab_overlap *x)
{
	take(from, "low_K", &x->low_K);
	take(from, "high_K", &x->high_K);
	take(from, "largest_K", &x->largest_K);
	take(from, "at_K", &x->at_K);
}

void service_take_recorded(const json_t *recorded, struct lab_calibration_result *into)
{
	for (guint i = 0; i < into->visits->len; i++)
		take_visit(at(recorded, "visits", i), LAB_AT(into->visits, lab_visit_result, i));
	take_tpw(json_object_get(recorded, "r_tpw"), into);
	for (guint i = 0; i < into->subranges->len; i++)
		take_subrange(at(recorded, "subranges", i),
			      LAB_AT(into->subranges, lab_subrange_result, i));
	for (guint i = 0; i < into->curves->len; i++)
		take_curve(at(recorded, "curves", i), LAB_AT(into->curves, lab_curve, i));
	for (guint i = 0; i < into->temperatures->len; i++)
		take_temperature(at(recorded, "temperatures", i),
				 LAB_AT(into->temperatures, lab_temperature, i));
	for (guint i = 0; i < into->overlaps->len; i++)
		take_overlap(at(recorded, "overlaps", i), LAB_AT(into->overlaps, lab_overlap, i));
	take(json_object_get(recorded, "coverage"), "probability", &into->coverage_probability);
	take(json_object_get(recorded, "coverage"), "factor", &into->coverage_factor);
}
