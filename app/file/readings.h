/*
 * Readings from CSV: a header, then one line a reading.
 *
 * Columns: time (RFC 3339 with offset, may be empty), visit, current_mA, ratio or resistance_ohm,
 * and where they are known bath_C and flag. Comment lines (#) may stand before the header.
 */
#ifndef FILE_READINGS_H
#define FILE_READINGS_H

#include "app/base/messages.h"
#include "app/lab/calibration.h"

#define FILE_READINGS_LIMIT    ((size_t)1000000000) /* bytes of a file */
#define FILE_READINGS_MESSAGES 20                   /* of most kinds; then "and N more" */

struct file_readings {
	const char *path;
	GBytes *bytes;
	struct lab_calibration *calibration; /* visits are there; readings are added */
	const bool *no_ratio; /* of each visit: no resistor was named, so no ratio can be used */
	bool visits_complete; /* the list of visits can be trusted to be all */
	base_messages *messages;
};

/*
 * file_read_readings - adds the rows to the calibration's readings, in SI units.
 *
 * What is wrong goes to the messages. A reading set aside (its flag starts with "set aside") may be
 * an overload or no number at all; it is kept with NaN for both ratio and resistance.
 */
void file_read_readings(const struct file_readings *r);

#endif
