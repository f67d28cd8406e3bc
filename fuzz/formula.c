/* Fuzz target: a formula or equation as text. What the reading for names accepts, the recording
   accepts; what is recorded has a finite value, u and gradient, or a status. */
#include "fuzz/fuzz.h"

#include "firn/tape.h"

#include <math.h>
#include <string.h>

/* Every name is known: a few inputs, chosen by the name's first letter, so that names share them.
 */
enum { INPUTS = 4 };

struct model {
	struct firn_tape *tape;
	struct firn_node inputs[INPUTS];
	size_t names;
};

static struct model new_model(void)
{
	static const double values[INPUTS] = { 1.5, -0.25, 100.000512, 3e-6 };
	struct model m = { .tape = firn_tape_new() };

	FUZZ_HOLDS(m.tape != NULL);
	for (int i = 0; i < INPUTS; i++) {
		const char name[] = { (char)('p' + i), '\0' };

		m.inputs[i] = firn_tape_input(
		    m.tape,
		    &(struct firn_input){ .name = name, .value = values[i], .u = 0.01, .dof = i });
	}
	return m;
}

static struct firn_node find(void *context, const char *name, size_t length)
{
	struct model *m = context;

	FUZZ_HOLDS(length > 0);
	return m->inputs[(unsigned char)name[0] % INPUTS];
}

static void count(void *context, const char *name, size_t length, int column)
{
	struct model *m = context;

	FUZZ_HOLDS(name != NULL && length > 0 && column > 0);
	m->names++;
}

/* Some inputs are not finite at the values above; the tape says so and nothing else. */
static void check_recorded(const struct model *m, struct firn_node y)
{
	const enum firn_status status = firn_tape_status(m->tape);
	double u = 0.0, dof = 0.0;

	if (status < 0) {
		FUZZ_HOLDS(firn_tape_message(m->tape)[0] != '\0');
		FUZZ_HOLDS(isnan(firn_value(y)));
		return;
	}
	FUZZ_HOLDS(isfinite(firn_value(y)));
	struct firn_budget_line lines[INPUTS];
	size_t n = 0;
	double sum = 0.0;
	if (firn_budget(y, INPUTS, lines, &n) < 0 || firn_u_dof(y, &u, &dof) < 0)
		return;
	FUZZ_HOLDS(n <= INPUTS);
	for (size_t i = 0; i < n; i++)
		sum += lines[i].contribution;
	/* where a slope is infinite, as that of sqrt(x) at 0, the linear law has nothing to say */
	if (isfinite(sum))
		FUZZ_HOLDS(u >= 0.0 && u <= sum * (1.0 + 1e-12) && dof > 0.0);

	double refined;
	if (firn_refined_values(1, &y, &refined) >= 0)
		FUZZ_HOLDS(isfinite(refined));
}

static void try_formula(const char *text)
{
	struct model m = new_model();
	const char *wrong = NULL;
	int column = 0;
	const enum firn_status status = firn_formula_names(text, count, &m, &column, &wrong);

	FUZZ_HOLDS(status == FIRN_OK || (wrong != NULL && column > 0));
	FUZZ_HOLDS(status == FIRN_OK || (size_t)column <= strlen(text) + 1);
	const struct firn_node y = firn_formula_lookup(m.tape, text, find, &m);
	FUZZ_HOLDS((status == FIRN_E_FORMULA) == (firn_tape_status(m.tape) == FIRN_E_FORMULA) ||
		   firn_tape_status(m.tape) == FIRN_E_DOMAIN);
	check_recorded(&m, y);
	firn_tape_free(m.tape);
}

static void try_equation(const char *text)
{
	struct model m = new_model();
	const char *wrong = NULL;
	int column = 0;
	const enum firn_status status = firn_equation_names(text, count, &m, &column, &wrong);

	FUZZ_HOLDS(status == FIRN_OK || (wrong != NULL && column > 0));
	check_recorded(&m, firn_root(m.tape, text, "x", 1.0, find, &m));
	firn_tape_free(m.tape);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	g_autofree char *text = g_strndup((const char *)data, size);

	try_formula(text);
	try_equation(text);
	return 0;
}
