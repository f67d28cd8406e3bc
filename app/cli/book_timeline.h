/* `firn book timeline`: everything that happened to a thing. */
#ifndef CLI_BOOK_TIMELINE_H
#define CLI_BOOK_TIMELINE_H

int cli_book_timeline(int argc, char **argv);

#endif
