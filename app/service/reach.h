/* What can be reached: a plan, the times of the guided procedures, and what was achieved. */
#ifndef SERVICE_REACH_H
#define SERVICE_REACH_H

#include "app/lab/plan.h"

struct service_reach {
	const char *path;     /* of the plan */
	const char *achieved; /* path of a calibration's result; NULL: none */
	const char *book;     /* or a book, and the certificate in it; NULL: none */
	const char *certificate;
};

/* NULL, with messages, when something is wrong. The plan stays with the caller too. */
lab_plan_result *service_reach(const struct service_reach *reach, lab_plan **ret_plan,
			       base_messages *messages);

#endif
