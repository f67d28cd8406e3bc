#include "app/lab/caution.h"

#include "cautions_table.h"

#include <string.h>

const struct lab_caution *lab_caution_named(const char *id)
{
	for (const struct lab_caution *c = lab_cautions; c->id != NULL; c++)
		if (strcmp(c->id, id) == 0)
			return c;
	return NULL;
}
