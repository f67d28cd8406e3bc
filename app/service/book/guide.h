/*
 * Guided work: a procedure carried out step by step, kept in the book (kind `guided work`). Each
 * caution is shown to whoever does the step, and that is recorded, before the step can be recorded
 * as done. The words are those of the day: the procedure is kept as a file of the book.
 */
#ifndef SERVICE_BOOK_GUIDE_H
#define SERVICE_BOOK_GUIDE_H

#include "app/service/book/book.h"

struct service_guided_beginning {
	const char *id;           /* of the record */
	const char *procedure;    /* its name */
	const char *change;       /* path of the laboratory's changes; NULL: none */
	const char *const *about; /* ids of equipment and realisations; ends with NULL */
};
bool service_guided_begin(service_book *book, const struct service_act *act,
			  const struct service_guided_beginning *beginning,
			  base_messages *messages);

/* Shows a text to whoever acts; false: it could not be shown. */
typedef bool service_guided_show(const GString *text, void *data);

/*
 * service_guided_next - shows the next step, its cautions first, and records each showing.
 *
 * Nothing is recorded when `show` says that it could not be shown.
 */
bool service_guided_next(service_book *book, const struct service_act *act, const char *id,
			 service_guided_show *show, void *data, base_messages *messages);

struct service_step_done {
	const char *id, *step;
	const char *found;    /* what was written down; NULL: nothing */
	const char *not_done; /* why the step was not done; NULL: it was */
};

/*
 * service_guided_done - records the next step as done, or as not done with a reason.
 *
 * Refused when a caution of it was not shown to the person before; when it is not the next one;
 * when it asks for something to be written down and nothing is. *ret_finished: it was the last one.
 */
bool service_guided_done(service_book *book, const struct service_act *act,
			 const struct service_step_done *done, bool *ret_finished,
			 base_messages *messages);

#endif
