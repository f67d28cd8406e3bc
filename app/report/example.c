#include "app/report/example.h"

#include <math.h>

/* Day zero: 2031-09-23T08:00:00Z. */
#define START_US 1947916800000000

enum { DAY_S = 86400, HOUR_S = 3600 };

struct stay {
	const char *id, *cell, *tpw;
	enum lab_point point;
	double t90_K, depth_m, pressure_Pa, u_K;
};

static const struct stay stays[] = {
	{ "1", "W3", NULL, LAB_H2O, 273.16, 0.265, 611.657, 4e-5 },
	{ "2", "Sn2", "3", LAB_SN, 505.078, 0.175, 101325.0, 3.8e-4 },
	{ "3", "W3", NULL, LAB_H2O, 273.16, 0.265, 611.657, 4e-5 },
	{ "4", "In2", "5", LAB_IN, 429.7485, 0.178, 98800.0, 3.2e-4 },
	{ "5", "W3", NULL, LAB_H2O, 273.16, 0.265, 611.657, 4e-5 },
	{ "6", "Ga1", "7", LAB_GA, 302.9146, 0.205, 98900.0, 9e-5 },
	{ "7", "W3", NULL, LAB_H2O, 273.16, 0.265, 611.657, 4e-5 },
	{ "8", "Hg1", "9", LAB_HG, 234.3156, 0.162, 0.2, 1.4e-4 },
	{ "9", "W3", NULL, LAB_H2O, 273.16, 0.265, 611.657, 4e-5 },
	{ "10", NULL, "9", LAB_NO_POINT, (double)NAN, (double)NAN, (double)NAN, 2e-4 },
};

/* A parabola that looks like platinum; and its slope. */
static double w_of(double t90_K)
{
	const double t = t90_K - 273.16;

	return 1.0 + 3.9885e-3 * t - 5.87e-7 * t * t;
}

static double dw_of(double t90_K)
{
	return 3.9885e-3 - 2.0 * 5.87e-7 * (t90_K - 273.16);
}

static void add_text(struct lab_calibration *c, char **ret, const char *text)
{
	*ret = lab_calibration_text(c, text);
}

static void fill_texts(struct lab_calibration *c)
{
	struct lab_report *r = &c->report;

	add_text(c, &r->laboratory, "Hollowmere Temperature Laboratory");
	add_text(c, &r->address, "4 Mill Rise, Hollowmere");
	add_text(c, &r->place, "measured here, room 3");
	add_text(c, &r->customer, "Tarn Valley Waterworks");
	add_text(c, &r->customer_address, "Weir House, Tarn Valley");
	add_text(c, &r->received, "2031-09-15");
	add_text(c, &r->method,
		 "Procedure FP-04, revision 6: fixed points from tin downwards, R(0.01 °C) after "
		 "each, 1 mA and 2 mA extrapolated to zero current.");
	add_text(
	    c, &r->departures,
	    "The limit of drift at indium was 15 µK, not 10 µK, because the furnace was cycling.");
	add_text(c, &r->conditions,
		 "19.8 °C to 20.4 °C, 41 % to 46 % relative humidity, 98.6 kPa to 99.1 kPa");
	add_text(
	    c, &r->traceability,
	    "ITS-90 realised in cells W3, Hg1, Ga1, In2 and Sn2, each compared with others of "
	    "this laboratory and, in 2030, with those of a national institute; ratio bridge B2, "
	    "verified 21 August 2031; standard resistor R-100-3, certificate 30-2277, "
	    "3 November 2030.");
	add_text(c, &r->stabilisation, "three hours at 480 °C, change of R(0.01 °C) 0.06 mK");
	add_text(c, &r->measured_by, "Ilse Fennimoor");
	add_text(c, &r->checked_by, "Tam Quillbeck");
	c->release.given = true;
	add_text(c, &c->release.number, "31-018");
	add_text(c, &c->release.date, "2031-10-15");
	add_text(c, &c->release.name, "Edda Mossgarth");
	add_text(c, &c->release.function, "head of laboratory");
}

static void fill_equipment(struct lab_calibration *c)
{
	struct lab_resistor resistor = { .ohm = 100.000512,
					 .u_ohm = 1e-5,
					 .dof = INFINITY,
					 .at_C = 23.0,
					 .per_K = 3.1e-6,
					 .u_per_K = 2e-7 };
	struct lab_bridge bridge = { .u_linearity = 2e-8,
				     .u_current_ratio = LAB_NOT_GIVEN,
				     .resolution = 1e-9 };

	add_text(c, &resistor.id, "R-100-3");
	add_text(c, &resistor.certificate, "30-2277");
	add_text(c, &bridge.id, "B2");
	g_array_append_val(c->resistors, resistor);
	g_array_append_val(c->bridges, bridge);
	for (size_t i = 0; i < G_N_ELEMENTS(stays); i++) {
		struct lab_visit visit = { .measure = stays[i].cell == NULL,
					   .cell = -1,
					   .resistor = 0,
					   .bridge = 0,
					   .depth_m = stays[i].depth_m,
					   .tpw = -1 };

		add_text(c, &visit.id, stays[i].id);
		g_array_append_val(c->visits, visit);
	}
}

struct lab_calibration *example_calibration(void)
{
	struct lab_calibration *c = lab_calibration_new();
	struct lab_file_id job = { 0 };

	c->path = lab_calibration_text(c, "job.yaml");
	add_text(c, &c->thermometer.id, "S-109");
	add_text(c, &c->thermometer.serial, "S-109");
	add_text(c, &c->thermometer.type, "four wires, silica sheath 480 mm by 7.5 mm");
	add_text(c, &c->thermometer.condition,
		 "Received in good order, R(0.01 °C) 0.04 mK above its last value.");
	c->thermometer.sensor = LAB_LONG_STEM;
	c->thermometer.nominal_ohm = 25.5;
	add_text(c, &job.path, "job.yaml");
	add_text(c, &job.sha256,
		 "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
	g_array_append_val(c->inputs, job);
	fill_texts(c);
	fill_equipment(c);
	return c;
}

static void add_correction(struct lab_calibration_result *r, GArray *to, const char *name,
			   double value_K, double u_K, const char *words)
{
	const struct lab_correction correction = { lab_result_text(r, name), value_K, u_K,
						   lab_result_text(r, words) };

	g_array_append_val(to, correction);
}

static GArray *corrections_of(struct lab_calibration_result *r, const struct stay *stay)
{
	GArray *to = g_array_new(FALSE, TRUE, sizeof(struct lab_correction));

	if (stay->point == LAB_H2O)
		add_correction(r, to, "isotopes", -3.71e-5, 3e-6,
			       "37.1 µK colder: the water's isotopes");
	if (stay->point != LAB_NO_POINT)
		add_correction(r, to, "head", stay->point == LAB_H2O ? -1.9345e-4 : 3.85e-4, 2e-6,
			       stay->point == LAB_H2O ? "193.5 µK colder: the sensor lies deeper"
						      : "385 µK warmer: the sensor lies deeper");
	if (stay->pressure_Pa > 1000.0)
		add_correction(r, to, "pressure", -8.3e-5, 1e-6,
			       "83 µK colder: the gas pressure is low");
	return to;
}

static GArray *currents_of(const struct stay *stay)
{
	GArray *to = g_array_new(FALSE, TRUE, sizeof(struct lab_current_result));
	struct lab_current_result x = { .current_A = 1e-3,
					.n = 12,
					.u = 2e-9,
					.dof = 11.0,
					.s = 7e-9,
					.drift_per_s = 1e-12,
					.autocorrelation = 0.1 };

	x.mean = 0.2548 * (isnan(stay->t90_K) ? 1.3 : w_of(stay->t90_K));
	g_array_append_val(to, x);
	x.current_A = 2e-3;
	x.n_set_aside = 1;
	x.mean += 4e-7;
	g_array_append_val(to, x);
	return to;
}

static GArray *budget_of(struct lab_calibration_result *r, double total, const char *unit)
{
	static const struct {
		const char *input, *unit;
		double u, dof, share;
	} lines[] = {
		{ "cell.W3.u", "K", 4e-5, (double)INFINITY, 0.5 },
		{ "visit.2.heat_exchange", "K", 6e-5, 12.0, 0.2 },
		{ "bridge.B2.linearity", "1", 2e-8, (double)INFINITY, 0.2 },
		{ "visit.2.readings.1_mA", "1", 2e-9, 11.0, 0.1 },
	};
	GArray *to = g_array_new(FALSE, TRUE, sizeof(struct lab_budget_line));

	(void)unit;
	for (size_t i = 0; i < G_N_ELEMENTS(lines); i++) {
		struct lab_budget_line line = { .u = lines[i].u, .dof = lines[i].dof };

		line.input = lab_result_text(r, lines[i].input);
		line.unit = lab_result_text(r, lines[i].unit);
		line.contribution = total * sqrt(lines[i].share);
		line.sensitivity = line.contribution / line.u;
		g_array_append_val(to, line);
	}
	return to;
}

static void add_visit(struct lab_calibration_result *r, int index)
{
	const struct stay *stay = &stays[index];
	const bool measured = stay->cell == NULL, tpw = stay->point == LAB_H2O;
	const double t90_K = measured ? 373.124 : stay->t90_K;
	struct lab_visit_result v = { .point = stay->point, .visit = index, .zero_power = true };

	v.id = lab_result_text(r, stay->id);
	v.cell = lab_result_text(r, stay->cell);
	v.tpw = lab_result_text(r, stay->tpw);
	v.currents = currents_of(stay);
	v.rs_ohm = (struct lab_estimate){ 100.000512, 1e-5, (double)INFINITY };
	v.r0_ohm = (struct lab_estimate){ 25.47861 * w_of(t90_K), 1.2e-5, 40.0 };
	v.self_heating_K = 1.4e-3 + 1e-4 * index;
	v.self_heating_u_K = 2e-5;
	v.t90_defined_K = stay->t90_K;
	v.depth_m = stay->depth_m;
	v.pressure_Pa = stay->pressure_Pa;
	v.corrections = corrections_of(r, stay);
	for (unsigned i = 0; i < v.corrections->len; i++)
		v.correction_total_K += LAB_AT(v.corrections, lab_correction, i)->value_K;
	v.r_ohm = v.r0_ohm;
	v.w = (struct lab_estimate){ tpw ? 1.0 : w_of(t90_K), tpw ? 0.0 : stay->u_K * dw_of(t90_K),
				     38.4 };
	v.wr = tpw ? 1.0 : v.w.value + 1.1e-4 * (v.w.value - 1.0);
	v.s = tpw ? LAB_NOT_GIVEN : (v.w.value - 1.0) / (v.wr - 1.0);
	v.u_w_K = tpw ? 0.0 : stay->u_K;
	v.not_included = g_ptr_array_new();
	if (index == 3)
		g_ptr_array_add(v.not_included, lab_result_text(r, "leakage"));
	v.budget = budget_of(r, tpw ? 1.2e-5 : v.w.u, tpw ? "ohm" : "1");
	if (measured) {
		v.t90_defined_K = v.wr = v.s = LAB_NOT_GIVEN;
	}
	g_array_append_val(r->visits, v);

	if (tpw) {
		struct lab_tpw_value x = { .visit = v.id, .ohm = v.r_ohm };

		x.ohm.value += 1e-6 * (index % 3);
		x.change_K = r->tpw->len == 0 ? LAB_NOT_GIVEN : 1e-5 * (index % 3 - 1);
		x.time_us = START_US + (int64_t)(index * 6) * HOUR_S * 1000000;
		g_array_append_val(r->tpw, x);
	}
}

static void add_coefficient(struct lab_calibration_result *r, GArray *to, const char *name,
			    double value, double u)
{
	const struct lab_coefficient x = { lab_result_text(r, name), { value, u, 38.4 } };

	g_array_append_val(to, x);
}

static GPtrArray *texts(struct lab_calibration_result *r, size_t n, const char *const *from)
{
	GPtrArray *to = g_ptr_array_new();

	for (size_t i = 0; i < n; i++)
		g_ptr_array_add(to, lab_result_text(r, from[i]));
	return to;
}

static void add_curve(struct lab_calibration_result *r, enum lab_subrange subrange, double low_K,
		      double high_K, double step_K, double slope_K)
{
	struct lab_curve curve = { .subrange = subrange,
				   .name = lab_result_text(r, lab_subrange_name(subrange)) };

	curve.points = g_array_new(FALSE, TRUE, sizeof(struct lab_curve_point));
	for (double t = low_K;; t = fmin(t + step_K, high_K)) {
		const double x = (t - low_K) / (high_K - low_K);
		const struct lab_curve_point point = {
			.t90_K = t,
			.w = w_of(t),
			.dw_per_K = dw_of(t),
			.deviation_K = slope_K * (w_of(t) - 1.0),
			.u_calibration_K = 1e-4 + 2.5e-4 * x * x,
			.u_non_uniqueness_K = 2e-4 * sin(G_PI * x),
			.u_inconsistency_K = subrange == LAB_HG_GA ? LAB_NOT_GIVEN : 5e-5,
			.dof = 40.0,
		};

		g_array_append_val(curve.points, point);
		if (t >= high_K)
			break;
	}
	g_array_append_val(r->curves, curve);
}

static struct lab_subrange_result subrange_of(struct lab_calibration_result *r,
					      enum lab_subrange subrange, double low_K,
					      double high_K, const char *formula)
{
	struct lab_subrange_result s = { .subrange = subrange,
					 .low_K = low_K,
					 .high_K = high_K,
					 .w_al = LAB_NOT_GIVEN,
					 .certificate = true };

	s.name = lab_result_text(r, lab_subrange_name(subrange));
	s.formula = lab_result_text(r, formula);
	s.coefficients = g_array_new(FALSE, TRUE, sizeof(struct lab_coefficient));
	s.residuals = g_array_new(FALSE, TRUE, sizeof(struct lab_residual));
	return s;
}

static void add_covariance(struct lab_subrange_result *s, double r)
{
	const double ua = LAB_AT(s->coefficients, lab_coefficient, 0)->estimate.u;
	const double ub = LAB_AT(s->coefficients, lab_coefficient, 1)->estimate.u;

	s->covariance = g_new0(double, 4);
	s->covariance[0] = ua * ua;
	s->covariance[1] = s->covariance[2] = r * ua * ub;
	s->covariance[3] = ub * ub;
	s->joint_covariance = g_new0(double, 9);
	for (size_t i = 0; i < 4; i++)
		s->joint_covariance[i / 2 * 3 + i % 2] = s->covariance[i];
	s->joint_covariance[8] = 1.44e-10;
}

static void add_subranges(struct lab_calibration_result *r)
{
	static const char *const points[] = { "H2O", "Hg", "Ga", "Sn" };
	static const char *const visits[] = { "9", "8", "6", "2" };
	static const char *const joint[] = { "a", "b", "r_tpw.9" };
	const struct lab_residual indium = { lab_result_text(r, "In"), lab_result_text(r, "4"),
					     2.1e-4, 3.6e-4, false };
	struct lab_subrange_result s =
	    subrange_of(r, LAB_HG_GA, 234.3156, 302.9146, "W - Wr = a (W - 1) + b (W - 1)^2");

	add_coefficient(r, s.coefficients, "a", -2.5284e-4, 2.4e-6);
	add_coefficient(r, s.coefficients, "b", -1.304e-5, 1.7e-5);
	s.points = texts(r, 3, points);
	s.visits = texts(r, 3, visits);
	s.joint_order = texts(r, 3, joint);
	add_covariance(&s, -0.03);
	g_array_append_val(r->subranges, s);

	s = subrange_of(r, LAB_H2O_SN, 273.15, 505.078, "W - Wr = a (W - 1) + b (W - 1)^2");
	add_coefficient(r, s.coefficients, "a", -2.6751e-4, 7.2e-6);
	add_coefficient(r, s.coefficients, "b", -1.53e-6, 9.1e-6);
	s.points = texts(r, 2, points + 2);
	s.visits = texts(r, 2, visits + 2);
	s.joint_order = texts(r, 3, joint);
	add_covariance(&s, -0.98);
	g_array_append_val(s.residuals, indium);
	g_array_append_val(r->subranges, s);
}

static void add_rest(struct lab_calibration_result *r)
{
	struct lab_temperature t = { .w = w_of(373.124),
				     .t90_K = 373.12412,
				     .dof_calibration = 61.0,
				     .dof_in_use = 44.0,
				     .dt_dw_K = 1.0 / dw_of(373.124) };
	const struct lab_overlap overlap = { lab_result_text(r, "Hg_Ga"),
					     lab_result_text(r, "H2O_Sn"),
					     273.15,
					     302.9146,
					     3.2e-5,
					     288.0 };
	struct lab_acceptance a = { .value = 1.118138,
				    .limit = 1.11807,
				    .U = 7e-7,
				    .measured = true,
				    .verdict = LAB_MET,
				    .binding = true };

	t.visit = lab_result_text(r, "10");
	t.subrange = lab_result_text(r, "H2O_Sn");
	t.tpw = lab_result_text(r, "9");
	t.wr = t.w + 1e-4;
	t.u_calibration_K = 2.31e-4;
	t.u_in_use_K = 3.07e-4;
	t.u_non_uniqueness_K = 2e-4;
	t.u_inconsistency_K = 5e-5;
	t.budget_calibration = budget_of(r, t.u_calibration_K, "K");
	t.budget_in_use = budget_of(r, t.u_in_use_K, "K");
	g_array_append_val(r->temperatures, t);
	g_array_append_val(r->overlaps, overlap);
	a.name = lab_result_text(r, "W(Ga)");
	a.text = lab_result_text(r, "W(29.7646 °C) is 1.118138, at least 1.11807 is wanted.");
	a.source = lab_result_text(r, "ITS-90, 3.3");
	g_array_append_val(r->acceptance, a);
}

static struct lab_calibration_result *empty_result(void)
{
	struct lab_calibration_result *r = lab_calibration_result_new();

	r->coverage_probability = 0.95;
	r->coverage_factor = LAB_NOT_GIVEN;
	r->tpw_change_K = 2e-5;
	r->tpw_limit_K = 2e-4;
	r->accepted = true;
	r->first_us = START_US;
	r->last_us = START_US + (int64_t)2 * DAY_S * 1000000;
	return r;
}

struct lab_calibration_result *example_result(void)
{
	struct lab_calibration_result *r = empty_result();

	for (int i = 0; i < (int)G_N_ELEMENTS(stays); i++)
		add_visit(r, i);
	add_subranges(r);
	add_curve(r, LAB_HG_GA, 234.3156, 302.9146, 5.0, -0.0277);
	add_curve(r, LAB_H2O_SN, 273.15, 505.078, 10.0, -0.0279);
	add_rest(r);
	g_ptr_array_add(r->reservations,
			lab_result_text(r, "visit 4: leakage is not stated and not included."));
	g_ptr_array_add(r->leaves_out,
			lab_result_text(r, "your own measurement of R and of R(0.01 °C)"));
	g_ptr_array_add(r->leaves_out,
			lab_result_text(r, "drift of the thermometer after calibration"));
	return r;
}

struct lab_calibration_result *example_one_point_result(void)
{
	static const char *const point[] = { "Ga" };
	static const char *const visit[] = { "6" };
	static const char *const joint[] = { "a", "r_tpw.7" };
	struct lab_calibration_result *r = empty_result();
	struct lab_subrange_result s =
	    subrange_of(r, LAB_H2O_GA, 273.15, 302.9146, "W - Wr = a (W - 1)");

	add_visit(r, 5);
	add_visit(r, 6);
	add_coefficient(r, s.coefficients, "a", -2.5284e-4, 2.4e-6);
	s.points = texts(r, 1, point);
	s.visits = texts(r, 1, visit);
	s.joint_order = texts(r, 2, joint);
	s.covariance = g_new0(double, 1);
	s.covariance[0] = 5.76e-12;
	s.joint_covariance = g_new0(double, 4);
	s.joint_covariance[0] = 5.76e-12;
	s.joint_covariance[3] = 1.44e-10;
	g_array_append_val(r->subranges, s);
	add_curve(r, LAB_H2O_GA, 273.15, 302.9146, 5.0, -0.0277);
	return r;
}

struct lab_calibration_result *example_long_result(void)
{
	struct lab_calibration_result *r = empty_result();

	for (int i = 0; i < 40; i++) {
		g_autofree char *id =
		    g_strdup_printf("a visit with a name that goes on and on %d", i + 1);

		add_visit(r, i % (int)G_N_ELEMENTS(stays));
		LAB_AT(r->visits, lab_visit_result, i)->id = lab_result_text(r, id);
	}
	add_subranges(r);
	add_curve(r, LAB_HG_GA, 234.3156, 302.9146, 1.0, -0.0277);
	add_curve(r, LAB_H2O_SN, 273.15, 505.078, 2.0, -0.0279);
	add_rest(r);
	return r;
}
