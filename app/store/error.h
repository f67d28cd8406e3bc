/* Why the book could not do what was asked. The text of an error is a whole sentence for people:
   "what is wrong; what would be right". */
#ifndef STORE_ERROR_H
#define STORE_ERROR_H

#include "app/base/messages.h"

#include <glib.h>

#define STORE_ERROR (store_error_quark())
GQuark store_error_quark(void);

enum store_error {
	STORE_ABSENT,    /* no such book, record, file or reading */
	STORE_NOT_BOOK,  /* something else stands there, or a later format */
	STORE_EXISTS,    /* a book is there already */
	STORE_CHANGED,   /* somebody else has written a newer version of the record */
	STORE_REFUSED,   /* a rule of the book forbids it */
	STORE_READ_ONLY, /* the book, or its medium, can't be written */
	STORE_BUSY,      /* another writer holds the book for too long */
	STORE_FULL,      /* no room on the disk */
	STORE_DAMAGED,   /* what is stored is not what was written */
	STORE_FAILED,    /* the machine or the server failed */
};

/* BASE_ERROR where the user can do something about it, else BASE_FAILURE. */
enum base_message_kind store_error_kind(const GError *error);

#endif
