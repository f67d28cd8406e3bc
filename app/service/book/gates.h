/*
 * What is measured against a limit before a certificate is issued: each gate names the thing, the
 * value, the limit and the limit's source.
 *
 *   receipt            R(TPW) as received against that of the last certificate
 *   stability          R(TPW) through the calibration
 *   heat treatment     how many were needed, and what the last one still changed
 *   check thermometers first and last in each realisation, within the limits of their history
 *   equipment checks   none failed around the readings
 *   traceability       each standard has a certificate, and is not known better than it says
 *   order              range, U and decision rule that were agreed
 *   ambient            conditions noted through all readings, within limits
 *
 * A closed gate is opened by a decision on nonconforming work (ISO/IEC 17025:2017, 7.10): a closed
 * nonconformity about the calibration that names the gate; or, where equipment failed a check, one
 * about that equipment that was opened after the check and before the next one of the kind that it
 * passed. It counts when somebody who may issue wrote it last.
 */
#ifndef SERVICE_BOOK_GATES_H
#define SERVICE_BOOK_GATES_H

#include "app/service/book/calibrate.h"
#include "app/service/book/limits.h"

enum service_gate_state {
	SERVICE_GATE_PASSED,
	SERVICE_GATE_NOT_JUDGED, /* what says why */
	SERVICE_GATE_CLOSED,
	SERVICE_GATE_OPENED, /* by a decision */
};

struct service_gate {
	const char *name;    /* as above */
	char *thing;         /* "thermometer S-114" */
	char *what;          /* what the value is; or the whole sentence where there is none */
	double value, limit; /* value NaN: there is none */
	bool at_least;       /* the value must reach the limit; else it must not pass it */
	char *unit, *source; /* NULL where there is no value */
	enum service_gate_state state;
	char *decision; /* SERVICE_GATE_OPENED: by what */

	char *equipment;             /* id of what failed a check; NULL: none did */
	int64_t known_us, mended_us; /* from that check to the next one that it passed */
};

/* A calibration that stands before its gates. */
struct service_gating {
	service_book *book;
	const struct service_act *act; /* at whose time limits and rights hold */
	const char *id;
	const json_t *calibration;
	const lab_calibration *job;
	const lab_calibration_result *result;
	base_messages *messages;
	service_limits *limits;
	int64_t first_us, last_us; /* of the readings; without times, the time of the act */
	GArray *gates;             /* struct service_gate */
};

/* All gates of a calibration that has been reduced; false with messages when the book can't be
   read. Release the gates with service_gating_clear. */
bool service_gates_look(struct service_gating *g);
void service_gating_clear(struct service_gating *g);

/*
 * The gates of a calibration as its records are now; NULL with messages when they can't be looked
 * at: calibration, day gates    of each: gate (its name), thing, value, limit (null where there is
 * none), at_least, unit, source, state ("passed", "not judged", "closed", "opened by"), decision,
 * text release  what else blocks it, a text each
 */
json_t *service_gates(service_book *book, const struct service_act *act, const char *id,
		      base_messages *messages);

/* Whether every gate lets the calibration through; an error for each that doesn't, a reservation
   for each that a decision opened. */
bool service_release_through_gates(service_book *book, const struct service_act *act,
				   const char *id, const json_t *calibration,
				   const struct service_reduced *reduced, base_messages *messages);

/* ---- the gates, each adding what it finds; false as above ---- */

void service_gate_add(struct service_gating *g, const struct service_gate *gate);
bool service_gate_receipt_and_treatment(struct service_gating *g);
void service_gate_stability(struct service_gating *g);
bool service_gate_check_thermometers(struct service_gating *g);
bool service_gate_equipment(struct service_gating *g);
bool service_gate_certificates(struct service_gating *g);
bool service_gate_order(struct service_gating *g);
bool service_gate_ambient(struct service_gating *g);

#endif
