/*
 * The record of a fixed-point calibration as the laboratory states it: `kind: fixed-point
 * calibration` and its readings. Plain numbers in SI units as the names say; what was not given is
 * NaN (numbers), NULL (texts) or an empty array.
 *
 * Every number has a path, such as visit.2.depth_m or resistor.S.u_ohm; `marks` tells where in the
 * job file it stands, so that whoever finds fault with it can say so.
 */
#ifndef LAB_CALIBRATION_H
#define LAB_CALIBRATION_H

#include "app/base/messages.h"
#include "app/lab/value.h"

#include <glib.h>
#include <stdint.h>

/* Fixed points in rising order of temperature; the names are those of job files. */
enum lab_point {
	LAB_NO_POINT = -1,
	LAB_E_H2,
	LAB_E_H2_VAPOUR,
	LAB_NE,
	LAB_O2,
	LAB_AR,
	LAB_HG,
	LAB_H2O,
	LAB_GA,
	LAB_IN,
	LAB_SN,
	LAB_ZN,
	LAB_AL,
	LAB_AG,
	LAB_POINTS
};
const char *lab_point_name(enum lab_point point); /* "e-H2", "H2O"; "" for LAB_NO_POINT */
enum lab_point lab_point_named(const char *name); /* LAB_NO_POINT when it is none */

/* The eleven subranges in the order of the standard. */
enum lab_subrange {
	LAB_NO_SUBRANGE = -1,
	LAB_E_H2_H2O,
	LAB_NE_H2O,
	LAB_O2_H2O,
	LAB_AR_H2O,
	LAB_HG_GA,
	LAB_H2O_GA,
	LAB_H2O_IN,
	LAB_H2O_SN,
	LAB_H2O_ZN,
	LAB_H2O_AL,
	LAB_H2O_AG,
	LAB_SUBRANGES
};
const char *lab_subrange_name(enum lab_subrange subrange); /* "Hg_Ga" */
enum lab_subrange lab_subrange_named(const char *name);

/* A standard uncertainty with its degrees of freedom (infinite: infinity). u NaN: not stated. */
struct lab_u {
	double u, dof;
};

enum lab_sensor { LAB_SENSOR_NOT_GIVEN, LAB_LONG_STEM, LAB_CAPSULE, LAB_HIGH_TEMPERATURE };

struct lab_thermometer {
	char *id, *maker, *type, *serial, *condition;
	enum lab_sensor sensor;
	double nominal_ohm, element_m; /* length of the element */
	double tip_to_element_m;       /* from the tip to the lower end of the element */
};

struct lab_resistor {
	char *id, *certificate;
	double ohm, u_ohm, dof, at_C, per_K, u_per_K, u_bath_K;
};

struct lab_bridge {
	char *id, *certificate;
	double u_linearity;     /* of the ratio; shared by visits to one point */
	double u_current_ratio; /* relative, of (i2/i1)^2; shared by all visits on the bridge */
	double resolution;      /* of the ratio */
};

/* One impurity of a cell: mole fraction and the slope of the liquidus line. */
struct lab_impurity {
	char *element;
	double x_umol_per_mol, u_x_umol_per_mol;
	double K_per_umol_per_mol, u_K_per_umol_per_mol; /* or by k: slope -(1 - k)/A */
	double k, u_k;                                   /* distribution coefficient */
};

/* What a cell's own certificate says and contains, so that it is not applied again. */
struct lab_cell_certificate {
	double correction_K, u_K, dof; /* correction: to add to the cell's temperature */
	bool holds_isotopes, holds_impurities, holds_pressure, holds_head;
	char *number;
};

struct lab_cell {
	char *id;
	enum lab_point point;
	bool triple; /* gallium: the triple point, 302.9166 K, instead of the melting point */
	double u_cell_K, dof; /* shared by all visits to the cell; NaN: not stated */

	double d_D, u_d_D, d_18O, u_d_18O, d_17O, u_d_17O, r_d_D_d_18O; /* fractions, V-SMOW/SLAP */
	bool isotopes_unknown; /* water never analysed: the CCT's +50 uK with u = 35 uK */
	double x_D_umol_per_mol, u_x_D_umol_per_mol; /* hydrogen */
	double x22, u_x22, x21, u_x21;               /* neon */

	GArray *impurities;        /* struct lab_impurity: sum of individual estimates */
	double total_umol_per_mol; /* overall maximum estimate: uncertainty only */
	struct lab_cell_certificate certificate;
	double pressure_Pa, u_pressure_Pa; /* sealed cell; a visit's own wins */
};

/*
 * Terms of the budget that belong to one visit: CCT Guide ch. 5 (2018), Table 3. u in kelvin; NaN:
 * not stated, and the result says so.
 */
enum lab_term {
	LAB_HEAT_EXCHANGE, /* perturbing heat exchange: conduction, radiation ("static thermal") */
	LAB_DYNAMIC,       /* settling, drift of the surroundings ("dynamic thermal") */
	LAB_LIQUIDUS,      /* where on the plateau the liquidus lies */
	LAB_STRAIN,        /* crystal defects and strain of the mantle */
	LAB_REPRODUCIBILITY, /* of the realisation: pooled s with its degrees of freedom */
	LAB_STABILITY,       /* of the thermometer */
	LAB_LEAKAGE,         /* electrical, at the high end */
	LAB_TERMS
};
const char *lab_term_name(enum lab_term term); /* "heat_exchange": the key in a job file */

struct lab_visit {
	char *id;
	bool measure; /* a temperature to be found; cell is -1 */
	int cell;     /* index in cells */
	int resistor; /* index in resistors; -1: readings are in ohm */
	int bridge;   /* index in bridges; -1: not named */
	int tpw; /* index of the visit to divide by, named by the visit itself; -1: by scheme */
	double depth_m, u_depth_m; /* liquid above the middle of the element */
	double pressure_Pa, u_pressure_Pa;
	double vapour_pressure_Pa, u_vapour_pressure_Pa;
	double u_K, dof; /* u_mK of the visit: its own part of the cell's temperature */
	struct lab_u terms[LAB_TERMS];
	double mantle_age_K, u_mantle_age_K; /* effect on the cell: negative, the cell is colder */
	double u_temperature_K;              /* of the place of measurement, for measure visits */
	char *note;
	struct base_mark mark;
};

struct lab_event {
	int after;  /* index of the visit that it follows; -1: before the first */
	char *kind; /* anneal, transport, repair, shock, other */
	char *note;
};

struct lab_reading {
	int64_t time_us; /* UTC, microseconds; INT64_MIN: not given */
	int visit;       /* index in visits */
	double current_A;
	double current_mA;            /* as it was read */
	double ratio, resistance_ohm; /* one of the two is NaN */
	double bath_C;
	char *flag;     /* NULL, or why the reading was marked */
	bool set_aside; /* flag starts with "set aside" */
	int line;
};

enum lab_tpw_scheme { LAB_TPW_AFTER, LAB_TPW_BEFORE, LAB_TPW_ONE, LAB_TPW_INTERPOLATED };

struct lab_release {
	bool given;
	char *number, *date, *name, *function;
};

/* Texts for the certificate; none of them changes a number. */
struct lab_report {
	char *laboratory, *address, *place;
	char *customer, *customer_address;
	char *received, *method, *departures, *conditions, *traceability, *stabilisation;
	char *measured_by, *checked_by, *replaces;
	char *paper; /* "A4" or "Letter"; NULL: A4 */
};

struct lab_limits {
	double r_tpw_change_K; /* through the sequence; NaN: by the kind of sensor */
	double capability_K;   /* least U the laboratory states; NaN: none stated */
};

/* How the thermometer is going to be used, for the second curve of u(t). */
struct lab_use {
	int tpw;          /* visit that stands for the user's own R(TPW); -1: no use is stated */
	double u_drift_K; /* of the thermometer since that R(TPW); NaN: not stated */
	double u_immersion_K; /* conduction along the stem in use; NaN: not stated */
};

struct lab_file_id {
	char *path, *sha256;
};

struct lab_calibration {
	char *path; /* of the job file */
	struct lab_thermometer thermometer;
	GArray *resistors, *bridges, *cells, *visits, *events; /* of the structs above */
	GArray *readings;   /* struct lab_reading, in the order of the file */
	int utc_offset_min; /* of the first reading with a time: the days of the laboratory */
	char *readings_path;
	enum lab_tpw_scheme tpw_scheme;
	bool wr_from_equation; /* wr_at_points */
	bool subranges_all;
	bool subranges[LAB_SUBRANGES]; /* asked for by name when not all */
	bool simulated;     /* invented readings: whatever is made of them says SPECIMEN */
	bool least_squares; /* redundant points also by least squares; never the result */
	double coverage_probability, coverage_factor; /* one given; default probability 0.95 */
	struct lab_release release;
	struct lab_report report;
	struct lab_limits limits;
	struct lab_use use;
	GArray *inputs; /* struct lab_file_id: job first, then readings */

	GHashTable *marks;  /* path -> struct base_mark */
	GStringChunk *text; /* every char * above */
};

struct lab_calibration *lab_calibration_new(void); /* nothing given */
void lab_calibration_free(struct lab_calibration *calibration);
typedef struct lab_calibration lab_calibration;
G_DEFINE_AUTOPTR_CLEANUP_FUNC(lab_calibration, lab_calibration_free)

/* Keeps a copy of a text for as long as the record; NULL stays NULL. */
char *lab_calibration_text(struct lab_calibration *calibration, const char *text);

/* Appends an element with nothing given (texts NULL, numbers NaN, references -1). The pointer is
   good until the next one is added. */
struct lab_resistor *lab_add_resistor(struct lab_calibration *c);
struct lab_bridge *lab_add_bridge(struct lab_calibration *c);
struct lab_cell *lab_add_cell(struct lab_calibration *c);
struct lab_impurity *lab_add_impurity(struct lab_cell *cell);
struct lab_visit *lab_add_visit(struct lab_calibration *c);
struct lab_event *lab_add_event(struct lab_calibration *c);

/* Whether the gas pressure on a cell moves its temperature as the standard's Table 2 has it:
   melting and freezing points do, triple and vapour-pressure points are defined by their own
   pressure. */
bool lab_cell_takes_pressure(const struct lab_cell *cell);

/* Where the number with this path stands; the nearest known parent when it does not itself. */
void lab_calibration_set_mark(struct lab_calibration *c, const char *path, struct base_mark mark);
struct base_mark lab_calibration_mark(const struct lab_calibration *c, const char *path);

/* Element i of one of the arrays. */
#define LAB_AT(array, type, i) (&g_array_index((array), struct type, (i)))

#endif
