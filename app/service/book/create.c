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

static bool first_entries(service_book *book, void *data, base_messages *messages)
{
	const struct service_beginning *b = data;
	const struct service_act act = { "init", b->time_us, "the book begins" };
	json_t *lab = laboratory(b), *person = first_person(b, b->time_us);
	const bool good =
	    service_book_write(book, &act, "register", "person", b->person, person, 0, messages) &&
	    service_book_write(book, &act, "register", "laboratory", "laboratory", lab, 0,
			       messages);

	json_decref(lab);
	json_decref(person);
	return good;
}

bool service_book_create(const struct service_beginning *beginning, base_messages *messages)
{
	g_autofree char *name = random_name();
	struct service_beginning b = *beginning;

	if (b.time_us == 0)
		b.time_us = g_get_real_time();
	const struct store_identity identity = { name, (char *)b.laboratory, b.time_us,
						 b.simulated };
	return service_book_make(b.where, &identity, first_entries, &b, messages);
}

/* ---- what makes a book ---- */

struct making {
	const char *where;
	service_book_fill *fill;
	void *data;
	base_messages *messages;
};

static bool fill_store(store *s, void *data, GError **error)
{
	const struct making *m = data;

	(void)error; /* told */
	service_book book = { .where = (char *)m->where,
			      .store = s,
			      .depth = 1,
			      .messages = m->messages,
			      .said = base_messages_n(m->messages) };
	if (m->fill(&book, m->data, m->messages) && !book.refused)
		return true;
	service_book_say_trouble(&book);
	return false;
}

bool service_book_make(const char *where, const struct store_identity *identity,
		       service_book_fill *fill, void *data, base_messages *messages)
{
	struct making making = { where, fill, data, messages };
	GError *error = NULL;

	if (store_create_filled(where, identity, fill_store, &making, &error))
		return true;
	if (error != NULL)
		service_book_say(messages, where, error);
	return false;
}
