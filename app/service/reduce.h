/* The use case behind `firn reduce`: a job and its readings in, result and documents out. */
#ifndef SERVICE_REDUCE_H
#define SERVICE_REDUCE_H

#include "app/base/messages.h"

#include <glib.h>

struct service_reduction {
	const char *job_path;    /* given */
	const char *pdf_path;    /* given; NULL: none wanted */
	const char *result_path; /* given; NULL: none wanted */
	const char *explain;     /* given; NULL: nothing. A number as calc_explain names it */
	int64_t trials;          /* given; 0: none */
	int threads;             /* given; 0: as many as there are processors */
	bool json;               /* given: output as JSON, otherwise as text */
	GString *output;         /* returned: what belongs on stdout */
	bool accepted;           /* returned */
};

/*
 * service_reduce - reads, computes, writes the files asked for (whole or not at all).
 *
 * false with every reason in messages; no file has then been touched, unless one was written and
 * the next failed, which the message says.
 */
bool service_reduce(struct service_reduction *reduction, base_messages *messages);

#endif
