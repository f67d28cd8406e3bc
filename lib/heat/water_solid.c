/* Ice Ih (IAPWS R10-06(2009), equation (1) and Table 2) and supercooled water (IAPWS G12-15). */
#include "firn/water.h"

#include "lib/num/elementary.h"

#include <complex.h>
#include <math.h>
#include <stddef.h>

#define COUNT(a)  (sizeof(a) / sizeof((a)[0]))
#define TRIPLE_K  273.16
#define TRIPLE_PA 611.657

/* Principal logarithm, by the logarithm of lib/num: the same bits everywhere. */
static double complex complex_ln(double complex z)
{
	const double x = creal(z), y = cimag(z);

	return 0.5 * num_ln(x * x + y * y) + I * atan2(y, x);
}

/* Of one pair (r, t): the bracket of equation (1) and its derivatives by theta = T/T_t. */
struct ice_mode {
	double complex value, first, second;
};

static struct ice_mode ice_mode(double complex t, double theta)
{
	const double complex low = complex_ln(t - theta), high = complex_ln(t + theta);

	return (struct ice_mode){
		.value = (t - theta) * low + (t + theta) * high - 2.0 * t * complex_ln(t) -
			 theta * theta / t,
		.first = high - low - 2.0 * theta / t,
		.second = 1.0 / (t - theta) + 1.0 / (t + theta) - 2.0 / t,
	};
}

enum firn_status firn_ice(double T_K, double p_Pa, struct firn_water_state *ret)
{
	static const double g0[] = { -0.632020233335886e6, 0.655022213658955, -0.189369929326131e-7,
				     0.339746123271053e-14, -0.556464869058991e-21 };
	static const double s0 = -0.332733756492168e4;
	const double complex t1 = 0.368017112855051e-1 + 0.510878114959572e-1 * I;
	const double complex r1 = 0.447050716285388e2 + 0.656876847463481e2 * I;
	const double complex t2 = 0.337315741065416 + 0.335449415919309 * I;
	const double complex r2[] = { -0.725974574329220e2 - 0.781008427112870e2 * I,
				      -0.557107698030123e-4 + 0.464578634580806e-4 * I,
				      0.234801409215913e-10 - 0.285651142904972e-10 * I };

	if (!(T_K >= 1.0 && T_K <= 275.0) || !(p_Pa >= 0.0 && p_Pa <= 2.1e8))
		return FIRN_E_DOMAIN;
	const double theta = T_K / TRIPLE_K, x = (p_Pa - 101325.0) / TRIPLE_PA;
	const struct ice_mode a = ice_mode(t1, theta), b = ice_mode(t2, theta);
	const double complex r = r2[0] + x * (r2[1] + x * r2[2]), r_x = r2[1] + 2.0 * x * r2[2];
	const double at_0 = g0[0] + x * (g0[1] + x * (g0[2] + x * (g0[3] + x * g0[4])));
	const double at_0_x = g0[1] + x * (2.0 * g0[2] + x * (3.0 * g0[3] + x * 4.0 * g0[4]));
	const double g = at_0 - s0 * T_K + TRIPLE_K * creal(r1 * a.value + r * b.value);
	const double volume = (at_0_x + TRIPLE_K * creal(r_x * b.value)) / TRIPLE_PA;
	const double entropy = s0 - creal(r1 * a.first + r * b.first);

	*ret = (struct firn_water_state){
		.density_kg_per_m3 = 1.0 / volume,
		.enthalpy_J_per_kg = g + T_K * entropy,
		.entropy_J_per_kgK = entropy,
		.gibbs_J_per_kg = g,
		.cp_J_per_kgK = -theta * creal(r1 * a.second + r * b.second),
	};
	return FIRN_OK;
}

/* ---- Supercooled water: a mixture of two structures, of which x is the fraction of one ---- */

#define LIQUID_K      228.2 /* T_LL */
#define LIQUID_RHO_0  1081.6482
#define LIQUID_R      461.523087
#define LIQUID_OMEGA0 0.52122690
#define LIQUID_L0     0.76317954
#define LIQUID_K0     0.072158686
#define LIQUID_K1     (-0.31569232)
#define LIQUID_K2     5.2992608

/* c tau^a pi^b exp(-d pi), tau = T/T_LL, pi = (p + 300 MPa)/(rho_0 R T_LL) */
static const struct {
	double c, a, b, d;
} background[] = {
	{ -8.1570681381655, 0, 0, 0 },
	{ 1.2875032, 0, 1, 0 },
	{ 7.0901673598012, 1, 0, 0 },
	{ -3.2779161e-2, -0.2555, 2.1051, -0.0016 },
	{ 7.3703949e-1, 1.5762, 1.1422, 0.6894 },
	{ -2.1628622e-1, 1.6400, 0.9510, 0.0130 },
	{ -5.1782479, 3.6385, 0, 0.0002 },
	{ 4.2293517e-4, -0.3828, 3.6402, 0.0435 },
	{ 2.3592109e-2, 1.6219, 2.0760, 0.0500 },
	{ 4.3773754, 4.3287, -0.0016, 0.0004 },
	{ -2.9967770e-3, 3.4763, 2.2769, 0.0528 },
	{ -9.6558018e-1, 5.1556, 0.0008, 0.0147 },
	{ 3.7595286, -0.3593, 0.3706, 0.8584 },
	{ 1.2632441, 5.0361, -0.3975, 0.9924 },
	{ 2.8542697e-1, 2.9786, 2.9730, 1.0041 },
	{ -8.5994947e-1, 6.2373, -0.3180, 1.0961 },
	{ -3.2916153e-1, 4.0460, 2.9805, 1.0228 },
	{ 9.0019616e-2, 5.3558, 2.9265, 1.0303 },
	{ 8.1149726e-2, 9.0157, 0.4456, 1.6180 },
	{ -3.2788213, 1.2194, 0.1298, 0.5213 },
};

/* The field L that drives the conversion, with its derivatives by t = tau - 1 and by p. */
struct field {
	double L, t, p, tt;
};

static struct field field_at(double t, double p)
{
	const double k0 = LIQUID_K0, k1 = LIQUID_K1, k2 = LIQUID_K2;
	const double c = LIQUID_L0 * sqrt(1.0 + k2 * k2) / (2.0 * k1 * k2);
	const double y = p - k2 * t, w = 1.0 + k0 * k2 + k1 * y;
	const double root = sqrt(w * w - 4.0 * k0 * k1 * k2 * y);
	/* of root^2, by y: k1 w - 2 k0 k1 k2 is half the first derivative, k1^2 half the second */
	const double root_y = (k1 * w - 2.0 * k0 * k1 * k2) / root;
	const double root_yy = (k1 * k1 - root_y * root_y) / root;

	return (struct field){
		.L = c * (1.0 + k0 * k2 + k1 * (p + k2 * t) - root),
		.t = c * (k1 * k2 + k2 * root_y),
		.p = c * (k1 - root_y),
		.tt = -c * k2 * k2 * root_yy,
	};
}

/* Root of L + ln(x/(1 - x)) + omega (1 - 2x) = 0: halving between 0 and 1/2 (L > 0) or 1/2 and 1,
   where the least Gibbs energy lies. */
static double fraction_at(double L, double omega)
{
	double low = L > 0.0 ? 0.0 : 0.5, high = L > 0.0 ? 0.5 : 1.0;

	for (int i = 0; i < 200; i++) {
		const double x = 0.5 * (low + high);

		if (x <= low || x >= high)
			break;
		if (L + num_ln(x / (1.0 - x)) + omega * (1.0 - 2.0 * x) > 0.0)
			high = x;
		else
			low = x;
	}
	return 0.5 * (low + high);
}

enum firn_status firn_water_supercooled(double T_K, double p_Pa, double *ret_density_kg_per_m3,
					double *ret_cp_J_per_kgK)
{
	const double unit_Pa = LIQUID_RHO_0 * LIQUID_R * LIQUID_K;

	if (!(T_K >= 200.0 && T_K <= 300.0) || !(p_Pa >= 0.0 && p_Pa <= 4e8))
		return FIRN_E_DOMAIN;
	const double tau = T_K / LIQUID_K, p = p_Pa / unit_Pa, pi = (p_Pa + 300e6) / unit_Pa;
	const double omega = 2.0 + LIQUID_OMEGA0 * p;
	const struct field f = field_at(tau - 1.0, p);
	const double x = fraction_at(f.L, omega);
	double B_p = 0.0, B_tt = 0.0;

	for (size_t i = 0; i < COUNT(background); i++) {
		const double a = background[i].a, b = background[i].b, d = background[i].d;
		const double term =
		    background[i].c * num_exp(a * num_ln(tau) + b * num_ln(pi) - d * pi);

		B_p += term * (b / pi - d);
		B_tt += term * a * (a - 1.0) / (tau * tau);
	}
	/* g = B + tau [x L + x ln x + (1-x) ln(1-x) + omega x (1-x)], and dg/dx = 0 at x: the first
	   derivatives are those at fixed x; the second has dx/dtau of the condition too. */
	const double x_t = -f.t / (1.0 / (x * (1.0 - x)) - 2.0 * omega);
	const double volume = B_p + tau * (x * f.p + LIQUID_OMEGA0 * x * (1.0 - x));
	const double g_tt = B_tt + 2.0 * x * f.t + tau * x * f.tt + tau * f.t * x_t;

	*ret_density_kg_per_m3 = LIQUID_RHO_0 / volume;
	*ret_cp_J_per_kgK = -LIQUID_R * tau * g_tt;
	return FIRN_OK;
}
