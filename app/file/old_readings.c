#include "app/file/old_readings.h"

#include "app/base/file.h"
#include "app/base/time.h"
#include "app/file/kind.h"
#include "app/file/number.h"
#include "app/file/old_map.h"
#include "app/file/text.h"
#include "firn/number.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define MOST_FIELDS   64
#define MOST_MESSAGES 20

/* One line cut into fields. */
struct row {
	const char *line; /* where it starts in the bytes of the file */
	char *fields[MOST_FIELDS];
	size_t starts[MOST_FIELDS]; /* of each field within the line */
	int n, number;              /* fields; number of the line */
};

struct table {
	const struct old_map *map;
	const char *path;
	int where[OLD_COLUMNS]; /* place of each column; -1: not there */
	struct file_old_readings *to;
	base_messages *messages;
	int wrong;
};

static void wrong_at(struct table *t, const struct row *row, int field, const char *format, ...)
    G_GNUC_PRINTF(4, 5);
static void wrong_at(struct table *t, const struct row *row, int field, const char *format, ...)
{
	g_autofree char *text = NULL;
	const bool has_place = field >= 0 && field < row->n;
	const int column =
	    has_place ? (int)g_utf8_strlen(row->line, (gssize)row->starts[field]) + 1 : 1;
	va_list arguments;

	if (++t->wrong > MOST_MESSAGES)
		return;
	va_start(arguments, format);
	text = g_strdup_vprintf(format, arguments);
	va_end(arguments);
	base_messages_add(t->messages, BASE_ERROR, t->path,
			  (struct base_mark){ row->number, column }, "%s", text);
}

/* ---- lines and fields ---- */

static void cut(struct row *row, const char *line, size_t length, char separator)
{
	size_t start = 0;

	row->line = line;
	row->n = 0;
	for (size_t i = 0; i <= length && row->n < MOST_FIELDS; i++) {
		if (i < length && line[i] != separator)
			continue;
		row->starts[row->n] = start;
		row->fields[row->n] = g_strstrip(g_strndup(line + start, i - start));
		row->n++;
		start = i + 1;
	}
}

static void drop(struct row *row)
{
	for (int i = 0; i < row->n; i++)
		g_free(row->fields[i]);
	row->n = 0;
}

/* The text of a column; NULL where the row has none. */
static const char *text_of(const struct table *t, const struct row *row, enum old_column column)
{
	const int place = t->where[column];

	return place >= 0 && place < row->n && row->fields[place][0] != '\0' ? row->fields[place]
									     : NULL;
}

/* ---- values ---- */

/* With the map's decimal mark, in the unit that the book has: the exponent is written behind. */
static double number_of(struct table *t, const struct row *row, enum old_column column)
{
	const char *text = text_of(t, row, column);
	g_autofree char *plain = NULL, *shown = NULL;
	double x;

	if (text == NULL)
		return (double)NAN;
	plain = t->map->exponent[column] == 0
		    ? g_strdup(text)
		    : g_strdup_printf("%se%d", text, t->map->exponent[column]);
	if (t->map->decimal_comma) {
		if (strchr(plain, '.') != NULL)
			*strchr(plain, '.') = '?'; /* a point means something else there */
		g_strdelimit(plain, ",", '.');
	}
	if (firn_number_parse(plain, strlen(plain), &x) == FIRN_OK)
		return x;
	shown = file_quote(text);
	wrong_at(t, row, t->where[column], "%s is %s; a number with a decimal %s and nothing else",
		 old_column_names[column], shown, t->map->decimal_comma ? "comma" : "point");
	return (double)NAN;
}

/* Day, month and year in the order of the map. */
static bool date_of(const struct old_map *map, const char *text, char ret[16])
{
	int a, b, c, used = 0;
	const int *year = &c, *month = &b, *day = &a;

	if (sscanf(text, "%4d%*1[./-]%2d%*1[./-]%4d%n", &a, &b, &c, &used) != 3 ||
	    text[used] != '\0')
		return false;
	if (map->date_order == OLD_YEAR_MONTH_DAY) {
		year = &a;
		day = &c;
	} else if (map->date_order == OLD_MONTH_DAY_YEAR) {
		month = &a;
		day = &b;
	}
	if (*year < 1900 || *year > 9999 || *month < 0 || *day < 0)
		return false;
	g_snprintf(ret, 16, "%04d-%02d-%02d", *year, *month, *day);
	return base_date_is_valid(ret);
}

static int64_t time_of(struct table *t, const struct row *row)
{
	const char *time = text_of(t, row, OLD_TIME), *date = text_of(t, row, OLD_DATE);
	g_autofree char *both = NULL, *full = NULL;
	char day[16];
	int64_t us;

	if (time == NULL && date == NULL)
		return BASE_NO_TIME;
	both = date != NULL ? g_strdup_printf("%s %s", date, time != NULL ? time : "")
			    : g_strdup(time);
	g_strstrip(both);
	if (strchr(both, ' ') != NULL) {
		char *clock = strchr(both, ' ');

		*clock++ = '\0';
		g_strdelimit(clock, ",", '.');
		if (date_of(t->map, both, day)) {
			full = g_strdup_printf("%sT%s%s%s", day, clock[1] == ':' ? "0" : "", clock,
					       strlen(clock) <= 5 ? ":00" : "");
			g_autofree char *zoned = g_strconcat(full, t->map->zone, NULL);
			if (base_time_parse(zoned, strlen(zoned), &us) == NULL)
				return us;
		}
	}
	wrong_at(t, row, t->where[date != NULL ? OLD_DATE : OLD_TIME],
		 "this is no date and time in the order %s, such as %s",
		 old_order_names[t->map->date_order],
		 t->map->date_order == OLD_YEAR_MONTH_DAY   ? "2019-03-24 09:30:00"
		 : t->map->date_order == OLD_DAY_MONTH_YEAR ? "24.3.2019 09:30:00"
							    : "3/24/2019 09:30:00");
	return BASE_NO_TIME;
}

static void read_row(struct table *t, const struct row *row)
{
	const char *flag = text_of(t, row, OLD_FLAG);
	const int before = t->wrong;
	struct lab_reading r = {
		.time_us = time_of(t, row),
		.current_mA = number_of(t, row, OLD_CURRENT),
		.ratio = number_of(t, row, OLD_RATIO),
		.resistance_ohm = number_of(t, row, OLD_RESISTANCE),
		.bath_C = number_of(t, row, OLD_BATH),
		.flag = flag != NULL ? g_string_chunk_insert(t->to->text, flag) : NULL,
		.set_aside = flag != NULL && g_str_has_prefix(flag, "set aside"),
		.line = row->number,
	};

	if (t->where[OLD_CURRENT] < 0)
		r.current_mA = t->map->current_mA;
	if (isnan(r.current_mA) && t->wrong == before)
		wrong_at(t, row, t->where[OLD_CURRENT],
			 "the row has no current; without it there is no reading");
	if (isnan(r.ratio) == isnan(r.resistance_ohm) && !r.set_aside && t->wrong == before)
		wrong_at(t, row, t->where[OLD_RATIO],
			 "the row has no reading, or two; give ratio or resistance");
	r.current_A = 1e-3 * r.current_mA;
	g_array_append_val(t->to->readings, r);
}

/* ---- the file ---- */

static void find_columns(struct table *t, const struct row *row)
{
	for (int c = 0; c < OLD_COLUMNS; c++) {
		t->where[c] = -1;
		if (t->map->columns[c] == NULL)
			continue;
		for (int i = 0; i < row->n; i++)
			if (strcmp(row->fields[i], t->map->columns[c]) == 0)
				t->where[c] = i;
		if (t->where[c] < 0)
			wrong_at(t, row, -1,
				 "the header has no column \"%s\", which the map names for %s",
				 t->map->columns[c], old_column_names[c]);
	}
}

static void read_lines(struct table *t, const char *text, size_t length)
{
	struct row row = { .n = 0 };
	const char *at = text + file_text_bom(text, length), *end = text + length;
	bool header = true;

	for (row.number = 1; at < end && t->wrong <= MOST_MESSAGES; row.number++) {
		const char *feed = memchr(at, '\n', (size_t)(end - at));
		size_t n = feed != NULL ? (size_t)(feed - at) : (size_t)(end - at);
		const size_t whole = n + 1;

		if (n > 0 && at[n - 1] == '\r')
			n--;
		cut(&row, at, n, t->map->separator);
		if (n > 0 && header)
			find_columns(t, &row);
		else if (n > 0 && t->wrong <= MOST_MESSAGES)
			read_row(t, &row);
		header = header && n == 0;
		drop(&row);
		if (!header && t->wrong > 0 && t->to->readings->len == 0)
			return; /* a wrong header makes no sense of any row */
		at += MIN(whole, (size_t)(end - at));
	}
}

void file_old_readings_clear(struct file_old_readings *readings)
{
	g_clear_pointer(&readings->readings, g_array_unref);
	g_clear_pointer(&readings->text, g_string_chunk_free);
}

bool file_parse_old_readings(const char *path, GBytes *bytes, const char *map_path,
			     GBytes *map_bytes, struct file_old_readings *ret,
			     base_messages *messages)
{
	struct old_map map = { 0 };
	struct table t = { .map = &map, .path = path, .to = ret, .messages = messages };
	gsize n;
	const char *text = g_bytes_get_data(bytes, &n);
	bool good = old_map_parse(map_path, map_bytes, &map, messages);

	*ret = (struct file_old_readings){ g_array_new(FALSE, TRUE, sizeof(struct lab_reading)),
					   g_string_chunk_new(256) };
	good = good && file_text_check(path, text, n, messages);
	if (good)
		read_lines(&t, text, n);
	good = good && t.wrong == 0;
	old_map_clear(&map);
	if (!good)
		file_old_readings_clear(ret);
	return good;
}

bool file_read_old_readings(const char *path, const char *map_path, struct file_old_readings *ret,
			    base_messages *messages)
{
	g_autoptr(GError) error = NULL;
	g_autoptr(GBytes) bytes = base_file_read(path, (size_t)1 << 30, "readings", &error);
	g_autoptr(GBytes) map_bytes = file_yaml_bytes(map_path, messages);

	*ret = (struct file_old_readings){ NULL, NULL };
	if (bytes == NULL)
		base_messages_add(messages, base_file_error_kind(error), path,
				  (struct base_mark){ 0, 0 }, "%s", error->message);
	return bytes != NULL && map_bytes != NULL &&
	       file_parse_old_readings(path, bytes, map_path, map_bytes, ret, messages);
}
