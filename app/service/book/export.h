/*
 * The book as a plain folder that can be read in twenty years without this program, and brought
 * back.
 *
 *   README.txt             what is what
 *   book.json              identity of the book
 *   log.jsonl              every entry of the log, one RFC 8785 JSON object a line, in order
 *   records/KIND/ID.json   the latest version of each record, for people
 *   readings/VISIT.csv     all readings of a visit, in order
 *   files/SHA256           what was imported and issued, by the hash of its bytes
 *   SHA256SUMS             the SHA-256 of every file above, as the usual tools check it
 *
 * A / in an id is written + in the name of a file.
 */
#ifndef SERVICE_BOOK_EXPORT_H
#define SERVICE_BOOK_EXPORT_H

#include "app/service/book/book.h"

/* Into a folder that isn't there yet; it takes its name when it is complete. */
bool service_book_export(service_book *book, const char *folder, base_messages *messages);

/*
 * service_book_import_folder - a new book from an exported folder.
 *
 * Every entry, block and file is written again by the rules of the book, and each entry's hash must
 * come out as it was: what has been changed in the folder is found, and no book is made.
 */
bool service_book_import_folder(const char *folder, const char *where, base_messages *messages);

#endif
