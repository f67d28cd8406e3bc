/* Which column is which. */
#include "app/file/readings_table.h"

#include "app/base/suggest.h"
#include "app/file/read.h"
#include "app/file/text.h"

#include <string.h>

const char *const file_column_names[FILE_COLUMNS + 1] = {
	"time", "visit", "current_mA", "ratio", "resistance_ohm", "bath_C", "flag", NULL
};
static bool wrong_separator(struct file_table *t, char separator, const char *name)
{
	const struct file_csv_field *all = &t->csv.fields[0];

	if (t->csv.n != 1 || memchr(all->text, separator, all->length) == NULL)
		return false;
	file_say_once(
	    &t->say, t->csv.record_start,
	    "the columns are separated by %s; separate them by commas, and give decimals a "
	    "point",
	    name);
	return true;
}

static void read_column_name(struct file_table *t, size_t position)
{
	const struct file_csv_field *f = &t->csv.fields[position];
	g_autofree char *name = g_strndup(f->text, f->length);
	g_autofree char *shown = file_quote(name);
	enum file_column column = FILE_TIME;

	while (column < FILE_COLUMNS && strcmp(name, file_column_names[column]) != 0)
		column++;
	if (column == FILE_COLUMNS) {
		const char *near = base_suggest(name, file_column_names);
		g_autofree char *meant = near == NULL ? NULL : file_meant(name, near);
		g_autofree char *all = file_join_words(file_column_names);

		if (near != NULL)
			file_say_once(&t->say, f->start, "there is no column %s; %s", shown, meant);
		else
			file_say_once(&t->say, f->start,
				      "there is no column %s; the columns are %s", shown, all);
	} else if (t->where[column] >= 0) {
		file_say_once(&t->say, f->start, "the column %s stands twice; keep one of them",
			      shown);
	} else {
		t->where[column] = (int)position;
	}
}

/* A file without a header is one mistake, not one in each column. */
static bool names_any_column(const struct file_table *t)
{
	for (size_t i = 0; i < t->csv.n; i++) {
		const struct file_csv_field *f = &t->csv.fields[i];
		g_autofree char *name = g_strndup(f->text, f->length);

		if (base_suggest(name, file_column_names) != NULL)
			return true;
	}
	return false;
}

static bool check_columns(struct file_table *t)
{
	const size_t before = t->say.count;

	if (t->one_visit && t->where[FILE_VISIT] >= 0)
		file_say_once(&t->say, t->csv.fields[t->where[FILE_VISIT]].start,
			      "the column visit has no place here, for all readings go to the one "
			      "visit that was named; remove it");
	else if (!t->one_visit && t->where[FILE_VISIT] < 0)
		file_say_once(&t->say, t->csv.record_start,
			      "the header has no column visit; it says which visit a reading "
			      "belongs to");
	if (t->where[FILE_CURRENT] < 0)
		file_say_once(
		    &t->say, t->csv.record_start,
		    "the header has no column current_mA; without the current there is no "
		    "zero-power resistance");
	if (t->where[FILE_RATIO] < 0 && t->where[FILE_RESISTANCE] < 0)
		file_say_once(
		    &t->say, t->csv.record_start,
		    "the header has neither ratio nor resistance_ohm; one of them holds the "
		    "readings");
	return t->say.count == before;
}

static const char *usual_header(const struct file_table *t)
{
	return t->one_visit ? "time,current_mA,ratio" : "time,visit,current_mA,ratio";
}

bool file_table_header(struct file_table *t)
{
	const char *fault = NULL;

	while (file_csv_skip_line(&t->csv, '#')) {
	}
	const enum file_csv_status status = file_csv_next(&t->csv, &fault);
	if (status == FILE_CSV_END) {
		file_say_once(&t->say, t->csv.end, "the file has no header; it starts with %s",
			      usual_header(t));
		return false;
	}
	if (status != FILE_CSV_RECORD) {
		file_say_once(&t->say, fault,
			      "the header has a quote that does not belong there; "
			      "write the names of the columns without quotes");
		return false;
	}
	if (wrong_separator(t, ';', "semicolons") || wrong_separator(t, '\t', "tabs"))
		return false;
	if (t->csv.n > FILE_CSV_FIELDS) {
		file_say_once(&t->say, t->csv.record_start, "the header has more than %d columns",
			      FILE_CSV_FIELDS);
		return false;
	}
	const size_t before = t->say.count;
	t->n_columns = t->csv.n;
	if (!names_any_column(t)) {
		file_say_once(
		    &t->say, t->csv.record_start,
		    "the first line names no column; the file starts with a header such as %s",
		    usual_header(t));
		return false;
	}
	for (size_t i = 0; i < t->n_columns; i++)
		read_column_name(t, i);
	/* A misspelt name is most likely the one that is missing: say it once. */
	return t->say.count == before && check_columns(t);
}
