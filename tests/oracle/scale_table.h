/* Rows of a CSV file in tests/oracle/data: fields by number, no quotes; '#' lines and the header
   are left out. The folder is found by FIRN_SOURCE. */
#ifndef TESTS_SCALE_TABLE_H
#define TESTS_SCALE_TABLE_H

#include "firn/number.h"
#include "firn/scale.h"
#include "tests/support/near.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { TABLE_MOST_FIELDS = 8 };

struct table {
	FILE *file;
	char line[512];
	const char *fields[TABLE_MOST_FIELDS];
	size_t n_fields;
	bool header_seen;
};

static inline struct table table_open(const char *name)
{
	const char *source = getenv("FIRN_SOURCE");
	struct table table = { 0 };
	char path[1024];

	assert_non_null(source);
	snprintf(path, sizeof(path), "%s/tests/oracle/data/%s", source, name);
	table.file = fopen(path, "r");
	assert_non_null(table.file);
	return table;
}

/* Whether there was another row; closes the file after the last. */
static inline bool table_next(struct table *table)
{
	char *at;

	do {
		if (fgets(table->line, sizeof(table->line), table->file) == NULL) {
			fclose(table->file);
			return false;
		}
		if (table->line[0] != '#' && !table->header_seen) {
			table->header_seen = true;
			table->line[0] = '#';
		}
	} while (table->line[0] == '#');
	table->line[strcspn(table->line, "\r\n")] = '\0';
	table->n_fields = 0;
	for (at = table->line; at != NULL && table->n_fields < TABLE_MOST_FIELDS;) {
		table->fields[table->n_fields++] = at;
		at = strchr(at, ',');
		if (at != NULL)
			*at++ = '\0';
	}
	return true;
}

static inline bool table_given(const struct table *table, size_t i)
{
	return table->fields[i][0] != '\0';
}

static inline double table_number(const struct table *table, size_t i)
{
	double x = 0.0;

	assert_true(i < table->n_fields);
	assert_int_equal(firn_number_parse(table->fields[i], strlen(table->fields[i]), &x),
			 FIRN_OK);
	return x;
}

static inline enum firn_subrange_id table_subrange(const struct table *table, size_t i)
{
	for (int id = 0; id < FIRN_SUBRANGES; id++)
		if (strcmp(firn_scale_subrange((enum firn_subrange_id)id)->name,
			   table->fields[i]) == 0)
			return (enum firn_subrange_id)id;
	fail_msg("no subrange %s", table->fields[i]);
	return FIRN_SUBRANGES;
}

#endif
