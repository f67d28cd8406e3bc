#include "app/simulate/laboratory.h"

#include <string.h>

/* Heat exchange, dynamic, liquidus, strain, reproducibility, stability, leakage; mK. */
#define TERMS(exchange, dynamic, liquidus, strain, reproducibility, stability, leakage)            \
	{                                                                                          \
		[LAB_HEAT_EXCHANGE] = (exchange), [LAB_DYNAMIC] = (dynamic),                       \
		[LAB_LIQUIDUS] = (liquidus), [LAB_STRAIN] = (strain),                              \
		[LAB_REPRODUCIBILITY] = (reproducibility), [LAB_STABILITY] = (stability),          \
		[LAB_LEAKAGE] = (leakage)                                                          \
	}

#define RANGE_100_OHM                                                                              \
	{                                                                                          \
		.resistor = "R100", .ohm = 100.000512, .u_ohm = 1e-5, .at_C = 23, .current_mA = 1, \
		.noise = 2e-8                                                                      \
	}

/* Of the size found for long stems; below zero as the argon subrange has it, above as the one to
   aluminium or zinc. */
#define LONG_STEM_BELOW                                                                            \
	{                                                                                          \
		true, FIRN_AR_H2O,                                                                 \
		{                                                                                  \
			-2.49e-4, 1.9e-5                                                           \
		}                                                                                  \
	}
#define LONG_STEM_TO_ZN                                                                            \
	{                                                                                          \
		true, FIRN_H2O_ZN,                                                                 \
		{                                                                                  \
			-2.61e-4, -1.2e-5                                                          \
		}                                                                                  \
	}

const struct simulate_laboratory simulate_laboratories[] = {
	{
	    .name = "long stem",
	    .kind = SIMULATE_WELL_KNOWN,
	    .sensor = LAB_LONG_STEM,
	    .r_tpw_ohm = 25.4786,
	    .drift_mK = 0.05,
	    .ranges = { RANGE_100_OHM },
	    .water = { "W", LAB_H2O, .depth_m = 0.261, .u_cell_mK = 0.02,
		       .total_umol_per_mol = 0.02,
		       .terms_mK = TERMS(0.01, 0.005, 0, 0.004, 0.012, 0.015, 0), .dof = 24,
		       .mantle_age_mK = -0.01, .u_mantle_age_mK = 0.006, .heating_mK = 1.6 },
	    .n_points = 5,
	    .points = { { "Al", LAB_AL, .depth_m = 0.168, .pressure_Pa = 101480, .u_cell_mK = 0.2,
			  .total_umol_per_mol = 0.1,
			  .terms_mK = TERMS(0.25, 0.1, 0.15, 0.05, 0.3, 0.15, 0.05), .dof = 30,
			  .heating_mK = 2.9 },
			{ "Zn", LAB_ZN, .depth_m = 0.176, .pressure_Pa = 101390, .u_cell_mK = 0.1,
			  .total_umol_per_mol = 0.05,
			  .terms_mK = TERMS(0.1, 0.05, 0.08, 0.03, 0.12, 0.06, 0.01), .dof = 30,
			  .heating_mK = 2.6 },
			{ "Sn", LAB_SN, .depth_m = 0.175, .pressure_Pa = 101210, .u_cell_mK = 0.06,
			  .total_umol_per_mol = 0.05,
			  .terms_mK = TERMS(0.06, 0.03, 0.05, 0.02, 0.08, 0.04, 0), .dof = 30,
			  .heating_mK = 2.1 },
			{ "Hg", LAB_HG, .depth_m = 0.162, .u_cell_mK = 0.05,
			  .total_umol_per_mol = 0.05,
			  .terms_mK = TERMS(0.05, 0.02, 0.02, 0.01, 0.06, 0.02, 0), .dof = 24,
			  .heating_mK = 1.4 },
			{ "Ar", LAB_AR, .depth_m = 0.085, .u_cell_mK = 0.05,
			  .total_umol_per_mol = 0.3,
			  .terms_mK = TERMS(0.08, 0.04, 0.02, 0, 0.07, 0.03, 0), .dof = 24,
			  .heating_mK = 0.8 } },
	    .places_K = { 573.15, 190.0 },
	    .u_place_mK = 0.2,
	    .below = LONG_STEM_BELOW,
	    .above = { true, FIRN_H2O_AL, { -2.61e-4, -1.64e-5, 3.1e-6 } },
	    .n_judged = 2,
	    .judged = { LAB_AR_H2O, LAB_H2O_AL },
	},
	{
	    .name = "capsule",
	    .kind = SIMULATE_WELL_KNOWN,
	    .sensor = LAB_CAPSULE,
	    .r_tpw_ohm = 25.4932,
	    .one_tpw = true,
	    .ranges = { { .resistor = "R25",
			  .ohm = 25.000331,
			  .u_ohm = 2e-6,
			  .at_C = 20,
			  .current_mA = 1,
			  .noise = 5e-8 },
			{ .resistor = "R1",
			  .ohm = 1.00000347,
			  .u_ohm = 8e-8,
			  .at_C = 20,
			  .current_mA = 5,
			  .noise = 9e-8 } },
	    .water = { "W", LAB_H2O, .depth_m = 0.212, .u_cell_mK = 0.02,
		       .total_umol_per_mol = 0.02,
		       .terms_mK = TERMS(0.012, 0.006, 0, 0.004, 0.015, 0.01, 0), .dof = 24,
		       .mantle_age_mK = -0.01, .u_mantle_age_mK = 0.006, .heating_mK = 1.1 },
	    .n_points = 7,
	    .points = { { "Hg", LAB_HG, .depth_m = 0.112, .u_cell_mK = 0.06,
			  .total_umol_per_mol = 0.05,
			  .terms_mK = TERMS(0.03, 0.02, 0.02, 0.01, 0.04, 0.015, 0), .dof = 24,
			  .heating_mK = 1.0 },
			{ "Ar", LAB_AR, .depth_m = 0.012, .u_cell_mK = 0.03,
			  .total_umol_per_mol = 0.2,
			  .terms_mK = TERMS(0.012, 0.015, 0.012, 0, 0.014, 0.008, 0), .dof = 24,
			  .heating_mK = 0.4 },
			{ "O2", LAB_O2, .depth_m = 0.014, .u_cell_mK = 0.03,
			  .total_umol_per_mol = 0.2,
			  .terms_mK = TERMS(0.012, 0.01, 0.008, 0, 0.012, 0.008, 0), .dof = 24,
			  .heating_mK = 0.35 },
			{ "Ne", LAB_NE, .depth_m = 0.018, .u_cell_mK = 0.04,
			  .total_umol_per_mol = 0.5,
			  .terms_mK = TERMS(0.012, 0.015, 0.015, 0, 0.02, 0.008, 0), .dof = 24,
			  .heating_mK = 0.2, .range = 1 },
			{ "H2v", LAB_E_H2_VAPOUR, .vapour_Pa = 101284.6, .u_vapour_Pa = 2,
			  .u_cell_mK = 0.06, .terms_mK = TERMS(0.02, 0.02, 0, 0, 0.03, 0.008, 0),
			  .dof = 24, .heating_mK = 0.17, .range = 1 },
			{ "H2v", LAB_E_H2_VAPOUR, .vapour_Pa = 33327.1, .u_vapour_Pa = 0.9,
			  .u_cell_mK = 0.06, .terms_mK = TERMS(0.02, 0.02, 0, 0, 0.03, 0.008, 0),
			  .dof = 24, .heating_mK = 0.15, .range = 1 },
			{ "H2", LAB_E_H2, .depth_m = 0.01, .u_cell_mK = 0.015,
			  .total_umol_per_mol = 0.2,
			  .terms_mK = TERMS(0.012, 0.012, 0.008, 0, 0.015, 0.008, 0), .dof = 24,
			  .heating_mK = 0.12, .range = 1 } },
	    .places_K = { 200.0, 40.0 },
	    .u_place_mK = 0.1,
	    /* An invented thermometer, smooth to the bottom of the scale. */
	    .below = { true,
		       FIRN_E_H2_H2O,
		       { -1.5786e-4, -2.129e-5, -1.6535e-6, -7.947e-7, -1.5154e-7, -1.327e-8,
			 -4.457e-10 } },
	    .n_judged = 1,
	    .judged = { LAB_E_H2_H2O },
	},
	{
	    .name = "high temperature",
	    .kind = SIMULATE_WELL_KNOWN,
	    .sensor = LAB_HIGH_TEMPERATURE,
	    .r_tpw_ohm = 0.25035,
	    .drift_mK = 0.2,
	    .ranges = { { .resistor = "R1",
			  .ohm = 1.00000347,
			  .u_ohm = 1.5e-7,
			  .at_C = 23,
			  .current_mA = 10,
			  .noise = 3e-8 } },
	    .water = { "W", LAB_H2O, .depth_m = 0.261, .u_cell_mK = 0.02,
		       .total_umol_per_mol = 0.02,
		       .terms_mK = TERMS(0.02, 0.01, 0, 0.005, 0.03, 0.04, 0), .dof = 24,
		       .mantle_age_mK = -0.008, .u_mantle_age_mK = 0.005, .heating_mK = 0.9 },
	    .n_points = 4,
	    .points = { { "Ag", LAB_AG, .depth_m = 0.155, .pressure_Pa = 101500, .u_cell_mK = 0.5,
			  .total_umol_per_mol = 0.2,
			  .terms_mK = TERMS(0.6, 0.2, 0.3, 0.1, 0.8, 0.4, 0.6), .dof = 24,
			  .heating_mK = 1.4 },
			{ "Al", LAB_AL, .depth_m = 0.168, .pressure_Pa = 101460, .u_cell_mK = 0.2,
			  .total_umol_per_mol = 0.1,
			  .terms_mK = TERMS(0.25, 0.1, 0.2, 0.05, 0.35, 0.2, 0.2), .dof = 24,
			  .heating_mK = 1.3 },
			{ "Zn", LAB_ZN, .depth_m = 0.176, .pressure_Pa = 101390, .u_cell_mK = 0.1,
			  .total_umol_per_mol = 0.05,
			  .terms_mK = TERMS(0.1, 0.05, 0.08, 0.03, 0.15, 0.1, 0.02), .dof = 24,
			  .heating_mK = 1.2 },
			{ "Sn", LAB_SN, .depth_m = 0.175, .pressure_Pa = 101210, .u_cell_mK = 0.06,
			  .total_umol_per_mol = 0.05,
			  .terms_mK = TERMS(0.06, 0.03, 0.05, 0.02, 0.1, 0.06, 0), .dof = 24,
			  .heating_mK = 1.1 } },
	    .places_K = { 1050.0, 800.0 },
	    .u_place_mK = 0.5,
	    .above = { true, FIRN_H2O_AG, { -1.587e-4, 9.4e-6, -2.1e-6, 3.6e-5 } },
	    .n_judged = 1,
	    .judged = { LAB_H2O_AG },
	},
	{
	    .name = "impure cells",
	    .kind = SIMULATE_RECTANGLE,
	    .sensor = LAB_LONG_STEM,
	    .r_tpw_ohm = 25.4786,
	    .drift_mK = 0.05,
	    .ranges = { RANGE_100_OHM },
	    .water = { "W", LAB_H2O, .depth_m = 0.261, .u_cell_mK = 0.015,
		       .total_umol_per_mol = 0.9,
		       .terms_mK = TERMS(0.01, 0.005, 0, 0.004, 0.012, 0.015, 0), .dof = 24,
		       .mantle_age_mK = -0.01, .u_mantle_age_mK = 0.006, .heating_mK = 1.6 },
	    .n_points = 4,
	    .points = { { "Zn", LAB_ZN, .depth_m = 0.176, .pressure_Pa = 101390, .u_cell_mK = 0.05,
			  .total_umol_per_mol = 1.2,
			  .terms_mK = TERMS(0.1, 0.05, 0.08, 0.03, 0.1, 0.06, 0.01), .dof = 30,
			  .heating_mK = 2.6 },
			{ "Sn", LAB_SN, .depth_m = 0.175, .pressure_Pa = 101210, .u_cell_mK = 0.04,
			  .total_umol_per_mol = 1.6,
			  .terms_mK = TERMS(0.06, 0.03, 0.05, 0.02, 0.06, 0.04, 0), .dof = 30,
			  .heating_mK = 2.1 },
			{ "Hg", LAB_HG, .depth_m = 0.162, .u_cell_mK = 0.03,
			  .total_umol_per_mol = 2.0,
			  .terms_mK = TERMS(0.05, 0.02, 0.02, 0.01, 0.05, 0.02, 0), .dof = 24,
			  .heating_mK = 1.4 },
			{ "Ar", LAB_AR, .depth_m = 0.085, .u_cell_mK = 0.04,
			  .total_umol_per_mol = 10,
			  .terms_mK = TERMS(0.08, 0.04, 0.02, 0, 0.07, 0.03, 0), .dof = 24,
			  .heating_mK = 0.8 } },
	    .places_K = { 573.15, 190.0 },
	    .u_place_mK = 0.2,
	    .below = LONG_STEM_BELOW,
	    .above = LONG_STEM_TO_ZN,
	    .n_judged = 2,
	    .judged = { LAB_AR_H2O, LAB_H2O_ZN },
	},
	{
	    .name = "few repeats",
	    .kind = SIMULATE_FEW_REPEATS,
	    .sensor = LAB_LONG_STEM,
	    .r_tpw_ohm = 25.4786,
	    .drift_mK = 0.05,
	    .ranges = { RANGE_100_OHM },
	    .water = { "W", LAB_H2O, .depth_m = 0.261, .u_cell_mK = 0.02,
		       .total_umol_per_mol = 0.02,
		       .terms_mK = TERMS(0.01, 0.005, 0, 0.004, 0.05, 0.015, 0), .dof = 4,
		       .mantle_age_mK = -0.01, .u_mantle_age_mK = 0.006, .heating_mK = 1.6 },
	    .n_points = 4,
	    .points = { { "Zn", LAB_ZN, .depth_m = 0.176, .pressure_Pa = 101390, .u_cell_mK = 0.1,
			  .total_umol_per_mol = 0.05,
			  .terms_mK = TERMS(0.1, 0.05, 0.08, 0.03, 0.5, 0.06, 0.01), .dof = 4,
			  .heating_mK = 2.6 },
			{ "Sn", LAB_SN, .depth_m = 0.175, .pressure_Pa = 101210, .u_cell_mK = 0.06,
			  .total_umol_per_mol = 0.05,
			  .terms_mK = TERMS(0.06, 0.03, 0.05, 0.02, 0.3, 0.04, 0), .dof = 4,
			  .heating_mK = 2.1 },
			{ "Hg", LAB_HG, .depth_m = 0.162, .u_cell_mK = 0.05,
			  .total_umol_per_mol = 0.05,
			  .terms_mK = TERMS(0.05, 0.02, 0.02, 0.01, 0.3, 0.02, 0), .dof = 4,
			  .heating_mK = 1.4 },
			{ "Ar", LAB_AR, .depth_m = 0.085, .u_cell_mK = 0.05,
			  .total_umol_per_mol = 0.3,
			  .terms_mK = TERMS(0.08, 0.04, 0.02, 0, 0.4, 0.03, 0), .dof = 4,
			  .heating_mK = 0.8 } },
	    .places_K = { 573.15, 190.0 },
	    .u_place_mK = 0.2,
	    .below = LONG_STEM_BELOW,
	    .above = LONG_STEM_TO_ZN,
	    .n_judged = 2,
	    .judged = { LAB_AR_H2O, LAB_H2O_ZN },
	},
};
const size_t simulate_n_laboratories =
    sizeof(simulate_laboratories) / sizeof(simulate_laboratories[0]);

const struct simulate_laboratory *simulate_laboratory_named(const char *name)
{
	for (size_t i = 0; i < simulate_n_laboratories; i++)
		if (strcmp(simulate_laboratories[i].name, name) == 0)
			return &simulate_laboratories[i];
	return NULL;
}
