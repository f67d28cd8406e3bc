#include "app/report/table.h"

#include <math.h>
#include <string.h>

#define MOST_COLUMNS 12
#define LEAST_GAP    10.0
#define FOLD_GAP     33.0
#define LEAST_SCALE  0.6 /* smaller print than this nobody reads */

struct column {
	enum report_column kind;
	char *heading;
	double before, after; /* widest parts on either side of the point */
	double width, x;
};

struct cell {
	char *markup;
	PangoLayout *layout;
	double width, before; /* of the point */
};

struct report_table {
	struct report_block block;
	struct column columns[MOST_COLUMNS];
	int n;
	GArray *cells; /* struct cell, row by row */
	bool folded, tight;
	double whole; /* height up to which it is not broken */
	double width; /* of one half when folded */
	double scale; /* below 1 when it would be too wide */
	struct report_font head_font, font;
	double row_pad, edge_pad;
	GArray *heights; /* double, one a row */
};

static const struct report_font head_font = { 9.75, 12.75, true };
static const struct report_font tight_font = { 10.2, 13.5, false };

static struct cell *cell_at(const struct report_table *table, int row, int column)
{
	return &g_array_index(table->cells, struct cell, (guint)(row * table->n + column));
}

static int row_count(const struct report_table *table)
{
	return (int)table->cells->len / table->n;
}

/* Where the point of a number stands, or its end when it has none. */
static double point_position(PangoLayout *layout)
{
	const char *text = pango_layout_get_text(layout), *point = strchr(text, '.');
	PangoRectangle at;

	if (point == NULL)
		return report_layout_width(layout);
	pango_layout_index_to_pos(layout, (int)(point - text), &at);
	return (double)at.x / PANGO_SCALE;
}

static void measure_cell(struct report_table *table, struct report_canvas *canvas, int row,
			 int column)
{
	struct cell *cell = cell_at(table, row, column);
	struct column *of = &table->columns[column];

	g_clear_object(&cell->layout);
	cell->layout = report_layout(canvas, cell->markup, &table->font, 0.0);
	cell->width = report_layout_width(cell->layout);
	cell->before = of->kind == REPORT_DECIMAL ? point_position(cell->layout) : cell->width;
	of->before = fmax(of->before, cell->before);
	of->after = fmax(of->after, cell->width - cell->before);
}

/* Widths that the columns want at this scale; the sum with the least gaps. */
static double measure(struct report_table *table, struct report_canvas *canvas, double scale)
{
	const struct report_font body = table->tight ? tight_font : report_font_body;
	double sum = (table->n - 1) * LEAST_GAP * scale;

	table->scale = scale;
	table->font = (struct report_font){ body.size * scale, body.leading * scale, false };
	table->head_font =
	    (struct report_font){ head_font.size * scale, head_font.leading * scale, true };
	table->row_pad = (table->tight ? 0.0 : 1.65) * scale;
	table->edge_pad = (table->tight ? 3.0 : 4.0) * scale;
	for (int i = 0; i < table->n; i++) {
		struct column *column = &table->columns[i];

		column->before = column->after = 0.0;
		for (int row = 0; row < row_count(table); row++)
			measure_cell(table, canvas, row, i);
		g_autoptr(PangoLayout) heading =
		    report_layout(canvas, column->heading, &table->head_font, 0.0);
		const double wanted =
		    fmax(column->before + column->after, report_layout_width(heading));
		column->width =
		    column->kind == REPORT_WRAPPED ? fmin(wanted, 150.0 * scale) : wanted;
		sum += column->width;
	}
	return sum;
}

/* What is left over goes into wrapped columns, or between the columns. */
static void place_columns(struct report_table *table, double sum)
{
	double gap = LEAST_GAP * table->scale, left = table->width - sum, x = 0.0;
	struct column *wrapped = NULL;

	for (int i = 0; i < table->n && wrapped == NULL; i++) {
		if (table->columns[i].kind == REPORT_WRAPPED)
			wrapped = &table->columns[i];
	}
	if (wrapped != NULL)
		wrapped->width += left;
	else if (table->n > 1)
		gap += left / (table->n - 1);
	for (int i = 0; i < table->n; i++) {
		table->columns[i].x = x;
		x += table->columns[i].width + gap;
	}
}

static void set_heights(struct report_table *table)
{
	g_array_set_size(table->heights, 0);
	for (int row = 0; row < row_count(table); row++) {
		int lines = 1;

		for (int i = 0; i < table->n; i++) {
			PangoLayout *layout = cell_at(table, row, i)->layout;

			if (table->columns[i].kind == REPORT_WRAPPED) {
				pango_layout_set_width(
				    layout, (int)(table->columns[i].width * PANGO_SCALE));
				pango_layout_set_wrap(layout, PANGO_WRAP_WORD_CHAR);
			}
			lines = MAX(lines, pango_layout_get_line_count(layout));
		}
		const double height = lines * table->font.leading + 2.0 * table->row_pad;
		g_array_append_val(table->heights, height);
	}
}

static void table_prepare(struct report_block *block, struct report_canvas *canvas, double width)
{
	struct report_table *table = (struct report_table *)block;
	double scale = 1.0, sum;

	table->width = table->folded ? 0.5 * (width - FOLD_GAP) : width;
	while ((sum = measure(table, canvas, scale)) > table->width && scale > LEAST_SCALE)
		scale -= 0.05;
	if (sum > table->width)
		base_messages_add(
		    canvas->messages, BASE_ERROR, canvas->file, (struct base_mark){ 0, 0 },
		    "a table of the certificate is too wide for the page by %d mm; use "
		    "shorter names",
		    (int)ceil((sum - table->width) / 72.0 * 25.4));
	place_columns(table, sum);
	set_heights(table);
	block->parts = row_count(table);
	table->whole = 0.6 * canvas->room;
}

static double head_height(const struct report_table *table)
{
	return table->head_font.leading + 8.0 * table->scale;
}

/* Height of rows from..to-1; of the taller half when folded. */
static double rows_height(const struct report_table *table, int from, int to)
{
	const int middle = table->folded ? from + (to - from + 1) / 2 : to;
	double height = 0.0, other = 0.0;

	for (int i = from; i < to; i++)
		*(i < middle ? &height : &other) += g_array_index(table->heights, double, (guint)i);
	return fmax(height, other) + 2.0 * table->edge_pad;
}

static int table_fit(const struct report_block *block, int from, double height, double *ret_height)
{
	const struct report_table *table = (const struct report_table *)block;
	int to = block->parts;

	*ret_height = 0.0;
	if (from == 0) {
		const double all = head_height(table) + rows_height(table, 0, to);

		if (all > height && all <= table->whole)
			return from;
	}
	while (to > from && head_height(table) + rows_height(table, from, to) > height)
		to--;
	/* One row alone, before or after, is not a table. */
	if (to < block->parts && (to - from < 2 || block->parts - to < 2))
		to = to - from > 3 ? to - 1 : from;
	*ret_height = to > from ? head_height(table) + rows_height(table, from, to) : 0.0;
	return to;
}

static void draw_head(const struct report_table *table, struct report_canvas *canvas, double x,
		      double y)
{
	const double baseline = y + 4.0 * table->scale + report_font_ascent(&table->head_font);

	report_tag_begin(canvas, "TR");
	for (int i = 0; i < table->n; i++) {
		const struct column *column = &table->columns[i];
		const bool left = column->kind == REPORT_LEFT || column->kind == REPORT_WRAPPED;

		report_tag_begin(canvas, "TH");
		report_draw_text(canvas, column->heading, &table->head_font, left ? 0.0 : 1.0,
				 x + column->x + (left ? 0.0 : column->width), baseline);
		report_tag_end(canvas, "TH");
	}
	report_tag_end(canvas, "TR");
}

static double cell_x(const struct column *column, const struct cell *cell)
{
	switch (column->kind) {
	case REPORT_RIGHT:
		return column->x + column->width - cell->width;
	case REPORT_DECIMAL:
		return column->x + column->width - column->after - cell->before;
	case REPORT_LEFT:
	case REPORT_WRAPPED:
	default:
		return column->x;
	}
}

static void draw_row(const struct report_table *table, struct report_canvas *canvas, int row,
		     double x, double y)
{
	const double baseline = y + table->row_pad + report_font_ascent(&table->font);

	report_tag_begin(canvas, "TR");
	for (int i = 0; i < table->n; i++) {
		const struct cell *cell = cell_at(table, row, i);
		const double left = x + cell_x(&table->columns[i], cell);

		report_tag_begin(canvas, "TD");
		for (int k = 0; k < pango_layout_get_line_count(cell->layout); k++)
			report_draw_line(canvas, cell->layout, k, left,
					 baseline + k * table->font.leading);
		report_tag_end(canvas, "TD");
	}
	report_tag_end(canvas, "TR");
}

static void draw_part(const struct report_table *table, struct report_canvas *canvas, int from,
		      int to, double x, double y, double height)
{
	const double right = x + table->width;
	double at = y + head_height(table) + table->edge_pad;

	report_draw_rule(canvas, x, right, y, 0.75);
	report_draw_rule(canvas, x, right, y + head_height(table), 0.4);
	report_draw_rule(canvas, x, right, y + height, 0.75);
	report_tag_begin(canvas, "Table");
	draw_head(table, canvas, x, y);
	for (int row = from; row < to; row++) {
		draw_row(table, canvas, row, x, at);
		at += g_array_index(table->heights, double, (guint)row);
	}
	report_tag_end(canvas, "Table");
}

static void table_draw(const struct report_block *block, struct report_canvas *canvas, int from,
		       int to, double x, double y)
{
	const struct report_table *table = (const struct report_table *)block;
	const double height = head_height(table) + rows_height(table, from, to);
	const int middle = table->folded ? from + (to - from + 1) / 2 : to;

	draw_part(table, canvas, from, middle, x, y, height);
	if (middle < to)
		draw_part(table, canvas, middle, to, x + table->width + FOLD_GAP, y, height);
}

static void table_free(struct report_block *block)
{
	struct report_table *table = (struct report_table *)block;

	for (int i = 0; i < table->n; i++)
		g_free(table->columns[i].heading);
	g_array_unref(table->cells);
	g_array_unref(table->heights);
	g_free(table);
}

static const struct report_block_class table_class = { table_prepare, table_fit, table_draw,
						       table_free };

static void clear_cell(gpointer data)
{
	struct cell *cell = data;

	g_free(cell->markup);
	g_clear_object(&cell->layout);
}

report_table *report_table_new(void)
{
	report_table *table = g_new0(report_table, 1);

	table->block.class = &table_class;
	table->cells = g_array_new(FALSE, TRUE, sizeof(struct cell));
	g_array_set_clear_func(table->cells, clear_cell);
	table->heights = g_array_new(FALSE, TRUE, sizeof(double));
	return table;
}

void report_table_column(report_table *table, enum report_column kind, const char *heading_markup)
{
	g_assert(table->n < MOST_COLUMNS && table->cells->len == 0);
	table->columns[table->n++] =
	    (struct column){ .kind = kind, .heading = g_strdup(heading_markup) };
}

void report_table_cell(report_table *table, const char *markup)
{
	const struct cell cell = { .markup = g_strdup(markup == NULL ? "" : markup) };

	g_array_append_val(table->cells, cell);
}

void report_table_fold(report_table *table)
{
	table->folded = true;
}

void report_table_tight(report_table *table)
{
	table->tight = true;
}

struct report_block *report_table_block(report_table *table, double space)
{
	table->block.space = space;
	return &table->block;
}
