#include "app/service/book/limits.h"

#include "app/report/columns.h"
#include "firn/number.h"

#include <string.h>

static void clear_limit(void *data)
{
	struct service_limit *limit = data;

	g_free(limit->source);
	g_free(limit->record);
	g_free(limit->from);
}

void service_limits_free(service_limits *limits)
{
	g_free(limits->day);
	g_array_unref(limits->all);
	g_free(limits);
}

static service_limits *defaults(const char *day)
{
	service_limits *limits = g_new0(service_limits, 1);

	limits->day = g_strdup(day);
	limits->all = g_array_new(FALSE, TRUE, sizeof(struct service_limit));
	g_array_set_clear_func(limits->all, clear_limit);
	for (const struct lab_criterion *c = lab_criteria; c->name != NULL; c++) {
		struct service_limit limit = { .criterion = c,
					       .value = c->value,
					       .source = g_strdup(c->source) };

		g_array_append_val(limits->all, limit);
	}
	return limits;
}

static struct service_limit *find(const service_limits *limits, const char *name)
{
	for (guint i = 0; i < limits->all->len; i++) {
		struct service_limit *limit = &g_array_index(limits->all, struct service_limit, i);

		if (strcmp(limit->criterion->name, name) == 0)
			return limit;
	}
	return NULL;
}

const struct service_limit *service_limit_named(const service_limits *limits, const char *name)
{
	const struct service_limit *limit = find(limits, name);

	g_assert(limit != NULL); /* the names that the program asks for are its own */
	return limit;
}

/* ---- what the laboratory states ---- */

static bool note_id(const struct store_entry *entry, void *data, GError **error)
{
	(void)error;
	g_ptr_array_add(data, g_strdup(entry->id));
	return true;
}

struct in_force {
	const char *day;
	json_t *body; /* of the last version whose first day has come */
};

static bool note_version(const struct store_entry *entry, void *data, GError **error)
{
	struct in_force *force = data;
	json_t *body = json_loads(entry->body, 0, NULL);
	const char *from = service_book_text(body, "from");

	(void)error;
	if (from == NULL || strcmp(from, force->day) > 0) {
		json_decref(body);
		return true;
	}
	json_decref(force->body);
	force->body = body;
	return true;
}

/* Records come by rising id, so that of equal first days the later id wins. */
static void take(service_limits *limits, const char *record, const json_t *body)
{
	const char *from = service_book_text(body, "from");
	size_t i;
	json_t *stated;

	json_array_foreach(json_object_get(body, "limits"), i, stated)
	{
		const char *name = service_book_text(stated, "name");
		struct service_limit *limit = name != NULL ? find(limits, name) : NULL;

		if (limit == NULL || (limit->from != NULL && strcmp(limit->from, from) > 0))
			continue; /* a name of another version of the program; or an older one */
		clear_limit(limit);
		limit->value = json_number_value(json_object_get(stated, "value"));
		limit->source = g_strdup(service_book_text(stated, "source"));
		limit->record = g_strdup(record);
		limit->from = g_strdup(from);
	}
}

service_limits *service_limits_on(service_book *book, const char *day, base_messages *messages)
{
	service_limits *limits = defaults(day);
	g_autoptr(GPtrArray) ids = g_ptr_array_new_with_free_func(g_free);
	GError *error = NULL;
	bool good = store_each(book->store, "limits", note_id, ids, &error);

	for (guint i = 0; good && i < ids->len; i++) {
		struct in_force force = { day, NULL };

		good = store_history(book->store, "limits", ids->pdata[i], note_version, &force,
				     &error);
		if (good && force.body != NULL)
			take(limits, ids->pdata[i], force.body);
		json_decref(force.body);
	}
	if (good)
		return limits;
	service_book_say(messages, book->where, error);
	service_limits_free(limits);
	return NULL;
}

/* ---- for people ---- */

char *service_limit_source(const struct service_limit *limit)
{
	if (limit->record != NULL)
		return g_strdup_printf("%s (limits %s from %s)", limit->source, limit->record,
				       limit->from);
	if (!lab_given(limit->value))
		return g_strdup(limit->source);
	return g_strdup_printf("%s (default, %s)", limit->source,
			       lab_criterion_mark(limit->criterion->mark));
}

void service_limits_print(const service_limits *limits, GString *to)
{
	g_string_append_printf(to, "Limits on %s\n", limits->day);
	for (guint i = 0; i < limits->all->len; i++) {
		const struct service_limit *limit =
		    &g_array_index(limits->all, struct service_limit, i);
		const struct lab_criterion *c = limit->criterion;
		g_autofree char *source = service_limit_source(limit);
		g_autofree char *what = g_strdup_printf("    %s", c->what);
		g_autofree char *whence = g_strdup_printf("    %s", source);
		char value[FIRN_NUMBER_SIZE] = "none";

		if (lab_given(limit->value))
			firn_number_print(limit->value, value);
		g_string_append_printf(to, "  %-34s %s", c->name, value);
		if (strcmp(c->unit, "1") != 0 && lab_given(limit->value))
			g_string_append_printf(to, " %s", c->unit);
		g_string_append_c(to, '\n');
		report_wrap(to, what, 4);
		report_wrap(to, whence, 4);
	}
}
