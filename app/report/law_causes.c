#include "app/report/law_causes.h"

#include "app/report/rounding.h"

#include <math.h>

enum { MOST_NAMED = 3 };

static const struct lab_cause *cause_at(const GArray *causes, unsigned i)
{
	return &g_array_index(causes, struct lab_cause, i);
}

/* ---- by how much ---- */

static void width(double ratio, GString *to)
{
	char text[REPORT_NUMBER_SIZE];

	if (ratio == 0.0) {
		g_string_append(to, "has no width");
	} else if (ratio >= 2.0) {
		report_significant(ratio, 2, REPORT_MINUS, text);
		g_string_append_printf(to, "is %s times as wide", text);
	} else if (fabs(ratio - 1.0) < 0.005) {
		g_string_append(to, "is as wide");
	} else {
		report_fixed(100.0 * fabs(ratio - 1.0), 0, REPORT_MINUS, text);
		g_string_append_printf(to, "is %s %% %s", text, ratio < 1.0 ? "narrower" : "wider");
	}
}

static void by_how_much(const struct report_law_failure *f, GString *to)
{
	const double middle = 0.5 * (f->low + f->high);
	char shift[REPORT_NUMBER_SIZE];

	if (!isfinite(f->U))
		return;
	g_string_append(to, " Beside the interval of the trials, value ± U ");
	width(2.0 * f->U / (f->high - f->low), to);
	if (fabs(middle) > f->tolerance) {
		report_significant(f->scale * fabs(middle), 2, REPORT_MINUS, shift);
		g_string_append_printf(to, " and its middle lies %s%s%s %s", shift,
				       f->unit == NULL ? "" : " ", f->unit == NULL ? "" : f->unit,
				       middle > 0.0 ? "lower" : "higher");
	}
	g_string_append_c(to, '.');
}

/* ---- why ---- */

static void percent(double part, char ret[REPORT_NUMBER_SIZE])
{
	report_significant(100.0 * part, 2, REPORT_MINUS, ret);
}

static void shares(const struct lab_cause *c, GString *to)
{
	char part[REPORT_NUMBER_SIZE];

	report_fixed(100.0 * c->part, 0, REPORT_MINUS, part);
	g_string_append_printf(to, "gives %s %% of the variance", part);
}

static void why(const char *name, const struct lab_cause *c, GString *to)
{
	char text[REPORT_NUMBER_SIZE];

	switch (c->reason) {
	case LAB_ONE_SIDED:
		g_string_append_printf(
		    to, "%s moves the same way whether %s lies above or below its value", name,
		    c->a);
		break;
	case LAB_BENT:
		g_string_append_printf(to, "%s does not follow %s in a straight line over its u",
				       name, c->a);
		break;
	case LAB_DIVISOR:
		percent(c->part, text);
		g_string_append_printf(to, "a divisor is small and known to %s %% only, through %s",
				       text, c->a);
		if (c->b != NULL)
			g_string_append_printf(
			    to, " and %s, as where nearly equal values are subtracted", c->b);
		break;
	case LAB_PRODUCT:
		g_string_append_printf(to, "%s and %s act through their product", c->a, c->b);
		if (c->part < 1.0)
			g_string_append(to, ", which has little slope where a factor is near zero");
		break;
	case LAB_SHAPE:
		g_string_append_printf(to, "%s (%s) ", c->a,
				       lab_distribution_name(c->distribution));
		shares(c, to);
		g_string_append(to, ", so the ends are those of its limits");
		break;
	case LAB_SKEW:
		g_string_append_printf(to, "%s (%s), which lies to one side, ", c->a,
				       lab_distribution_name(c->distribution));
		shares(c, to);
		break;
	case LAB_FEW_DOF:
		report_at_most(c->dof, 1, REPORT_MINUS, text);
		g_string_append_printf(to, "%s, known with %s degrees of freedom, ", c->a, text);
		shares(c, to);
		break;
	}
}

void report_law_failure_text(const struct report_law_failure *f, GString *to)
{
	by_how_much(f, to);
	if (f->causes == NULL)
		return;
	if (f->causes->len == 0) {
		g_string_append(to, " No single input or pair of inputs accounts for it.");
		return;
	}
	g_string_append(to, f->causes->len > 1 ? " Probable causes: " : " Probable cause: ");
	for (unsigned i = 0; i < f->causes->len && i < MOST_NAMED; i++) {
		if (i > 0)
			g_string_append(to, "; ");
		why(f->name, cause_at(f->causes, i), to);
	}
	g_string_append_c(to, '.');
}

void report_law_causes_json(struct report_json *json, const GArray *causes)
{
	report_json_array(json, "causes");
	for (unsigned i = 0; causes != NULL && i < causes->len; i++) {
		const struct lab_cause *c = cause_at(causes, i);
		g_autoptr(GPtrArray) inputs = g_ptr_array_new();

		g_ptr_array_add(inputs, c->a);
		if (c->b != NULL)
			g_ptr_array_add(inputs, c->b);
		report_json_object(json, NULL);
		report_json_text(json, "cause", lab_reason_name(c->reason));
		report_json_texts(json, "inputs", inputs);
		report_json_number(json, "size", c->size);
		report_json_close(json);
	}
	report_json_close(json);
}
