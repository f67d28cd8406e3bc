#include "app/lab/record.h"

#include "app/base/time.h"
#include "app/lab/criteria.h"

#include <math.h>
#include <string.h>

const struct lab_kind *lab_kind_named(const char *name)
{
	for (const struct lab_kind *kind = lab_kinds; kind->name != NULL; kind++)
		if (strcmp(kind->name, name) == 0)
			return kind;
	return NULL;
}

bool lab_id_is_valid(const char *id)
{
	const size_t n = strlen(id);

	if (n < 1 || n > 60 || !g_ascii_isalnum(id[0]) || !g_ascii_isalnum(id[n - 1]))
		return false;
	for (size_t i = 0; i < n; i++)
		if (!g_ascii_isalnum(id[i]) && strchr("-_./", id[i]) == NULL)
			return false;
	return true;
}

/* Whether a word stands among words parted by |. */
static bool is_one_of(const char *word, const char *words)
{
	g_auto(GStrv) list = g_strsplit(words, "|", -1);

	return g_strv_contains((const char *const *)list, word);
}

bool lab_state_may_follow(const struct lab_kind *kind, const char *from, const char *to)
{
	if (kind->states == NULL)
		return true;
	for (const struct lab_state *state = kind->states; state->name != NULL; state++) {
		if (from == NULL ? strcmp(state->name, to) == 0
				 : strcmp(state->name, from) == 0 &&
				       (strcmp(from, to) == 0 || is_one_of(to, state->next)))
			return true;
	}
	return false;
}

/* ---- what is wrong ---- */

struct check {
	const char *label;
	base_messages *messages;
	bool good;
};

static void wrong(struct check *check, const char *path, const char *what)
{
	check->good = false;
	base_messages_add(check->messages, BASE_ERROR, check->label, (struct base_mark){ 0, 0 },
			  "%s %s", path, what);
}

static const char *const type_words[] = {
	[LAB_TEXT] = "must be a text that is not empty",
	[LAB_NUMBER] = "must be a number",
	[LAB_TIME] = "must be a time such as 2031-03-04T09:12:40Z",
	[LAB_DATE] = "must be a date such as 2031-03-04",
	[LAB_YES_NO] = "must be true or false",
	[LAB_CHOICE] = "must be a word",
	[LAB_REFERENCE] = "must name a record by its id",
	[LAB_REFERENCES] = "must be a list of ids",
	[LAB_HASH] = "must be the SHA-256 of a file, 64 digits",
	[LAB_LIST] = "must be a list",
	[LAB_OBJECT] = "must hold named values",
	[LAB_JOB] = "must hold named values as a job file has them",
};

static bool is_hash(const char *text)
{
	return strlen(text) == 64 && strspn(text, "0123456789abcdef") == 64;
}

static bool is_text_of(const struct lab_field *field, const char *text)
{
	int64_t unused;

	switch (field->type) {
	case LAB_TIME:
		return base_time_parse(text, strlen(text), &unused) == NULL;
	case LAB_DATE:
		return base_date_is_valid(text);
	case LAB_REFERENCE:
		return lab_id_is_valid(text);
	case LAB_HASH:
		return is_hash(text);
	default:
		return text[strspn(text, " \t\r\n")] != '\0';
	}
}

static bool has_type(const struct lab_field *field, const json_t *value)
{
	switch (field->type) {
	case LAB_NUMBER:
		return json_is_number(value);
	case LAB_YES_NO:
		return json_is_boolean(value);
	case LAB_REFERENCES:
	case LAB_LIST:
		return json_is_array(value);
	case LAB_OBJECT:
	case LAB_JOB:
		return json_is_object(value);
	default:
		return json_is_string(value) && is_text_of(field, json_string_value(value));
	}
}

static void check_fields(struct check *check, const struct lab_field *fields, const json_t *body,
			 const char *path, bool open);

static void check_range(struct check *check, const struct lab_field *field, const json_t *value,
			const char *path)
{
	const double x = json_number_value(value);
	g_autofree char *text = NULL;

	if (x >= field->low && x <= field->high)
		return;
	text = g_strdup_printf("is out of its range, %g to %g", field->low, field->high);
	wrong(check, path, text);
}

static void check_items(struct check *check, const struct lab_field *field, const json_t *list,
			const char *path)
{
	size_t i;
	json_t *item;

	json_array_foreach(list, i, item)
	{
		g_autofree char *at = g_strdup_printf("%s.%zu", path, i + 1);

		if (field->type == LAB_LIST && json_is_object(item))
			check_fields(check, field->fields, item, at, false);
		else if (field->type == LAB_LIST)
			wrong(check, at, type_words[LAB_OBJECT]);
		else if (!json_is_string(item) || !lab_id_is_valid(json_string_value(item)))
			wrong(check, at, type_words[LAB_REFERENCE]);
	}
}

static void check_value(struct check *check, const struct lab_field *field, const json_t *value,
			const char *path)
{
	if (!has_type(field, value)) {
		wrong(check, path, type_words[field->type]);
		return;
	}
	switch (field->type) {
	case LAB_NUMBER:
		check_range(check, field, value, path);
		break;
	case LAB_CHOICE:
		if (!is_one_of(json_string_value(value), field->of)) {
			g_autofree char *text = g_strdup_printf("must be one of %s", field->of);

			wrong(check, path, text);
		}
		break;
	case LAB_REFERENCES:
	case LAB_LIST:
		check_items(check, field, value, path);
		break;
	case LAB_OBJECT:
	case LAB_JOB:
		check_fields(check, field->fields, value, path, field->type == LAB_JOB);
		break;
	default:
		break;
	}
}

static const struct lab_field *field_named(const struct lab_field *fields, const char *name)
{
	for (; fields->name != NULL; fields++)
		if (strcmp(fields->name, name) == 0)
			return fields;
	return NULL;
}

static void check_fields(struct check *check, const struct lab_field *fields, const json_t *body,
			 const char *path, bool open)
{
	const char *name;
	json_t *value;

	json_object_foreach((json_t *)body, name, value)
	{
		const struct lab_field *field = field_named(fields, name);
		g_autofree char *at =
		    path[0] == '\0' ? g_strdup(name) : g_strdup_printf("%s.%s", path, name);

		if (field != NULL)
			check_value(check, field, value, at);
		else if (!open)
			wrong(check, at,
			      "is not known here; `firn book kinds` lists what a record "
			      "may say");
	}
	for (; fields->name != NULL; fields++) {
		g_autofree char *at = path[0] == '\0'
					  ? g_strdup(fields->name)
					  : g_strdup_printf("%s.%s", path, fields->name);

		if (fields->needed && json_object_get(body, fields->name) == NULL)
			wrong(check, at, "is missing");
	}
}

/* A limit by a name that nothing asks for would never be felt. */
static void check_limits(struct check *check, const json_t *body)
{
	size_t i;
	json_t *limit;

	json_array_foreach(json_object_get(body, "limits"), i, limit)
	{
		g_autofree char *fault = lab_criterion_fault(limit);
		g_autofree char *text =
		    fault == NULL
			? NULL
			: g_strdup_printf("(%s) %s",
					  json_string_value(json_object_get(limit, "name")), fault);
		g_autofree char *path = g_strdup_printf("limits.%zu", i + 1);

		if (text != NULL)
			wrong(check, path, text);
	}
}

/* The verdict of a check is what its numbers say. */
static void check_verdict(struct check *check, const json_t *body)
{
	const double difference = json_number_value(json_object_get(body, "found")) -
				  json_number_value(json_object_get(body, "expected"));
	const double limit = json_number_value(json_object_get(body, "limit"));
	const char *verdict = json_string_value(json_object_get(body, "verdict"));

	if (json_object_get(body, "limit") != NULL && g_strcmp0(verdict, "passed") == 0 &&
	    !(fabs(difference) <= limit))
		wrong(check, "verdict",
		      "is passed, and found differs from expected by more than the limit; it "
		      "has failed");
}

static double ratio_at(const json_t *ratios, size_t i)
{
	return json_number_value(json_object_get(json_array_get(ratios, i), "ratio"));
}

/* How far the ratios of a check are from what they must be: 1 against itself; A : B times B : A is
   1; the parts of a series add up. NaN: there are too few or too many of them. */
static double off_of(const char *check, const json_t *ratios)
{
	const size_t n = json_array_size(ratios);
	double sum = 0.0;

	if (g_strcmp0(check, "ratio one") == 0 && n == 1)
		return ratio_at(ratios, 0) - 1.0;
	if (g_strcmp0(check, "complement") == 0 && n == 2)
		return ratio_at(ratios, 0) * ratio_at(ratios, 1) - 1.0;
	for (size_t i = 0; i + 1 < n; i++)
		sum += ratio_at(ratios, i);
	return g_strcmp0(check, "combination") == 0 && n > 2 ? ratio_at(ratios, n - 1) - sum
							     : (double)NAN;
}

#define RATIO_DIGITS 1e-11 /* more than bridges print */

/* What was found is what the ratios give. */
static void check_ratios(struct check *check, const json_t *body)
{
	const json_t *ratios = json_object_get(body, "ratios");
	const double stated = json_number_value(json_object_get(body, "found")) -
			      json_number_value(json_object_get(body, "expected"));
	const double off = off_of(json_string_value(json_object_get(body, "check")), ratios);
	g_autofree char *text = NULL;

	if (ratios == NULL)
		return;
	if (isnan(off))
		text = g_strdup("are one for ratio one, two for complement, the parts and the "
				"whole (three or more) for combination; no other check has them");
	else if (g_strcmp0(json_string_value(json_object_get(body, "unit")), "1") != 0)
		text = g_strdup("are in unit 1, and so must be found, expected, u and limit");
	else if (!(fabs(stated - off) <= RATIO_DIGITS))
		text = g_strdup_printf("are off by %.3g, and found less expected is %.3g; one of "
				       "them is wrong",
				       off, stated);
	if (text != NULL)
		wrong(check, "ratios", text);
}

/* A value never enters without its uncertainty. */
static void check_standard_value(struct check *check, const json_t *body)
{
	const json_t *job = json_object_get(body, "job");

	if (json_object_get(job, "ohm") != NULL && json_object_get(job, "u_ohm") == NULL)
		wrong(check, "job.u_ohm",
		      "is missing; a value never enters without its uncertainty (a standard one, "
		      "U/k of the certificate)");
}

/* What no single field can tell. */
static void check_together(struct check *check, const struct lab_kind *kind, const json_t *body)
{
	if (strcmp(kind->name, "equipment certificate") == 0 &&
	    (json_object_get(body, "k") == NULL) == (json_object_get(body, "p") == NULL))
		wrong(check, "U",
		      "needs k or p, one of them: a value never enters without its "
		      "coverage");
	if (strcmp(kind->name, "nonconformity") == 0 &&
	    g_strcmp0(json_string_value(json_object_get(body, "state")), "closed") == 0 &&
	    json_object_get(body, "decision") == NULL)
		wrong(check, "decision", "is missing; say what was decided when closing");
	if (strcmp(kind->name, "limits") == 0)
		check_limits(check, body);
	if (strcmp(kind->name, "equipment check") == 0) {
		check_verdict(check, body);
		check_ratios(check, body);
	}
	if (strcmp(kind->name, "resistor") == 0)
		check_standard_value(check, body);
}

bool lab_record_check(const struct lab_kind *kind, const json_t *body, const char *label,
		      base_messages *messages)
{
	struct check check = { label, messages, true };

	if (!json_is_object(body)) {
		wrong(&check, "the record", type_words[LAB_OBJECT]);
		return false;
	}
	check_fields(&check, kind->fields, body, "", false);
	check_together(&check, kind, body);
	return check.good;
}

/* ---- references ---- */

struct walk {
	lab_each_reference *each;
	void *data;
	bool files; /* SHA-256 of files instead of records */
};

static void walk_fields(const struct walk *walk, const struct lab_field *fields, const json_t *body,
			const char *path);

static void walk_value(const struct walk *walk, const struct lab_field *field, const json_t *value,
		       const char *path)
{
	size_t i;
	json_t *item;

	switch (field->type) {
	case LAB_REFERENCE:
		if (!walk->files && json_is_string(value))
			walk->each(path, field->of, json_string_value(value), walk->data);
		break;
	case LAB_HASH:
		if (walk->files && json_is_string(value))
			walk->each(path, "file", json_string_value(value), walk->data);
		break;
	case LAB_REFERENCES:
		json_array_foreach(value, i, item) if (!walk->files && json_is_string(item))
		    walk->each(path, field->of, json_string_value(item), walk->data);
		break;
	case LAB_LIST:
		json_array_foreach(value, i, item) walk_fields(walk, field->fields, item, path);
		break;
	case LAB_OBJECT:
	case LAB_JOB:
		walk_fields(walk, field->fields, value, path);
		break;
	default:
		break;
	}
}

static void walk_fields(const struct walk *walk, const struct lab_field *fields, const json_t *body,
			const char *path)
{
	for (; fields->name != NULL; fields++) {
		const json_t *value = json_object_get(body, fields->name);
		g_autofree char *at = path[0] == '\0'
					  ? g_strdup(fields->name)
					  : g_strdup_printf("%s.%s", path, fields->name);

		if (value != NULL)
			walk_value(walk, fields, value, at);
	}
}

void lab_record_references(const struct lab_kind *kind, const json_t *body,
			   lab_each_reference *each, void *data)
{
	const struct walk walk = { each, data, false };

	walk_fields(&walk, kind->fields, body, "");
}

void lab_record_files(const struct lab_kind *kind, const json_t *body, lab_each_reference *each,
		      void *data)
{
	const struct walk walk = { each, data, true };

	walk_fields(&walk, kind->fields, body, "");
}
