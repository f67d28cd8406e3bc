/* The dimensionless Helmholtz energy of IAPWS-95: for lib/heat only. */
#ifndef LIB_HEAT_WATER_FLUID_H
#define LIB_HEAT_WATER_FLUID_H

#define WATER_R_J_PER_KGK 461.51805
#define WATER_RHO_C       322.0
#define WATER_T_C         647.096

/* phi(delta, tau) and its derivatives: d by delta = rho/rho_c, t by tau = T_c/T. */
struct water_phi {
	double phi, d, t, dd, tt, dt;
};

/* Residual part; and the ideal part, whose derivatives by delta are those of ln(delta). */
struct water_phi water_residual(double delta, double tau);
struct water_phi water_ideal(double delta, double tau);

#endif
