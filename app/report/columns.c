#include "app/report/columns.h"

#include <stdbool.h>
#include <string.h>

#define MOST_COLUMNS 12
#define INDENT       2
#define GAP          2
#define ELLIPSIS     "…"

struct column {
	enum report_columns_kind kind;
	char *heading;
	int before, after; /* widest on either side of the point */
	int width;
};

struct report_columns {
	struct column of[MOST_COLUMNS];
	int n;
	GPtrArray *cells; /* char *, row by row */
};

int report_text_width(const char *text)
{
	int width = 0;

	for (const char *p = text; *p != '\0'; p = g_utf8_next_char(p)) {
		const gunichar c = g_utf8_get_char(p);

		width += g_unichar_iszerowidth(c) ? 0 : g_unichar_iswide(c) ? 2 : 1;
	}
	return width;
}

report_columns *report_columns_new(void)
{
	report_columns *columns = g_new0(report_columns, 1);

	columns->cells = g_ptr_array_new_with_free_func(g_free);
	return columns;
}

void report_columns_add(report_columns *columns, enum report_columns_kind kind, const char *heading)
{
	g_assert(columns->n < MOST_COLUMNS && columns->cells->len == 0);
	columns->of[columns->n++] = (struct column){ .kind = kind, .heading = g_strdup(heading) };
}

void report_columns_cell(report_columns *columns, const char *text)
{
	g_ptr_array_add(columns->cells, g_utf8_make_valid(text == NULL ? "" : text, -1));
}

static char **cell_at(const report_columns *columns, guint row, int i)
{
	return (char **)&g_ptr_array_index(columns->cells, row * (guint)columns->n + (guint)i);
}

/* Width of what stands before the point; all of it when there is none. */
static int width_before(enum report_columns_kind kind, const char *text)
{
	const char *point = kind == REPORT_COLUMNS_DECIMAL ? strchr(text, '.') : NULL;
	g_autofree char *before =
	    g_strndup(text, point == NULL ? strlen(text) : (size_t)(point - text));

	return report_text_width(before);
}

static int measure(report_columns *columns, guint rows)
{
	int sum = INDENT - GAP;

	for (int i = 0; i < columns->n; i++) {
		struct column *column = &columns->of[i];

		column->before = column->after = 0;
		for (guint row = 0; row < rows; row++) {
			const char *text = *cell_at(columns, row, i);
			const int before = width_before(column->kind, text);

			column->before = MAX(column->before, before);
			column->after = MAX(column->after, report_text_width(text) - before);
		}
		column->width =
		    MAX(column->before + column->after, report_text_width(column->heading));
		sum += column->width + GAP;
	}
	return sum;
}

static void cut(char **text, int width)
{
	while (report_text_width(*text) > width) {
		g_autofree char *shorter =
		    g_utf8_substring(*text, 0, MAX(0, g_utf8_strlen(*text, -1) - 2));

		g_free(*text);
		*text = g_strconcat(shorter, ELLIPSIS, NULL);
	}
}

/* Cuts the texts of the widest left column until the rows fit. */
static void make_fit(report_columns *columns, guint rows)
{
	int over;

	while ((over = measure(columns, rows) - REPORT_TEXT_WIDTH) > 0) {
		int widest = -1;

		for (int i = 0; i < columns->n; i++) {
			const struct column *c = &columns->of[i];

			if (c->kind == REPORT_COLUMNS_LEFT && c->before > 8 &&
			    (widest < 0 || c->before > columns->of[widest].before))
				widest = i;
		}
		if (widest < 0)
			return;
		const int width = MAX(8, columns->of[widest].before - over);
		for (guint row = 0; row < rows; row++)
			cut(cell_at(columns, row, widest), width);
		if (report_text_width(columns->of[widest].heading) > width)
			cut(&columns->of[widest].heading, width);
	}
}

static void add_spaces(GString *to, int n)
{
	for (int i = 0; i < n; i++)
		g_string_append_c(to, ' ');
}

static void print_cell(const struct column *column, const char *text, bool heading, GString *to)
{
	const int width = report_text_width(text);
	int left = 0;

	if (column->kind == REPORT_COLUMNS_RIGHT ||
	    (heading && column->kind == REPORT_COLUMNS_DECIMAL))
		left = column->width - width;
	else if (column->kind == REPORT_COLUMNS_DECIMAL)
		left = column->width - column->after - width_before(column->kind, text);
	add_spaces(to, left);
	g_string_append(to, text);
	add_spaces(to, column->width - left - width);
}

static void end_line(GString *to)
{
	while (to->len > 0 && to->str[to->len - 1] == ' ')
		g_string_truncate(to, to->len - 1);
	g_string_append_c(to, '\n');
}

void report_columns_print(report_columns *columns, GString *to)
{
	const guint rows = columns->cells->len / (guint)columns->n;

	make_fit(columns, rows);
	for (int i = 0; i < columns->n; i++) {
		add_spaces(to, i == 0 ? INDENT : GAP);
		print_cell(&columns->of[i], columns->of[i].heading, true, to);
	}
	end_line(to);
	for (guint row = 0; row < rows; row++) {
		for (int i = 0; i < columns->n; i++) {
			add_spaces(to, i == 0 ? INDENT : GAP);
			print_cell(&columns->of[i], *cell_at(columns, row, i), false, to);
		}
		end_line(to);
	}
	for (int i = 0; i < columns->n; i++)
		g_free(columns->of[i].heading);
	g_ptr_array_unref(columns->cells);
	g_free(columns);
}

void report_wrap(GString *to, const char *text, int hang)
{
	g_autofree char *valid = g_utf8_make_valid(text, -1);
	int at = 0;

	for (const char *p = valid; *p != '\0';) {
		const size_t blanks = strspn(p, " \n"), n = strcspn(p + blanks, " \n");
		g_autofree char *word = g_strndup(p + blanks, n);
		const int width = report_text_width(word);

		if (at > 0 && at + (int)blanks + width > REPORT_TEXT_WIDTH) {
			g_string_append_c(to, '\n');
			add_spaces(to, hang);
			at = hang;
		} else {
			add_spaces(to, (int)blanks);
			at += (int)blanks;
		}
		g_string_append(to, word);
		at += width;
		p += blanks + n;
	}
	g_string_append_c(to, '\n');
}
