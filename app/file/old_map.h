/* What a map of old readings says. For old_readings.c alone. */
#ifndef FILE_OLD_MAP_H
#define FILE_OLD_MAP_H

#include "app/base/messages.h"

#include <glib.h>
#include <stdbool.h>

enum old_column {
	OLD_DATE,
	OLD_TIME,
	OLD_CURRENT,
	OLD_RATIO,
	OLD_RESISTANCE,
	OLD_BATH,
	OLD_FLAG,
	OLD_COLUMNS
};
extern const char *const old_column_names[]; /* "date", "time", ...; ends with NULL */

enum old_order { OLD_YEAR_MONTH_DAY, OLD_DAY_MONTH_YEAR, OLD_MONTH_DAY_YEAR };
extern const char *const old_order_names[];

struct old_map {
	char separator;
	bool decimal_comma;
	enum old_order date_order;
	char *zone;                 /* "+01:00" or "Z" */
	char *columns[OLD_COLUMNS]; /* NULL: not there */
	int exponent[OLD_COLUMNS];  /* of ten, from the column's unit to the book's */
	double current_mA;          /* where no column has it; NaN otherwise */
};

/* The path is for messages. ret is to be cleared either way. */
bool old_map_parse(const char *path, GBytes *bytes, struct old_map *ret, base_messages *messages);
void old_map_clear(struct old_map *map);

#endif
