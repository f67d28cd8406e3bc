/* What the files of the store share: the open book. Nobody else includes this. */
#ifndef STORE_INSIDE_H
#define STORE_INSIDE_H

#include "app/store/sql.h"
#include "app/store/store.h"

#define STORE_NO_HASH "0000000000000000000000000000000000000000000000000000000000000000"

struct store {
	struct sql_connection *sql;
	struct store_identity identity;
	int format;
	bool in_transaction, writes;
	char *where;
	GError *trouble; /* of the first statement that failed since the transaction began */
};

/* The database behind a name, by what the name looks like. */
struct sql_connection *store_connect(const char *where, bool create, bool write, GError **error);

/* A SQLite file that is nobody's, and what SQLite keeps beside it. */
void store_remove_file(const char *path);

/* A closed file of SQLite takes the name of a book, on the disk when true is returned. It keeps the
   other name too. Never where something stands already. */
bool store_take_name(const char *made, const char *where, GError **error);

/* The migrations behind format `format`, inside the caller's transaction. */
bool store_bring_forward(struct sql_connection *sql, int format, GError **error);

/* What takes several statements to read is read as it was at one moment: between these two, which
   do nothing where the caller has begun a transaction. */
bool store_begin_reading(store *s, bool *ret_begun, GError **error);
void store_end_reading(store *s, bool begun);

/* Runs a statement; parameters in an array. A text is a constant of the program. A failure is
   returned and noted as the store's trouble. */
bool store_run(store *s, const char *text, const struct sql_value *parameters, int n, sql_row *row,
	       void *data, GError **error);
#define STORE_RUN(s, text, row, data, error, ...)                                                  \
	(store_run((s), (text), (const struct sql_value[]){ __VA_ARGS__ },                         \
		   (int)(sizeof((struct sql_value[]){ __VA_ARGS__ }) / sizeof(struct sql_value)),  \
		   (row), (data), (error)))
#define STORE_RUN_PLAIN(s, text, row, data, error)                                                 \
	(store_run((s), (text), NULL, 0, (row), (data), (error)))

/* Row functions: data is the int64_t, the bool or the char[STORE_HASH_SIZE] to fill. */
bool store_take_integer(const struct sql_value *values, void *data, GError **error);
bool store_take_presence(const struct sql_value *values, void *data, GError **error);
bool store_take_hash(const struct sql_value *values, void *data, GError **error);

/* The hash of an entry: of its canonical JSON with the hash before it (log.c tells the form). */
void store_entry_hash(const struct store_entry *entry, char ret[STORE_HASH_SIZE]);

/* The hash of a block: its place, the hash before it, and its bytes. */
struct store_block {
	char *visit;
	int64_t number, first, n;
	int64_t time_first_us, time_last_us;
	double low, high, mean;
	int64_t numbers; /* readings whose value is a number */
	char previous[STORE_HASH_SIZE], hash[STORE_HASH_SIZE];
};
void store_block_hash(const struct store_block *block, const void *readings, size_t n,
		      char ret[STORE_HASH_SIZE]);

/* To be filled, and cleared by store_readings_clear(). */
struct store_readings store_no_readings(void);

/* How many readings of a visit are in sealed blocks, the first of them, and how many there are. */
bool store_count_both(store *s, const char *visit, int64_t *ret_sealed, int64_t *ret_all,
		      GError **error);

/* The sealed blocks that touch a run of readings, and when the first readings of them were taken
   (0: not known). block_bytes is asked with both: PostgreSQL then plans and opens the partitions
   of these times only, and all of them would take longer than reading a million readings. */
struct store_blocks {
	int64_t low, high; /* numbers of the first and last block; none: high below low */
	int64_t first;     /* the first reading of the first block */
	int64_t time_low_us, time_high_us;
};
bool store_find_blocks(store *s, const char *visit, int64_t first, int64_t end,
		       struct store_blocks *ret, GError **error);

/* Columns of block_bytes y of these blocks, in order. */
#define STORE_BYTES_OF_BLOCKS(columns)                                                             \
	"SELECT " columns " FROM block_bytes y WHERE y.visit = $1 AND y.number >= $2"              \
	" AND y.number <= $3 AND y.time_us >= $4 AND y.time_us <= $5 ORDER BY y.number"
bool store_run_over_bytes(store *s, const char *text, const char *visit,
			  const struct store_blocks *blocks, sql_row *row, void *data,
			  GError **error);

/* False, for readings that should have been in blocks and were not. */
bool store_blocks_gone(const char *visit, GError **error);

/* A row of the newest readings, its columns in this order (rows.c tells what the digest is of). */
#define STORE_ROW_COLUMNS "number, time_us, current_mA, value, bath_C, quantity, flag, digest"
struct store_reading store_row_reading(const struct sql_value *values);
int64_t store_row_digest(const char *visit, int64_t number, const struct store_reading *reading);

/* Whether its digest, where it has one, is that of what it says. */
bool store_row_holds(const char *visit, const struct sql_value *values);

/* A sealed block that follows the visit's last, its bytes and its entry in the log. */
bool store_put_block(store *s, const char *visit, const struct store_reading *readings, size_t n,
		     const char *who, int64_t time_us, GError **error);

/* Faults of what one part of the book holds (check.c calls them in turn). */
bool store_check_log(store *s, store_fault *fault, void *data, GError **error);
bool store_check_blocks(store *s, store_fault *fault, void *data, GError **error);
bool store_check_rows(store *s, store_fault *fault, void *data, GError **error);
bool store_check_files(store *s, store_fault *fault, void *data, GError **error);

#endif
