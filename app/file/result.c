#include "app/file/result.h"

#include "app/base/file.h"
#include "app/file/json.h"
#include "app/file/text.h"

#include <jansson.h>

#include <string.h>

static const char kind[] = "fixed-point calibration result";

struct result_file {
	const char *path;
	const char *text;
	size_t length;
	base_messages *messages;
	struct lab_conversion *to;
};

/* A value and the way to it, which messages name. */
struct place {
	const struct result_file *file;
	const json_t *value; /* NULL: complained of */
	char path[160];
};

static void wrong(const struct place *at, const char *format, ...) G_GNUC_PRINTF(2, 3);

static void wrong(const struct place *at, const char *format, ...)
{
	const struct result_file *file = at->file;
	g_autofree char *text = NULL;
	va_list arguments;

	va_start(arguments, format);
	text = g_strdup_vprintf(format, arguments);
	va_end(arguments);
	base_messages_add(file->messages, BASE_ERROR, file->path,
			  file_json_mark(file->text, file->length, at->path), "%s %s",
			  at->path[0] == '\0' ? "the result" : at->path, text);
}

static struct place step(const struct place *from, const json_t *value, const char *name)
{
	struct place to = { .file = from->file, .value = value };

	g_snprintf(to.path, sizeof(to.path), "%s%s%s", from->path, from->path[0] == '\0' ? "" : "/",
		   name);
	return to;
}

static struct place element(const struct place *array, size_t i)
{
	char name[24];

	g_snprintf(name, sizeof(name), "%" G_GSIZE_FORMAT, i);
	return step(array, json_array_get(array->value, i), name);
}

/* A member that must be there. */
static struct place member(const struct place *object, const char *name)
{
	struct place to = step(object, json_object_get(object->value, name), name);

	if (object->value != NULL && to.value == NULL)
		wrong(object,
		      "has no member %s; the file is no whole result: write it again with "
		      "firn reduce --result",
		      name);
	return to;
}

/* Complains unless the value is of a type; what was complained of before is let pass. */
static void want(struct place *at, json_type type, const char *right)
{
	if (at->value == NULL || json_typeof(at->value) == type)
		return;
	wrong(at, "is not %s", right);
	at->value = NULL;
}

static struct place array_of(const struct place *object, const char *name)
{
	struct place to = member(object, name);

	want(&to, JSON_ARRAY, "an array");
	return to;
}

static struct place object_of(const struct place *object, const char *name)
{
	struct place to = member(object, name);

	want(&to, JSON_OBJECT, "an object");
	return to;
}

static double number_at(struct place *at)
{
	want(at, JSON_REAL, "a number");
	return at->value == NULL ? LAB_NOT_GIVEN : json_real_value(at->value);
}

static double number_of(const struct place *object, const char *name)
{
	struct place to = member(object, name);

	return number_at(&to);
}

/* null: NaN */
static double number_or_null_of(const struct place *object, const char *name)
{
	struct place to = member(object, name);

	return json_is_null(to.value) ? LAB_NOT_GIVEN : number_at(&to);
}

static bool truth_of(const struct place *object, const char *name)
{
	struct place to = member(object, name);

	if (to.value != NULL && !json_is_boolean(to.value))
		wrong(&to, "is not true or false");
	return json_is_true(to.value);
}

static const char *text_at(struct place *at)
{
	want(at, JSON_STRING, "a text");
	return json_string_value(at->value);
}

static const char *text_of(const struct place *object, const char *name)
{
	struct place to = member(object, name);

	return text_at(&to);
}

static size_t count(const struct place *array)
{
	return json_array_size(array->value); /* 0 for NULL */
}

/* The n x n matrix at the head of one that may be larger; false after a message about its form. */
static bool read_matrix(const struct place *rows, size_t size, size_t n, double *ret)
{
	if (rows->value == NULL)
		return false;
	if (count(rows) != size) {
		wrong(rows, "has %" G_GSIZE_FORMAT " rows; its order has %" G_GSIZE_FORMAT " names",
		      count(rows), size);
		return false;
	}
	for (size_t i = 0; i < size; i++) {
		struct place row = element(rows, i);

		want(&row, JSON_ARRAY, "an array");
		if (row.value == NULL)
			return false;
		if (count(&row) != size) {
			wrong(&row,
			      "has %" G_GSIZE_FORMAT " numbers; its order has %" G_GSIZE_FORMAT
			      " names",
			      count(&row), size);
			return false;
		}
		for (size_t j = 0; i < n && j < n; j++) {
			struct place x = element(&row, j);

			ret[i * n + j] = number_at(&x);
		}
	}
	return true;
}

static void read_covariance(const struct place *joint, size_t size, size_t n, double *ret)
{
	const struct place rows = array_of(joint, "covariance");

	if (!read_matrix(&rows, size, n, ret))
		return;
	for (size_t i = 0; i < n; i++) {
		for (size_t j = 0; j < i; j++) {
			if (ret[i * n + j] != ret[j * n + i])
				wrong(&rows,
				      "is not symmetric in row %" G_GSIZE_FORMAT
				      ", column %" G_GSIZE_FORMAT
				      "; a covariance is: the file has been changed",
				      i + 1, j + 1);
		}
	}
}

/* The coefficients' own covariance stands twice in a result, in joint as well; `n` is the size of
   the matrix that was read from there. */
static void check_own_covariance(const struct place *subrange,
				 const struct lab_conversion_subrange *to, size_t n)
{
	const struct place rows = array_of(subrange, "covariance");
	double own[LAB_MOST_COEFFICIENTS * LAB_MOST_COEFFICIENTS];

	if (!read_matrix(&rows, to->n, to->n, own))
		return;
	for (size_t i = 0; i < to->n; i++) {
		for (size_t j = 0; j < to->n; j++) {
			if (own[i * to->n + j] == to->covariance[i * n + j])
				continue;
			wrong(&rows,
			      "differs from joint/covariance in row %" G_GSIZE_FORMAT
			      ", column %" G_GSIZE_FORMAT
			      "; they are the same: the file has been changed",
			      i + 1, j + 1);
			return;
		}
	}
}

/* The joint covariance holds the coefficients first, then W_Al where it acts, then every R(TPW). */
static void read_joint(const struct place *subrange, struct lab_conversion_subrange *to)
{
	const struct place joint = object_of(subrange, "joint");
	const struct place order = array_of(&joint, "order");
	size_t n = to->n;

	if (order.value == NULL)
		return;
	for (size_t i = 0; i < to->n; i++) {
		struct place at = element(&order, i);

		if (at.value == NULL || g_strcmp0(text_at(&at), to->coefficients[i]) != 0) {
			wrong(&order, "does not begin with the coefficients as order has them");
			return;
		}
	}
	if (g_strcmp0(json_string_value(json_array_get(order.value, n)), "W_Al") == 0) {
		to->covers_w_al = true;
		n++;
	}
	const size_t before = base_messages_count(subrange->file->messages, BASE_ERROR);
	read_covariance(&joint, count(&order), n, to->covariance);
	if (base_messages_count(subrange->file->messages, BASE_ERROR) == before)
		check_own_covariance(subrange, to, n);
}

static void read_coefficients(const struct place *subrange, struct lab_conversion_subrange *to)
{
	const struct place order = array_of(subrange, "order");
	const struct place coefficients = object_of(subrange, "coefficients");

	to->n = count(&order);
	if (to->n < 1 || to->n > LAB_MOST_COEFFICIENTS) {
		if (order.value != NULL)
			wrong(&order,
			      "has %" G_GSIZE_FORMAT " names; a subrange has 1 to %d "
			      "coefficients",
			      to->n, LAB_MOST_COEFFICIENTS);
		to->n = 0;
		return;
	}
	for (size_t i = 0; i < to->n && coefficients.value != NULL; i++) {
		struct place at = element(&order, i);
		const char *name = text_at(&at);

		if (name == NULL)
			continue;
		const struct place coefficient = object_of(&coefficients, name);
		to->coefficients[i] = lab_conversion_text(subrange->file->to, name);
		to->values[i] = number_of(&coefficient, "value");
	}
}

static void read_subrange(struct place *at)
{
	struct lab_conversion *to = at->file->to;
	struct lab_conversion_subrange subrange = { .subrange = LAB_NO_SUBRANGE };

	want(at, JSON_OBJECT, "an object");
	if (at->value == NULL)
		return;
	subrange.mark = file_json_mark(at->file->text, at->file->length, at->path);
	subrange.name = lab_conversion_text(to, text_of(at, "name"));
	subrange.certificate = truth_of(at, "certificate");
	if (subrange.name != NULL)
		subrange.subrange = lab_subrange_named(subrange.name);
	if (subrange.certificate && subrange.name != NULL && subrange.subrange == LAB_NO_SUBRANGE) {
		const struct place name = member(at, "name");

		wrong(&name, "is none of the standard's subranges");
	}
	read_coefficients(at, &subrange);
	subrange.w_al = number_or_null_of(at, "w_al");
	if (subrange.certificate)
		read_joint(at, &subrange);
	g_array_append_val(to->subranges, subrange);
}

/* One resistance at the triple point of water, if it is there. The format has the visit. */
static void add_tpw(const struct result_file *file, struct lab_calibration_tpw tpw,
		    const char *format, ...) G_GNUC_PRINTF(3, 4);

static void add_tpw(const struct result_file *file, struct lab_calibration_tpw tpw,
		    const char *format, ...)
{
	g_autofree char *words = NULL;
	va_list arguments;

	if (!lab_given(tpw.value))
		return;
	va_start(arguments, format);
	words = g_strdup_vprintf(format, arguments);
	va_end(arguments);
	tpw.words = lab_conversion_text(file->to, words);
	g_array_append_val(file->to->tpw, tpw);
}

static double value_of(const struct place *object, const char *name)
{
	const struct place estimate = object_of(object, name);

	return number_or_null_of(&estimate, "value");
}

/* All that was measured at the triple point of water: corrected, at zero current, as read. */
static void read_water_visit(const struct place *visit, const char *id)
{
	const struct result_file *file = visit->file;
	const double rs_ohm = value_of(visit, "rs_ohm"), r0_ohm = value_of(visit, "r0_ohm"),
		     r_ohm = value_of(visit, "r_ohm");
	const struct place currents = array_of(visit, "currents");

	add_tpw(file, (struct lab_calibration_tpw){ .value = r_ohm, .as_stated = true },
		"R(TPW) of visit %s", id);
	add_tpw(file,
		(struct lab_calibration_tpw){
		    .value = r_ohm / rs_ohm, .is_ratio = true, .as_stated = true },
		"R(TPW) of visit %s over its resistor", id);
	add_tpw(file, (struct lab_calibration_tpw){ .value = r0_ohm },
		"the resistance of visit %s at zero current", id);
	add_tpw(file, (struct lab_calibration_tpw){ .value = r0_ohm / rs_ohm, .is_ratio = true },
		"the ratio of visit %s at zero current", id);
	for (size_t i = 0; i < count(&currents); i++) {
		struct place current = element(&currents, i);

		want(&current, JSON_OBJECT, "an object");
		add_tpw(file,
			(struct lab_calibration_tpw){ .value = number_or_null_of(&current, "mean"),
						      .is_ratio = lab_given(rs_ohm) },
			"the mean reading of visit %s at %.4g mA", id,
			1e3 * number_of(&current, "current_A"));
	}
}

static void read_visits(const struct place *top)
{
	const struct place visits = array_of(top, "visits");

	for (size_t i = 0; i < count(&visits); i++) {
		struct place visit = element(&visits, i);
		const json_t *point;

		want(&visit, JSON_OBJECT, "an object");
		if (visit.value == NULL)
			continue;
		const char *id = text_of(&visit, "id");
		point = json_object_get(visit.value, "point");
		if (id != NULL && g_strcmp0(json_string_value(point), "H2O") == 0)
			read_water_visit(&visit, id);
	}
}

static void read_sequence(const struct place *top)
{
	const struct place r_tpw = object_of(top, "r_tpw");
	const struct place sequence = array_of(&r_tpw, "sequence");

	for (size_t i = 0; i < count(&sequence); i++) {
		struct place one = element(&sequence, i);

		want(&one, JSON_OBJECT, "an object");
		top->file->to->r_tpw_ohm = value_of(&one, "ohm");
	}
}

static bool is_our_kind(const struct place *top)
{
	const json_t *said = json_object_get(top->value, "kind");
	struct place schema;

	if (g_strcmp0(json_string_value(said), kind) != 0) {
		const struct place at = step(top, said, "kind");

		wrong(said == NULL ? top : &at,
		      "is not that of a calibration; give what firn "
		      "reduce --result writes, kind: %s",
		      kind);
		return false;
	}
	schema = member(top, "schema");
	if (number_at(&schema) == FILE_RESULT_SCHEMA)
		return true;
	if (schema.value != NULL)
		wrong(&schema,
		      "is %g, and this program reads %d; take the program that wrote it, "
		      "or reduce the job again",
		      json_real_value(schema.value), FILE_RESULT_SCHEMA);
	return false;
}

static void read_top(const struct place *top)
{
	struct lab_conversion *to = top->file->to;
	const json_t *last;

	if (!is_our_kind(top))
		return;
	const struct place thermometer = object_of(top, "thermometer");
	to->thermometer = lab_conversion_text(to, text_of(&thermometer, "id"));
	to->accepted = truth_of(top, "accepted");
	last = json_object_get(top->value, "last_reading");
	to->last_reading = lab_conversion_text(to, json_string_value(last));
	read_sequence(top);
	read_visits(top);

	const struct place subranges = array_of(top, "subranges");
	for (size_t i = 0; i < count(&subranges); i++) {
		struct place subrange = element(&subranges, i);

		read_subrange(&subrange);
	}
}

static json_t *parse(const struct result_file *file)
{
	json_error_t error;
	json_t *root = json_loadb(file->text, file->length,
				  JSON_REJECT_DUPLICATES | JSON_DECODE_INT_AS_REAL, &error);

	if (root == NULL)
		base_messages_add(file->messages, BASE_ERROR, file->path,
				  (struct base_mark){ MAX(error.line, 1), MAX(error.column, 1) },
				  "this is no JSON: %s; give what firn reduce --result writes",
				  error.text);
	return root;
}

lab_conversion *file_read_result(const char *path, base_messages *messages)
{
	g_autoptr(GError) error = NULL;
	g_autoptr(GBytes) bytes = base_file_read(path, FILE_RESULT_LIMIT, "a result", &error);
	g_autoptr(lab_conversion) to = lab_conversion_new();
	const size_t before = base_messages_count(messages, BASE_ERROR);

	if (bytes == NULL) {
		base_messages_add(messages, base_file_error_kind(error), path,
				  (struct base_mark){ 0, 0 }, "%s", error->message);
		return NULL;
	}
	struct result_file file = { .path = path, .messages = messages, .to = to };
	file.text = g_bytes_get_data(bytes, &file.length);
	if (file.text == NULL)
		file.text = "";
	to->path = lab_conversion_text(to, path);
	json_t *root = parse(&file);
	if (root == NULL)
		return NULL;
	const struct place top = { .file = &file, .value = root };
	if (json_is_object(root))
		read_top(&top);
	else
		wrong(&top, "is no object; give what firn reduce --result writes");
	json_decref(root);
	return base_messages_count(messages, BASE_ERROR) == before ? g_steal_pointer(&to) : NULL;
}
