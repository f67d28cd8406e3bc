#define _POSIX_C_SOURCE 200809L
#include "tests/fault/book_acts.h"

#include "app/service/book/add_readings.h"
#include "app/service/book/calibrate.h"
#include "app/service/book/export.h"
#include "app/service/book/import_job.h"
#include "app/service/book/load.h"
#include "app/service/book/plan.h"
#include "app/service/book/transcribe.h"
#include "tests/fault/made_reading.h"

#include <glib/gstdio.h>
#include <libpq-fe.h>
#include <string.h>

#define TIME_US INT64_C(1953892800000000) /* 2031-12-01T12:00:00Z, after the job's last reading */

static const char *job_path;

static struct service_act by(const char *person)
{
	return (struct service_act){ person, TIME_US, "again" };
}

static char *named(const char *letters, int k)
{
	return g_strdup_printf("%s%d", letters, k);
}

static char *beside(const struct desk *desk, const char *letters, int k, const char *tail)
{
	return g_strdup_printf("%s/%s%d%s", desk->folder, letters, k, tail);
}

/* ---- records ---- */

static json_t *person_who(const char *name, const char *may)
{
	return json_pack("{ss ss s[{ss ss}]}", "name", name, "state", "active", "authorisations",
			 "act", may, "from", "2020-01-01");
}

static bool put(service_book *book, const char *kind, const char *id, json_t *body,
		base_messages *messages)
{
	const struct service_act act = by("ada");
	const bool good = service_book_put(book, &act, "register", kind, id, body, 0, messages);

	json_decref(body);
	return good;
}

static bool put_visit(service_book *book, int k, const char *provenance, base_messages *messages)
{
	g_autofree char *id = named("V", k);

	return put(book, "visit", id,
		   json_pack("{ss s{} ss ss}", "thermometer", "T1", "job", "provenance", provenance,
			     "state", "open"),
		   messages);
}

/* ---- acts in an open book ---- */

typedef bool act_in_book(struct desk *desk, service_book *book, int k, base_messages *messages);

static bool in_book(struct desk *desk, act_in_book *act, int k, bool write, base_messages *messages)
{
	g_autoptr(service_book) book = service_book_open(desk->place, write, messages);

	return book != NULL && act(desk, book, k, messages);
}

#define IN_BOOK(name, write)                                                                       \
	static bool name(struct desk *desk, int k, base_messages *messages)                        \
	{                                                                                          \
		return in_book(desk, name##_in_book, k, (write), messages);                        \
	}

static bool put_person_in_book(struct desk *desk, service_book *book, int k,
			       base_messages *messages)
{
	g_autofree char *id = named("P", k);

	(void)desk;
	return put(book, "person", id, person_who("Eve", "operate"), messages);
}
IN_BOOK(put_person, true)

static bool change_record_in_book(struct desk *desk, service_book *book, int k,
				  base_messages *messages)
{
	const struct service_act act = by("ada");
	json_t *members = json_pack("{so}", "serial", json_sprintf("%d", k));
	bool good;

	(void)desk;
	good = service_book_change(book, &act, "thermometer", "T1", members, 0, messages);
	json_decref(members);
	return good;
}
IN_BOOK(change_record, true)

static bool open_visit_in_book(struct desk *desk, service_book *book, int k,
			       base_messages *messages)
{
	(void)desk;
	return put_visit(book, k, "recorded", messages);
}
IN_BOOK(open_visit, true)

static bool old_visit_in_book(struct desk *desk, service_book *book, int k, base_messages *messages)
{
	(void)desk;
	return put_visit(book, k, "transcribed", messages);
}
IN_BOOK(old_visit, true)

static bool readings_in_book(struct desk *desk, service_book *book, int k, base_messages *messages)
{
	const struct service_act act = by("ada");
	g_autofree char *visit = named("V", k);
	g_autofree char *path = g_build_filename(desk->folder, "readings.csv", NULL);
	size_t n;

	return service_book_add_readings(book, &act, visit, path, &n, messages);
}
IN_BOOK(readings, true)

static bool transcribe_in_book(struct desk *desk, service_book *book, int k,
			       base_messages *messages)
{
	const struct service_act act = by("ada");
	g_autofree char *visit = named("V", k);
	g_autofree char *old = g_build_filename(desk->folder, "old.csv", NULL);
	g_autofree char *map = g_build_filename(desk->folder, "map.yaml", NULL);
	const struct service_transcription t = { .visit = visit, .file = old, .map = map };
	size_t n;

	return service_book_transcribe(book, &act, &t, &n, messages);
}
IN_BOOK(transcribe, true)

static bool plan_in_book(struct desk *desk, service_book *book, int k, base_messages *messages)
{
	static const char *const subranges[] = { "Hg_Ga", NULL };
	const struct service_act act = by("ada");
	g_autofree char *id = named("PL", k);
	g_autoptr(GString) steps = g_string_new(NULL);
	const struct service_plan plan = { .calibration = id,
					   .thermometer = "T1",
					   .subranges = subranges };

	(void)desk;
	return service_calibration_plan(book, &act, &plan, steps, messages);
}
IN_BOOK(plan, true)

static bool load_in_book(struct desk *desk, service_book *book, int k, base_messages *messages)
{
	const struct service_act act = by("ada");
	g_autofree char *path = beside(desk, "acts", k, ".jsonl");
	int n;

	return service_book_load(book, &act, path, &n, messages);
}
IN_BOOK(load, true)

static bool write_acts(struct desk *desk, int k, base_messages *messages)
{
	g_autofree char *path = beside(desk, "acts", k, ".jsonl");
	g_autofree char *text = g_strdup_printf(
	    "{\"do\":\"put\",\"kind\":\"person\",\"id\":\"L%d\",\"body\":{\"name\":\"Lee\","
	    "\"state\":\"active\",\"authorisations\":[]}}\n"
	    "{\"do\":\"change\",\"kind\":\"person\",\"id\":\"L%d\",\"body\":{\"state\":\"left\"}}"
	    "\n",
	    k, k);

	(void)messages;
	return g_file_set_contents(path, text, -1, NULL);
}

/* ---- rows, and sealing them ---- */

static bool add_rows_in_book(struct desk *desk, service_book *book, int k, base_messages *messages)
{
	g_autofree char *visit = named("S", k);
	struct store_reading rows[30];
	GError *error = NULL;

	(void)desk;
	for (size_t i = 0; i < G_N_ELEMENTS(rows); i++)
		rows[i] = made_reading(visit, (int64_t)i);
	if (store_begin(book->store, true, &error)) {
		if (store_add_readings(book->store, visit, rows, G_N_ELEMENTS(rows), NULL,
				       &error) &&
		    store_commit(book->store, &error))
			return true;
		store_rollback(book->store);
	}
	service_book_say(messages, visit, error);
	return false;
}
IN_BOOK(add_rows, true)

static bool seal_in_book(struct desk *desk, service_book *book, int k, base_messages *messages)
{
	g_autofree char *visit = named("S", k);
	GError *error = NULL;

	(void)desk;
	if (store_begin(book->store, true, &error)) {
		if (store_seal(book->store, visit, "ada", TIME_US, &error) &&
		    store_commit(book->store, &error))
			return true;
		store_rollback(book->store);
	}
	service_book_say(messages, visit, error);
	return false;
}
IN_BOOK(seal, true)

/* ---- a calibration to its certificate ---- */

static bool job_in_book(struct desk *desk, service_book *book, int k, base_messages *messages)
{
	const struct service_act act = by("ada");
	g_autofree char *id = named("K", k);

	(void)desk;
	return service_book_import_job(book, &act, job_path, id, "simulated", messages);
}
IN_BOOK(job, true)

static bool reduce_in_book(struct desk *desk, service_book *book, int k, base_messages *messages)
{
	const struct service_act act = by("bo");
	g_autofree char *id = named("K", k);

	(void)desk;
	return service_calibration_reduce(book, &act, id, NULL, messages);
}
IN_BOOK(reduce, true)

static bool agree_in_book(struct desk *desk, service_book *book, int k, base_messages *messages)
{
	const struct service_act act = by("dee");
	g_autofree char *id = named("K", k);

	(void)desk;
	return service_calibration_check(book, &act, id, messages);
}
IN_BOOK(agree, true)

static bool issue_in_book(struct desk *desk, service_book *book, int k, base_messages *messages)
{
	const struct service_act act = by("cy");
	g_autofree char *id = named("K", k), *number = named("C", k);
	g_autofree char *before = desk->issued > 0 ? named("C", desk->issued) : NULL;

	return service_certificate_issue(book, &act, id, number, before, messages);
}
IN_BOOK(issue, true)

static bool up_to_reduced(struct desk *desk, int k, base_messages *messages)
{
	return job(desk, k, messages) && reduce(desk, k, messages);
}

static bool up_to_agreed(struct desk *desk, int k, base_messages *messages)
{
	return up_to_reduced(desk, k, messages) && agree(desk, k, messages);
}

/* ---- the book as a whole ---- */

static char *export_place(const struct desk *desk, int k)
{
	return beside(desk, "export", k, "");
}

static bool export_in_book(struct desk *desk, service_book *book, int k, base_messages *messages)
{
	g_autofree char *path = export_place(desk, k);

	return service_book_export(book, path, messages);
}
IN_BOOK(export, false)

static char *backup_place(const struct desk *desk, int k)
{
	return beside(desk, "backup", k, ".firn");
}

static bool backup_in_book(struct desk *desk, service_book *book, int k, base_messages *messages)
{
	g_autofree char *path = backup_place(desk, k);
	GError *error = NULL;

	if (store_backup(book->store, path, &error))
		return true;
	service_book_say(messages, path, error);
	return false;
}
IN_BOOK(backup, false)

/* The name of a book: a file, or a database of the server. */
static char *book_place(const struct desk *desk, const char *letters, int k)
{
	const char *slash;

	if (desk->server == NULL)
		return beside(desk, letters, k, ".firn");
	slash = strchr(strchr(desk->server, ':') + 3, '/');
	return g_strdup_printf("%.*s/%s%d%s", (int)(slash - desk->server), desk->server, letters, k,
			       strchr(slash, '?'));
}

static bool make_database(const struct desk *desk, const char *letters, int k)
{
	g_autofree char *text = g_strdup_printf("CREATE DATABASE %s%d", letters, k);
	PGconn *pg;
	PGresult *result;
	bool good;

	if (desk->server == NULL)
		return true;
	pg = PQconnectdb(desk->server);
	result = PQexec(pg, text);
	good = PQresultStatus(result) == PGRES_COMMAND_OK;
	PQclear(result);
	PQfinish(pg);
	return good;
}

static char *import_place(const struct desk *desk, int k)
{
	return book_place(desk, "imported", k);
}

static bool import_database(struct desk *desk, int k, base_messages *messages)
{
	(void)messages;
	return make_database(desk, "imported", k);
}

static bool import(struct desk *desk, int k, base_messages *messages)
{
	g_autofree char *path = import_place(desk, k);

	return service_book_import_folder(desk->exported, path, messages);
}

static char *create_place(const struct desk *desk, int k)
{
	return book_place(desk, "created", k);
}

static bool create_database(struct desk *desk, int k, base_messages *messages)
{
	(void)messages;
	return make_database(desk, "created", k);
}

static bool create(struct desk *desk, int k, base_messages *messages)
{
	g_autofree char *path = create_place(desk, k);
	const struct service_beginning b = { .where = path,
					     .laboratory = "Hollowmere Thermometry",
					     .address = "1 Mere Lane",
					     .person = "ada",
					     .name = "Ada",
					     .simulated = true,
					     .time_us = TIME_US };

	return service_book_create(&b, messages);
}

const struct act book_acts[] = {
	{ "create", create_database, create, create_place, true },
	{ "put", NULL, put_person, NULL, false },
	{ "change", NULL, change_record, NULL, false },
	{ "load", write_acts, load, NULL, false },
	{ "plan", NULL, plan, NULL, false },
	{ "readings", open_visit, readings, NULL, false },
	{ "transcribe", old_visit, transcribe, NULL, false },
	{ "add rows", NULL, add_rows, NULL, false },
	{ "seal", add_rows, seal, NULL, false },
	{ "import", import_database, import, import_place, true },
	{ "backup", NULL, backup, backup_place, true },
	{ "export", NULL, export, export_place, false },
	{ "job", NULL, job, NULL, false },
	{ "reduce", job, reduce, NULL, false },
	{ "agree", up_to_reduced, agree, NULL, false },
	{ "issue", up_to_agreed, issue, NULL, false },
	{ NULL, NULL, NULL, NULL, false },
};

/* ---- before all of it ---- */

static bool write_files(const struct desk *desk)
{
	static const char map[] = "kind: map of old readings\n"
				  "separator: semicolon\n"
				  "decimal: comma\n"
				  "date_order: day month year\n"
				  "zone: \"+01:00\"\n"
				  "columns: {date: D, time: T, current: I, ratio: X}\n"
				  "units: {current: A}\n";
	static const char old[] = "D;T;I;X\n"
				  "24.3.2019;9:30:00;0,001;0,255010123\n"
				  "24.3.2019;9:30:10;0,001;0,255010125\n";
	static const char readings_csv[] = "time,current_mA,ratio\n"
					   "2031-06-01T12:00:00Z,1,0.255010123\n"
					   "2031-06-01T12:00:10Z,1,0.255010125\n";
	g_autofree char *map_path = g_build_filename(desk->folder, "map.yaml", NULL);
	g_autofree char *old_path = g_build_filename(desk->folder, "old.csv", NULL);
	g_autofree char *path = g_build_filename(desk->folder, "readings.csv", NULL);

	return g_file_set_contents(map_path, map, -1, NULL) &&
	       g_file_set_contents(old_path, old, -1, NULL) &&
	       g_file_set_contents(path, readings_csv, -1, NULL);
}

/* Who may do what, in a scope that holds the job, without certificates of its equipment. */
static bool first_in_book(struct desk *desk, service_book *book, int k, base_messages *messages)
{
	const struct service_act act = by("ada");
	json_t *scope =
	    json_pack("{s[{si si sf}]}", "scope", "low_C", -260, "high_C", 1000, "U_mK", 0.01);
	const bool good =
	    put(book, "person", "bo", person_who("Bo", "operate"), messages) &&
	    put(book, "person", "dee", person_who("Dee", "check"), messages) &&
	    put(book, "person", "cy", person_who("Cy", "issue"), messages) &&
	    put(book, "thermometer", "T1",
		json_pack("{s{sf} ss}", "job", "nominal_ohm", 25.5, "state", "in service"),
		messages) &&
	    put(book, "limits", "acts",
		json_pack("{ss s[{ss si ss ss}]}", "from", "2020-01-01", "limits", "name",
			  "equipment_certificates", "value", 0, "unit", "1", "source", "of tests"),
		messages) &&
	    service_book_change(book, &act, "laboratory", "laboratory", scope, 0, messages);

	(void)desk, (void)k;
	json_decref(scope);
	return good;
}

bool desk_open(struct desk *desk, const char *server, const char *job_file, base_messages *messages)
{
	job_path = job_file;
	*desk = (struct desk){ .server = server };
	desk->folder = g_dir_make_tmp("firn-acts-XXXXXX", NULL);
	desk->place = create_place(desk, 0);
	desk->exported = export_place(desk, 0);
	return write_files(desk) && make_database(desk, "created", 0) &&
	       create(desk, 0, messages) && in_book(desk, first_in_book, 0, true, messages) &&
	       open_visit(desk, 0, messages) && readings(desk, 0, messages) &&
	       add_rows(desk, 0, messages) && export(desk, 0, messages);
}

void desk_close(struct desk *desk)
{
	g_free(desk->place);
	g_free(desk->folder);
	g_free(desk->exported);
}
