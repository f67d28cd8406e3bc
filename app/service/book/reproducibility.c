#include "app/service/book/reproducibility.h"

#include "app/base/time.h"
#include "app/report/rounding.h"
#include "app/service/book/history.h"
#include "app/service/book/members.h"
#include "firn/number.h"

#include <math.h>
#include <string.h>

struct taking {
	service_book *book;
	const struct service_act *act;
	const json_t *visits; /* ids */
	base_messages *messages;
	service_limits *limits;
	int64_t before_us;                      /* first reading of the calibration */
	service_history *histories[LAB_POINTS]; /* of the points that were asked for so far */
};

static bool begin(struct taking *t)
{
	char day[BASE_TIME_SIZE];
	size_t i;
	json_t *id;

	t->before_us = INT64_MAX;
	json_array_foreach(t->visits, i, id)
	{
		const int64_t time_us = service_visit_time(t->book, json_string_value(id));

		if (time_us != BASE_NO_TIME)
			t->before_us = MIN(t->before_us, time_us);
	}
	base_time_print(service_book_time(t->book, t->act), day);
	day[10] = '\0';
	t->limits = service_limits_on(t->book, day, t->messages);
	return t->limits != NULL;
}

static const service_history *history_of(struct taking *t, enum lab_point point)
{
	if (t->histories[point] == NULL)
		t->histories[point] = service_history_at(
		    t->book, point, service_limit_named(t->limits, "check_thermometer_k")->value,
		    t->before_us, NULL, t->messages);
	return t->histories[point];
}

static enum lab_point point_of(const struct taking *t, const json_t *job)
{
	const char *id = service_book_text(job, "cell");
	json_t *cell = id != NULL ? service_book_look(t->book, "cell", id) : NULL;
	const char *name = service_book_text(json_object_get(cell, "job"), "point");
	const enum lab_point point = name != NULL ? lab_point_named(name) : LAB_NO_POINT;

	json_decref(cell);
	return point;
}

/* Three digits; no scatter is known better. */
static double rounded_mK(double s_K)
{
	char text[REPORT_NUMBER_SIZE];
	double mK = 0.0;

	report_significant(1e3 * s_K, 3, REPORT_PLAIN, text);
	(void)firn_number_parse(text, strlen(text), &mK);
	return mK;
}

static bool write_term(const struct taking *t, const char *id, const json_t *job, double u_mK,
		       double dof)
{
	json_t *own = json_deep_copy(job), *terms = json_object_get(own, "terms");
	json_t *term = json_pack("{sf sf}", "u_mK", u_mK, "dof", dof), *members;
	bool good;

	if (terms == NULL) {
		terms = json_object();
		json_object_set_new(own, "terms", terms);
	}
	json_object_set_new(terms, "reproducibility", term);
	members = json_pack("{so}", "job", own);
	good = service_book_change(t->book, t->act, "visit", id, members, 0, t->messages);
	json_decref(members);
	return good;
}

static json_t *number_or_null(double x)
{
	return isfinite(x) ? json_real(x) : json_null();
}

static bool take_visit(struct taking *t, const char *id, json_t *told)
{
	json_t *visit = service_book_get(t->book, "visit", id, NULL, t->messages);
	const json_t *job = json_object_get(visit, "job");
	const json_t *term = json_object_get(json_object_get(job, "terms"), "reproducibility");
	const enum lab_point point = point_of(t, job);
	const service_history *h;
	double is_mK = LAB_NOT_GIVEN;
	bool good = visit != NULL;

	if (good && point != LAB_NO_POINT && point != LAB_E_H2_VAPOUR) {
		h = history_of(t, point);
		good = h != NULL;
		if (good && lab_given(h->found.s_K) &&
		    h->found.n >=
			service_limit_named(t->limits, "check_thermometer_least")->value) {
			is_mK = rounded_mK(h->found.s_K);
			good = write_term(t, id, job, is_mK, h->found.dof);
		}
		if (good)
			json_array_append_new(
			    told, json_pack("{ss ss so so so si}", "visit", id, "point",
					    lab_point_name(point), "was_mK",
					    number_or_null(service_book_number_of(term, "u_mK")),
					    "is_mK", number_or_null(is_mK), "dof",
					    number_or_null(h->found.dof), "values", h->found.n));
	}
	json_decref(visit);
	return good;
}

static bool take_all(struct taking *t, json_t *told)
{
	size_t i;
	json_t *id;

	json_array_foreach(t->visits, i, id)
	{
		if (!take_visit(t, json_string_value(id), told))
			return false;
	}
	return true;
}

static bool may_change(const json_t *body, const char *id, base_messages *messages)
{
	g_autofree char *label = service_book_label("calibration", id);

	if (service_book_text(body, "certificate_number") == NULL)
		return true;
	base_messages_add(messages, BASE_ERROR, label, (struct base_mark){ 0, 0 },
			  "has a certificate, which keeps the budget that it was issued with");
	return false;
}

json_t *service_book_take_reproducibility(service_book *book, const struct service_act *act,
					  const char *calibration, base_messages *messages)
{
	struct taking t = { .book = book, .act = act, .messages = messages };
	json_t *told = json_array(), *body = NULL;
	bool good = service_book_begin(book, messages);

	if (good) {
		body = service_book_get(book, "calibration", calibration, NULL, messages);
		t.visits = json_object_get(body, "visits");
		if (body != NULL && may_change(body, calibration, messages) && begin(&t) &&
		    take_all(&t, told)) {
			good = service_book_commit(book, messages);
		} else {
			service_book_rollback(book);
			good = false;
		}
	}
	for (int p = 0; p < LAB_POINTS; p++)
		if (t.histories[p] != NULL)
			service_history_free(t.histories[p]);
	if (t.limits != NULL)
		service_limits_free(t.limits);
	json_decref(body);
	if (good)
		return json_pack("{ss so}", "calibration", calibration, "visits", told);
	json_decref(told);
	return NULL;
}
