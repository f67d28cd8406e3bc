/* A new book: whose it is, and the first person, who may let others in. */
#include "app/service/book/book.h"

#include "app/base/time.h"

/* 128 random bits, so that no two books share a name. */
static char *random_name(void)
{
	GString *name = g_string_new(NULL);

	for (int i = 0; i < 4; i++)
		g_string_append_printf(name, "%08x", g_random_int());
	return g_string_free(name, FALSE);
}

static json_t *laboratory(const struct service_beginning *b)
{
	return json_pack("{ss ss sb sb s[]}", "name", b->laboratory, "address", b->address,
			 "may_check_own_work", 0, "may_issue_own_work", 0, "scope");
}

static json_t *first_person(const struct service_beginning *b, int64_t time_us)
{
	char date[BASE_TIME_SIZE];

	base_time_print(time_us, date);
	date[10] = '\0';
	return json_pack("{ss ss s[{ss ss}{ss ss}]}", "name", b->name, "state", "active",
			 "authorisations", "act", "manage", "from", date, "act", "operate", "from",
			 date);
}

static bool first_entries(service_book *book, const struct service_beginning *b, int64_t time_us,
			  base_messages *messages)
{
	const struct service_act act = { "init", time_us, "the book begins" };
	json_t *lab = laboratory(b), *person = first_person(b, time_us);
	const bool good =
	    service_book_write(book, &act, "register", "person", b->person, person, 0, messages) &&
	    service_book_write(book, &act, "register", "laboratory", "laboratory", lab, 0,
			       messages);

	json_decref(lab);
	json_decref(person);
	return good;
}

bool service_book_create(const struct service_beginning *b, base_messages *messages)
{
	g_autofree char *name = random_name();
	const int64_t time_us = b->time_us != 0 ? b->time_us : g_get_real_time();
	const struct store_identity identity = { name, (char *)b->laboratory, time_us,
						 b->simulated };
	g_autoptr(service_book) book = NULL;
	GError *error = NULL;

	if (!store_create(b->where, &identity, &error)) {
		service_book_say(messages, b->where, error);
		return false;
	}
	book = service_book_open(b->where, true, messages);
	if (book == NULL || !service_book_begin(book, messages))
		return false;
	if (first_entries(book, b, time_us, messages))
		return service_book_commit(book, messages);
	service_book_rollback(book);
	return false;
}
