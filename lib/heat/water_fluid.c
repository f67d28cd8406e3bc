/*
 * Helmholtz energy of fluid water: IAPWS R6-95(2018), equations (4) to (6), Tables 1, 2 and 5.
 */
#include "lib/heat/water_fluid.h"

#include "lib/num/elementary.h"

#include <math.h>
#include <stddef.h>

#define COUNT(a) (sizeof(a) / sizeof((a)[0]))

/* n delta^d tau^t */
static const struct {
	double d, t, n;
} power_terms[] = {
	{ 1, -0.5, 0.12533547935523e-1 }, { 1, 0.875, 0.78957634722828e1 },
	{ 1, 1, -0.87803203303561e1 },    { 2, 0.5, 0.31802509345418 },
	{ 2, 0.75, -0.26145533859358 },   { 3, 0.375, -0.78199751687981e-2 },
	{ 4, 1, 0.88089493102134e-2 },
};

/* n delta^d tau^t exp(-delta^c) */
static const struct {
	int c, d, t;
	double n;
} damped_terms[] = {
	{ 1, 1, 4, -0.66856572307965 },     { 1, 1, 6, 0.20433810950965 },
	{ 1, 1, 12, -0.66212605039687e-4 }, { 1, 2, 1, -0.19232721156002 },
	{ 1, 2, 5, -0.25709043003438 },     { 1, 3, 4, 0.16074868486251 },
	{ 1, 4, 2, -0.40092828925807e-1 },  { 1, 4, 13, 0.39343422603254e-6 },
	{ 1, 5, 9, -0.75941377088144e-5 },  { 1, 7, 3, 0.56250979351888e-3 },
	{ 1, 9, 4, -0.15608652257135e-4 },  { 1, 10, 11, 0.11537996422951e-8 },
	{ 1, 11, 4, 0.36582165144204e-6 },  { 1, 13, 13, -0.13251180074668e-11 },
	{ 1, 15, 1, -0.62639586912454e-9 }, { 2, 1, 7, -0.10793600908932 },
	{ 2, 2, 1, 0.17611491008752e-1 },   { 2, 2, 9, 0.22132295167546 },
	{ 2, 2, 10, -0.40247669763528 },    { 2, 3, 10, 0.58083399985759 },
	{ 2, 4, 3, 0.49969146990806e-2 },   { 2, 4, 7, -0.31358700712549e-1 },
	{ 2, 4, 10, -0.74315929710341 },    { 2, 5, 10, 0.47807329915480 },
	{ 2, 6, 6, 0.20527940895948e-1 },   { 2, 6, 10, -0.13636435110343 },
	{ 2, 7, 10, 0.14180634400617e-1 },  { 2, 9, 1, 0.83326504880713e-2 },
	{ 2, 9, 2, -0.29052336009585e-1 },  { 2, 9, 3, 0.38615085574206e-1 },
	{ 2, 9, 4, -0.20393486513704e-1 },  { 2, 9, 8, -0.16554050063734e-2 },
	{ 2, 10, 6, 0.19955571979541e-2 },  { 2, 10, 9, 0.15870308324157e-3 },
	{ 2, 12, 8, -0.16388568342530e-4 }, { 3, 3, 16, 0.43613615723811e-1 },
	{ 3, 4, 22, 0.34994005463765e-1 },  { 3, 4, 23, -0.76788197844621e-1 },
	{ 3, 5, 23, 0.22446277332006e-1 },  { 4, 14, 10, -0.62689710414685e-4 },
	{ 6, 3, 50, -0.55711118565645e-9 }, { 6, 6, 44, -0.19905718354408 },
	{ 6, 6, 46, 0.31777497330738 },     { 6, 6, 50, -0.11841182425981 },
};

/* n delta^3 tau^t exp(-20 (delta - 1)^2 - beta (tau - gamma)^2) */
static const struct {
	int t;
	double n, beta, gamma;
} bell_terms[] = {
	{ 0, -0.31306260323435e2, 150, 1.21 },
	{ 1, 0.31546140237781e2, 150, 1.21 },
	{ 4, -0.25213154341695e4, 250, 1.25 },
};

/* n Delta^b delta exp(-C (delta - 1)^2 - D (tau - 1)^2); a = 3.5, B = 0.2, A = 0.32, beta = 0.3 */
static const struct {
	double b, n, C, D;
} critical_terms[] = {
	{ 0.85, -0.14874640856724, 28, 700 },
	{ 0.95, 0.31806110878444, 32, 800 },
};

static double whole_power(double x, int n)
{
	double y = 1.0;

	for (; n > 0; n >>= 1, x *= x)
		if (n & 1)
			y *= x;
	return y;
}

/* Adds a term given by its value and its logarithmic derivatives delta d/ddelta and tau d/dtau:
   a and b, and how those change in turn: delta da/ddelta and tau db/dtau (the mixed one is 0). */
static void add_log(struct water_phi *sum, double value, double a, double da, double b, double db,
		    double delta, double tau)
{
	sum->phi += value;
	sum->d += value * a / delta;
	sum->t += value * b / tau;
	sum->dd += value * (a * a - a + da) / (delta * delta);
	sum->tt += value * (b * b - b + db) / (tau * tau);
	sum->dt += value * a * b / (delta * tau);
}

static void add_power_terms(struct water_phi *sum, double delta, double tau)
{
	const double ln_tau = num_ln(tau);

	for (size_t i = 0; i < COUNT(power_terms); i++)
		add_log(sum,
			power_terms[i].n * whole_power(delta, (int)power_terms[i].d) *
			    num_exp(power_terms[i].t * ln_tau),
			power_terms[i].d, 0.0, power_terms[i].t, 0.0, delta, tau);
	for (size_t i = 0; i < COUNT(damped_terms); i++) {
		const int c = damped_terms[i].c, d = damped_terms[i].d, t = damped_terms[i].t;
		const double dc = whole_power(delta, c);

		add_log(sum,
			damped_terms[i].n * whole_power(delta, d) * whole_power(tau, t) *
			    num_exp(-dc),
			d - c * dc, -c * c * dc, t, 0.0, delta, tau);
	}
}

static void add_bell_terms(struct water_phi *sum, double delta, double tau)
{
	const double x = delta - 1.0;

	for (size_t i = 0; i < COUNT(bell_terms); i++) {
		const double beta = bell_terms[i].beta, y = tau - bell_terms[i].gamma;
		const int t = bell_terms[i].t;

		add_log(sum,
			bell_terms[i].n * whole_power(delta, 3) * whole_power(tau, t) *
			    num_exp(-20.0 * x * x - beta * y * y),
			3.0 - 40.0 * delta * x, -40.0 * delta * (x + delta),
			t - 2.0 * beta * tau * y, -2.0 * beta * tau * (y + tau), delta, tau);
	}
}

/*
 * The two terms that shape the critical point. With z = (delta - 1)^2, theta = 1 - tau + A
 * z^(1/(2 beta)), Delta = theta^2 + B z^a; f = n Delta^b delta psi. Far from the critical point
 * they are small, but their part of the pressure counts in the last digits.
 */
static void add_critical_terms(struct water_phi *sum, double delta, double tau)
{
	const double A = 0.32, B = 0.2, a = 3.5, beta = 0.3, x = delta - 1.0;
	const double z = x * x, ln_z = num_ln(z), p = 1.0 / (2.0 * beta);
	const double s = A * num_exp(p * ln_z), q = B * num_exp(a * ln_z);
	const double theta = 1.0 - tau + s;
	const double s_d = 2.0 * p * s / x, s_dd = 2.0 * p * (2.0 * p - 1.0) * s / z;
	const double D = theta * theta + q;
	const double D_d = 2.0 * theta * s_d + 2.0 * a * q / x;
	const double D_dd = 2.0 * (s_d * s_d + theta * s_dd) + 2.0 * a * (2.0 * a - 1.0) * q / z;
	const double D_t = -2.0 * theta, D_tt = 2.0, D_dt = -2.0 * s_d;

	for (size_t i = 0; i < COUNT(critical_terms); i++) {
		const double b = critical_terms[i].b, C = critical_terms[i].C,
			     E = critical_terms[i].D, y = tau - 1.0;
		const double psi = num_exp(-C * z - E * y * y);
		const double psi_d = -2.0 * C * x * psi, psi_t = -2.0 * E * y * psi;
		const double psi_dd = (4.0 * C * C * z - 2.0 * C) * psi;
		const double psi_tt = (4.0 * E * E * y * y - 2.0 * E) * psi;
		const double psi_dt = 4.0 * C * E * x * y * psi;
		const double g = num_exp(b * num_ln(D)), g1 = b * g / D,
			     g2 = b * (b - 1.0) * g / (D * D);
		const double g_d = g1 * D_d, g_t = g1 * D_t;
		const double g_dd = g1 * D_dd + g2 * D_d * D_d;
		const double g_tt = g1 * D_tt + g2 * D_t * D_t;
		const double g_dt = g1 * D_dt + g2 * D_d * D_t;
		const double n = critical_terms[i].n;

		sum->phi += n * g * delta * psi;
		sum->d += n * (g * (psi + delta * psi_d) + g_d * delta * psi);
		sum->t += n * delta * (g_t * psi + g * psi_t);
		sum->dd += n * (g * (2.0 * psi_d + delta * psi_dd) +
				2.0 * g_d * (psi + delta * psi_d) + g_dd * delta * psi);
		sum->tt += n * delta * (g_tt * psi + 2.0 * g_t * psi_t + g * psi_tt);
		sum->dt += n * (g * (psi_t + delta * psi_dt) + delta * g_d * psi_t +
				g_t * (psi + delta * psi_d) + g_dt * delta * psi);
	}
}

struct water_phi water_residual(double delta, double tau)
{
	struct water_phi sum = { 0 };

	add_power_terms(&sum, delta, tau);
	add_bell_terms(&sum, delta, tau);
	if (delta != 1.0)
		add_critical_terms(&sum, delta, tau);
	return sum;
}

struct water_phi water_ideal(double delta, double tau)
{
	static const struct {
		double n, gamma;
	} terms[] = { { 0.012436, 1.28728967 },
		      { 0.97315, 3.53734222 },
		      { 1.27950, 7.74073708 },
		      { 0.96956, 9.24437796 },
		      { 0.24873, 27.5075105 } };
	struct water_phi x = {
		.phi =
		    num_ln(delta) - 8.3204464837497 + 6.6832105275932 * tau + 3.00632 * num_ln(tau),
		.d = 1.0 / delta,
		.t = 6.6832105275932 + 3.00632 / tau,
		.dd = -1.0 / (delta * delta),
		.tt = -3.00632 / (tau * tau),
	};

	for (size_t i = 0; i < COUNT(terms); i++) {
		const double g = terms[i].gamma, e = num_exp(-g * tau);

		x.phi += terms[i].n * num_ln(1.0 - e);
		x.t += terms[i].n * g * (1.0 / (1.0 - e) - 1.0);
		x.tt -= terms[i].n * g * g * e / ((1.0 - e) * (1.0 - e));
	}
	return x;
}
