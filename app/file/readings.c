#include "app/file/readings.h"

#include "app/base/time.h"
#include "app/file/number.h"
#include "app/file/readings_table.h"
#include "app/file/text.h"

#include "firn/number.h"

#include <math.h>
#include <string.h>

static const struct file_csv_field *field(const struct file_table *t, enum file_column column)
{
	return t->where[column] < 0 ? NULL : &t->csv.fields[t->where[column]];
}

static bool is_filled(const struct file_csv_field *f)
{
	return f != NULL && f->length > 0;
}

/* A number, or NaN after a message. */
static double number(struct file_table *t, enum file_column column)
{
	const struct file_csv_field *f = field(t, column);
	double x;

	if (firn_number_parse(f->text, f->length, &x) == FIRN_OK)
		return x;

	g_autofree char *text = g_strndup(f->text, f->length);
	g_autofree char *shown = file_quote(text);
	g_autofree char *fault = file_number_fault(text);
	file_say(&t->say, FILE_SAY_NUMBER, f->start, "%s is %s; %s", file_column_names[column],
		 shown, fault);
	return (double)NAN;
}

/* Instruments answer 9.9E37 for infinity and 9.91E37 for "not a number" (SCPI-99; from memory). */
static bool is_overload(double x)
{
	return fabs(x) >= 9.8e37;
}

static int find_visit(struct file_table *t)
{
	const struct lab_calibration *c = t->given->calibration;
	const struct file_csv_field *f = field(t, FILE_VISIT);

	if (t->one_visit)
		return 0;
	if (t->last_visit >= 0) {
		const char *id = LAB_AT(c->visits, lab_visit, t->last_visit)->id;

		if (strncmp(id, f->text, f->length) == 0 && id[f->length] == '\0')
			return t->last_visit;
	}
	g_autofree char *id = g_strndup(f->text, f->length);
	const int index = GPOINTER_TO_INT(g_hash_table_lookup(t->visits, id)) - 1;
	if (index >= 0) {
		t->last_visit = index;
		return index;
	}
	t->unknown_visits = true;
	if (!t->given->visits_complete)
		return -1;
	g_autofree char *shown = file_quote(id);
	if (f->length == 0)
		file_say(&t->say, FILE_SAY_VISIT, f->start,
			 "visit is empty; say which visit of the job the reading belongs to");
	else
		file_say(&t->say, FILE_SAY_VISIT, f->start,
			 "the job has no visit %s; add it there, or correct this id", shown);
	return -1;
}

/* Minutes ahead of UTC, of a text that base_time_parse has read: it ends in Z or in +hh:mm. */
static int utc_offset_min(const struct file_csv_field *f)
{
	const char *end = f->text + f->length, *sign = end - 6;

	if (end[-1] == 'Z' || end[-1] == 'z')
		return 0;
	const int hours = 10 * (sign[1] - '0') + sign[2] - '0';
	const int minutes = 10 * (sign[4] - '0') + sign[5] - '0';
	return (*sign == '-' ? -1 : 1) * (60 * hours + minutes);
}

static int64_t read_time(struct file_table *t, int visit)
{
	const struct file_csv_field *f = field(t, FILE_TIME);
	int64_t us = BASE_NO_TIME;

	if (!is_filled(f))
		return BASE_NO_TIME;
	const char *fault = base_time_parse(f->text, f->length, &us);
	if (fault != NULL) {
		g_autofree char *text = g_strndup(f->text, f->length);
		g_autofree char *shown = file_quote(text);

		file_say(&t->say, FILE_SAY_TIME, f->start, "time %s %s", shown, fault);
		return BASE_NO_TIME;
	}
	if (!t->any_time)
		t->given->calibration->utc_offset_min = utc_offset_min(f);
	t->any_time = true;
	if (visit < 0)
		return us;
	if (t->last_us[visit] != BASE_NO_TIME && us < t->last_us[visit]) {
		char before[BASE_TIME_SIZE];

		base_time_print(t->last_us[visit], before);
		file_say(
		    &t->say, FILE_SAY_ORDER, f->start,
		    "time is before that of the reading above of this visit (%s); readings stand "
		    "in the order in which they were taken",
		    before);
	}
	t->last_us[visit] = us;
	return us;
}

/* In milliampere, as it was read. */
static double read_current(struct file_table *t)
{
	const struct file_csv_field *f = field(t, FILE_CURRENT);

	if (!is_filled(f)) {
		file_say(&t->say, FILE_SAY_CURRENT, f->start,
			 "current_mA is empty; give the measuring current in milliampere");
		return (double)NAN;
	}
	const double mA = number(t, FILE_CURRENT);
	const char *right = NULL;
	if (is_overload(mA))
		right =
		    "this is an instrument's sign for an overload; write the current that flowed";
	else if (mA <= 0.0)
		right = "a measuring current is above 0";
	else if (mA < 0.02)
		right = "this looks like ampere: a current is in milliampere, and 0.001 A is 1";
	else if (mA > 100.0)
		right = "this looks like microampere: a current is in milliampere, at most 100";
	if (right == NULL)
		return mA;
	file_say(&t->say, FILE_SAY_CURRENT, f->start, "current_mA is %.*s; %s", (int)f->length,
		 f->text, right);
	return (double)NAN;
}

static bool is_no_reading(const struct file_csv_field *f)
{
	/* a number begins with a digit, a sign or a point: spare most rows the copy */
	if (f->length > 16 || g_ascii_isdigit(f->text[0]))
		return false;
	g_autofree char *text = g_strndup(f->text, f->length);
	return file_number_is_nothing(text) || file_number_is_infinite(text);
}

/* OVLD, #DIV/0!, ---: an instrument's or a spreadsheet's word, in which there is no digit, or no
   digit but that of a division by zero. */
static bool is_a_word(const struct file_csv_field *f)
{
	if (f->length > 16 || f->text[0] == '#')
		return f->length <= 16;
	for (size_t i = 0; i < f->length; i++)
		if (g_ascii_isdigit(f->text[i]))
			return false;
	return f->length > 0;
}

static double read_value(struct file_table *t, enum file_column column, bool set_aside)
{
	const struct file_csv_field *f = field(t, column);
	double x;

	if (set_aside) {
		const bool is_number = firn_number_parse(f->text, f->length, &x) == FIRN_OK;

		return is_number && x > 0.0 && !is_overload(x) ? x : (double)NAN;
	}
	const bool none = is_no_reading(f) || is_a_word(f);
	x = none ? (double)NAN : number(t, column);
	if (none || is_overload(x))
		file_say(
		    &t->say, FILE_SAY_OVERLOAD, f->start,
		    "%s is %.*s, %s; write \"set aside: \" and the reason into the column flag",
		    file_column_names[column], (int)f->length, f->text,
		    f->text[0] == '#' ? "a spreadsheet's sign for an error"
				      : "an instrument's sign for an overload or for no reading");
	else if (x <= 0.0)
		file_say(&t->say, FILE_SAY_SIGN, f->start, "%s is %.*s; a %s is above 0",
			 file_column_names[column], (int)f->length, f->text,
			 column == FILE_RATIO ? "ratio of resistances" : "resistance");
	else
		return x;
	return (double)NAN;
}

static void read_values(struct file_table *t, struct lab_reading *reading)
{
	const struct file_csv_field *ratio = field(t, FILE_RATIO), *ohm = field(t, FILE_RESISTANCE);

	reading->ratio = (double)NAN;
	reading->resistance_ohm = (double)NAN;
	if (is_filled(ratio) && is_filled(ohm)) {
		file_say(&t->say, FILE_SAY_BOTH, ohm->start,
			 "the row has both ratio and resistance_ohm; leave one of them empty");
	} else if (is_filled(ratio)) {
		reading->ratio = read_value(t, FILE_RATIO, reading->set_aside);
		if (reading->visit >= 0 && t->given->no_ratio[reading->visit])
			file_say(
			    &t->say, FILE_SAY_RESISTOR, ratio->start,
			    "a ratio needs a resistor, and visit %s names none; add resistor: "
			    "to the visit, or give resistance_ohm",
			    LAB_AT(t->given->calibration->visits, lab_visit, reading->visit)->id);
	} else if (is_filled(ohm)) {
		reading->resistance_ohm = read_value(t, FILE_RESISTANCE, reading->set_aside);
	} else if (!reading->set_aside) {
		file_say(&t->say, FILE_SAY_EMPTY, ratio != NULL ? ratio->start : ohm->start,
			 "the row has no reading; give %s, or write \"set aside: \" and the reason "
			 "into the column flag",
			 ratio == NULL ? "resistance_ohm"
			 : ohm == NULL ? "ratio"
				       : "ratio or resistance_ohm");
	}
}

static double read_bath_C(struct file_table *t)
{
	const struct file_csv_field *f = field(t, FILE_BATH);

	if (!is_filled(f))
		return (double)NAN;
	const double x = number(t, FILE_BATH);
	if (isnan(x) || (x >= 0.0 && x <= 60.0))
		return x;
	file_say(&t->say, FILE_SAY_BATH, f->start,
		 "bath_C is %.*s; the temperature of the resistor is in degrees Celsius, 0 to 60",
		 (int)f->length, f->text);
	return (double)NAN;
}

static void read_flag(struct file_table *t, struct lab_reading *reading)
{
	static const char aside[] = "set aside";
	const struct file_csv_field *f = field(t, FILE_FLAG);

	if (!is_filled(f))
		return;
	reading->flag =
	    g_string_chunk_insert_len(t->given->calibration->text, f->text, (gssize)f->length);
	reading->set_aside = g_ascii_strncasecmp(reading->flag, aside, strlen(aside)) == 0;
}

/* A second line of the header, with the unit of each column: one mistake, not one in each field. */
static bool is_row_of_units(const struct file_table *t)
{
	const struct file_csv_field *current = field(t, FILE_CURRENT), *id = field(t, FILE_VISIT);
	g_autofree char *visit = id == NULL ? NULL : g_strndup(id->text, id->length);

	return is_filled(current) && is_a_word(current) && !is_no_reading(current) &&
	       (visit == NULL || !g_hash_table_contains(t->visits, visit));
}

static void read_row(struct file_table *t)
{
	struct lab_reading reading = { .line = t->csv.record_line };
	const bool is_first = !t->any_row;

	t->any_row = true;
	if (is_first && is_row_of_units(t)) {
		file_say_once(&t->say, t->csv.record_start,
			      "this row holds units or words and no reading; remove it, for the "
			      "units stand in the names of the columns");
		return;
	}
	reading.visit = find_visit(t);
	read_flag(t, &reading);
	reading.time_us = read_time(t, reading.visit);
	reading.current_mA = read_current(t);
	reading.current_A = reading.current_mA * 1e-3;
	read_values(t, &reading);
	reading.bath_C = read_bath_C(t);
	if (reading.visit < 0)
		return;
	t->seen[reading.visit] = true;
	t->usable[reading.visit] = t->usable[reading.visit] || !reading.set_aside;
	g_array_append_val(t->given->calibration->readings, reading);
}

static void wrong_number_of_fields(struct file_table *t)
{
	if (t->csv.n == 1 && *t->csv.record_start == '#')
		file_say(
		    &t->say, FILE_SAY_FIELDS, t->csv.record_start,
		    "comments stand before the header only; put a remark into the column flag");
	else
		file_say(&t->say, FILE_SAY_FIELDS, t->csv.record_start,
			 "the row has %" G_GSIZE_FORMAT " fields and the header %" G_GSIZE_FORMAT
			 "; %s",
			 t->csv.n, t->n_columns,
			 t->csv.n > t->n_columns
			     ? "decimals have a point, and a text with a comma stands in quotes"
			     : "leave a field empty where nothing is known, but keep its comma");
}

bool file_table_rows(struct file_table *t, size_t most)
{
	const char *fault = NULL;
	enum file_csv_status status;

	while (t->given->calibration->readings->len < most &&
	       (status = file_csv_next(&t->csv, &fault)) != FILE_CSV_END) {
		switch (status) {
		case FILE_CSV_OPEN_QUOTE:
			file_say(&t->say, FILE_SAY_QUOTES, fault,
				 "a quote opens here and is never closed; add the closing quote");
			break;
		case FILE_CSV_AFTER_QUOTE:
			file_say(
			    &t->say, FILE_SAY_QUOTES, fault,
			    "text after a closing quote; a quote within quotes is written twice");
			break;
		case FILE_CSV_STRAY_QUOTE:
			file_say(
			    &t->say, FILE_SAY_QUOTES, fault,
			    "a quote within a field; put the whole field in quotes and write the "
			    "inner quote twice");
			break;
		default:
			if (t->csv.n == t->n_columns)
				read_row(t);
			else
				wrong_number_of_fields(t);
		}
	}
	return t->given->calibration->readings->len >= most;
}

static bool is_first_of_its_id(const struct file_table *t, guint i)
{
	const char *id = LAB_AT(t->given->calibration->visits, lab_visit, i)->id;

	return GPOINTER_TO_UINT(g_hash_table_lookup(t->visits, id)) == i + 1;
}

/* Said at the visit in the job, for there is the mistake or its remedy. A row that could not be
   told to belong to any visit may be the one that is missed. */
static void check_visits(const struct file_table *t)
{
	const struct lab_calibration *c = t->given->calibration;

	if (t->unknown_visits || t->say.lost_rows)
		return;
	for (guint i = 0; i < c->visits->len; i++) {
		const struct lab_visit *visit = LAB_AT(c->visits, lab_visit, i);

		if (visit->id == NULL || t->usable[i] || !is_first_of_its_id(t, i))
			continue;
		base_messages_add(
		    t->given->messages, BASE_ERROR, c->path, visit->mark,
		    t->seen[i] ? "visit %s has only readings that were set aside in %s; it needs "
				 "at least one that counts"
			       : "visit %s has no readings in %s; add them there, or remove the "
				 "visit",
		    visit->id, t->given->path);
	}
}

static void index_visits(struct file_table *t)
{
	const GArray *visits = t->given->calibration->visits;

	t->visits = g_hash_table_new(g_str_hash, g_str_equal);
	t->last_us = g_new(int64_t, visits->len + 1);
	t->seen = g_new0(bool, visits->len + 1);
	t->usable = g_new0(bool, visits->len + 1);
	for (guint i = 0; i < visits->len; i++) {
		const char *id = LAB_AT(visits, lab_visit, i)->id;

		t->last_us[i] = BASE_NO_TIME;
		if (id != NULL && !g_hash_table_contains(t->visits, id))
			g_hash_table_insert(t->visits, (gpointer)id, GUINT_TO_POINTER(i + 1));
	}
}

void file_table_open(struct file_table *t, const struct file_readings *given)
{
	*t = (struct file_table){ .given = given, .last_visit = -1 };
	for (int column = 0; column < FILE_COLUMNS; column++)
		t->where[column] = -1;
	t->say =
	    (struct file_say){ .messages = given->messages, .path = given->path, .csv = &t->csv };
	index_visits(t);
}

void file_table_close(struct file_table *t)
{
	g_hash_table_unref(t->visits);
	g_free(t->last_us);
	g_free(t->seen);
	g_free(t->usable);
}

void file_read_readings(const struct file_readings *r)
{
	struct file_table t;
	gsize length;
	const char *text = g_bytes_get_data(r->bytes, &length);

	if (text == NULL)
		text = "";
	if (!file_text_check(r->path, text, length, r->messages))
		return;
	file_table_open(&t, r);
	file_csv_open(&t.csv, text, length);
	if (file_table_header(&t)) {
		file_table_rows(&t, SIZE_MAX);
		if (r->calibration->readings->len == 0 && t.say.count == 0 && !t.unknown_visits)
			file_say_once(&t.say, t.csv.record_start,
				      "the file has a header and no readings; add a row for each");
		else
			check_visits(&t);
		file_say_rest(&t.say);
	}
	file_table_close(&t);
	file_csv_close(&t.csv);
}
