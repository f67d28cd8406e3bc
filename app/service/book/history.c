#include "app/service/book/history.h"

#include "app/base/time.h"
#include "app/report/columns.h"
#include "firn/number.h"

#include <string.h>

static const struct service_check_visit *visit_at(const service_history *h, guint i)
{
	return &g_array_index(h->visits, struct service_check_visit, i);
}

static void add_values(service_history *h, int64_t before_us, const char *realisation)
{
	for (guint i = 0; i < h->visits->len; i++) {
		const struct service_check_visit *v = visit_at(h, i);
		const int index = (int)i;
		struct calc_check_value value = {
			.standard = v->thermometer,
			.occasion = v->realisation != NULL ? v->realisation : v->visit,
			.value = v->value,
			.counts =
			    v->time_us < before_us &&
			    (realisation == NULL || g_strcmp0(v->realisation, realisation) != 0),
		};

		if (v->left_out != NULL)
			continue;
		g_array_append_val(h->values, value);
		g_array_append_val(h->visit_of, index);
	}
}

service_history *service_history_at(service_book *book, enum lab_point point, double k,
				    int64_t before_us, const char *realisation,
				    base_messages *messages)
{
	GArray *visits = service_check_visits(book, point, messages);
	service_history *h;

	if (visits == NULL)
		return NULL;
	h = g_new0(service_history, 1);
	h->point = point;
	h->k = k;
	h->visits = visits;
	h->values = g_array_new(FALSE, TRUE, sizeof(struct calc_check_value));
	h->visit_of = g_array_new(FALSE, FALSE, sizeof(int));
	add_values(h, before_us, realisation);
	if (calc_check_history(point, k, h->values, &h->found))
		return h;
	base_messages_add(messages, BASE_ERROR, book->where, (struct base_mark){ 0, 0 },
			  "check thermometers have no history at %s, whose temperature follows "
			  "from its pressure",
			  lab_point_name(point));
	service_history_free(h);
	return NULL;
}

void service_history_free(service_history *h)
{
	g_array_unref(h->visits);
	g_array_unref(h->values);
	g_array_unref(h->visit_of);
	g_free(h);
}

const struct calc_check_value *service_history_value(const service_history *h, const char *visit)
{
	for (guint i = 0; i < h->values->len; i++) {
		const int of = g_array_index(h->visit_of, int, i);

		if (strcmp(visit_at(h, (guint)of)->visit, visit) == 0)
			return LAB_AT(h->values, calc_check_value, i);
	}
	return NULL;
}

int service_history_count(const service_history *h, const char *thermometer)
{
	int n = 0;

	for (guint i = 0; i < h->values->len; i++) {
		const struct calc_check_value *value = LAB_AT(h->values, calc_check_value, i);

		n += value->counts && strcmp(value->standard, thermometer) == 0;
	}
	return n;
}

/* ---- for people ---- */

enum { MOST_TEXT = 64 };

struct page {
	const service_history *h;
	const char *thermometer;
	GString *to;
	double mean; /* of the thermometer; NaN: nothing counts */
	double K_per_unit;
	int n_outside;
};

/* W to 1e-9 and R to as many digits, a fraction of a microkelvin. */
static const char *print_value(const struct page *page, double x, char ret[MOST_TEXT])
{
	firn_number_print_fixed(x,
				page->h->point != LAB_H2O ? 9
				: x < 100.0               ? 8
							  : 7,
				ret, MOST_TEXT);
	return ret;
}

static const char *print_mK(double x_K, char ret[MOST_TEXT])
{
	if (!lab_given(x_K))
		return "";
	firn_number_print_fixed(1e3 * x_K, 3, ret, MOST_TEXT);
	return ret;
}

static void print_minute(int64_t time_us, char ret[BASE_TIME_SIZE])
{
	base_time_print(time_us, ret);
	if (strlen(ret) > 16) {
		ret[10] = ' ';
		ret[16] = '\0';
	}
}

static void add_row(struct page *page, report_columns *columns, guint i)
{
	const struct service_check_visit *v = visit_at(page->h, i);
	const struct calc_check_value *value = service_history_value(page->h, v->visit);
	char time[BASE_TIME_SIZE], text[MOST_TEXT], deviation[MOST_TEXT], u[MOST_TEXT];

	print_minute(v->time_us, time);
	report_columns_cell(columns, time);
	report_columns_cell(columns, v->visit);
	report_columns_cell(columns, v->realisation);
	report_columns_cell(columns, v->cell);
	if (page->h->point != LAB_H2O)
		report_columns_cell(columns, v->tpw);
	report_columns_cell(columns, value != NULL ? print_value(page, value->value, text) : "");
	report_columns_cell(columns, print_mK(v->u_K, u));
	report_columns_cell(columns, value != NULL ? print_mK(value->deviation_K, deviation) : "");
	report_columns_cell(columns, value == NULL ? "left out" : value->outside ? "outside" : "");
	if (value != NULL) {
		page->mean = value->mean;
		page->n_outside += value->outside;
	}
}

static void print_table(struct page *page)
{
	report_columns *columns = report_columns_new();
	const bool water = page->h->point == LAB_H2O;

	report_columns_add(columns, REPORT_COLUMNS_LEFT, "first reading");
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "visit");
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "realisation");
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "cell");
	if (!water)
		report_columns_add(columns, REPORT_COLUMNS_LEFT, "R(TPW) of");
	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, water ? "R(TPW)/ohm" : "W");
	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, "u/mK");
	report_columns_add(columns, REPORT_COLUMNS_DECIMAL, "from mean/mK");
	report_columns_add(columns, REPORT_COLUMNS_LEFT, "");
	for (guint i = 0; i < page->h->visits->len; i++)
		if (strcmp(visit_at(page->h, i)->thermometer, page->thermometer) == 0)
			add_row(page, columns, i);
	report_columns_print(columns, page->to);
}

static void print_left_out(const struct page *page)
{
	for (guint i = 0; i < page->h->visits->len; i++) {
		const struct service_check_visit *v = visit_at(page->h, i);
		g_autofree char *text =
		    g_strdup_printf("  visit %s is left out: %s", v->visit, v->left_out);

		if (v->left_out != NULL && strcmp(v->thermometer, page->thermometer) == 0)
			report_wrap(page->to, text, 4);
	}
}

static void print_scatter(const struct page *page)
{
	const struct calc_check_history *f = &page->h->found;
	char s[MOST_TEXT];
	g_autofree char *text = NULL;

	if (!lab_given(f->s_K)) {
		g_string_append(page->to,
				"  s: none yet; it takes two values of one thermometer\n");
		return;
	}
	text = g_strdup_printf("  s = %s mK with %g degrees of freedom, pooled over %d value%s of "
			       "%d check thermometer%s on %d occasion%s; as a term of a visit's "
			       "budget: reproducibility: {u_mK: %s, dof: %g}",
			       print_mK(f->s_K, s), f->dof, f->n, f->n == 1 ? "" : "s",
			       f->n_standards, f->n_standards == 1 ? "" : "s", f->n_occasions,
			       f->n_occasions == 1 ? "" : "s", s, f->dof);
	report_wrap(page->to, text, 4);
}

static void print_limits(const struct page *page, const struct service_limit *k,
			 const struct service_limit *least)
{
	const struct calc_check_history *f = &page->h->found;
	const int n = service_history_count(page->h, page->thermometer);
	g_autofree char *source = service_limit_source(k), *text = NULL, *few = NULL;
	char low[MOST_TEXT], high[MOST_TEXT], mean[MOST_TEXT], mK[MOST_TEXT];
	const double half = f->limit_K / page->K_per_unit;

	if (!lab_given(page->mean) || !lab_given(f->limit_K))
		return;
	text = g_strdup_printf("  mean %s, limits %s to %s: mean ± %g s, ± %s mK; %s",
			       print_value(page, page->mean, mean),
			       print_value(page, page->mean - half, low),
			       print_value(page, page->mean + half, high), page->h->k,
			       print_mK(f->limit_K, mK), source);
	report_wrap(page->to, text, 4);
	g_string_append_printf(page->to, "  outside: %d of %d\n", page->n_outside, n);
	if (n >= least->value)
		return;
	few =
	    g_strdup_printf("  %d values are few: a release is judged from %g on", n, least->value);
	report_wrap(page->to, few, 4);
}

static bool wrong(base_messages *messages, const char *thermometer, const char *text)
{
	g_autofree char *label = service_book_label("thermometer", thermometer);

	base_messages_add(messages, BASE_ERROR, label, (struct base_mark){ 0, 0 }, "%s", text);
	return false;
}

static bool is_check_thermometer(service_book *book, const char *id, base_messages *messages)
{
	json_t *body = service_book_get(book, "thermometer", id, NULL, messages);
	const bool good = json_is_true(json_object_get(body, "check_thermometer"));

	if (body != NULL && !good)
		wrong(messages, id,
		      "is no check thermometer; its record says so by check_thermometer: true");
	json_decref(body);
	return good;
}

bool service_history_print(service_book *book, const char *thermometer, const char *point,
			   const char *day, GString *to, base_messages *messages)
{
	const enum lab_point at = lab_point_named(point);
	g_autoptr(service_limits) limits = NULL;
	g_autoptr(service_history) h = NULL;
	struct page page;

	if (at == LAB_NO_POINT) {
		g_autofree char *text = g_strdup_printf(
		    "has no history at %.60s, which is no fixed point; they are H2O, Ga, ...",
		    point);

		return wrong(messages, thermometer, text);
	}
	if (!is_check_thermometer(book, thermometer, messages))
		return false;
	limits = service_limits_on(book, day, messages);
	if (limits != NULL)
		h = service_history_at(book, at,
				       service_limit_named(limits, "check_thermometer_k")->value,
				       INT64_MAX, NULL, messages);
	if (h == NULL)
		return false;
	page = (struct page){ h, thermometer, to, LAB_NOT_GIVEN, LAB_NOT_GIVEN, 0 };
	g_string_append_printf(to, "Check thermometer %s at %s\n", thermometer, point);
	print_table(&page);
	print_left_out(&page);
	print_scatter(&page);
	page.K_per_unit = calc_check_kelvin(at, page.mean);
	print_limits(&page, service_limit_named(limits, "check_thermometer_k"),
		     service_limit_named(limits, "check_thermometer_least"));
	return true;
}
