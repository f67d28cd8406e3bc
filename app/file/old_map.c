#include "app/file/old_map.h"

#include "app/base/time.h"
#include "app/file/read.h"

#include <math.h>
#include <string.h>

const char *const old_column_names[] = { "date",       "time", "current", "ratio",
					 "resistance", "bath", "flag",    NULL };
const char *const old_order_names[] = { "year month day", "day month year", "month day year",
					NULL };

static const struct file_range current = { 0.0, 100.0, true, false,
					   "a current is in milliampere, above 0 to 100" };

/* Units that a column may be in, and the power of ten to the book's own. */
struct unit {
	const char *name;
	int exponent;
};
static const struct unit current_units[] = { { "mA", 0 }, { "A", 3 }, { "uA", -3 }, { NULL, 0 } };
static const struct unit ohm_units[] = { { "ohm", 0 }, { "kohm", 3 }, { "mohm", -3 }, { NULL, 0 } };

static void read_unit(struct file_map *units, const char *key, const struct unit *known, int *ret)
{
	const char *words[8] = { NULL };
	int found;

	for (int i = 0; known[i].name != NULL; i++)
		words[i] = known[i].name;
	found = file_choice(units, key, words);
	if (found >= 0)
		*ret = known[found].exponent;
}

static void read_columns(struct file_map *top, struct old_map *map)
{
	const struct file_node *node = file_get(top, "columns");
	struct file_map columns;

	if (node == NULL) {
		file_missing(top, "columns",
			     "say which column of the file is which, as in columns: "
			     "{time: Time, current: I, ratio: X}");
		return;
	}
	file_map_open(&columns, top->reader, node, "columns", "columns");
	for (int c = 0; c < OLD_COLUMNS; c++)
		map->columns[c] = g_strdup(file_text(&columns, old_column_names[c]));
	file_map_close(&columns);
}

static void read_units(struct file_map *top, struct old_map *map)
{
	const struct file_node *node = file_get(top, "units");
	struct file_map units;

	if (node == NULL) {
		file_missing(top, "units",
			     "state them, as in units: {current: mA}; nothing is "
			     "guessed");
		return;
	}
	file_map_open(&units, top->reader, node, "units", "units");
	if (map->columns[OLD_CURRENT] != NULL && !file_has(&units, "current"))
		file_missing(&units, "current", "mA, A or uA");
	if (map->columns[OLD_RESISTANCE] != NULL && !file_has(&units, "resistance"))
		file_missing(&units, "resistance", "ohm, kohm or mohm");
	read_unit(&units, "current", current_units, &map->exponent[OLD_CURRENT]);
	read_unit(&units, "resistance", ohm_units, &map->exponent[OLD_RESISTANCE]);
	file_map_close(&units);
}

static void read_zone(struct file_map *top, struct old_map *map)
{
	const char *zone = file_text(top, "zone");
	g_autofree char *sample = g_strconcat("2000-01-01T00:00:00", zone, NULL);
	int64_t unused;

	if (zone == NULL)
		file_missing(top, "zone",
			     "give the offset of its clock from UTC, as in zone: "
			     "\"+01:00\"");
	else if (base_time_parse(sample, strlen(sample), &unused) != NULL)
		file_wrong(top->reader, file_key_mark(top, "zone"),
			   "zone is no offset from UTC; write \"+01:00\", \"-05:00\" or Z");
	map->zone = g_strdup(zone != NULL ? zone : "Z");
}

/* One of the words, which must be said: in old files nothing is guessed. */
static int said(struct file_map *top, const char *key, const char *const *words, const char *remedy)
{
	const int found = file_choice(top, key, words);

	if (!file_has(top, key))
		file_missing(top, key, remedy);
	return found < 0 ? 0 : found;
}

static void read_map(struct file_map *top, struct old_map *map)
{
	static const char separators[] = { ',', ';', '\t' };
	static const char *const kinds[] = { "map of old readings", NULL };
	static const char *const separator_words[] = { "comma", "semicolon", "tab", NULL };
	static const char *const decimal_words[] = { "point", "comma", NULL };

	said(top, "kind", kinds, "write kind: map of old readings");
	map->separator =
	    separators[said(top, "separator", separator_words, "comma, semicolon or tab")];
	map->decimal_comma = said(top, "decimal", decimal_words, "point or comma") == 1;
	map->date_order = (enum old_order)said(top, "date_order", old_order_names,
					       "year month day, day month year or month day year");
	read_zone(top, map);
	read_columns(top, map);
	read_units(top, map);
	map->current_mA = file_number(top, "current_mA", &current);
	if (map->columns[OLD_CURRENT] == NULL && !file_has(top, "current_mA"))
		file_missing(top, "current_mA",
			     "name a column current, or give the one current of all rows");
	if (map->columns[OLD_RATIO] == NULL && map->columns[OLD_RESISTANCE] == NULL)
		file_wrong(top->reader, file_key_mark(top, "columns"),
			   "no column is named for ratio or resistance; one of them holds the "
			   "readings");
}

bool old_map_parse(const char *path, GBytes *bytes, struct old_map *ret, base_messages *messages)
{
	const size_t before = base_messages_count(messages, BASE_ERROR);
	const struct file_reader reader = { .file = path, .messages = messages };
	g_autoptr(file_yaml) yaml = file_yaml_parse(path, bytes, messages);
	struct file_map top;

	if (yaml == NULL)
		return false;
	file_map_open(&top, &reader, file_yaml_root(yaml), "the map", "");
	read_map(&top, ret);
	file_map_close(&top);
	return base_messages_count(messages, BASE_ERROR) == before;
}

void old_map_clear(struct old_map *map)
{
	for (int c = 0; c < OLD_COLUMNS; c++)
		g_free(map->columns[c]);
	g_free(map->zone);
}
