#include "app/store/postgres/migrations.h"

#include <stddef.h>

#define TEXT "TEXT COLLATE \"C\""

/* A trigger that refuses, in words. */
#define REFUSE(name, words)                                                                        \
	"CREATE FUNCTION " name "() RETURNS trigger LANGUAGE plpgsql AS $f$ BEGIN RAISE EXCEPTION" \
	" '" words " (%)', TG_TABLE_NAME; END $f$"
#define KEEP(table)                                                                                \
	"CREATE TRIGGER " table "_unchanged BEFORE UPDATE ON " table                               \
	" FOR EACH ROW EXECUTE FUNCTION book_refuses_change()"
#define KEEP_ROWS(table)                                                                           \
	"CREATE TRIGGER " table "_kept BEFORE DELETE ON " table                                    \
	" FOR EACH ROW EXECUTE FUNCTION book_refuses_removal()"
#define KEEP_WHOLE(table)                                                                          \
	"CREATE TRIGGER " table "_whole BEFORE TRUNCATE ON " table                                 \
	" FOR EACH STATEMENT EXECUTE FUNCTION book_refuses_removal()"

/* What an insertion must follow from: a condition over NEW that holds when it does not. */
#define FOLLOW(table, condition, words)                                                            \
	"CREATE FUNCTION " table "_must_follow() RETURNS trigger LANGUAGE plpgsql AS $f$ BEGIN"    \
	" IF " condition " THEN RAISE EXCEPTION '" words "'; END IF; RETURN NEW; END $f$",         \
	    "CREATE TRIGGER " table "_follows BEFORE INSERT ON " table                             \
	    " FOR EACH ROW EXECUTE FUNCTION " table "_must_follow()"

#define NO_HASH "0000000000000000000000000000000000000000000000000000000000000000"

static const char *const first[] = {
	REFUSE("book_refuses_change", "the book refuses to change what stands in it"),
	REFUSE("book_refuses_removal", "the book refuses to take away what stands in it"),

	"CREATE TABLE identity (key " TEXT " PRIMARY KEY, value " TEXT " NOT NULL)",
	KEEP("identity"),
	KEEP_ROWS("identity"),
	KEEP_WHOLE("identity"),

	"CREATE TABLE migration (number BIGINT PRIMARY KEY, what " TEXT " NOT NULL)",
	KEEP("migration"),
	KEEP_ROWS("migration"),
	KEEP_WHOLE("migration"),

	"CREATE TABLE entry (seq BIGINT PRIMARY KEY, time_us BIGINT NOT NULL, who " TEXT
	" NOT NULL, action " TEXT " NOT NULL, why " TEXT " NOT NULL, kind " TEXT
	" NOT NULL, id " TEXT " NOT NULL, version BIGINT NOT NULL, body " TEXT
	" NOT NULL, previous " TEXT " NOT NULL, hash " TEXT " NOT NULL)",
	"CREATE UNIQUE INDEX entry_record ON entry (kind, id, version)",
	KEEP("entry"),
	KEEP_ROWS("entry"),
	KEEP_WHOLE("entry"),
	FOLLOW("entry",
	       "NEW.seq <> (SELECT coalesce(max(seq), 0) + 1 FROM entry)"
	       " OR NEW.previous <> coalesce((SELECT hash FROM entry ORDER BY seq DESC LIMIT 1),"
	       " '" NO_HASH "')"
	       " OR NEW.version <> (SELECT coalesce(max(version), 0) + 1 FROM entry"
	       " WHERE kind = NEW.kind AND id = NEW.id)",
	       "the entry does not follow the last one of the log"),

	"CREATE TABLE reading (visit " TEXT " NOT NULL, number BIGINT NOT NULL, time_us BIGINT,"
	" current_mA DOUBLE PRECISION NOT NULL, value DOUBLE PRECISION, bath_C DOUBLE PRECISION,"
	" quantity BIGINT NOT NULL, flag " TEXT ", PRIMARY KEY (visit, number))",
	KEEP("reading"),
	KEEP_WHOLE("reading"),

	"CREATE TABLE block (visit " TEXT
	" NOT NULL, number BIGINT NOT NULL, first BIGINT NOT NULL,"
	" n BIGINT NOT NULL, time_first_us BIGINT, time_last_us BIGINT, low DOUBLE PRECISION,"
	" high DOUBLE PRECISION, mean DOUBLE PRECISION, numbers BIGINT NOT NULL, previous " TEXT
	" NOT NULL, hash " TEXT " NOT NULL, PRIMARY KEY (visit, number))",
	"CREATE UNIQUE INDEX block_first ON block (visit, first)",
	KEEP("block"),
	KEEP_ROWS("block"),
	KEEP_WHOLE("block"),
	FOLLOW("block",
	       "NEW.number <> (SELECT coalesce(max(number), 0) + 1 FROM block WHERE visit ="
	       " NEW.visit) OR NEW.first <> coalesce((SELECT b.first + b.n FROM block b WHERE"
	       " b.visit = NEW.visit ORDER BY b.number DESC LIMIT 1), 0)",
	       "the block does not follow the last one of its visit"),

	/* By the year of a block's first reading, so that old years can be kept on slower disks.
	   The bytes are packed already and are kept as they are; a row's summary stays in its page
	   and only the readings go beside the table, so that an outline does not collect pieces. */
	"CREATE TABLE block_bytes (visit " TEXT " NOT NULL, number BIGINT NOT NULL,"
	" time_us BIGINT NOT NULL, summary BYTEA NOT NULL, readings BYTEA NOT NULL,"
	" PRIMARY KEY (visit, number, time_us)) PARTITION BY RANGE (time_us)",
	"ALTER TABLE block_bytes ALTER COLUMN summary SET STORAGE EXTERNAL,"
	" ALTER COLUMN readings SET STORAGE EXTERNAL",
	"DO $d$ DECLARE year INTEGER; BEGIN FOR year IN 2000..2099 LOOP EXECUTE"
	" format('CREATE TABLE block_bytes_%s PARTITION OF block_bytes FOR VALUES FROM (%s) TO"
	" (%s) WITH (toast_tuple_target = 8160)', year, extract(epoch FROM make_timestamptz(year, "
	"1, 1, 0, 0, 0, 'UTC'))::bigint *"
	" 1000000, extract(epoch FROM make_timestamptz(year + 1, 1, 1, 0, 0, 0, 'UTC'))::bigint *"
	" 1000000); END LOOP; END $d$",
	"CREATE TABLE block_bytes_other PARTITION OF block_bytes DEFAULT WITH (toast_tuple_target ="
	" 8160)",
	KEEP("block_bytes"),
	KEEP_ROWS("block_bytes"),
	KEEP_WHOLE("block_bytes"),

	"CREATE FUNCTION reading_may_go() RETURNS trigger LANGUAGE plpgsql AS $f$ BEGIN IF NOT"
	" EXISTS (SELECT 1 FROM block b JOIN block_bytes y ON y.visit = b.visit AND y.number ="
	" b.number AND y.time_us = coalesce(b.time_first_us, 0) WHERE b.visit = OLD.visit AND"
	" b.first <= OLD.number AND OLD.number < b.first + b.n) THEN RAISE EXCEPTION 'the book"
	" refuses to take away a reading that no sealed block holds'; END IF; RETURN OLD; END $f$",
	"CREATE TRIGGER reading_kept BEFORE DELETE ON reading FOR EACH ROW EXECUTE FUNCTION"
	" reading_may_go()",
	FOLLOW("reading",
	       "NEW.number <> coalesce((SELECT max(number) + 1 FROM reading WHERE visit ="
	       " NEW.visit), (SELECT b.first + b.n FROM block b WHERE b.visit = NEW.visit"
	       " ORDER BY b.number DESC LIMIT 1), 0)",
	       "the reading does not follow the last one of its visit"),

	"CREATE TABLE file (sha256 " TEXT " PRIMARY KEY, bytes BYTEA NOT NULL)",
	KEEP("file"),
	KEEP_ROWS("file"),
	KEEP_WHOLE("file"),
	NULL,
};

static const char *const digests[] = {
	"ALTER TABLE reading ADD COLUMN digest BIGINT",
	NULL,
};

const struct sql_migration postgres_migrations[POSTGRES_MIGRATIONS] = {
	{ first, "log, readings, blocks and files" },
	{ digests, "a digest of each reading that is not sealed yet" },
};
