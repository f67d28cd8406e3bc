/* The sections of a job file: shared by the files that read them, in the order of reading. */
#ifndef FILE_JOB_PARTS_H
#define FILE_JOB_PARTS_H

#include "app/file/read.h"
#include "app/lab/calibration.h"

struct file_job {
	struct file_reader reader;
	struct lab_calibration *c;
	GBytes *readings; /* in memory; NULL: in the file that the job names */
	GHashTable *ids;  /* "cell.W1" -> index + 1 in its array */
	GArray *no_ratio; /* bool of each visit: readings must be in ohm, no resistor was named */
	GHashTable
	    *incomplete;      /* kinds of which a part could not be read: no name is unknown then */
	GHashTable *unknown;  /* ids that were complained of */
	bool visits_complete; /* every visit has an id, so a reading can be held to the list */
};

void file_job_thermometer(struct file_job *job, struct file_map *top);
void file_job_resistors(struct file_job *job, struct file_map *top);
void file_job_bridges(struct file_job *job, struct file_map *top);
void file_job_cells(struct file_job *job, struct file_map *top);
void file_job_cell_content(struct file_job *job, struct file_map *map, struct lab_cell *cell);
void file_job_visits(struct file_job *job, struct file_map *top);
void file_job_visit_values(struct file_job *job, struct file_map *map, struct lab_visit *visit);
void file_job_events(struct file_job *job, struct file_map *top);
void file_job_settings(struct file_job *job, struct file_map *top);
void file_job_papers(struct file_job *job, struct file_map *top);

/* Calls `one` for every named thing of a section, such as cells: W1, with its map opened. */
typedef void file_job_one(struct file_job *job, struct file_map *map, const char *name);
void file_job_named(struct file_job *job, struct file_map *top, const char *section,
		    const char *singular, file_job_one *one);

/* Remembers a thing by kind and name; false, and nothing done, when there is one already. */
bool file_job_add_id(struct file_job *job, const char *kind, const char *name, guint index);

/*
 * The index of the thing that a key names, -1 when absent or unknown. Unknown: a message with the
 * nearest name; none when the whole section is missing and that has been said.
 */
int file_job_reference(struct file_job *job, struct file_map *map, const char *key,
		       const char *kind);
int file_job_resolve(struct file_job *job, const struct file_node *node, const char *name,
		     const char *kind);

/* A text of the record, or NULL. */
char *file_job_text(struct file_job *job, struct file_map *map, const char *key);

/* A gas pressure in pascal; one that looks like kilopascal, hectopascal or bar is refused. */
extern const struct file_range file_pressure;
void file_job_check_pressure(struct file_map *map, double *pressure_Pa);

/* Standard uncertainties of a temperature, in millikelvin, and of a pressure; a slip of units is a
   thousand times more than any laboratory states. */
extern const struct file_range file_u_mK, file_u_pressure;

/* An amount fraction of impurities, in umol/mol. */
extern const struct file_range file_impurity;

#endif
