/* PostgreSQL by libpq: values travel in their binary form, statements are prepared once. */
#include "app/store/error.h"
#include "app/store/postgres/migrations.h"
#include "app/store/sql.h"

#include <libpq-fe.h>
#include <string.h>

#define MOST_COLUMNS    24
#define MOST_PARAMETERS 16

/* Types of results, by their numbers in the server's catalogue (src/include/catalog/pg_type.dat).
 */
enum { OID_BOOL = 16, OID_BYTEA = 17, OID_INT8 = 20, OID_INT4 = 23, OID_FLOAT8 = 701 };

struct postgres_connection {
	struct sql_connection base;
	PGconn *pg;
	GHashTable *prepared; /* text's address -> name */
	bool in_transaction;
};

/* ---- errors ---- */

static enum store_error error_code(const char *state)
{
	static const struct {
		const char *begins;
		enum store_error code;
	} states[] = {
		{ "23", STORE_REFUSED },      { "P0", STORE_REFUSED },
		{ "53100", STORE_FULL },      { "25006", STORE_READ_ONLY },
		{ "42501", STORE_READ_ONLY }, { "55P03", STORE_BUSY },
		{ "40", STORE_BUSY },         { "57014", STORE_BUSY },
		{ "3D000", STORE_ABSENT },    { "XX001", STORE_DAMAGED },
		{ "XX002", STORE_DAMAGED },
	};

	for (size_t i = 0; state != NULL && i < G_N_ELEMENTS(states); i++)
		if (g_str_has_prefix(state, states[i].begins))
			return states[i].code;
	return STORE_FAILED;
}

static const char *error_advice(enum store_error code)
{
	switch (code) {
	case STORE_FULL:
		return "; make room on the server's disk and repeat the command: nothing was "
		       "written";
	case STORE_READ_ONLY:
		return "; ask for the right to write to the book's database";
	case STORE_BUSY:
		return "; another client has held the book for a long time, try again";
	case STORE_FAILED:
		return "; look whether the server runs and can be reached, then repeat the command";
	default:
		return "";
	}
}

/* The server's words without "ERROR:" and what follows the first line. */
static bool fail(const char *message, const char *state, GError **error)
{
	const enum store_error code = error_code(state);
	g_auto(GStrv) lines = g_strsplit(message, "\n", 2);
	const char *line = lines[0] != NULL ? lines[0] : "";

	if (g_str_has_prefix(line, "ERROR:"))
		line += strlen("ERROR:");
	while (*line == ' ')
		line++;
	g_set_error(error, STORE_ERROR, code, "%s%s", line, error_advice(code));
	return false;
}

static bool fail_result(const struct postgres_connection *c, const PGresult *result, GError **error)
{
	const char *state = PQresultErrorField(result, PG_DIAG_SQLSTATE);
	const char *words = PQresultErrorField(result, PG_DIAG_MESSAGE_PRIMARY);

	return fail(words != NULL ? words : PQerrorMessage(c->pg), state, error);
}

/* ---- values ---- */

/* Parameters as libpq wants them; words are kept here in network order. */
struct parameters {
	const char *values[MOST_PARAMETERS];
	int lengths[MOST_PARAMETERS], formats[MOST_PARAMETERS];
	uint64_t words[MOST_PARAMETERS];
};

static void set_parameter(struct parameters *p, int i, const struct sql_value *value)
{
	uint64_t bits = 0;

	p->formats[i] = 1;
	p->values[i] = NULL;
	p->lengths[i] = 0;
	switch (value->type) {
	case SQL_NULL:
		return;
	case SQL_INTEGER:
		bits = (uint64_t)value->integer;
		break;
	case SQL_REAL:
		memcpy(&bits, &value->real, sizeof bits);
		break;
	case SQL_TEXT:
	case SQL_BYTES:
		p->values[i] = value->n > 0 ? value->bytes : "";
		p->lengths[i] = (int)value->n;
		return;
	}
	p->words[i] = GUINT64_TO_BE(bits);
	p->values[i] = (const char *)&p->words[i];
	p->lengths[i] = sizeof p->words[i];
}

static uint64_t word_of(const char *bytes)
{
	uint64_t word;

	memcpy(&word, bytes, sizeof word);
	return GUINT64_FROM_BE(word);
}

static struct sql_value value_of(const PGresult *result, int row, int i)
{
	const char *bytes = PQgetvalue(result, row, i);
	const size_t n = (size_t)PQgetlength(result, row, i);
	uint64_t word;
	uint32_t half;
	double x;

	if (PQgetisnull(result, row, i))
		return (struct sql_value){ .type = SQL_NULL };
	switch (PQftype(result, i)) {
	case OID_INT8:
		return sql_integer((int64_t)word_of(bytes));
	case OID_INT4:
		memcpy(&half, bytes, sizeof half);
		return sql_integer((int32_t)GUINT32_FROM_BE(half));
	case OID_BOOL:
		return sql_integer(*bytes != 0);
	case OID_FLOAT8:
		word = word_of(bytes);
		memcpy(&x, &word, sizeof x);
		return sql_real(x);
	case OID_BYTEA:
		return sql_bytes(bytes, n);
	default:
		return (struct sql_value){ .type = SQL_TEXT, .bytes = bytes, .n = n };
	}
}

/* ---- statements ---- */

static bool say(struct postgres_connection *c, const char *text, GError **error)
{
	PGresult *result = PQexec(c->pg, text);
	const ExecStatusType status = PQresultStatus(result);
	const bool good = status == PGRES_COMMAND_OK || status == PGRES_TUPLES_OK ||
			  fail_result(c, result, error);

	PQclear(result);
	return good;
}

static const char *prepare(struct postgres_connection *c, const char *text, GError **error)
{
	char *name = g_hash_table_lookup(c->prepared, text);
	PGresult *result;

	if (name != NULL)
		return name;
	name = g_strdup_printf("s%u", g_hash_table_size(c->prepared));
	result = PQprepare(c->pg, name, text, 0, NULL);
	if (PQresultStatus(result) == PGRES_COMMAND_OK) {
		g_hash_table_insert(c->prepared, (gpointer)text, name);
	} else {
		fail_result(c, result, error);
		g_free(name);
		name = NULL;
	}
	PQclear(result);
	return name;
}

/* Rows come a portion at a time, so that a long answer is never held whole. */
static bool give_rows(const PGresult *result, sql_row *row, void *data, GError **error)
{
	struct sql_value values[MOST_COLUMNS];
	const int columns = PQnfields(result);

	g_assert(columns <= MOST_COLUMNS);
	for (int i = 0; row != NULL && i < PQntuples(result); i++) {
		for (int j = 0; j < columns; j++)
			values[j] = value_of(result, i, j);
		if (!row(values, data, error))
			return false;
	}
	return true;
}

static bool run(struct sql_connection *connection, const char *text,
		const struct sql_value *parameters, int n, sql_row *row, void *data, GError **error)
{
	struct postgres_connection *c = (struct postgres_connection *)connection;
	const char *name = prepare(c, text, error);
	struct parameters p;
	PGresult *result;
	bool good;

	if (name == NULL)
		return false;
	g_assert(n <= MOST_PARAMETERS);
	for (int i = 0; i < n; i++)
		set_parameter(&p, i, &parameters[i]);
	result = PQexecPrepared(c->pg, name, n, p.values, p.lengths, p.formats, 1);
	if (PQresultStatus(result) == PGRES_TUPLES_OK)
		good = give_rows(result, row, data, error);
	else
		good = PQresultStatus(result) == PGRES_COMMAND_OK || fail_result(c, result, error);
	PQclear(result);
	return good;
}

/* ---- transactions: who may write is decided by one lock, so that nobody waits in a circle ---- */

static bool begin(struct sql_connection *connection, bool write, GError **error)
{
	struct postgres_connection *c = (struct postgres_connection *)connection;

	if (!say(c, write ? "BEGIN" : "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY", error))
		return false;
	c->in_transaction = true;
	/* The number is ours: "firn" in letters' codes. */
	return !write || say(c, "SELECT pg_advisory_xact_lock(1718186606)", error);
}

static void rollback(struct sql_connection *connection)
{
	struct postgres_connection *c = (struct postgres_connection *)connection;

	if (c->in_transaction)
		PQclear(PQexec(c->pg, "ROLLBACK"));
	c->in_transaction = false;
}

static bool commit(struct sql_connection *connection, GError **error)
{
	struct postgres_connection *c = (struct postgres_connection *)connection;
	PGresult *result = PQexec(c->pg, "COMMIT");
	bool good = PQresultStatus(result) == PGRES_COMMAND_OK;

	c->in_transaction = false;
	if (!good)
		fail_result(c, result, error);
	else if (strcmp(PQcmdStatus(result), "COMMIT") != 0) /* a failed transaction rolls back */
		good = fail("the transaction had failed; nothing was written", NULL, error);
	PQclear(result);
	return good;
}

static bool inspect(struct sql_connection *connection, sql_row *row, void *data, GError **error)
{
	(void)connection, (void)row, (void)data, (void)error;
	return true; /* the server checks its pages when they are read */
}

static void disconnect(struct sql_connection *connection)
{
	struct postgres_connection *c = (struct postgres_connection *)connection;

	g_hash_table_destroy(c->prepared);
	PQfinish(c->pg);
	g_free(c);
}

#define HAS_BOOK "SELECT 1 WHERE to_regclass('migration') IS NOT NULL"

static const struct sql_class class = {
	.name = "PostgreSQL",
	.run = run,
	.begin = begin,
	.commit = commit,
	.rollback = rollback,
	.copy = NULL,
	.has_book = HAS_BOOK,
	.inspect = inspect,
	.close = disconnect,
	.migrations = postgres_migrations,
	.n_migrations = POSTGRES_MIGRATIONS,
};

/* ---- connecting ---- */

static bool show(struct postgres_connection *c, const char *setting, char **ret, GError **error)
{
	g_autofree char *text = g_strdup_printf("SHOW %s", setting);
	PGresult *result = PQexec(c->pg, text);
	const bool good = PQresultStatus(result) == PGRES_TUPLES_OK && PQntuples(result) == 1;

	if (good)
		*ret = g_strdup(PQgetvalue(result, 0, 0));
	else
		fail_result(c, result, error);
	PQclear(result);
	return good;
}

/* What the server acknowledges must survive a power cut. */
static bool keeps_its_word(struct postgres_connection *c, GError **error)
{
	static const char *const settings[] = { "fsync", "full_page_writes" };

	for (size_t i = 0; i < G_N_ELEMENTS(settings); i++) {
		g_autofree char *value = NULL;

		if (!show(c, settings[i], &value, error))
			return false;
		if (strcmp(value, "on") != 0) {
			g_set_error(error, STORE_ERROR, STORE_REFUSED,
				    "the server has %s = %s and may lose or tear what it has "
				    "acknowledged; set it to on in its configuration",
				    settings[i], value);
			return false;
		}
	}
	return say(c, "SET synchronous_commit = on", error);
}

static bool is_empty(struct postgres_connection *c, GError **error)
{
	PGresult *result = PQexec(c->pg, HAS_BOOK);
	bool empty = false;

	if (PQresultStatus(result) != PGRES_TUPLES_OK)
		fail_result(c, result, error);
	else if (PQntuples(result) > 0)
		g_set_error_literal(error, STORE_ERROR, STORE_EXISTS,
				    "this database holds a book already; name an empty one");
	else
		empty = true;
	PQclear(result);
	return empty;
}

static bool set_up(struct postgres_connection *c, bool create, bool write, GError **error)
{
	if (PQstatus(c->pg) != CONNECTION_OK)
		return fail(PQerrorMessage(c->pg), NULL, error);
	return say(c, "SET client_min_messages = warning; SET lock_timeout = '60s'", error) &&
	       (!write || keeps_its_word(c, error)) && (!create || is_empty(c, error));
}

struct sql_connection *postgres_connect(const char *where, bool create, bool write, GError **error)
{
	struct postgres_connection *c = g_new0(struct postgres_connection, 1);

	c->base.class = &class;
	c->prepared = g_hash_table_new_full(NULL, NULL, NULL, g_free);
	c->pg = PQconnectdb(where);
	if (set_up(c, create, write, error) && PQsetClientEncoding(c->pg, "UTF8") == 0)
		return &c->base;
	disconnect(&c->base);
	return NULL;
}
