/* Issued certificates computed again. */
#ifndef CLI_BOOK_RECOMPUTE_H
#define CLI_BOOK_RECOMPUTE_H

int cli_book_recompute(int argc, char **argv);

#endif
