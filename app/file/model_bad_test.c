/* Measurement models that are wrong. */
#include "app/file/bad_test.h"
#include "app/file/model.h"

static const char good[] = "kind: measurement model\n"
			   "title: Power in a resistor\n"
			   "inputs:\n"
			   "  V: {value: 4.999, u: 0.0032, unit: V, dof: 4}\n"
			   "  R: {distribution: rectangular, low: 99.9, high: 100.1}\n"
			   "  b: {readings: [0.21, 0.23, 0.20, 0.22]}\n"
			   "  c: {readings: [1.1, 1.3, 1.2, 1.2]}\n"
			   "  s: {formula: V + 1}\n"
			   "paired: [[b, c]]\n"
			   "correlations:\n"
			   "  - {between: [V, R], r: 0.2}\n"
			   "outputs:\n"
			   "  P: {formula: \"V^2/R + b*c\", unit: W}\n"
			   "  x: {equation: \"R*x = 101*c\", near: 1}\n"
			   "coverage_probability: 0.95\n"
			   "monte_carlo: {trials: 1000000, seed: 1}\n";

static const struct bad_case cases[] = {
	{ "decimal comma in flow", "value: 4.999", "value: 4,9",
	  "4:14: value is \"4,9\"; decimals have a point: 4.9" },
	{ "key misspelt", "distribution: rect", "distribuion: rect",
	  "5:7: R has no key \"distribuion\"; did you mean distribution?" },
	{ "key of the whole misspelt",
	  "outputs:", "output:", "12:1: the model has no key \"output\"; did you mean outputs?" },
	{ "distribution misspelt", "rectangular", "rectangluar",
	  "5:21: distribution is \"rectangluar\"; did you mean rectangular?" },
	{ "distribution by another name", "rectangular", "uniform",
	  "5:21: distribution is \"uniform\"; did you mean rectangular?" },
	{ "distribution unknown", "rectangular", "weibull",
	  "5:21: distribution is \"weibull\"; it is one of normal, rectangular, triangular, "
	  "trapezoidal, arcsine, curvilinear_trapezoid, student_t, exponential or gamma" },
	{ "limits without distribution", "distribution: rectangular, ", "",
	  "5:3: R has no distribution; with low and high say which: rectangular, triangular, "
	  "trapezoidal, arcsine or curvilinear_trapezoid" },
	{ "limit missing", ", high: 100.1", "",
	  "5:3: R has no high; the distribution rectangular is stated by low, high" },
	{ "limits exchanged", "low: 99.9, high: 100.1", "low: 100.1, high: 99.9",
	  "5:39: low is 100.1 and high is 99.9; low lies below high" },
	{ "limits equal", "low: 99.9", "low: 100.1",
	  "5:39: low and high are equal; an exact value is stated by value and u: 0" },
	{ "u beside limits", "high: 100.1", "high: 100.1, u: 0.1",
	  "5:58: u does not belong to the distribution rectangular, which is stated by low, high" },
	{ "expanded uncertainty", "u: 0.0032", "U: 0.0064",
	  "4:21: \"U\" would be an expanded uncertainty; give the standard uncertainty, u, which "
	  "is U divided by its k" },
	{ "negative u", "u: 0.0032", "u: -0.0032",
	  "4:24: u is -0.0032; a standard uncertainty is 0 or more" },
	{ "no degrees of freedom", "dof: 4", "dof: 0",
	  "4:46: dof is 0; degrees of freedom are 0.5 (u known to 100 %) or more; leave "
	  "them out where they are infinite" },
	{ "hardly any degrees of freedom", "dof: 4", "dof: 0.49",
	  "4:46: dof is 0.49; degrees of freedom are 0.5 (u known to 100 %) or more; leave "
	  "them out where they are infinite" },
	{ "infinite degrees of freedom", "dof: 4", "dof: .inf",
	  "4:46: dof is \".inf\"; degrees of freedom are 0.5 (u known to 100 %) or more; leave "
	  "them out where they are infinite" },
	{ "beta too large", "rectangular, low: 99.9", "trapezoidal, beta: 1.5, low: 99.9",
	  "5:40: beta is 1.5; beta is the top of the trapezium divided by its base, 0 to 1" },
	{ "beta missing", "rectangular", "trapezoidal",
	  "5:3: R has no beta; the distribution trapezoidal is stated by low, high, beta" },
	{ "limits pass each other", "rectangular, low: 99.9",
	  "curvilinear_trapezoid, d: 0.2, low: 99.9",
	  "5:47: d is 0.2, more than half of the width; the limits would pass each other" },
	{ "t without dof", "distribution: rectangular, low: 99.9, high: 100.1",
	  "distribution: student_t, value: 1, scale: 2",
	  "5:3: R has no dof; the distribution student_t is stated by value, scale, dof" },
	{ "mean of nothing", "distribution: rectangular, low: 99.9, high: 100.1",
	  "distribution: exponential, mean: 0", "5:40: mean is 0; it has to be above 0" },
	{ "nothing said", "{value: 4.999, u: 0.0032, unit: V, dof: 4}", "{unit: V}",
	  "4:3: V has no value; state an input by value and u, by a distribution, by readings or "
	  "by a formula" },
	{ "a bare number", "{value: 4.999, u: 0.0032, unit: V, dof: 4}", "4.999",
	  "4:6: V is a single value here; it has to be made of keys with values, as in key: "
	  "value" },
	{ "one reading", "[1.1, 1.3, 1.2, 1.2]", "[1.1]",
	  "7:17: readings is a list of 1; a standard deviation needs at least 2" },
	{ "reading a word", "1.1, 1.3", "1.1, high",
	  "7:23: a reading is \"high\"; write a number, such as 0.265 or 1e-5" },
	{ "readings with decimal commas", "[1.1, 1.3, 1.2, 1.2]", "[1,1, 1,3, 1,2, 1,2]",
	  "7:18: a reading is \"1,1\"; decimals have a point: 1.1\n"
	  "7:23: a reading is \"1,3\"; "
	  "decimals have a point: 1.3\n"
	  "7:28: a reading is \"1,2\"; decimals have a point: "
	  "1.2\n"
	  "7:33: a reading is \"1,2\"; decimals have a point: 1.2" },
	{ "readings and value", "c: {readings", "c: {value: 1, readings",
	  "7:7: value and readings exclude each other; keep one of them" },
	{ "readings and distribution", "c: {readings", "c: {distribution: normal, readings",
	  "7:7: distribution has no place beside readings or a formula, which say it all" },
	{ "formula and u", "{formula: V + 1}", "{formula: V + 1, u: 1}",
	  "8:23: u and formula exclude each other; keep one of them" },
	{ "name of a function", "  s: {formula", "  exp: {formula",
	  "8:3: \"exp\" is a function of formulas; give the quantity another name" },
	{ "name with a digit first", "  s: {formula", "  2s: {formula",
	  "8:3: \"2s\" cannot be the name of a quantity; a name has letters from a to z, digits "
	  "and _, begins with a letter, and is at most 64 long" },
	{ "name in Greek", "  s: {formula", "  \xce\xb1: {formula",
	  "8:3: \"\xce\xb1\" cannot be the name of a quantity; a name has letters from a to z, "
	  "digits and _, begins with a letter, and is at most 64 long" },
	{ "name twice", "  x: {equation", "  V: {equation",
	  "14:3: V is an input already; give the output another name" },
	{ "name of an output a function", "  x: {equation", "  max: {equation",
	  "14:3: \"max\" is a function of formulas; give the quantity another name" },
	{ "input twice", "  R: {distribution", "  V: {distribution",
	  "5:3: the key \"V\" stands twice, first on line 4; keep one of them" },
	{ "paired without readings", "[[b, c]]", "[[b, V]]",
	  "9:14: V has no readings; only readings can have been taken together" },
	{ "paired unknown", "[[b, c]]", "[[b, cc]]",
	  "9:14: there is no input \"cc\"; declare it under inputs" },
	{ "paired alone", "[[b, c]]", "[[b]]",
	  "9:10: a group of paired inputs has at least two, as in [[b, c]]" },
	{ "paired flat", "[[b, c]]", "[b, c]",
	  "9:9: paired is a list of groups, each a list of its own, as in [[b, c]]" },
	{ "paired twice", "[[b, c]]", "[[b, c], [c, b]]",
	  "9:19: c is paired already; name it once\n"
	  "9:22: b is paired already; name it once" },
	{ "paired of unequal counts", "1.3, 1.2, 1.2]", "1.3, 1.2]",
	  "9:14: c has 3 readings and b has 4; readings taken together are equally many" },
	{ "correlation above 1", "r: 0.2", "r: 1.2",
	  "11:26: r is 1.2; a correlation lies from -1 to 1" },
	{ "correlation missing", ", r: 0.2", "",
	  "11:5: correlation 1 has no r; give the correlation coefficient, -1 to 1" },
	{ "correlation unknown", "[V, R]", "[V, RR]",
	  "11:19: there is no input \"RR\"; declare it under inputs" },
	{ "correlation with itself", "[V, R]", "[V, V]",
	  "11:15: between names one input twice; a correlation is between two of them" },
	{ "correlation of three", "[V, R]", "[V, R, b]",
	  "11:15: between has 3 names; a correlation is between two inputs" },
	{ "correlation of a formula", "[V, R]", "[V, s]",
	  "11:15: an input that is a formula has the correlations that its own inputs give it; "
	  "state theirs" },
	{ "correlation of paired", "[V, R]", "[b, c]",
	  "11:15: the covariance of paired inputs follows from their readings; remove this "
	  "correlation, or the pairing" },
	{ "correlation twice", "  - {between: [V, R], r: 0.2}\n",
	  "  - {between: [V, R], r: 0.2}\n  - {between: [R, V], r: 0.1}\n",
	  "12:15: this correlation is stated already; keep one of them" },
	{ "output without formula", "{formula: \"V^2/R + b*c\", unit: W}", "{unit: W}",
	  "13:3: P has no formula; an output is a formula, or an equation with near" },
	{ "output with both", "near: 1", "near: 1, formula: V",
	  "14:7: equation and formula exclude each other; keep one of them" },
	{ "equation without start", ", near: 1", "",
	  "14:3: x has no near; the solution of an equation is sought from there" },
	{ "start without equation", "unit: W", "unit: W, near: 1",
	  "13:40: near belongs to an equation, and a formula needs no start" },
	{ "no outputs",
	  "outputs:\n  P: {formula: \"V^2/R + b*c\", unit: W}\n  x: {equation: \"R*x = 101*c\", "
	  "near: 1}\n",
	  "", "1:1: the model has no outputs; say what is to be computed under outputs" },
	{ "outputs empty",
	  "outputs:\n  P: {formula: \"V^2/R + b*c\", unit: W}\n  x: {equation: \"R*x = 101*c\", "
	  "near: 1}\n",
	  "outputs: {}\n",
	  "12:10: outputs is empty; name what is to be computed and give its formula" },
	{ "formula empty", "\"V^2/R + b*c\"", "\"\"", "13:16: formula is empty; write a text" },
	{ "formula a list", "\"V^2/R + b*c\"", "[V]", "13:16: formula is a list; it is a text" },
	{ "probability in per cent", "0.95", "95",
	  "15:23: coverage_probability is 95; a probability lies between 0 and 1: 95 % is 0.95" },
	{ "both coverages", "coverage_probability: 0.95",
	  "coverage_probability: 0.95\ncoverage_factor: 2",
	  "16:1: coverage_factor and coverage_probability exclude each other; keep one of them" },
	{ "trials a fraction", "trials: 1000000", "trials: 1e6.5",
	  "16:23: trials is \"1e6.5\"; it is a whole number from 100 to 10000000000" },
	{ "too few trials", "trials: 1000000", "trials: 10",
	  "16:23: trials is \"10\"; it is a whole number from 100 to 10000000000" },
	{ "adaptive with trials", "seed: 1", "adaptive: true",
	  "16:15: trials is found by the adaptive procedure; keep one of trials and adaptive" },
	{ "digits without adaptive", "seed: 1", "digits: 2",
	  "16:32: digits belongs to the adaptive procedure: adaptive: true" },
	{ "a key like kind, and nothing of a model", NULL, "kin: measurement model\ntitle: x\n",
	  "1:1: the file does not say its kind; add kind: measurement model" },
	{ "a job", "measurement model", "fixed-point calibration",
	  "1:7: kind is \"fixed-point calibration\", for which there is another command; this "
	  "command reads kind: measurement model" },
};

static void bad_model_case(void **state)
{
	const struct bad_case *c = *state;
	g_autofree char *text = bad_edit(good, c);
	g_autoptr(base_messages) messages = base_messages_new();

	bad_write("model.yaml", text);
	g_autoptr(lab_model) record = file_read_model("model.yaml", messages);
	g_autofree char *got = bad_messages(messages, "model.yaml");
	assert_string_equal(got, c->want);
	assert_null(record);
	assert_int_equal(base_messages_exit_status(messages), 2);
}

int main(void)
{
	struct CMUnitTest *tests = bad_tests(cases, G_N_ELEMENTS(cases), bad_model_case);
	const int failed = _cmocka_run_group_tests("bad models", tests, G_N_ELEMENTS(cases),
						   bad_set_up, bad_tear_down);

	g_free(tests);
	return failed;
}
