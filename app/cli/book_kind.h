/* Kinds of records as they are typed, and what they may say. */
#ifndef CLI_BOOK_KIND_H
#define CLI_BOOK_KIND_H

#include "app/cli/book.h"

/* The kind that a word names; hyphens stand for blanks ("heat-treatment"). NULL: there is none,
   which has been said with the nearest one, and call->status is set. "block" is one too: what the
   log says of sealed readings. */
const char *cli_book_kind(struct cli_book_call *call, const char *word);

int cli_book_list(int argc, char **argv);
int cli_book_kinds(int argc, char **argv);

#endif
