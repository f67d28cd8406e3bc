/* The numbered steps by which a PostgreSQL book came to be what it is: those of SQLite, one by one.
 */
#ifndef STORE_POSTGRES_MIGRATIONS_H
#define STORE_POSTGRES_MIGRATIONS_H

#include "app/store/sql.h"

#define POSTGRES_MIGRATIONS 2
extern const struct sql_migration postgres_migrations[POSTGRES_MIGRATIONS];

#endif
