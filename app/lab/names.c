/* The names that job files and results use. */
#include "app/lab/calibration.h"
#include "app/lab/calibration_result.h"
#include "app/lab/model.h"

#include <string.h>

static const char *const point_names[LAB_POINTS] = {
	[LAB_E_H2] = "e-H2", [LAB_E_H2_VAPOUR] = "e-H2-vapour",
	[LAB_NE] = "Ne",     [LAB_O2] = "O2",
	[LAB_AR] = "Ar",     [LAB_HG] = "Hg",
	[LAB_H2O] = "H2O",   [LAB_GA] = "Ga",
	[LAB_IN] = "In",     [LAB_SN] = "Sn",
	[LAB_ZN] = "Zn",     [LAB_AL] = "Al",
	[LAB_AG] = "Ag",
};

static const char *const subrange_names[LAB_SUBRANGES] = {
	[LAB_E_H2_H2O] = "e-H2_H2O", [LAB_NE_H2O] = "Ne_H2O", [LAB_O2_H2O] = "O2_H2O",
	[LAB_AR_H2O] = "Ar_H2O",     [LAB_HG_GA] = "Hg_Ga",   [LAB_H2O_GA] = "H2O_Ga",
	[LAB_H2O_IN] = "H2O_In",     [LAB_H2O_SN] = "H2O_Sn", [LAB_H2O_ZN] = "H2O_Zn",
	[LAB_H2O_AL] = "H2O_Al",     [LAB_H2O_AG] = "H2O_Ag",
};

static const char *const term_names[LAB_TERMS] = {
	[LAB_HEAT_EXCHANGE] = "heat_exchange",
	[LAB_DYNAMIC] = "dynamic",
	[LAB_LIQUIDUS] = "liquidus",
	[LAB_STRAIN] = "strain",
	[LAB_REPRODUCIBILITY] = "reproducibility",
	[LAB_STABILITY] = "stability",
	[LAB_LEAKAGE] = "leakage",
};

static const char *const distribution_names[] = {
	[LAB_NORMAL] = "normal",         [LAB_RECTANGULAR] = "rectangular",
	[LAB_TRIANGULAR] = "triangular", [LAB_TRAPEZOIDAL] = "trapezoidal",
	[LAB_ARCSINE] = "arcsine",       [LAB_CURVILINEAR_TRAPEZOID] = "curvilinear_trapezoid",
	[LAB_STUDENT_T] = "student_t",   [LAB_EXPONENTIAL] = "exponential",
	[LAB_GAMMA] = "gamma",           [LAB_READINGS] = "readings",
	[LAB_FORMULA] = "formula",
};

static const char *const verdict_names[] = {
	[LAB_MET] = "met",
	[LAB_MET_WITHIN_U] = "met within U",
	[LAB_NOT_MET_WITHIN_U] = "not met within U",
	[LAB_NOT_MET] = "not met",
	[LAB_NOT_JUDGED] = "not judged",
};

static int find(const char *name, const char *const *names, int n)
{
	for (int i = 0; i < n; i++) {
		if (strcmp(name, names[i]) == 0)
			return i;
	}
	return -1;
}

const char *lab_point_name(enum lab_point point)
{
	return point == LAB_NO_POINT ? "" : point_names[point];
}

enum lab_point lab_point_named(const char *name)
{
	return (enum lab_point)find(name, point_names, LAB_POINTS);
}

const char *lab_subrange_name(enum lab_subrange subrange)
{
	return subrange == LAB_NO_SUBRANGE ? "" : subrange_names[subrange];
}

enum lab_subrange lab_subrange_named(const char *name)
{
	return (enum lab_subrange)find(name, subrange_names, LAB_SUBRANGES);
}

const char *lab_term_name(enum lab_term term)
{
	return term_names[term];
}

const char *lab_distribution_name(enum lab_distribution d)
{
	return distribution_names[d];
}

const char *lab_reason_name(enum lab_reason reason)
{
	static const char *const names[] = {
		[LAB_ONE_SIDED] = "one-sided", [LAB_BENT] = "bent",   [LAB_DIVISOR] = "divisor",
		[LAB_PRODUCT] = "product",     [LAB_SHAPE] = "shape", [LAB_SKEW] = "skew",
		[LAB_FEW_DOF] = "few dof",
	};

	return names[reason];
}

const char *lab_verdict_name(enum lab_verdict verdict)
{
	return verdict_names[verdict];
}
