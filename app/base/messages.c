#include "app/base/messages.h"

#include <string.h>

/* Messages of one file made by one format. */
struct form {
	size_t n;
	struct base_message *last; /* the first beyond those that are all told; NULL: not yet */
};

struct base_messages {
	GPtrArray *list;
	GHashTable *forms;               /* file and format -> struct form */
	size_t untold[BASE_FAILURE + 1]; /* by kind */
};

static void message_free(gpointer data)
{
	struct base_message *message = data;

	g_free(message->file);
	g_free(message->text);
	g_free(message);
}

base_messages *base_messages_new(void)
{
	base_messages *messages = g_new0(base_messages, 1);

	messages->list = g_ptr_array_new_with_free_func(message_free);
	messages->forms = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);
	return messages;
}

void base_messages_free(base_messages *messages)
{
	if (messages == NULL)
		return;
	g_ptr_array_unref(messages->list);
	g_hash_table_unref(messages->forms);
	g_free(messages);
}

/* A message is one line, whatever the file put into it: no newline may forge a second message, and
   no control character may reach a terminal. */
static char *one_line(char *text)
{
	char *valid = g_utf8_make_valid(text, -1);

	g_free(text);
	for (char *p = valid; *p != '\0'; p++) {
		if ((unsigned char)*p < ' ' || *p == 0x7f)
			*p = ' ';
	}
	return valid;
}

/* The form of a message, counted; NULL for a text that the caller has made. */
static struct form *count_form(base_messages *messages, const char *file, const char *format)
{
	if (strcmp(format, "%s") == 0)
		return NULL;
	g_autofree char *key = g_strconcat(file, "\n", format, NULL);
	struct form *form = g_hash_table_lookup(messages->forms, key);

	if (form == NULL) {
		form = g_new0(struct form, 1);
		g_hash_table_insert(messages->forms, g_steal_pointer(&key), form);
	}
	form->n++;
	return form;
}

void base_messages_add_valist(base_messages *messages, enum base_message_kind kind,
			      const char *file, struct base_mark mark, const char *format,
			      va_list arguments)
{
	const char *of = file != NULL ? file : "";
	struct form *form = count_form(messages, of, format);

	if (form != NULL && form->n > BASE_MESSAGES_ALIKE + 1) {
		messages->untold[kind]++;
		return;
	}
	struct base_message *message = g_new0(struct base_message, 1);

	message->text = one_line(g_strdup_vprintf(format, arguments));
	message->kind = kind;
	message->file = one_line(g_strdup(of));
	message->mark = mark;
	g_ptr_array_add(messages->list, message);
	if (form != NULL && form->n > BASE_MESSAGES_ALIKE)
		form->last = message;
}

void base_messages_add(base_messages *messages, enum base_message_kind kind, const char *file,
		       struct base_mark mark, const char *format, ...)
{
	va_list arguments;

	va_start(arguments, format);
	base_messages_add_valist(messages, kind, file, mark, format, arguments);
	va_end(arguments);
}

size_t base_messages_count(const base_messages *messages, enum base_message_kind kind)
{
	size_t count = messages->untold[kind];

	for (size_t i = 0; i < base_messages_n(messages); i++)
		count += base_messages_at(messages, i)->kind == kind;
	return count;
}

size_t base_messages_n(const base_messages *messages)
{
	return messages->list->len;
}

const struct base_message *base_messages_at(const base_messages *messages, size_t i)
{
	return g_ptr_array_index(messages->list, i);
}

static guint message_hash(gconstpointer data)
{
	const struct base_message *m = data;

	return g_str_hash(m->text) ^ g_str_hash(m->file) ^
	       ((guint)m->mark.line * 31u + (guint)m->mark.column);
}

static gboolean message_equal(gconstpointer left, gconstpointer right)
{
	const struct base_message *a = left, *b = right;

	return a->kind == b->kind && a->mark.line == b->mark.line &&
	       a->mark.column == b->mark.column && strcmp(a->file, b->file) == 0 &&
	       strcmp(a->text, b->text) == 0;
}

static void remove_repeated(GPtrArray *list)
{
	g_autoptr(GHashTable) seen = g_hash_table_new(message_hash, message_equal);
	guint i = 0;

	while (i < list->len) {
		if (g_hash_table_add(seen, g_ptr_array_index(list, i)))
			i++;
		else
			g_ptr_array_remove_index(list, i);
	}
}

static gint compare(gconstpointer left, gconstpointer right, gpointer file_order)
{
	const struct base_message *a = *(struct base_message *const *)left;
	const struct base_message *b = *(struct base_message *const *)right;
	const gint file_a = GPOINTER_TO_INT(g_hash_table_lookup(file_order, a->file));
	const gint file_b = GPOINTER_TO_INT(g_hash_table_lookup(file_order, b->file));

	if (file_a != file_b)
		return file_a < file_b ? -1 : 1;
	if (a->mark.line != b->mark.line)
		return a->mark.line < b->mark.line ? -1 : 1;
	return (a->mark.column > b->mark.column) - (a->mark.column < b->mark.column);
}

/* The last that was kept of a form speaks for all that were not. */
static void say_how_many_more(base_messages *messages)
{
	GHashTableIter forms;
	gpointer value;

	g_hash_table_iter_init(&forms, messages->forms);
	while (g_hash_table_iter_next(&forms, NULL, &value)) {
		struct form *form = value;

		if (form->last != NULL && form->n > BASE_MESSAGES_ALIKE + 1) {
			g_autofree char *text = form->last->text;

			form->last->text = g_strdup_printf("and %" G_GSIZE_FORMAT
							   " more like this from here on: %s",
							   form->n - BASE_MESSAGES_ALIKE, text);
		}
		form->last = NULL; /* said once */
	}
}

/* g_ptr_array_sort_with_data is stable: what stands at one place stays in the order it was said. */
void base_messages_sort(base_messages *messages)
{
	g_autoptr(GHashTable) file_order = g_hash_table_new(g_str_hash, g_str_equal);

	say_how_many_more(messages);
	remove_repeated(messages->list);
	for (guint i = 0; i < messages->list->len; i++) {
		struct base_message *m = g_ptr_array_index(messages->list, i);

		if (!g_hash_table_contains(file_order, m->file))
			g_hash_table_insert(file_order, m->file, GINT_TO_POINTER((gint)i));
	}
	g_ptr_array_sort_with_data(messages->list, compare, file_order);
}

int base_messages_exit_status(const base_messages *messages)
{
	if (base_messages_count(messages, BASE_FAILURE) > 0)
		return 3;
	return base_messages_count(messages, BASE_ERROR) > 0 ? 2 : 0;
}

void base_messages_print(const base_messages *messages, FILE *to)
{
	for (size_t i = 0; i < base_messages_n(messages); i++) {
		const struct base_message *m = base_messages_at(messages, i);

		if (m->file[0] != '\0')
			fprintf(to, "%s:", m->file);
		if (m->mark.line > 0)
			fprintf(to, "%d:", m->mark.line);
		if (m->mark.line > 0 && m->mark.column > 0)
			fprintf(to, "%d:", m->mark.column);
		fprintf(to, "%s%s\n", m->file[0] != '\0' || m->mark.line > 0 ? " " : "", m->text);
	}
}

/* The texts hold no control characters: one_line() saw to that. */
static void print_json_text(const char *text, FILE *to)
{
	fputc('"', to);
	for (const char *p = text; *p != '\0'; p++) {
		if (*p == '"' || *p == '\\')
			fputc('\\', to);
		fputc(*p, to);
	}
	fputc('"', to);
}

static const char *kind_name(enum base_message_kind kind)
{
	switch (kind) {
	case BASE_ERROR:
		return "error";
	case BASE_RESERVATION:
		return "reservation";
	case BASE_FAILURE:
		break;
	}
	return "failure";
}

void base_messages_print_json(const base_messages *messages, FILE *to)
{
	fputc('[', to);
	for (size_t i = 0; i < base_messages_n(messages); i++) {
		const struct base_message *m = base_messages_at(messages, i);

		fprintf(to, "%s\n  {\"kind\": \"%s\", \"file\": ", i > 0 ? "," : "",
			kind_name(m->kind));
		print_json_text(m->file, to);
		fprintf(to, ", \"line\": %d, \"column\": %d, \"text\": ", m->mark.line,
			m->mark.column);
		print_json_text(m->text, to);
		fputc('}', to);
	}
	fputs(base_messages_n(messages) > 0 ? "\n]\n" : "]\n", to);
}
