#include "app/store/sqlite/migrations.h"

#include <stddef.h>

/*
 * Nothing that was written is changed. Each table but `reading` refuses UPDATE and DELETE; a row of
 * `reading` may go when a block covers it. A migration that must change a table drops the trigger
 * within its own transaction and puts it back.
 */
#define KEEP(table)                                                                                \
	"CREATE TRIGGER " table "_unchanged BEFORE UPDATE ON " table                               \
	" BEGIN SELECT RAISE(ABORT, 'the book refuses to change what stands in it (" table         \
	")'); END"
#define KEEP_ROWS(table)                                                                           \
	"CREATE TRIGGER " table "_kept BEFORE DELETE ON " table                                    \
	" BEGIN SELECT RAISE(ABORT, 'the book refuses to take away what stands in it (" table      \
	")'); END"

/* OR REPLACE would take away without asking; the numbered tables have triggers of their own. */
#define ONCE(table, key)                                                                           \
	"CREATE TRIGGER " table "_once BEFORE INSERT ON " table                                    \
	" WHEN EXISTS (SELECT 1 FROM " table " WHERE " key                                         \
	") BEGIN SELECT RAISE(ABORT, 'this stands in the book already (" table ")'); END"

static const char *const first[] = {
	"CREATE TABLE identity (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT, WITHOUT ROWID",
	KEEP("identity"),
	KEEP_ROWS("identity"),
	ONCE("identity", "key = NEW.key"),

	"CREATE TABLE migration (number INTEGER PRIMARY KEY, what TEXT NOT NULL) STRICT",
	KEEP("migration"),
	KEEP_ROWS("migration"),
	ONCE("migration", "number = NEW.number"),

	"CREATE TABLE entry (seq INTEGER PRIMARY KEY, time_us INTEGER NOT NULL, who TEXT NOT NULL,"
	" action TEXT NOT NULL, why TEXT NOT NULL, kind TEXT NOT NULL, id TEXT NOT NULL,"
	" version INTEGER NOT NULL, body TEXT NOT NULL, previous TEXT NOT NULL, hash TEXT NOT NULL)"
	" STRICT",
	"CREATE UNIQUE INDEX entry_record ON entry (kind, id, version)",
	KEEP("entry"),
	KEEP_ROWS("entry"),
	"CREATE TRIGGER entry_follows BEFORE INSERT ON entry WHEN"
	" NEW.seq <> (SELECT coalesce(max(seq), 0) + 1 FROM entry)"
	" OR NEW.previous <> coalesce((SELECT hash FROM entry ORDER BY seq DESC LIMIT 1),"
	" '0000000000000000000000000000000000000000000000000000000000000000')"
	" OR NEW.version <> (SELECT coalesce(max(version), 0) + 1 FROM entry"
	" WHERE kind = NEW.kind AND id = NEW.id)"
	" BEGIN SELECT RAISE(ABORT, 'the entry does not follow the last one of the log'); END",

	"CREATE TABLE reading (visit TEXT NOT NULL, number INTEGER NOT NULL, time_us INTEGER,"
	" current_mA REAL NOT NULL, value REAL, bath_C REAL, quantity INTEGER NOT NULL, flag TEXT,"
	" PRIMARY KEY (visit, number)) STRICT, WITHOUT ROWID",
	KEEP("reading"),

	"CREATE TABLE block (visit TEXT NOT NULL, number INTEGER NOT NULL, first INTEGER NOT NULL,"
	" n INTEGER NOT NULL, time_first_us INTEGER, time_last_us INTEGER, low REAL, high REAL,"
	" mean REAL, numbers INTEGER NOT NULL, previous TEXT NOT NULL, hash TEXT NOT NULL,"
	" PRIMARY KEY (visit, number)) STRICT, WITHOUT ROWID",
	"CREATE UNIQUE INDEX block_first ON block (visit, first)",
	KEEP("block"),
	KEEP_ROWS("block"),
	"CREATE TRIGGER block_follows BEFORE INSERT ON block WHEN"
	" NEW.number <> (SELECT coalesce(max(number), 0) + 1 FROM block WHERE visit = NEW.visit)"
	" OR NEW.first <> coalesce((SELECT first + n FROM block WHERE visit = NEW.visit"
	" ORDER BY number DESC LIMIT 1), 0)"
	" BEGIN SELECT RAISE(ABORT, 'the block does not follow the last one of its visit'); END",

	/* The bytes stand apart, so that a look over many blocks does not pass through them. */
	"CREATE TABLE block_bytes (visit TEXT NOT NULL, number INTEGER NOT NULL,"
	" time_us INTEGER NOT NULL,"
	" summary BLOB NOT NULL, readings BLOB NOT NULL, PRIMARY KEY (visit, number)) STRICT",
	KEEP("block_bytes"),
	KEEP_ROWS("block_bytes"),
	ONCE("block_bytes", "visit = NEW.visit AND number = NEW.number"),

	"CREATE TRIGGER reading_kept BEFORE DELETE ON reading WHEN NOT EXISTS"
	" (SELECT 1 FROM block b JOIN block_bytes y ON y.visit = b.visit AND y.number = b.number"
	" WHERE b.visit = OLD.visit AND b.first <= OLD.number AND OLD.number < b.first + b.n)"
	" BEGIN SELECT RAISE(ABORT, 'the book refuses to take away a reading that no sealed block"
	" holds'); END",
	"CREATE TRIGGER reading_follows BEFORE INSERT ON reading WHEN NEW.number <>"
	" coalesce((SELECT max(number) + 1 FROM reading WHERE visit = NEW.visit),"
	" (SELECT first + n FROM block WHERE visit = NEW.visit ORDER BY number DESC LIMIT 1), 0)"
	" BEGIN SELECT RAISE(ABORT, 'the reading does not follow the last one of its visit'); END",

	"CREATE TABLE file (sha256 TEXT PRIMARY KEY, bytes BLOB NOT NULL) STRICT",
	KEEP("file"),
	KEEP_ROWS("file"),
	ONCE("file", "sha256 = NEW.sha256"),
	NULL,
};

static const char *const digests[] = {
	"ALTER TABLE reading ADD COLUMN digest INTEGER",
	NULL,
};

const struct sql_migration sqlite_migrations[SQLITE_MIGRATIONS] = {
	{ first, "log, readings, blocks and files" },
	{ digests, "a digest of each reading that is not sealed yet" },
};
