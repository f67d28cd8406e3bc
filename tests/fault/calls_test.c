/*
 * Every call that a use case of the book makes to what may fail, failing once: of SQLite to the
 * disk, to a full disk, of the store to its database, of the program to files. Afterwards the book
 * is sound; the act has been done whole or not at all, and done when it said so; when it was
 * refused a message tells of the failure, and it can be repeated.
 *
 *   test_fault_calls [EVERY [SEED [KIND]]]    EVERY: of so many calls one fails, chosen by the
 *   seed; KIND: of these calls alone ("full disk")
 *
 * With FIRN_BOOK_SERVER on PostgreSQL.
 */
#define _POSIX_C_SOURCE 200809L

#include "app/store/sql.h"
#include "app/store/store.h"
#include "tests/fault/book_acts.h"
#include "tests/fault/failing_calls.h"
#include "tests/fault/made_reading.h"
#include "tests/fault/weak_disk.h"
#include "tests/support/near.h"

#include <glib/gstdio.h>
#include <stdlib.h>
#include <string.h>

#define JOB "examples/hundred-ohm/job.yaml"

static struct desk desk;
static int next_k = 1; /* no act has the number of another */
static uint64_t every = 1, seed = 1;

static const char *const kind_names[FAILING_KINDS] = {
	"disk", "full disk", "statement", "connection", "answer", "file",
};

/* ---- what is in a book ---- */

struct holdings {
	int64_t entries, readings, files;
};

static bool take_number(const struct sql_value *values, void *data, GError **error)
{
	(void)error;
	*(int64_t *)data = sql_to_integer(values);
	return true;
}

static void note_fault(const char *place, const char *what, void *data)
{
	g_string_append_printf(data, "%s: %s\n", place, what);
}

static void assert_sound(const char *where, const char *when)
{
	g_autoptr(GString) faults = g_string_new(NULL);
	g_autoptr(GError) error = NULL;
	g_autoptr(store) s = store_open(where, false, &error);

	if (s == NULL || !store_check(s, note_fault, faults, &error))
		fail_msg("%s: %s: %s", when, where, error->message);
	if (faults->len > 0)
		fail_msg("%s: %s", when, faults->str);
}

static struct holdings holdings_of(const char *where)
{
	struct holdings h = { 0, 0, 0 };
	g_autoptr(GError) error = NULL;
	struct sql_connection *c = store_is_remote(where)
				       ? postgres_connect(where, false, false, &error)
				       : sqlite_connect(where, false, false, &error);

	if (c == NULL ||
	    !c->class->run(c, "SELECT count(*) FROM entry", NULL, 0, take_number, &h.entries,
			   &error) ||
	    !c->class->run(c, "SELECT count(*) FROM reading", NULL, 0, take_number, &h.readings,
			   &error) ||
	    !c->class->run(c, "SELECT count(*) FROM file", NULL, 0, take_number, &h.files, &error))
		fail_msg("%s: %s", where, error->message);
	c->class->close(c);
	return h;
}

static bool same_holdings(struct holdings a, struct holdings b)
{
	return a.entries == b.entries && a.readings == b.readings && a.files == b.files;
}

static struct holdings more(struct holdings a, struct holdings b, int sign)
{
	return (struct holdings){ a.entries + sign * b.entries, a.readings + sign * b.readings,
				  a.files + sign * b.files };
}

/* ---- one act ---- */

struct trial {
	const struct act *act;
	enum failing kind;
	long n;
	int k;
	struct holdings gain; /* what the act adds to the book */
	char when[80];
};

static void tell(const struct trial *t, const base_messages *messages)
{
	for (size_t i = 0; i < base_messages_n(messages); i++)
		print_message("# %s: %s: %s\n", t->when, base_messages_at(messages, i)->file,
			      base_messages_at(messages, i)->text);
}

/* Without a failure. */
static void must(const struct trial *t, bool (*step)(struct desk *, int, base_messages *))
{
	g_autoptr(base_messages) messages = base_messages_new();

	if (step == NULL || step(&desk, t->k, messages))
		return;
	tell(t, messages);
	fail_msg("%s: refused, though nothing failed", t->when);
}

static bool made_is_there(const struct trial *t)
{
	g_autofree char *path = t->act->makes(&desk, t->k);
	store *s;

	if (!store_is_remote(path))
		return g_file_test(path, G_FILE_TEST_EXISTS);
	s = store_open(path, false, NULL);
	store_close(s);
	return s != NULL;
}

static void assert_made_is_whole(const struct trial *t)
{
	g_autofree char *path = t->act->makes(&desk, t->k);
	g_autofree char *command =
	    g_strdup_printf("cd '%s' && sha256sum --quiet -c SHA256SUMS", path);

	if (t->act->makes_book)
		assert_sound(path, t->when);
	else if (system(command) != 0)
		fail_msg("%s: what was exported is not what its sums say", t->when);
}

static void assert_no_scraps(const struct trial *t)
{
	g_autoptr(GDir) dir = g_dir_open(desk.folder, 0, NULL);
	const char *name;

	while ((name = g_dir_read_name(dir)) != NULL)
		if (strstr(name, ".new") != NULL || strstr(name, ".part") != NULL)
			fail_msg("%s: %s was left behind", t->when, name);
}

static bool tells_of_failure(const struct trial *t, const struct base_message *m)
{
	if (t->kind == FAILING_ROOM)
		return strstr(m->text, "make room on the disk") != NULL;
	return m->kind == BASE_FAILURE || strstr(m->text, "unable to open") != NULL;
}

/* A message must tell of the failure itself, not only of what seems to follow from it. */
static void assert_told(const struct trial *t, const base_messages *messages)
{
	for (size_t i = 0; i < base_messages_n(messages); i++)
		if (tells_of_failure(t, base_messages_at(messages, i)))
			return;
	tell(t, messages);
	fail_msg("%s: refused, and not for the failure", t->when);
}

/* Whether the act has been done. */
static bool judge(const struct trial *t, struct holdings before, bool said,
		  const base_messages *messages)
{
	const struct holdings after = holdings_of(desk.place);
	const bool makes = t->act->makes != NULL;
	const bool done = makes ? made_is_there(t) : same_holdings(after, more(before, t->gain, 1));

	assert_sound(desk.place, t->when);
	if (!same_holdings(after, before) && (makes || !done))
		fail_msg("%s: half of it is in the book", t->when);
	if (makes && done)
		assert_made_is_whole(t);
	assert_no_scraps(t);
	if (said && !done)
		fail_msg("%s: it was said to be done, and is not", t->when);
	if (!said)
		assert_told(t, messages);
	return done;
}

/* Returns whether the nth call came; ret_done: whether the act has been done. */
static bool attempt(struct trial *t, bool *ret_done)
{
	const struct holdings before = holdings_of(desk.place);
	g_autoptr(base_messages) messages = base_messages_new();
	bool said, came;

	snprintf(t->when, sizeof t->when, "%s, %s call %ld fails (seed %d)", t->act->name,
		 kind_names[t->kind], t->n, (int)seed);
	fail_call(t->kind, t->n);
	said = t->act->carry_out(&desk, t->k, messages);
	came = call_has_failed();
	fail_no_call();
	if (!came) {
		if (!said)
			tell(t, messages);
		assert_true(said);
	}
	*ret_done = judge(t, before, said, messages);
	return came;
}

/* An act has numbers of its own; what stands before it has been done. */
static void next(struct trial *t)
{
	t->k = next_k++;
	must(t, t->act->prepare);
}

static void note_issued(const struct trial *t)
{
	if (strcmp(t->act->name, "issue") == 0)
		desk.issued = t->k;
}

/* What an act adds when it isn't the first of its kind. */
static void learn_gain(struct trial *t)
{
	for (int i = 0; i < 2; i++) {
		next(t);
		const struct holdings before = holdings_of(desk.place);

		must(t, t->act->carry_out);
		t->gain = more(holdings_of(desk.place), before, -1);
		note_issued(t);
	}
}

/* From the number of the first call to fail on, one in `every`; returns how many failed. */
static long fail_some(struct trial *t, long first)
{
	bool came = true, done = true;
	long failures = 0;

	for (t->n = first; came;
	     t->n +=
	     1 + (every > 1 ? (long)(made_bits((uint64_t)t->n ^ seed) % (2 * every - 1)) : 0)) {
		if (done)
			next(t);
		came = attempt(t, &done);
		failures += came;
		if (done)
			note_issued(t);
	}
	assert_true(done); /* at the end nothing failed, and what had been refused was repeated */
	return failures;
}

static long fail_each(const struct act *act, enum failing kind)
{
	struct trial t = { .act = act, .kind = kind, .when = "before any call fails" };
	long failures;

	learn_gain(&t);
	failures = fail_some(&t, 1 + (long)(made_bits(seed ^ g_str_hash(act->name)) % every));
	return failures > 0 ? failures : fail_some(&t, 1); /* it has fewer calls than that */
}

static void test_kind(void **state)
{
	const enum failing kind = *(const enum failing *)*state;
	long failures = 0;

	for (const struct act *act = book_acts; act->name != NULL; act++) {
		const long n = fail_each(act, kind);

		print_message("# %s: %ld calls of %s failed\n", act->name, n, kind_names[kind]);
		failures += n;
	}
	assert_true(failures > 0);
}

int main(int argc, char **argv)
{
	static enum failing sqlite_kinds[] = { FAILING_DISK, FAILING_ROOM, FAILING_STATEMENT,
					       FAILING_ANSWER, FAILING_FILE };
	static enum failing postgres_kinds[] = { FAILING_STATEMENT, FAILING_CONNECTION,
						 FAILING_ANSWER, FAILING_FILE };
	const char *server = g_getenv("FIRN_BOOK_SERVER"), *source = g_getenv("FIRN_SOURCE");
	enum failing *kinds = server != NULL ? postgres_kinds : sqlite_kinds;
	const size_t n = server != NULL ? G_N_ELEMENTS(postgres_kinds) : G_N_ELEMENTS(sqlite_kinds);
	g_autofree char *job = g_build_filename(source != NULL ? source : ".", JOB, NULL);
	g_autoptr(base_messages) messages = base_messages_new();
	struct CMUnitTest tests[FAILING_KINDS];
	int failed;

	every = argc > 1 ? g_ascii_strtoull(argv[1], NULL, 10) : 1;
	seed = argc > 2 ? g_ascii_strtoull(argv[2], NULL, 10) : 1;
	for (size_t i = 0; i < n; i++)
		tests[i] =
		    (struct CMUnitTest){ kind_names[kinds[i]], test_kind, NULL, NULL, &kinds[i] };
	if (argc > 3)
		cmocka_set_test_filter(argv[3]);
	if (server == NULL)
		weak_disk_install();
	if (!desk_open(&desk, server, job, messages)) {
		base_messages_print(messages, stderr);
		return 1;
	}
	failed = _cmocka_run_group_tests("calls that fail", tests, n, NULL, NULL);
	{
		g_autofree char *command = g_strdup_printf("rm -rf '%s'", desk.folder);

		if (system(command) != 0)
			failed++;
	}
	desk_close(&desk);
	return failed;
}
