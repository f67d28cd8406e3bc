/* Moving a book from one kind of database to the other. */
#ifndef STORE_TRANSFER_H
#define STORE_TRANSFER_H

#include "app/store/sql.h"

/* Everything of `from` as it is at one moment, in one transaction of `to`, an empty database; its
   tables are made in it too, so that it is empty again where anything fails. The rules of `to` are
   in force: a book that breaks them is not taken. */
bool sql_transfer(struct sql_connection *from, struct sql_connection *to, GError **error);

#endif
