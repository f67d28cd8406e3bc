/* What comes of a fixed-point calibration: plain numbers in SI units, ready to be shown. */
#ifndef LAB_CALIBRATION_RESULT_H
#define LAB_CALIBRATION_RESULT_H

#include "app/lab/calibration.h"
#include "app/lab/model.h"

/* A correction: the cell's temperature minus the defined one, by cause. */
struct lab_correction {
	char *name; /* isotopes head pressure impurities cell_certificate mantle_age */
	double value_K, u_K;
	char *words; /* "183 µK colder: the sensor lies deeper" */
};

/* The readings of a visit at one current. */
struct lab_current_result {
	double current_A;
	int n, n_set_aside, n_outliers;
	double mean, u; /* of ratio or ohm, as read; u NaN: no type A term */
	double dof, s, drift_per_s, autocorrelation; /* NaN where they can't be had */
	bool constant;
};

struct lab_visit_result {
	char *id, *cell, *tpw; /* tpw: id of the R(TPW) it was divided by; NULL for TPW visits */
	enum lab_point point;  /* LAB_NO_POINT for a measured temperature */
	int visit;             /* index in the calibration */
	GArray *currents;      /* struct lab_current_result, rising */
	bool zero_power;       /* false: a single current, r0 is the resistance at it */
	struct lab_estimate rs_ohm; /* value NaN: readings in ohm */
	struct lab_estimate r0_ohm;
	double self_heating_K; /* at the lowest current; NaN with one current */
	double self_heating_u_K;
	double t90_defined_K, depth_m, pressure_Pa;
	GArray *corrections; /* struct lab_correction */
	double correction_total_K;
	struct lab_estimate r_ohm; /* corrected to the defined temperature */
	struct lab_estimate w;
	double wr, s;            /* s NaN where W_r = 1 */
	double u_w_K;            /* u(W) as a temperature */
	GPtrArray *not_included; /* char *: terms nobody stated */
	GArray *budget;          /* struct lab_budget_line of W (of R for TPW visits) */
};

struct lab_residual {
	char *point, *visit;
	double value_K, u_K; /* measured by this subrange minus defined */
	bool used;           /* an exact solution passes through its own points */
};

struct lab_coefficient {
	char *name;
	struct lab_estimate estimate;
};

struct lab_subrange_result {
	enum lab_subrange subrange;
	char *name; /* "H2O_Al" */
	double low_K, high_K;
	char *formula; /* "W - Wr = a (W - 1) + ..." */
	GPtrArray *points,
	    *visits;          /* char *: fixed points that fix it, and the visits they came from */
	GArray *coefficients; /* struct lab_coefficient */
	double *covariance;   /* n x n */
	GPtrArray *joint_order; /* char *: coefficients, W_Al where it acts, then r_tpw.<visit> */
	double *joint_covariance;
	GArray *residuals; /* struct lab_residual: redundant points */
	double w_al;       /* H2O_Ag: the measured W at the aluminium point; NaN otherwise */
	bool certificate;  /* false: least squares over redundant points */
};

/* One temperature of the table of a subrange: u with the calibration alone, and in use. */
struct lab_curve_point {
	double t90_K, w, dw_per_K, deviation_K;
	double u_calibration_K, u_non_uniqueness_K, u_inconsistency_K; /* last two NaN: no figure */
	double u_in_use_K; /* as the job's `use` states it; NaN: no use stated. Never added to the
			      first */
	double dof;
};

struct lab_curve {
	enum lab_subrange subrange;
	char *name;
	GArray *points; /* struct lab_curve_point */
};

struct lab_temperature {
	char *visit, *subrange, *tpw;
	double w, wr, t90_K;
	double u_calibration_K, dof_calibration, u_in_use_K, dof_in_use;
	double u_non_uniqueness_K, u_inconsistency_K; /* NaN: no published figure */
	double dt_dw_K;
	GArray *budget_calibration, *budget_in_use; /* struct lab_budget_line */
};

/* Two subranges of one thermometer where they overlap. */
struct lab_overlap {
	char *a, *b;
	double low_K, high_K, largest_K,
	    at_K; /* largest |T90(a) - T90(b)| with its sign, at the T90 of a */
};

enum lab_verdict { LAB_MET, LAB_MET_WITHIN_U, LAB_NOT_MET_WITHIN_U, LAB_NOT_MET, LAB_NOT_JUDGED };
const char *lab_verdict_name(enum lab_verdict verdict);

struct lab_acceptance {
	char *name;             /* "W(Ga)" */
	char *text;             /* one sentence */
	double value, limit, U; /* U in the unit of value; NaN: none */
	bool measured;          /* false: calculated from a deviation function, named in text */
	enum lab_verdict verdict;
	bool binding; /* false: for information, does not decide */
	char *source;
};

/* The R(TPW) through the sequence. */
struct lab_tpw_value {
	char *visit;
	struct lab_estimate ohm;
	double change_K; /* from the visit before; NaN for the first */
	int64_t time_us;
};

/* A coefficient, or T90 at a given W, by trials beside the linear law; kelvin where t90_K is given.
 */
struct lab_trial_comparison {
	char *subrange, *coefficient; /* coefficient NULL: a temperature of the table */
	double t90_K;                 /* NaN: a coefficient */
	double u_linear, U_linear;
	double shift, u;     /* mean of the trials less the value; NaN: they have none */
	double low, high;    /* of the interval of the trials, less the value */
	double disagreement; /* of both intervals: the larger difference of their ends */
	bool linear_law_holds;
};

struct lab_reduction_trials {
	int64_t n; /* 0: none were made */
	double coverage_probability;
	GArray *coefficients, *temperatures; /* struct lab_trial_comparison */
};

struct lab_calibration_result {
	GArray *visits;      /* struct lab_visit_result */
	GArray *tpw;         /* struct lab_tpw_value */
	double tpw_change_K; /* largest minus smallest */
	double tpw_limit_K;
	GArray *subranges;       /* struct lab_subrange_result */
	GArray *curves;          /* struct lab_curve */
	GArray *temperatures;    /* struct lab_temperature */
	GArray *overlaps;        /* struct lab_overlap */
	GArray *acceptance;      /* struct lab_acceptance */
	bool accepted;           /* every binding acceptance is met */
	GPtrArray *reservations; /* char *: one sentence each */
	GPtrArray *leaves_out;   /* char *: what u(t), calibration only, does not hold */
	bool wr_from_equation;
	double coverage_probability, coverage_factor;
	int64_t first_us, last_us; /* of the readings; INT64_MIN: no times */
	struct lab_reduction_trials trials;
	GStringChunk *text;
};
struct lab_calibration_result *lab_calibration_result_new(void);
void lab_calibration_result_free(struct lab_calibration_result *result);
typedef struct lab_calibration_result lab_calibration_result;
G_DEFINE_AUTOPTR_CLEANUP_FUNC(lab_calibration_result, lab_calibration_result_free)

char *lab_result_text(struct lab_calibration_result *result, const char *text);

#endif
