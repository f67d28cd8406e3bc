#include "app/report/evaluation_trials.h"

#include "app/report/columns.h"
#include "app/report/rounding.h"

#include <math.h>

enum { ROWS = 3, STEPS = 8 }; /* of a picture; heights within a row */

/* ---- histogram ---- */

static int64_t largest_count(const struct lab_histogram *h)
{
	int64_t largest = 1;

	for (int i = 0; i < h->n; i++)
		largest = MAX(largest, h->counts[i]);
	return largest;
}

/* In eighths of a row. A bin that isn't empty shows. */
static int height(const struct lab_histogram *h, int bin, int64_t largest)
{
	const double part = (double)h->counts[bin] / (double)largest;
	const int eighths = (int)floor(ROWS * STEPS * part + 0.5);

	return h->counts[bin] > 0 ? MAX(eighths, 1) : 0;
}

static void rows(const struct lab_histogram *h, GString *to)
{
	static const char *const blocks[STEPS + 1] = {
		" ", "▁", "▂", "▃", "▄", "▅", "▆", "▇", "█"
	};
	const int64_t largest = largest_count(h);

	for (int row = ROWS; row-- > 0;) {
		const gsize start = to->len;

		g_string_append(to, "    ");
		for (int i = 0; i < h->n; i++)
			g_string_append(
			    to, blocks[CLAMP(height(h, i, largest) - row * STEPS, 0, STEPS)]);
		while (to->len > start && to->str[to->len - 1] == ' ')
			g_string_truncate(to, to->len - 1);
		g_string_append_c(to, '\n');
	}
}

static int bin_of(const struct lab_histogram *h, double y)
{
	const double place = floor((y - h->from) / h->width);

	return place >= 0.0 && place < (double)h->n ? (int)place : -1;
}

/* Where the bins begin and end, with the decimals of a width. */
static void edge(const struct lab_histogram *h, int bin, char ret[REPORT_NUMBER_SIZE])
{
	const double x = h->from + bin * h->width, places = -floor(log10(h->width));

	if (places <= 12.0 && fabs(x) < 1e12)
		report_at_most(x, (int)fmax(places, 0.0), REPORT_MINUS, ret);
	else
		report_significant(x, 6, REPORT_MINUS, ret);
}

void report_histogram_text(const struct lab_evaluated *output, double probability, GString *to)
{
	const struct lab_trials *t = &output->trials;
	const struct lab_histogram *h = &t->histogram;
	const int low = bin_of(h, t->low), high = bin_of(h, t->high);
	char from[REPORT_NUMBER_SIZE], end[REPORT_NUMBER_SIZE], p[REPORT_NUMBER_SIZE];
	g_autoptr(GString) text = g_string_new(NULL);

	if (h->n == 0)
		return;
	rows(h, to);
	g_string_append(to, "    ");
	for (int i = 0; i < h->n; i++)
		g_string_append(to, i == low || i == high ? "┴" : "─");
	g_string_append_c(to, '\n');
	edge(h, 0, from);
	edge(h, h->n, end);
	report_at_most(100.0 * probability, 4, REPORT_MINUS, p);
	g_string_printf(text, "    The trials of %s from %s to %s%s%s", output->name, from, end,
			output->unit == NULL ? "" : " ", output->unit == NULL ? "" : output->unit);
	if (low >= 0 && high >= 0)
		g_string_append_printf(text, ", ┴ where the %s %% end", p);
	if (h->below + h->above > 0)
		g_string_append_printf(
		    text, "; %" G_GINT64_FORMAT " lie below, %" G_GINT64_FORMAT " above", h->below,
		    h->above);
	g_string_append_c(text, '.');
	report_wrap(to, text->str, 4);
}

void report_histogram_json(struct report_json *json, const struct lab_histogram *h)
{
	double counts[LAB_MOST_BINS];

	if (h->n == 0) {
		report_json_text(json, "histogram", NULL);
		return;
	}
	for (int i = 0; i < h->n; i++)
		counts[i] = (double)h->counts[i];
	report_json_object(json, "histogram");
	report_json_number(json, "from", h->from);
	report_json_number(json, "width", h->width);
	report_json_integer(json, "below", h->below);
	report_json_numbers(json, "counts", (size_t)h->n, counts);
	report_json_integer(json, "above", h->above);
	report_json_close(json);
}

/* ---- several outputs ---- */

void report_joint_text(const struct lab_evaluation *e, GString *to)
{
	const struct lab_joint *joint = &e->joint;
	char p[REPORT_NUMBER_SIZE], k[REPORT_NUMBER_SIZE], normal[REPORT_NUMBER_SIZE];
	g_autoptr(GString) text = g_string_new(NULL);

	if (joint->trials == NULL || !lab_given(joint->k_rectangle))
		return;
	report_at_most(100.0 * e->trials_probability, 4, REPORT_MINUS, p);
	g_string_printf(text, "All outputs together, by trials: %s %% lie ", p);
	if (lab_given(joint->k_ellipsoid)) {
		report_fixed(joint->k_ellipsoid, 2, REPORT_MINUS, k);
		report_fixed(joint->k_ellipsoid_normal, 2, REPORT_MINUS, normal);
		g_string_append_printf(text,
				       "within the ellipsoid with k = %s (jointly normal outputs: "
				       "%s), and also ",
				       k, normal);
	}
	report_fixed(joint->k_rectangle, 2, REPORT_MINUS, k);
	report_fixed(joint->k_rectangle_normal, 2, REPORT_MINUS, normal);
	g_string_append_printf(
	    text, "within ± %s u of every output (jointly normal ones: at most %s).", k, normal);
	if (!lab_given(joint->k_ellipsoid))
		g_string_append(text, " There is no ellipsoid: an output follows from the others.");
	report_wrap(to, text->str, 4);
}

static void write_matrix(struct report_json *json, const char *name, size_t n, const double *m)
{
	report_json_array(json, name);
	for (size_t i = 0; i < n; i++)
		report_json_numbers(json, NULL, n, m + i * n);
	report_json_close(json);
}

void report_joint_json(struct report_json *json, const struct lab_evaluation *e)
{
	const struct lab_joint *joint = &e->joint;
	const unsigned n = e->outputs->len;
	g_autoptr(GPtrArray) order = g_ptr_array_new();

	if (joint->trials == NULL)
		return;
	for (unsigned i = 0; i < n; i++)
		g_ptr_array_add(order, g_array_index(e->outputs, struct lab_evaluated, i).name);
	report_json_object(json, "joint");
	report_json_texts(json, "order", order);
	report_json_number(json, "coverage_probability", e->trials_probability);
	write_matrix(json, "covariance_linear", n, joint->linear);
	write_matrix(json, "covariance", n, joint->trials);
	report_json_number(json, "k_ellipsoid", joint->k_ellipsoid);
	report_json_number(json, "k_ellipsoid_normal", joint->k_ellipsoid_normal);
	report_json_number(json, "k_rectangle", joint->k_rectangle);
	report_json_number(json, "k_rectangle_normal", joint->k_rectangle_normal);
	report_json_close(json);
}
