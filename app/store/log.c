/*
 * The log. An entry's hash is the SHA-256 of the RFC 8785 JSON
 *
 *   {"action","body","id","kind","previous","seq","time","version","who","why"}
 *
 * in which body is the SHA-256 of the record's own text and time is RFC 3339; so the chain can be
 * followed without the records, and each record checked against the chain.
 */
#include "app/base/canonical.h"
#include "app/base/file.h"
#include "app/base/time.h"
#include "app/store/inside.h"

#include <jansson.h>
#include <string.h>

#define COLUMNS "seq, time_us, who, action, why, kind, id, version, body, previous, hash"

void store_entry_clear(struct store_entry *entry)
{
	g_free(entry->who);
	g_free(entry->action);
	g_free(entry->why);
	g_free(entry->kind);
	g_free(entry->id);
	g_free(entry->body);
	memset(entry, 0, sizeof *entry);
}

void store_entry_hash(const struct store_entry *entry, char ret[STORE_HASH_SIZE])
{
	char time[BASE_TIME_SIZE];
	g_autofree char *body = base_sha256(entry->body, strlen(entry->body));
	g_autofree char *text = NULL, *hash = NULL;
	json_t *json;

	base_time_print(entry->time_us, time);
	json = json_pack("{ss ss ss ss ss sI ss sI ss ss}", "action", entry->action, "body", body,
			 "id", entry->id, "kind", entry->kind, "previous", entry->previous, "seq",
			 (json_int_t)entry->seq, "time", time, "version",
			 (json_int_t)entry->version, "who", entry->who, "why", entry->why);
	text = base_canonical(json);
	json_decref(json);
	hash = base_sha256(text, strlen(text));
	g_strlcpy(ret, hash, STORE_HASH_SIZE);
}

struct log_end {
	int64_t seq;
	char hash[STORE_HASH_SIZE];
};

static bool take_end(const struct sql_value *values, void *data, GError **error)
{
	struct log_end *end = data;

	end->seq = sql_to_integer(&values[0]);
	return store_take_hash(&values[1], end->hash, error);
}

static bool refuse_text(const struct store_entry *entry, GError **error)
{
	const char *const texts[] = { entry->who,  entry->action, entry->why,
				      entry->kind, entry->id,     entry->body };

	for (size_t i = 0; i < G_N_ELEMENTS(texts); i++)
		if (!g_utf8_validate(texts[i], -1, NULL)) {
			g_set_error_literal(error, STORE_ERROR, STORE_REFUSED,
					    "a text for the book is not UTF-8; write it anew");
			return true;
		}
	return false;
}

bool store_append(store *s, struct store_entry *entry, int64_t expected, GError **error)
{
	struct log_end end = { 0, STORE_NO_HASH };
	int64_t version = 0;

	g_assert(s->in_transaction && s->writes);
	if (refuse_text(entry, error) ||
	    !STORE_RUN(s, "SELECT max(version) FROM entry WHERE kind = $1 AND id = $2",
		       store_take_integer, &version, error, sql_text(entry->kind),
		       sql_text(entry->id)) ||
	    !STORE_RUN_PLAIN(s, "SELECT seq, hash FROM entry ORDER BY seq DESC LIMIT 1", take_end,
			     &end, error))
		return false;
	if (version != expected) {
		g_set_error(error, STORE_ERROR, STORE_CHANGED,
			    version == 0 ? "%s %s is not in the book; it has no version %d to "
					   "follow (the last is %d)"
			    : expected == 0
				? "%s %s is in the book already; choose another name (wanted "
				  "version %d, there is %d)"
				: "%s %s was changed by somebody else since version %d was read; "
				  "look at version %d and decide anew",
			    entry->kind, entry->id, (int)expected, (int)version);
		return false;
	}
	entry->seq = end.seq + 1;
	entry->version = version + 1;
	memcpy(entry->previous, end.hash, sizeof entry->previous);
	store_entry_hash(entry, entry->hash);
	return STORE_RUN(s,
			 "INSERT INTO entry (" COLUMNS
			 ") VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)",
			 NULL, NULL, error, sql_integer(entry->seq), sql_integer(entry->time_us),
			 sql_text(entry->who), sql_text(entry->action), sql_text(entry->why),
			 sql_text(entry->kind), sql_text(entry->id), sql_integer(entry->version),
			 sql_text(entry->body), sql_text(entry->previous), sql_text(entry->hash));
}

/* ---- reading it ---- */

static void entry_of(const struct sql_value *values, struct store_entry *ret)
{
	const char *texts[9];

	for (int i = 0; i < 9; i++)
		texts[i] = sql_to_text(&values[i + 2]);
	*ret = (struct store_entry){
		.seq = sql_to_integer(&values[0]),
		.time_us = sql_to_integer(&values[1]),
		.who = g_strdup(texts[0]),
		.action = g_strdup(texts[1]),
		.why = g_strdup(texts[2]),
		.kind = g_strdup(texts[3]),
		.id = g_strdup(texts[4]),
		.version = sql_to_integer(&values[7]),
		.body = g_strdup(texts[6]),
	};
	g_strlcpy(ret->previous, texts[7], STORE_HASH_SIZE);
	g_strlcpy(ret->hash, texts[8], STORE_HASH_SIZE);
}

static bool take_entry(const struct sql_value *values, void *data, GError **error)
{
	(void)error;
	store_entry_clear(data);
	entry_of(values, data);
	return true;
}

struct visitor {
	store_each_entry *each;
	void *data;
};

static bool visit_entry(const struct sql_value *values, void *data, GError **error)
{
	const struct visitor *visitor = data;
	struct store_entry entry;
	bool go_on;

	entry_of(values, &entry);
	go_on = visitor->each(&entry, visitor->data, error);
	store_entry_clear(&entry);
	return go_on;
}

static bool found(struct store_entry *entry, const char *kind, const char *id, GError **error)
{
	if (entry->kind != NULL)
		return true;
	g_set_error(error, STORE_ERROR, STORE_ABSENT, "there is no %s %s in the book", kind, id);
	return false;
}

bool store_latest(store *s, const char *kind, const char *id, struct store_entry *ret,
		  GError **error)
{
	memset(ret, 0, sizeof *ret);
	return STORE_RUN(s,
			 "SELECT " COLUMNS " FROM entry WHERE kind = $1 AND id = $2"
			 " ORDER BY version DESC LIMIT 1",
			 take_entry, ret, error, sql_text(kind), sql_text(id)) &&
	       found(ret, kind, id, error);
}

bool store_version(store *s, const char *kind, const char *id, int64_t version,
		   struct store_entry *ret, GError **error)
{
	memset(ret, 0, sizeof *ret);
	return STORE_RUN(
		   s, "SELECT " COLUMNS " FROM entry WHERE kind = $1 AND id = $2 AND version = $3",
		   take_entry, ret, error, sql_text(kind), sql_text(id), sql_integer(version)) &&
	       found(ret, kind, id, error);
}

bool store_last(store *s, struct store_entry *ret, GError **error)
{
	memset(ret, 0, sizeof *ret);
	return STORE_RUN_PLAIN(s, "SELECT " COLUMNS " FROM entry ORDER BY seq DESC LIMIT 1",
			       take_entry, ret, error);
}

bool store_each(store *s, const char *kind, store_each_entry *each, void *data, GError **error)
{
	struct visitor visitor = { each, data };

	return STORE_RUN(s,
			 "SELECT " COLUMNS " FROM entry e WHERE kind = $1 AND version ="
			 " (SELECT max(version) FROM entry WHERE kind = e.kind AND id = e.id)"
			 " ORDER BY id",
			 visit_entry, &visitor, error, sql_text(kind));
}

bool store_history(store *s, const char *kind, const char *id, store_each_entry *each, void *data,
		   GError **error)
{
	struct visitor visitor = { each, data };

	return STORE_RUN(
	    s, "SELECT " COLUMNS " FROM entry WHERE kind = $1 AND id = $2 ORDER BY version",
	    visit_entry, &visitor, error, sql_text(kind), sql_text(id));
}

bool store_log(store *s, int64_t after_seq, store_each_entry *each, void *data, GError **error)
{
	struct visitor visitor = { each, data };

	return STORE_RUN(s, "SELECT " COLUMNS " FROM entry WHERE seq > $1 ORDER BY seq",
			 visit_entry, &visitor, error, sql_integer(after_seq));
}

/* ---- checking it ---- */

struct chain {
	store_fault *fault;
	void *data;
	int64_t seq;
	char hash[STORE_HASH_SIZE];
};

static bool check_entry(const struct store_entry *entry, void *data, GError **error)
{
	struct chain *chain = data;
	char hash[STORE_HASH_SIZE];
	g_autofree char *place =
	    g_strdup_printf("entry %" G_GINT64_FORMAT " (%s %s, version %d)", entry->seq,
			    entry->kind, entry->id, (int)entry->version);

	(void)error;
	store_entry_hash(entry, hash);
	if (entry->seq != chain->seq + 1)
		chain->fault(place, "entries before it are missing", chain->data);
	else if (strcmp(entry->previous, chain->hash) != 0)
		chain->fault(place, "it doesn't follow from the entry before it", chain->data);
	if (strcmp(hash, entry->hash) != 0)
		chain->fault(place, "what it says is not what was written: its hash differs",
			     chain->data);
	chain->seq = entry->seq;
	memcpy(chain->hash, entry->hash, sizeof chain->hash);
	return true;
}

bool store_check_log(store *s, store_fault *fault, void *data, GError **error)
{
	struct chain chain = { fault, data, 0, STORE_NO_HASH };

	return store_log(s, 0, check_entry, &chain, error);
}
