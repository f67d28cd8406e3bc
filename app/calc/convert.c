#include "app/calc/convert.h"

#include "app/base/time.h"

#include "firn/batch.h"
#include "firn/number.h"
#include "firn/scale.h"

#include <math.h>
#include <string.h>

/* A subrange of the calibration in the engine's terms. */
struct candidate {
	const struct lab_conversion_subrange *of;
	const struct firn_subrange *subrange;
	double w_low, w_high; /* of its ends */
	bool has_batch;       /* false: it would not be accurate enough */
	struct firn_batch batch;
};

enum { PART = 1024 }; /* values */

struct calc_conversion {
	enum lab_quantity quantity;
	double times, over;                         /* W = value times `times` over `over` */
	struct candidate candidates[LAB_SUBRANGES]; /* narrowest first */
	size_t n;
	bool had_choice;
};

/* ---- the subranges ---- */

static bool fits_the_standard(const struct lab_conversion_subrange *of,
			      const struct firn_subrange *subrange)
{
	const bool silver =
	    subrange->terms[subrange->n_coefficients - 1].kind == FIRN_TERM_ABOVE_AL;

	if (of->n != subrange->n_coefficients || of->covers_w_al != silver ||
	    silver != (bool)lab_given(of->w_al))
		return false;
	for (size_t i = 0; i < of->n; i++)
		if (g_strcmp0(of->coefficients[i], subrange->coefficients[i]) != 0)
			return false;
	return true;
}

static double width(const struct candidate *candidate)
{
	return candidate->subrange->high_K - candidate->subrange->low_K;
}

static void insert(calc_conversion *conversion, const struct candidate *candidate)
{
	size_t i = conversion->n++;

	for (; i > 0 && width(candidate) < width(&conversion->candidates[i - 1]); i--)
		conversion->candidates[i] = conversion->candidates[i - 1];
	conversion->candidates[i] = *candidate;
}

static bool add_candidate(calc_conversion *conversion, const struct lab_conversion *calibration,
			  const struct lab_conversion_subrange *of, base_messages *messages)
{
	struct candidate candidate = {
		.of = of,
		.subrange = firn_scale_subrange((enum firn_subrange_id)of->subrange),
	};
	const struct firn_subrange *s = candidate.subrange;
	double slope;

	if (s == NULL || !fits_the_standard(of, s)) {
		base_messages_add(
		    messages, BASE_ERROR, calibration->path, of->mark,
		    "subrange %s does not have the coefficients that the ITS-90 gives "
		    "it; the file has been changed: reduce the job again",
		    of->name);
		return false;
	}
	if (firn_subrange_w(s, of->values, of->w_al, s->low_K, &candidate.w_low, &slope) < 0 ||
	    firn_subrange_w(s, of->values, of->w_al, s->high_K, &candidate.w_high, &slope) < 0) {
		base_messages_add(messages, BASE_ERROR, calibration->path, of->mark,
				  "subrange %s has no W at its ends: its deviation is too large to "
				  "be that of a platinum thermometer",
				  of->name);
		return false;
	}
	if (conversion->n < G_N_ELEMENTS(conversion->candidates))
		insert(conversion, &candidate);
	return true;
}

static char *names_of(const struct lab_conversion *calibration)
{
	GString *names = g_string_new(NULL);

	for (guint i = 0; i < calibration->subranges->len; i++) {
		const struct lab_conversion_subrange *s =
		    LAB_AT(calibration->subranges, lab_conversion_subrange, i);

		if (s->certificate)
			g_string_append_printf(names, "%s%s", names->len > 0 ? ", " : "", s->name);
	}
	return g_string_free(names, FALSE);
}

static void wrong(base_messages *messages, const char *format, ...) G_GNUC_PRINTF(2, 3);

/* About the command, not about a place in a file. */
static void wrong(base_messages *messages, const char *format, ...)
{
	g_autofree char *text = NULL;
	va_list arguments;

	va_start(arguments, format);
	text = g_strdup_vprintf(format, arguments);
	va_end(arguments);
	base_messages_add(messages, BASE_ERROR, "", (struct base_mark){ 0, 0 }, "%s", text);
}

static void no_such_subrange(const struct lab_conversion *calibration, const char *name,
			     base_messages *messages)
{
	g_autofree char *names = names_of(calibration);

	for (guint i = 0; i < calibration->subranges->len; i++) {
		const struct lab_conversion_subrange *s =
		    LAB_AT(calibration->subranges, lab_conversion_subrange, i);

		if (!s->certificate && strcmp(s->name, name) == 0) {
			wrong(messages,
			      "%s is by least squares, not the ITS-90 interpolation; a temperature "
			      "on the scale needs one of %s",
			      name, names[0] != '\0' ? names : "the standard's subranges");
			return;
		}
	}
	wrong(messages, "%s has no subrange %s; it has %s", calibration->path, name,
	      names[0] != '\0' ? names : "none that is on the scale");
}

static bool choose_subranges(calc_conversion *conversion, const struct lab_conversion *calibration,
			     const char *name, base_messages *messages)
{
	bool good = true;

	for (guint i = 0; i < calibration->subranges->len; i++) {
		const struct lab_conversion_subrange *s =
		    LAB_AT(calibration->subranges, lab_conversion_subrange, i);

		if (s->certificate && (name == NULL || strcmp(s->name, name) == 0))
			good = add_candidate(conversion, calibration, s, messages) && good;
	}
	if (good && conversion->n == 0) {
		if (name != NULL)
			no_such_subrange(calibration, name, messages);
		else
			wrong(messages,
			      "%s has no subrange that is the ITS-90 interpolation; "
			      "reduce the job with one",
			      calibration->path);
		good = false;
	}
	return good;
}

/* ---- the user's own R(TPW) ---- */

/* A number stated with few digits equals every number that rounds to it; numbers on the way to the
   result nobody copies but whole. */
static bool is_same(const struct lab_own_tpw *own, double x,
		    const struct lab_calibration_tpw *known)
{
	const double rounding = known->as_stated ? 0.5 * own->last_digit : 0.0;

	return fabs(x - known->value) <= fmax(rounding, 1e-12 * known->value);
}

/* The certificate's R(TPW) is a record of the calibration. In use it would carry over every change
   of the thermometer, and the whole difference of two resistors and two bridges (CCT Guide, ch. 5
   (2018), section 4.4.3). */
static bool is_own(const struct lab_conversion *calibration, const struct lab_own_tpw *own,
		   bool is_ratio, base_messages *messages)
{
	const double x = is_ratio ? own->ratio : own->ohm;
	char number[FIRN_NUMBER_SIZE];

	for (guint i = 0; i < calibration->tpw->len; i++) {
		const struct lab_calibration_tpw *known =
		    LAB_AT(calibration->tpw, lab_calibration_tpw, i);

		if (known->is_ratio != is_ratio || !is_same(own, x, known))
			continue;
		firn_number_print(known->value, number);
		wrong(messages,
		      "R(TPW) is that of the calibration: %s is %s. Give your own, measured with "
		      "the bridge and the resistor of your readings: their difference from the "
		      "laboratory's, and any change of the thermometer since, would go into every "
		      "temperature. If it is your own, give one digit more",
		      known->words, number);
		return false;
	}
	return true;
}

/* A part in a hundred is more than any thermometer survives: it is another one, or another unit. */
static bool is_of_this_thermometer(const struct lab_conversion *calibration,
				   const struct lab_own_tpw *own, base_messages *messages)
{
	const double change = own->ohm / calibration->r_tpw_ohm - 1.0;

	if (!lab_given(own->ohm) || !lab_given(change) || fabs(change) <= 0.01)
		return true;
	wrong(messages,
	      "R(TPW) is %g ohm, and thermometer %s had %.7g ohm; look whether it is this "
	      "thermometer, and whether the number is in ohm",
	      own->ohm, calibration->thermometer, calibration->r_tpw_ohm);
	return false;
}

/* R(0 degC) is R(0.01 degC) times 0.9999601: CCT Guide, ch. 1 (2018), section 3.1. */
static void remark_on_ice_point(const struct lab_conversion *calibration,
				const struct lab_own_tpw *own, base_messages *messages)
{
	const double beside = own->ohm / calibration->r_tpw_ohm / 0.9999601 - 1.0;

	if (lab_given(beside) && fabs(beside) < 5e-6)
		base_messages_add(
		    messages, BASE_RESERVATION, "", (struct base_mark){ 0, 0 },
		    "R(TPW) is 0.99996 of that of the calibration, as R(0 degC) would "
		    "be; W is formed with the resistance at 0.01 degC");
}

static bool has_date(const struct lab_conversion *calibration, const struct lab_own_tpw *own,
		     base_messages *messages)
{
	if (own->date == NULL) {
		wrong(messages, "R(TPW) has no date; say when it was measured, as in "
				"--r-tpw-date 2026-11-24");
		return false;
	}
	if (calibration->last_reading == NULL)
		return true;
	/* The date is of the place; the last reading, in UTC, may be a day later. */
	g_autofree char *end = g_strdup_printf("%.10sT23:59:59Z", own->date);
	g_autofree char *last = g_strdup_printf("%.10sT00:00:00Z", calibration->last_reading);
	int64_t end_us, last_us;
	if (base_time_parse(end, strlen(end), &end_us) != NULL ||
	    base_time_parse(last, strlen(last), &last_us) != NULL ||
	    end_us + INT64_C(1000000) >= last_us)
		return true;
	wrong(messages,
	      "R(TPW) was measured on %s, before the calibration ended on %.10s; give one measured "
	      "since, as the thermometer may have changed",
	      own->date, calibration->last_reading);
	return false;
}

/* What does not go together; NULL when everything does. */
static const char *fault_of_own(enum lab_quantity quantity, const struct lab_own_tpw *own)
{
	const bool in_ohm = lab_given(own->ohm), as_ratio = lab_given(own->ratio),
		   resistor = lab_given(own->resistor_ohm);

	if (quantity == LAB_W)
		return in_ohm || as_ratio || resistor || own->date != NULL
			   ? "W is divided by R(TPW) already; leave R(TPW), its date and the "
			     "resistor out, or say --from ratio or --from ohm"
			   : NULL;
	if (in_ohm && as_ratio)
		return "R(TPW) is given twice, in ohm and as a ratio; keep one of them";
	if (quantity == LAB_OHM && (as_ratio || resistor))
		return "for readings in ohm R(TPW) is in ohm; give --r-tpw-ohm, without "
		       "--r-tpw-ratio or --resistor-ohm";
	if (quantity == LAB_OHM && !in_ohm)
		return "ohms become W with your own R(TPW), measured with the same bridge and "
		       "resistor; give --r-tpw-ohm and --r-tpw-date";
	if (quantity == LAB_RATIO && !in_ohm && !as_ratio)
		return "ratios become W with your own R(TPW), measured with the same bridge and "
		       "resistor; give it as the bridge showed it, --r-tpw-ratio, or --r-tpw-ohm "
		       "with --resistor-ohm; and --r-tpw-date";
	if (as_ratio && resistor)
		return "the resistor cancels between a ratio and R(TPW) as a ratio; leave "
		       "--resistor-ohm out";
	if (quantity == LAB_RATIO && in_ohm && !resistor)
		return "R(TPW) is in ohm and the readings are ratios; give R(TPW) as the bridge "
		       "showed it, --r-tpw-ratio, or the resistor that the ratio is to, "
		       "--resistor-ohm";
	return NULL;
}

/* What turns the quantity into W. */
static bool choose_factor(calc_conversion *conversion, const struct lab_conversion *calibration,
			  const struct lab_own_tpw *own, base_messages *messages)
{
	const bool by_ratio = lab_given(own->ratio);
	const char *fault = fault_of_own(conversion->quantity, own);

	conversion->times = conversion->over = 1.0;
	if (fault != NULL) {
		wrong(messages, "%s", fault);
		return false;
	}
	if (conversion->quantity == LAB_W)
		return true;
	const bool dated = has_date(calibration, own, messages);
	if (!is_of_this_thermometer(calibration, own, messages) ||
	    !is_own(calibration, own, by_ratio, messages) || !dated)
		return false;
	remark_on_ice_point(calibration, own, messages);
	conversion->times = lab_or(own->resistor_ohm, 1.0);
	conversion->over = by_ratio ? own->ratio : own->ohm;
	return true;
}

static void prepare_batches(calc_conversion *conversion)
{
	const double w_per_x = conversion->times / conversion->over;

	for (size_t k = 0; k < conversion->n; k++) {
		struct candidate *candidate = &conversion->candidates[k];
		const struct lab_conversion_subrange *of = candidate->of;

		candidate->has_batch = firn_batch_t90(candidate->subrange, of->values, of->w_al,
						      w_per_x, &candidate->batch) >= 0;
	}
}

calc_conversion *calc_conversion_new(const struct lab_conversion *calibration, const char *subrange,
				     enum lab_quantity quantity, const struct lab_own_tpw *own,
				     base_messages *messages)
{
	g_autoptr(calc_conversion) conversion = g_new0(calc_conversion, 1);
	const bool good = choose_subranges(conversion, calibration, subrange, messages);

	conversion->quantity = quantity;
	if (!choose_factor(conversion, calibration, own, messages) || !good)
		return NULL;
	prepare_batches(conversion);
	return g_steal_pointer(&conversion);
}

void calc_conversion_free(calc_conversion *conversion)
{
	g_free(conversion);
}

/* ---- the values ---- */

static double w_of(const calc_conversion *conversion, double x)
{
	return x * conversion->times / conversion->over;
}

/* By W first: the ends are known, and a T90 takes a root. What rounds to an end belongs to it, so
   twice that much is let through and T90 decides. */
static bool may_hold(const struct candidate *candidate, double w)
{
	const double rounding = 2.0 * FIRN_SCALE_ROUNDING_K * 0.0045; /* no slope is steeper */

	return w >= candidate->w_low - rounding && w <= candidate->w_high + rounding;
}

static bool convert_one(const struct candidate *candidate, double w, struct calc_converted *ret)
{
	const struct lab_conversion_subrange *of = candidate->of;
	double t90_K, u_K;

	if (!may_hold(candidate, w) ||
	    firn_subrange_t90_u(candidate->subrange, of->values, of->w_al, of->covariance, w,
				&t90_K, &u_K) != FIRN_OK)
		return false;
	*ret = (struct calc_converted){ t90_K, u_K, of->name };
	return true;
}

/* Whether a value held by candidate k was held by a later one as well. */
static void note_choice(calc_conversion *conversion, size_t k, double w)
{
	for (k++; k < conversion->n && !conversion->had_choice; k++)
		conversion->had_choice = may_hold(&conversion->candidates[k], w);
}

void calc_convert(calc_conversion *conversion, size_t n, const double *x,
		  struct calc_converted *ret)
{
	for (size_t i = 0; i < n; i++) {
		const double w = w_of(conversion, x[i]);
		size_t k = 0;

		ret[i] = (struct calc_converted){ LAB_NOT_GIVEN, LAB_NOT_GIVEN, NULL };
		while (k < conversion->n && !convert_one(&conversion->candidates[k], w, &ret[i]))
			k++;
		note_choice(conversion, k, w);
	}
}

static void t90_by(const calc_conversion *conversion, const struct candidate *candidate, size_t n,
		   const double *x, double *ret_t90_K)
{
	if (candidate->has_batch) {
		firn_batch_run(&candidate->batch, FIRN_BATCH_BEST, n, x, ret_t90_K);
		return;
	}
	for (size_t i = 0; i < n; i++) {
		struct calc_converted one = { .t90_K = LAB_NOT_GIVEN };

		convert_one(candidate, w_of(conversion, x[i]), &one);
		ret_t90_K[i] = one.t90_K;
	}
}

/* A part of the array that fits beside others on the stack. */
static void convert_part(calc_conversion *conversion, size_t n, const double *x, double *ret_t90_K)
{
	double by_one[PART];

	for (size_t i = 0; i < n; i++)
		ret_t90_K[i] = LAB_NOT_GIVEN;
	for (size_t k = 0; k < conversion->n; k++) {
		t90_by(conversion, &conversion->candidates[k], n, x, by_one);
		for (size_t i = 0; i < n; i++) {
			if (!isnan(ret_t90_K[i]) || isnan(by_one[i]))
				continue;
			ret_t90_K[i] = by_one[i];
			note_choice(conversion, k, w_of(conversion, x[i]));
		}
	}
}

void calc_convert_t90(calc_conversion *conversion, size_t n, const double *x, double *ret_t90_K)
{
	for (size_t done = 0; done < n; done += PART)
		convert_part(conversion, MIN(n - done, (size_t)PART), x + done, ret_t90_K + done);
}

bool calc_conversion_had_choice(const calc_conversion *conversion)
{
	return conversion->had_choice;
}

char *calc_conversion_subranges(const calc_conversion *conversion)
{
	GString *names = g_string_new(NULL);

	for (size_t i = 0; i < conversion->n; i++)
		g_string_append_printf(names, "%s%s", i > 0 ? ", " : "",
				       conversion->candidates[i].of->name);
	return g_string_free(names, FALSE);
}

/* A value that no thermometer has as W was most likely not meant as one. */
static const char *advice(const calc_conversion *conversion, double x)
{
	if (conversion->quantity == LAB_W && x > 4.3)
		return "; if it is a resistance, say --from ohm and give your own R(TPW)";
	if (conversion->quantity == LAB_W)
		return "; if it is a bridge ratio, say --from ratio and give your own R(TPW)";
	return "; look at the reading, and whether R(TPW) belongs to this bridge and resistor";
}

char *calc_conversion_refusal(const calc_conversion *conversion, double x)
{
	GString *text = g_string_new(NULL);
	char number[FIRN_NUMBER_SIZE];

	firn_number_print(x, number);
	if (conversion->quantity == LAB_W)
		g_string_append_printf(text, "W is %s", number);
	else
		g_string_append_printf(text, "%s makes W %.8g", number, w_of(conversion, x));
	g_string_append(text, ", outside the calibration: ");
	for (size_t i = 0; i < conversion->n; i++) {
		const struct candidate *k = &conversion->candidates[i];

		g_string_append_printf(text, "%s%s holds W from %.6f to %.6f", i > 0 ? ", " : "",
				       k->of->name, k->w_low, k->w_high);
	}
	if (conversion->n == 1)
		g_string_append_printf(text, " (%g K to %g K)",
				       conversion->candidates[0].subrange->low_K,
				       conversion->candidates[0].subrange->high_K);
	g_string_append(text, advice(conversion, x));
	return g_string_free(text, FALSE);
}
