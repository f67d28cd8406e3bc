/* `firn book impact`: what a thing found wrong means for certificates. */
#ifndef CLI_BOOK_IMPACT_H
#define CLI_BOOK_IMPACT_H

int cli_book_impact(int argc, char **argv);

#endif
