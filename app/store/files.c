/* Bytes by their SHA-256. */
#include "app/base/file.h"
#include "app/store/inside.h"

#include <string.h>

bool store_put_file(store *s, const void *bytes, size_t n, char ret_sha256[STORE_HASH_SIZE],
		    GError **error)
{
	g_autofree char *name = base_sha256(bytes, n);
	bool there = false;

	g_assert(s->in_transaction && s->writes);
	g_strlcpy(ret_sha256, name, STORE_HASH_SIZE);
	if (!STORE_RUN(s, "SELECT 1 FROM file WHERE sha256 = $1", store_take_presence, &there,
		       error, sql_text(name)))
		return false;
	return there || STORE_RUN(s, "INSERT INTO file (sha256, bytes) VALUES ($1, $2)", NULL, NULL,
				  error, sql_text(name), sql_bytes(bytes, n));
}

static bool take_bytes(const struct sql_value *values, void *data, GError **error)
{
	(void)error;
	*(GBytes **)data = g_bytes_new(values->bytes, values->n);
	return true;
}

GBytes *store_get_file(store *s, const char *sha256, GError **error)
{
	GBytes *bytes = NULL;

	if (!STORE_RUN(s, "SELECT bytes FROM file WHERE sha256 = $1", take_bytes, &bytes, error,
		       sql_text(sha256)))
		return NULL;
	if (bytes == NULL)
		g_set_error(error, STORE_ERROR, STORE_ABSENT,
			    "there is no file with the SHA-256 %s in the book", sha256);
	return bytes;
}

struct listener {
	store_fault *fault;
	void *data;
};

static bool check_file(const struct sql_value *values, void *data, GError **error)
{
	const struct listener *listener = data;
	const char *name = sql_to_text(&values[0]);
	g_autofree char *hash = base_sha256(values[1].bytes, values[1].n);
	g_autofree char *place = g_strdup_printf("file %s", name);

	(void)error;
	if (strcmp(hash, name) != 0)
		listener->fault(place, "its bytes are not what was written: their SHA-256 differs",
				listener->data);
	return true;
}

bool store_check_files(store *s, store_fault *fault, void *data, GError **error)
{
	struct listener listener = { fault, data };

	return STORE_RUN_PLAIN(s, "SELECT sha256, bytes FROM file ORDER BY sha256", check_file,
			       &listener, error);
}
