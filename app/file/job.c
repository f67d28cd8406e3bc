#include "app/file/job.h"

#include "app/base/file.h"
#include "app/base/suggest.h"
#include "app/file/job_parts.h"
#include "app/file/kind.h"
#include "app/file/readings.h"
#include "app/file/text.h"

#include <string.h>

static void note_mark(void *context, const char *path, struct base_mark mark)
{
	lab_calibration_set_mark(context, path, mark);
}

void file_job_named(struct file_job *job, struct file_map *top, const char *section,
		    const char *singular, file_job_one *one)
{
	const struct file_node *things = file_named_things(top, section);

	if (things == NULL ? file_has_like(top, section)
			   : things->repeated_keys || top->node->repeated_keys)
		g_hash_table_add(job->incomplete, (gpointer)singular);

	for (const struct file_node *n = things != NULL ? things->first : NULL; n != NULL;
	     n = n->next) {
		g_autofree char *what = g_strdup_printf("%s %s", singular, n->key);
		g_autofree char *path = g_strdup_printf("%s.%s", singular, n->key);
		struct file_map map;

		file_map_open(&map, &job->reader, n, what, path);
		one(job, &map, n->key);
		file_map_close(&map);
	}
}

bool file_job_add_id(struct file_job *job, const char *kind, const char *name, guint index)
{
	g_autofree char *id = g_strdup_printf("%s.%s", kind, name);

	if (g_hash_table_contains(job->ids, id))
		return false;
	return g_hash_table_insert(job->ids, g_steal_pointer(&id), GUINT_TO_POINTER(index + 1));
}

static GPtrArray *names_of(const struct file_job *job, const char *kind)
{
	GPtrArray *names = g_ptr_array_new();
	GHashTableIter iter;
	gpointer key;

	g_hash_table_iter_init(&iter, job->ids);
	while (g_hash_table_iter_next(&iter, &key, NULL)) {
		const char *id = key;
		const size_t n = strlen(kind);

		if (strncmp(id, kind, n) == 0 && id[n] == '.')
			g_ptr_array_add(names, (gpointer)(id + n + 1));
	}
	return names;
}

static gint compare_names(gconstpointer a, gconstpointer b)
{
	return g_strcmp0(*(const char *const *)a, *(const char *const *)b);
}

int file_job_resolve(struct file_job *job, const struct file_node *node, const char *name,
		     const char *kind)
{
	const char *text = file_node_text(&job->reader, node, name);

	if (text == NULL)
		return -1;
	g_autofree char *id = g_strdup_printf("%s.%s", kind, text);
	const guint index = GPOINTER_TO_UINT(g_hash_table_lookup(job->ids, id));
	if (index > 0)
		return (int)index - 1;

	g_autoptr(GPtrArray) names = names_of(job, kind);
	g_ptr_array_sort(names, compare_names);
	g_autofree char *shown = file_quote(text);
	g_ptr_array_add(names, NULL);
	/* One name that is not there is one mistake, however often it is used. */
	if (g_hash_table_contains(job->incomplete, kind) ||
	    !g_hash_table_add(job->unknown, g_strdup(id)))
		return -1;

	/* Numbers resemble each other without meaning the same. */
	const bool is_number = text[strspn(text, "0123456789")] == '\0';
	const char *near = is_number ? NULL : base_suggest(text, (const char *const *)names->pdata);
	g_autofree char *all = file_join_words((const char *const *)names->pdata);
	if (near != NULL)
		file_wrong(&job->reader, node->mark, "there is no %s %s; did you mean %s?", kind,
			   shown, near);
	else if (names->len > 1 && names->len < 20)
		file_wrong(&job->reader, node->mark, "there is no %s %s; this job has %s", kind,
			   shown, all);
	else
		file_wrong(&job->reader, node->mark, "there is no %s %s; describe it under %ss",
			   kind, shown, kind);
	return -1;
}

int file_job_reference(struct file_job *job, struct file_map *map, const char *key,
		       const char *kind)
{
	const struct file_node *node = file_get(map, key);

	return node == NULL ? -1 : file_job_resolve(job, node, key, kind);
}

char *file_job_text(struct file_job *job, struct file_map *map, const char *key)
{
	return lab_calibration_text(job->c, file_text(map, key));
}

static void add_input(struct lab_calibration *c, const char *path, GBytes *bytes)
{
	gsize n;
	const void *data = g_bytes_get_data(bytes, &n);
	g_autofree char *sha256 = base_sha256(data, n);
	const struct lab_file_id id = { lab_calibration_text(c, path),
					lab_calibration_text(c, sha256) };

	g_array_append_val(c->inputs, id);
}

static bool is_same_path(const char *a, const char *b)
{
	g_autofree char *full_a = g_canonicalize_filename(a, NULL);
	g_autofree char *full_b = g_canonicalize_filename(b, NULL);

	return g_str_equal(full_a, full_b);
}

/* The path of the readings counts from the folder of the job. */
static void read_readings(struct file_job *job, struct file_map *top)
{
	const char *name = file_text(top, "readings");
	struct lab_calibration *c = job->c;
	g_autoptr(GError) error = NULL;

	if (name == NULL) {
		if (!file_has(top, "readings"))
			file_missing(top, "readings",
				     "name the CSV file, as in readings: readings.csv");
		return;
	}
	g_autofree char *folder = g_path_get_dirname(c->path);
	g_autofree char *path = g_path_is_absolute(name) || g_str_equal(folder, ".")
				    ? g_strdup(name)
				    : g_build_filename(folder, name, NULL);
	c->readings_path = lab_calibration_text(c, path);
	if (is_same_path(path, c->path)) {
		base_messages_add(job->reader.messages, BASE_ERROR, c->path,
				  lab_calibration_mark(c, "readings"),
				  "readings is %s, the job itself; name the CSV file with the "
				  "readings",
				  name);
		return;
	}

	g_autoptr(GBytes) bytes =
	    job->readings != NULL
		? g_bytes_ref(job->readings)
		: base_file_read(path, FILE_READINGS_LIMIT, "a set of readings", &error);
	if (bytes == NULL) {
		base_messages_add(job->reader.messages, base_file_error_kind(error), c->path,
				  lab_calibration_mark(c, "readings"), "%s cannot be read: %s",
				  name, error->message);
		return;
	}
	add_input(c, path, bytes);
	file_read_readings(&(struct file_readings){ .path = path,
						    .bytes = bytes,
						    .calibration = c,
						    .no_ratio = (const bool *)job->no_ratio->data,
						    .visits_complete = job->visits_complete,
						    .messages = job->reader.messages });
}

static void read_sections(struct file_job *job, const struct file_node *root)
{
	struct file_map top;

	file_map_open(&top, &job->reader, root, "the job", "");
	if (file_kind_is(&top, FILE_FIXED_POINT_CALIBRATION, "visits")) {
		file_job_thermometer(job, &top);
		file_job_resistors(job, &top);
		file_job_bridges(job, &top);
		file_job_cells(job, &top);
		file_job_visits(job, &top);
		file_job_events(job, &top);
		file_job_settings(job, &top);
		file_job_papers(job, &top);
		read_readings(job, &top);
	} else {
		top.node = NULL; /* of another kind: its keys are no mistakes */
	}
	file_map_close(&top);
}

lab_calibration *file_read_calibration(const char *path, base_messages *messages)
{
	g_autoptr(GBytes) bytes = file_yaml_bytes(path, messages);

	return bytes == NULL ? NULL : file_parse_calibration(path, bytes, NULL, messages);
}

lab_calibration *file_parse_calibration(const char *path, GBytes *bytes, GBytes *readings,
					base_messages *messages)
{
	const size_t errors =
	    base_messages_count(messages, BASE_ERROR) + base_messages_count(messages, BASE_FAILURE);
	g_autoptr(lab_calibration) c = lab_calibration_new();
	g_autoptr(file_yaml) yaml = file_yaml_parse(path, bytes, messages);

	if (yaml == NULL)
		return NULL;

	struct file_job job = {
		.reader = { .file = path, .messages = messages, .note = note_mark, .context = c },
		.c = c,
		.readings = readings,
		.ids = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL),
		.incomplete = g_hash_table_new(g_str_hash, g_str_equal),
		.unknown = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL),
		.no_ratio = g_array_new(FALSE, TRUE, sizeof(bool)),
	};
	c->path = lab_calibration_text(c, path);
	add_input(c, path, bytes);
	read_sections(&job, file_yaml_root(yaml));
	g_hash_table_unref(job.ids);
	g_hash_table_unref(job.incomplete);
	g_hash_table_unref(job.unknown);
	g_array_unref(job.no_ratio);
	base_messages_sort(messages);
	return base_messages_count(messages, BASE_ERROR) +
			   base_messages_count(messages, BASE_FAILURE) ==
		       errors
		   ? g_steal_pointer(&c)
		   : NULL;
}
