#include "lib/tape/parse.h"

#include "firn/number.h"

enum { DEEPEST = 200, LARGEST_PRODUCT = 64 };

struct parser {
	struct firn_tape *tape; /* NULL: names only */
	const char *text, *at;
	int depth;
	firn_find_name *find;
	void *context;
	struct parsed *out;
};

static struct firn_node parse_sum(struct parser *p);

static const struct {
	const char *name;
	enum operation operation;
	int arguments; /* 2: two or more, taken in turn */
} functions[] = {
	{ "sqrt", OP_SQRT, 1 },   { "exp", OP_EXP, 1 },   { "ln", OP_LN, 1 },
	{ "log10", OP_LOG10, 1 }, { "sin", OP_SIN, 1 },   { "cos", OP_COS, 1 },
	{ "tan", OP_TAN, 1 },     { "asin", OP_ASIN, 1 }, { "acos", OP_ACOS, 1 },
	{ "atan", OP_ATAN, 1 },   { "abs", OP_ABS, 1 },   { "min", OP_MIN, 2 },
	{ "max", OP_MAX, 2 },
};

static struct firn_node nothing(const struct parser *p)
{
	return (struct firn_node){ .tape = p->tape };
}

static struct firn_node fail_at(struct parser *p, const char *where, const char *error)
{
	if (p->out->error == NULL) {
		p->out->error = error;
		p->out->column = (int)(where - p->text) + 1;
	}
	return nothing(p);
}

static bool failed(const struct parser *p)
{
	return p->out->error != NULL;
}

static void skip_space(struct parser *p)
{
	while (*p->at == ' ' || *p->at == '\t' || *p->at == '\n' || *p->at == '\r')
		p->at++;
}

static bool is_letter(char c)
{
	return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_';
}

static size_t name_length(const char *text)
{
	size_t n = 0;

	if (!is_letter(text[0]))
		return 0;
	while (is_letter(text[n]) || (text[n] >= '0' && text[n] <= '9'))
		n++;
	return n;
}

/* One operation on the tape; says where in the formula it went wrong. */
static struct firn_node operate(struct parser *p, const char *where, enum operation operation,
				struct firn_node a, struct firn_node b)
{
	struct record r = { .operation = (uint8_t)operation, .a = a.index, .b = b.index };
	struct firn_node y;

	if (p->tape == NULL || failed(p))
		return nothing(p);
	y = tape_record(p->tape, r, 1);
	if (y.index == 0)
		return fail_at(p, where,
			       p->tape->status == FIRN_E_DOMAIN
				   ? "this is not finite at the values of the inputs; it divides "
				     "by zero, leaves the range of its function or is too large"
				   : firn_status_text(p->tape->status));
	return y;
}

static struct firn_node constant(struct parser *p, double value)
{
	return p->tape == NULL || failed(p) ? nothing(p) : firn_constant(p->tape, value);
}

static struct firn_node parse_number(struct parser *p)
{
	double value = 0.0;
	const char *start = p->at;
	const size_t n = firn_number_prefix(start, strlen(start), &value);

	if (n == 0 && start - p->text >= 1 && start[0] == '*' && start[-1] == '*')
		return fail_at(p, start, "a power is not written **; write ^");
	if (n == 0)
		return fail_at(
		    p, start,
		    "no term begins like this; a number, a name or a parenthesis is needed");
	if (!isfinite(value))
		return fail_at(p, start, "this number is too large; the largest is 1.8e308");
	p->at += n;
	if (is_letter(*p->at))
		return fail_at(p, p->at, "a name follows the number; put an operator between them");
	return constant(p, value);
}

static struct firn_node parse_call(struct parser *p, const char *name, size_t length)
{
	for (size_t i = 0; i < COUNT(functions); i++) {
		if (strlen(functions[i].name) != length ||
		    memcmp(functions[i].name, name, length) != 0)
			continue;
		p->at++;
		struct firn_node x = parse_sum(p);
		int n = 1;

		if (functions[i].arguments == 1)
			x = operate(p, name, functions[i].operation, x, nothing(p));
		for (skip_space(p); !failed(p) && *p->at == ','; skip_space(p), n++) {
			if (functions[i].arguments == 1)
				return fail_at(
				    p, p->at,
				    "this function has one argument; take the others away");
			p->at++;
			const struct firn_node y = parse_sum(p);
			x = operate(p, name, functions[i].operation, x, y);
		}
		if (failed(p))
			return nothing(p);
		if (*p->at != ')')
			return fail_at(p, p->at, "a parenthesis is still open here; close it");
		if (n < functions[i].arguments)
			return fail_at(p, p->at,
				       "this function has one argument here; it needs two or more");
		p->at++;
		return x;
	}
	return fail_at(p, name,
		       "there is no function of this name; the functions are sqrt exp ln log10 sin "
		       "cos tan asin acos atan abs min max");
}

static struct firn_node parse_name(struct parser *p)
{
	struct parsed *out = p->out;
	const char *name = p->at;
	const size_t length = name_length(name);

	p->at += length;
	skip_space(p);
	if (*p->at == '(')
		return parse_call(p, name, length);
	for (size_t i = 0; i < out->n_names; i++)
		if (out->names[i].length == length && memcmp(out->names[i].text, name, length) == 0)
			return out->names[i].node;
	if (out->n_names == PARSE_MOST_NAMES)
		return fail_at(p, name, "too many names in one formula; part it into several");

	struct parsed_name found = { name, length, (int)(name - p->text) + 1, nothing(p) };

	if (p->tape != NULL) {
		found.node = p->find(p->context, name, length);
		if (found.node.index == 0)
			return fail_at(p, name, "nothing of this name is known here; declare it");
		if (found.node.tape != p->tape)
			return fail_at(
			    p, name,
			    "this quantity belongs to another model; use one of this model");
	}
	out->names[out->n_names++] = found;
	return found.node;
}

static struct firn_node parse_primary(struct parser *p)
{
	struct firn_node x;

	skip_space(p);
	if (++p->depth > DEEPEST)
		return fail_at(p, p->at, "the formula is nested too deeply; part it into several");
	if (*p->at == '(') {
		p->at++;
		x = parse_sum(p);
		skip_space(p);
		if (!failed(p) && *p->at != ')')
			return fail_at(p, p->at, "a parenthesis is still open here; close it");
		p->at += !failed(p);
	} else if (is_letter(*p->at)) {
		x = parse_name(p);
	} else if (*p->at == '\0') {
		return fail_at(
		    p, p->at,
		    "the formula ends too early; a number, a name or a parenthesis has to follow");
	} else {
		x = parse_number(p);
	}
	p->depth--;
	return x;
}

static struct firn_node product_power(struct parser *p, const char *where, struct firn_node x,
				      int n)
{
	struct firn_node y = constant(p, 1.0);
	bool started = false;

	for (int left = n < 0 ? -n : n; left > 0 && !failed(p); left /= 2) {
		if (left % 2 != 0) {
			y = started ? operate(p, where, OP_MULTIPLY, y, x) : x;
			started = true;
		}
		if (left > 1)
			x = operate(p, where, OP_MULTIPLY, x, x);
	}
	return n < 0 ? operate(p, where, OP_DIVIDE, constant(p, 1.0), y) : y;
}

static struct firn_node power(struct parser *p, const char *where, struct firn_node x,
			      struct firn_node n)
{
	if (p->tape == NULL || failed(p))
		return nothing(p);
	if (!p->tape->records[n.index].depends) {
		const double whole = p->tape->values[n.index];

		if (whole == floor(whole) && fabs(whole) <= LARGEST_PRODUCT)
			return product_power(p, where, x, (int)whole);
	}
	return operate(p, where, OP_POWER, x, n);
}

/* An exponent may carry a sign of its own: 10^-3. */
static struct firn_node parse_power(struct parser *p)
{
	struct firn_node x = parse_primary(p);

	skip_space(p);
	if (!failed(p) && *p->at == '^') {
		const char *where = p->at++;
		bool negative = false;

		if (++p->depth > DEEPEST)
			return fail_at(p, where,
				       "the formula is nested too deeply; part it into several");
		skip_space(p);
		if (*p->at == '-' || *p->at == '+')
			negative = *p->at++ == '-';
		struct firn_node n = parse_power(p);
		if (negative)
			n = operate(p, where, OP_NEGATE, n, nothing(p));
		x = power(p, where, x, n);
		p->depth--;
	}
	return x;
}

/* Signs may follow one another, as in 2*-x or --x. */
static struct firn_node parse_signed(struct parser *p)
{
	skip_space(p);
	const char *where = p->at;

	if (*p->at != '-' && *p->at != '+')
		return parse_power(p);
	if (++p->depth > DEEPEST)
		return fail_at(p, where, "the formula is nested too deeply; part it into several");
	p->at++;
	const struct firn_node x = parse_signed(p);
	p->depth--;
	return *where == '-' ? operate(p, where, OP_NEGATE, x, nothing(p)) : x;
}

static struct firn_node parse_product(struct parser *p)
{
	struct firn_node x = parse_signed(p);

	for (skip_space(p); !failed(p) && (*p->at == '*' || *p->at == '/'); skip_space(p)) {
		const char *where = p->at++;
		const struct firn_node y = parse_signed(p);

		x = operate(p, where, *where == '*' ? OP_MULTIPLY : OP_DIVIDE, x, y);
	}
	return x;
}

static struct firn_node parse_sum(struct parser *p)
{
	struct firn_node x = parse_product(p);

	for (skip_space(p); !failed(p) && (*p->at == '+' || *p->at == '-'); skip_space(p)) {
		const char *where = p->at++;
		const struct firn_node y = parse_product(p);

		x = operate(p, where, *where == '+' ? OP_ADD : OP_SUBTRACT, x, y);
	}
	return x;
}

static void expect_end(struct parser *p)
{
	skip_space(p);
	if (!failed(p) && *p->at != '\0')
		fail_at(
		    p, p->at,
		    *p->at == ')'   ? "this parenthesis was never opened; open it, or take it away"
		    : *p->at == '=' ? "there is a second =; one is enough"
		    : *p->at == ','
			? "a comma parts arguments and nothing else; the decimal sign is a point"
			: "an operator is missing here; the operators are + - * / ^");
}

/* name = at the start of a formula is its name. */
static void parse_own_name(struct parser *p)
{
	const size_t length = (skip_space(p), name_length(p->at));
	const char *after = p->at + length;

	while (*after == ' ' || *after == '\t')
		after++;
	if (length == 0 || *after != '=')
		return;
	p->out->name = p->at;
	p->out->name_length = length;
	p->at = after + 1;
	skip_space(p);
}

static struct parser start(struct firn_tape *tape, const char *text, firn_find_name *find,
			   void *context, struct parsed *ret)
{
	*ret = (struct parsed){ .result = { .tape = tape } };
	return (struct parser){ tape, text, text, 0, find, context, ret };
}

void parse_formula(struct firn_tape *tape, const char *text, firn_find_name *find, void *context,
		   struct parsed *ret)
{
	struct parser p = start(tape, text, find, context, ret);

	parse_own_name(&p);
	ret->formula = p.at;
	ret->result = parse_sum(&p);
	expect_end(&p);
}

void parse_equation(struct firn_tape *tape, const char *text, firn_find_name *find, void *context,
		    struct parsed *ret)
{
	struct parser p = start(tape, text, find, context, ret);

	ret->formula = text;
	const struct firn_node left = parse_sum(&p);
	skip_space(&p);
	if (!failed(&p) && *p.at != '=')
		fail_at(
		    &p, p.at,
		    *p.at == '\0'
			? "the equation has one side only; write left side = right side"
			: "an operator or the = of the equation is missing here; the operators are "
			  "+ - * / ^");
	const char *where = p.at;
	p.at += !failed(&p);
	const struct firn_node right = failed(&p) ? nothing(&p) : parse_sum(&p);
	ret->result = operate(&p, where, OP_SUBTRACT, left, right);
	expect_end(&p);
}
