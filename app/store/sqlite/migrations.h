/* The numbered steps by which a SQLite book came to be what it is. */
#ifndef STORE_SQLITE_MIGRATIONS_H
#define STORE_SQLITE_MIGRATIONS_H

#include "app/store/sql.h"

#define SQLITE_MIGRATIONS 2
extern const struct sql_migration sqlite_migrations[SQLITE_MIGRATIONS];

#endif
