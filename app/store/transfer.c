/* A whole book from one database to another, row by row in the order in which its rules take them.
 */
#include "app/store/transfer.h"

#include "app/store/inside.h"

#include <string.h>

#define MOST_COLUMNS 12

struct table {
	const char *select, *insert;
	int columns;
};

static const struct table tables[] = {
	{ "SELECT key, value FROM identity ORDER BY key",
	  "INSERT INTO identity (key, value) VALUES ($1, $2)", 2 },
	{ "SELECT sha256, bytes FROM file ORDER BY sha256",
	  "INSERT INTO file (sha256, bytes) VALUES ($1, $2)", 2 },
	{ "SELECT seq, time_us, who, action, why, kind, id, version, body, previous, hash"
	  " FROM entry ORDER BY seq",
	  "INSERT INTO entry (seq, time_us, who, action, why, kind, id, version, body, previous,"
	  " hash) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)",
	  11 },
	{ "SELECT visit, number, first, n, time_first_us, time_last_us, low, high, mean, numbers,"
	  " previous, hash FROM block ORDER BY visit, number",
	  "INSERT INTO block (visit, number, first, n, time_first_us, time_last_us, low, high,"
	  " mean, numbers, previous, hash) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11,"
	  " $12)",
	  12 },
	{ "SELECT visit, number, time_us, summary, readings FROM block_bytes"
	  " ORDER BY visit, number",
	  "INSERT INTO block_bytes (visit, number, time_us, summary, readings)"
	  " VALUES ($1, $2, $3, $4, $5)",
	  5 },
	{ "SELECT visit, number, time_us, current_mA, value, bath_C, quantity, flag,"
	  " digest FROM reading"
	  " ORDER BY visit, number",
	  "INSERT INTO reading (visit, number, time_us, current_mA, value, bath_C, quantity, flag,"
	  " digest) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)",
	  9 },
};

struct destination {
	struct sql_connection *to;
	const struct table *table;
};

static bool put_row(const struct sql_value *values, void *data, GError **error)
{
	const struct destination *d = data;
	struct sql_value row[MOST_COLUMNS];

	memcpy(row, values, (size_t)d->table->columns * sizeof *row);
	return d->to->class->run(d->to, d->table->insert, row, d->table->columns, NULL, NULL,
				 error);
}

static bool put_tables(struct sql_connection *from, struct sql_connection *to, GError **error)
{
	for (size_t i = 0; i < G_N_ELEMENTS(tables); i++) {
		struct destination d = { to, &tables[i] };

		if (!from->class->run(from, tables[i].select, NULL, 0, put_row, &d, error))
			return false;
	}
	return true;
}

bool sql_transfer(struct sql_connection *from, struct sql_connection *to, GError **error)
{
	bool good;

	if (!from->class->begin(from, false, error))
		return false;
	good = to->class->begin(to, true, error) && store_bring_forward(to, 0, error) &&
	       put_tables(from, to, error) && to->class->commit(to, error);
	if (!good)
		to->class->rollback(to);
	from->class->rollback(from);
	return good;
}
