#include "app/cli/convert.h"

#include "app/base/time.h"
#include "app/file/result.h"

#include "firn/number.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

void convert_say(struct convert *convert, struct base_mark mark, const char *format, ...)
{
	g_autofree char *text = NULL;
	va_list arguments;

	if (convert->refused++ >= CONVERT_MOST_SAID)
		return;
	va_start(arguments, format);
	text = g_strdup_vprintf(format, arguments);
	va_end(arguments);
	base_messages_add(convert->messages, BASE_ERROR, "stdin", mark, "%s", text);
}

bool convert_tells(struct convert *convert)
{
	if (convert->refused < CONVERT_MOST_SAID)
		return true;
	convert->refused++;
	return false;
}

void convert_refuse(struct convert *convert, struct base_mark mark, const char *before, double x)
{
	g_autofree char *why = calc_conversion_refusal(convert->conversion, x);

	convert_say(convert, mark, "%s%s", before, why);
}

void convert_not_read(struct convert *convert, int code)
{
	convert->refused++;
	base_messages_add(convert->messages, code == EISDIR ? BASE_ERROR : BASE_FAILURE, "stdin",
			  (struct base_mark){ 0, 0 }, "reading failed: %s", g_strerror(code));
}

bool convert_prepare(struct convert *convert)
{
	convert->conversion = calc_conversion_new(convert->calibration, convert->subrange,
						  (enum lab_quantity)convert->quantity,
						  &convert->own, convert->messages);
	return convert->conversion != NULL;
}

bool convert_write(struct convert *convert, int *ret_status)
{
	*ret_status = cli_print(&convert->common, convert->out->str, convert->out->len);
	g_string_truncate(convert->out, 0);
	return ferror(stdout) == 0;
}

/* ---- the command ---- */

/* What was typed. */
typedef struct typed {
	char *with, *subrange, *from, *column;
	char *r_tpw_ohm, *r_tpw_ratio, *r_tpw_date, *resistor_ohm, *r_ice;
	gboolean binary, exact_digits;
} typed;

static void typed_free(struct typed *a)
{
	char **const texts[] = { &a->with,       &a->subrange,     &a->from,
				 &a->column,     &a->r_tpw_ohm,    &a->r_tpw_ratio,
				 &a->r_tpw_date, &a->resistor_ohm, &a->r_ice };

	for (size_t i = 0; i < G_N_ELEMENTS(texts); i++)
		g_free(*texts[i]);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(typed, typed_free)

static void wrong(struct convert *convert, const char *format, ...) G_GNUC_PRINTF(2, 3);

static void wrong(struct convert *convert, const char *format, ...)
{
	g_autofree char *text = NULL;
	va_list arguments;

	va_start(arguments, format);
	text = g_strdup_vprintf(format, arguments);
	va_end(arguments);
	base_messages_add(convert->messages, BASE_ERROR, "", (struct base_mark){ 0, 0 }, "%s",
			  text);
}

static double positive(struct convert *convert, const char *option, const char *text)
{
	double x;

	if (text == NULL)
		return LAB_NOT_GIVEN;
	if (firn_number_parse(text, strlen(text), &x) == FIRN_OK && x > 0.0)
		return x;
	wrong(convert, "%s is '%.40s'; a number above 0 is needed, such as 25.4998213", option,
	      text);
	return LAB_NOT_GIVEN;
}

/* What the last digit of a number's text is worth: 1e-4 for 25.4998, 1e-5 for 254.998e-2. */
static double last_digit(const char *text)
{
	const size_t mantissa = strcspn(text, "eE");
	const char *point = memchr(text, '.', mantissa);
	const gint64 exponent =
	    text[mantissa] == '\0' ? 0 : g_ascii_strtoll(text + mantissa + 1, NULL, 10);
	const gint64 decimals = point == NULL ? 0 : (gint64)mantissa - (point - text) - 1;
	g_autofree char *one = g_strdup_printf("1e%" G_GINT64_FORMAT, exponent - decimals);
	double x = 0.0;

	return firn_number_parse(one, strlen(one), &x) == FIRN_OK ? x : 0.0;
}

static void read_own(struct convert *convert, const struct typed *a)
{
	struct lab_own_tpw *own = &convert->own;
	const char *r_tpw = a->r_tpw_ohm != NULL ? a->r_tpw_ohm : a->r_tpw_ratio;

	own->ohm = positive(convert, "--r-tpw-ohm", a->r_tpw_ohm);
	own->ratio = positive(convert, "--r-tpw-ratio", a->r_tpw_ratio);
	own->resistor_ohm = positive(convert, "--resistor-ohm", a->resistor_ohm);
	own->last_digit = r_tpw != NULL ? last_digit(r_tpw) : 0.0;
	own->date = a->r_tpw_date;
	if (own->date != NULL && !base_date_is_valid(own->date))
		wrong(convert,
		      "--r-tpw-date is '%.40s'; write a day of the calendar as year-month-day: "
		      "2026-11-24",
		      own->date);
	if (a->r_ice != NULL)
		wrong(convert,
		      "R(0 degC) can't stand for R(TPW): W refers to 0.01 degC, and R there is "
		      "4.0e-5 larger, 10 mK at 0 degC and 42 mK at the aluminium point; measure at "
		      "the triple point of water and give --r-tpw-ohm or --r-tpw-ratio");
}

static void read_quantity(struct convert *convert, const struct typed *a)
{
	static const char *const words[] = { "w", "ratio", "ohm", NULL };

	convert->quantity = a->binary ? LAB_W : -1;
	if (a->from == NULL)
		return;
	for (int i = 0; words[i] != NULL; i++) {
		if (strcmp(a->from, words[i]) == 0) {
			convert->quantity = i;
			return;
		}
	}
	wrong(convert, "--from is '%.40s'; it is one of w, ratio and ohm", a->from);
}

static bool read_arguments(struct convert *convert, const struct typed *a)
{
	read_quantity(convert, a);
	read_own(convert, a);
	convert->column = a->column;
	convert->subrange = a->subrange;
	if (a->binary && a->column != NULL)
		wrong(convert, "--binary has no columns; leave --column out");
	convert->exact_digits = a->exact_digits;
	if (a->binary && a->exact_digits)
		wrong(convert, "--binary writes numbers as they are, not as digits; leave "
			       "--exact-digits out");
	if (a->with == NULL)
		wrong(convert, "convert needs a calibration; give --with and the JSON that firn "
			       "reduce --result wrote");
	return base_messages_n(convert->messages) == 0;
}

/* What is to be known of the conversion as a whole. */
static void add_remarks(const struct convert *convert)
{
	const struct lab_conversion *calibration = convert->calibration;

	if (convert->refused > CONVERT_MOST_SAID)
		base_messages_add(convert->messages, BASE_ERROR, "", (struct base_mark){ 0, 0 },
				  "%" G_GSIZE_FORMAT " more places of stdin were wrong",
				  convert->refused - CONVERT_MOST_SAID);
	if (convert->conversion == NULL)
		return;
	if (!calibration->accepted)
		base_messages_add(convert->messages, BASE_RESERVATION, calibration->path,
				  (struct base_mark){ 0, 0 },
				  "thermometer %s did not meet a criterion of its calibration; the "
				  "result says which",
				  calibration->thermometer);
	if (calc_conversion_had_choice(convert->conversion)) {
		g_autofree char *names = calc_conversion_subranges(convert->conversion);

		base_messages_add(convert->messages, BASE_RESERVATION, calibration->path,
				  (struct base_mark){ 0, 0 },
				  "several of the subranges %s hold some values; the narrowest was "
				  "taken for each, and where it changes temperatures step: "
				  "--subrange keeps to one",
				  names);
	}
}

static int run(struct convert *convert, bool binary)
{
	int written = CLI_DONE, said;

	written = binary ? convert_binary(convert) : convert_csv(convert);
	add_remarks(convert);
	said = cli_report(&convert->common, convert->messages);
	if (written != CLI_DONE)
		return written;
	if (said == CLI_DONE && !convert->calibration->accepted)
		return CLI_NOT_ACCEPTED;
	return said;
}

static const char summary[] =
    "Reads values from stdin and writes temperatures to stdout, by a thermometer's calibration.\n\n"
    "CSV with a header comes out as it went in, with t90_K, t90_C, u_calibration_K and the\n"
    "subrange behind each line, kelvin with seven decimals. The column W, ratio or\n"
    "resistance_ohm is taken, or --column.\n"
    "Ratio and ohm need your own R(TPW), measured with the same bridge and resistor.";

int cli_convert(int argc, char **argv)
{
	g_auto(typed) a = { 0 };
	const GOptionEntry own[] = {
		{ "with", 0, 0, G_OPTION_ARG_FILENAME, &a.with,
		  "The calibration: JSON of firn reduce --result", "RESULT" },
		{ "subrange", 0, 0, G_OPTION_ARG_FILENAME, &a.subrange,
		  "Convert by this subrange only, such as H2O_Zn", "NAME" },
		{ "from", 0, 0, G_OPTION_ARG_FILENAME, &a.from,
		  "What is converted: w, ratio or ohm", "QUANTITY" },
		{ "column", 0, 0, G_OPTION_ARG_FILENAME, &a.column, "The column that holds it",
		  "NAME" },
		{ "exact-digits", 0, 0, G_OPTION_ARG_NONE, &a.exact_digits,
		  "All digits of the temperatures, as many as read back to the same double", NULL },
		{ "binary", 0, 0, G_OPTION_ARG_NONE, &a.binary,
		  "Raw float64 in, raw float64 (kelvin) out, lowest byte first", NULL },
		{ "r-tpw-ohm", 0, 0, G_OPTION_ARG_FILENAME, &a.r_tpw_ohm,
		  "Your own resistance at the triple point of water", "OHM" },
		{ "r-tpw-ratio", 0, 0, G_OPTION_ARG_FILENAME, &a.r_tpw_ratio,
		  "The same, as the bridge showed it", "RATIO" },
		{ "r-tpw-date", 0, 0, G_OPTION_ARG_FILENAME, &a.r_tpw_date,
		  "The day it was measured", "YYYY-MM-DD" },
		{ "resistor-ohm", 0, 0, G_OPTION_ARG_FILENAME, &a.resistor_ohm,
		  "What a ratio is to, where R(TPW) is in ohm", "OHM" },
		/* known so that a mistake gets its own answer */
		{ "r0-ohm", 0, G_OPTION_FLAG_HIDDEN, G_OPTION_ARG_FILENAME, &a.r_ice, NULL, NULL },
		{ "r0-ratio", 0, G_OPTION_FLAG_HIDDEN, G_OPTION_ARG_FILENAME, &a.r_ice, NULL,
		  NULL },
		{ "r-ice-ohm", 0, G_OPTION_FLAG_HIDDEN, G_OPTION_ARG_FILENAME, &a.r_ice, NULL,
		  NULL },
		{ NULL, 0, 0, G_OPTION_ARG_NONE, NULL, NULL, NULL },
	};
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(GString) out = g_string_new(NULL);
	g_autoptr(lab_conversion) calibration = NULL;
	g_autofree struct convert *convert = g_new0(struct convert, 1);
	int status = CLI_DONE;

	if (!cli_options(&argc, &argv, "--with RESULT", summary, own, &convert->common, &status))
		return status;
	if (argc != 1)
		return cli_wrong(&convert->common,
				 "convert reads stdin and takes no file, got %s; firn convert "
				 "--with RESULT < FILE",
				 argv[1]);
	convert->messages = messages;
	convert->out = out;
	if (read_arguments(convert, &a))
		calibration = file_read_result(a.with, messages);
	if (calibration == NULL)
		return cli_report(&convert->common, messages);
	convert->calibration = calibration;
	status = run(convert, a.binary);
	calc_conversion_free(convert->conversion);
	return status;
}
