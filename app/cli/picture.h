/* Pictures that a command writes: --svg FILE, --pdf FILE. */
#ifndef CLI_PICTURE_H
#define CLI_PICTURE_H

#include "app/base/messages.h"
#include "app/report/picture.h"

/* Writes what is asked for (NULL: not), each whole or not at all. False, with messages, when one
   could not be made or written. */
bool cli_picture_write(const report_picture *picture, const char *svg, const char *pdf,
		       base_messages *messages);

#endif
