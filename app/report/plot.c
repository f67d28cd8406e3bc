#include "app/report/plot.h"

#include "app/report/rounding.h"

#include <math.h>
#include <string.h>

static const double plot_width = 216.0, plot_height = 123.0; /* 76 mm */
static const double axis_left = 27.0, axis_right = 8.0, axis_top = 12.0, axis_bottom = 18.0;
static const struct report_font label_font = { 8.25, 10.0, false };
static const struct report_font caption_font = { 9.3, 12.0, true };

struct line {
	double *x, *y;
	size_t n;
	bool dashed, ground;
};

struct mark {
	double x, y; /* y NaN: on the axis */
	char *label;
};

struct limit {
	double y;
	char *label;
};

struct report_plot {
	char *caption;
	GArray *lines, *marks, *limits;
	bool from_zero, name_x;
};

struct axis {
	double low, high;       /* of the data, with a margin */
	double at_low, at_high; /* on paper */
	double step;
	int places;
};

static void clear_line(gpointer data)
{
	struct line *line = data;

	g_free(line->x);
	g_free(line->y);
}

static void clear_mark(gpointer data)
{
	g_free(((struct mark *)data)->label);
}

static void clear_limit(gpointer data)
{
	g_free(((struct limit *)data)->label);
}

report_plot *report_plot_new(const char *caption_markup)
{
	report_plot *plot = g_new0(report_plot, 1);

	plot->caption = g_strdup(caption_markup);
	plot->lines = g_array_new(FALSE, TRUE, sizeof(struct line));
	plot->marks = g_array_new(FALSE, TRUE, sizeof(struct mark));
	plot->limits = g_array_new(FALSE, TRUE, sizeof(struct limit));
	g_array_set_clear_func(plot->lines, clear_line);
	g_array_set_clear_func(plot->marks, clear_mark);
	g_array_set_clear_func(plot->limits, clear_limit);
	return plot;
}

static void plot_free(report_plot *plot)
{
	if (plot == NULL)
		return;
	g_free(plot->caption);
	g_array_unref(plot->lines);
	g_array_unref(plot->marks);
	g_array_unref(plot->limits);
	g_free(plot);
}

static void add_line(report_plot *plot, size_t n, const double *x, const double *y, bool dashed,
		     bool ground)
{
	const struct line line = { g_memdup2(x, n * sizeof *x), g_memdup2(y, n * sizeof *y), n,
				   dashed, ground };

	g_array_append_val(plot->lines, line);
}

void report_plot_line(report_plot *plot, size_t n, const double *x, const double *y, bool dashed)
{
	add_line(plot, n, x, y, dashed, false);
}

void report_plot_ground(report_plot *plot, size_t n, const double *x, const double *y)
{
	add_line(plot, n, x, y, false, true);
}

void report_plot_point(report_plot *plot, double x, double y, const char *label_markup)
{
	const struct mark mark = { x, y, g_strdup(label_markup) };

	g_array_append_val(plot->marks, mark);
}

void report_plot_tick(report_plot *plot, double x, const char *label_markup)
{
	report_plot_point(plot, x, (double)NAN, label_markup);
}

void report_plot_limit(report_plot *plot, double y, const char *label_markup)
{
	const struct limit limit = { y, g_strdup(label_markup) };

	g_array_append_val(plot->limits, limit);
}

void report_plot_from_zero(report_plot *plot)
{
	plot->from_zero = true;
}

void report_plot_name_x(report_plot *plot)
{
	plot->name_x = true;
}

static void widen(struct axis *axis, double x)
{
	if (!isfinite(x))
		return;
	axis->low = fmin(axis->low, x);
	axis->high = fmax(axis->high, x);
}

/* Steps of 1, 2 or 5 times a power of ten, so that at most `most` fit. */
static void set_step(struct axis *axis, int most)
{
	static const double factors[] = { 1.0, 2.0, 5.0, 10.0 };
	const double span = axis->high - axis->low;
	const int power = (int)floor(log10(span / most));

	axis->step = pow(10.0, power);
	for (size_t i = 0; i < G_N_ELEMENTS(factors); i++) {
		axis->step = factors[i] * pow(10.0, power);
		if (span / axis->step <= most)
			break;
	}
	axis->places = (int)fmax(0.0, ceil(-log10(axis->step) - 1e-9));
}

static void plan_axes(const report_plot *plot, struct axis *ret_x, struct axis *ret_y)
{
	struct axis x = { .low = INFINITY, .high = -INFINITY }, y = x;

	for (guint i = 0; i < plot->lines->len; i++) {
		const struct line *line = &g_array_index(plot->lines, struct line, i);

		for (size_t k = 0; k < line->n; k++) {
			widen(&x, line->x[k]);
			widen(&y, line->y[k]);
		}
	}
	for (guint i = 0; i < plot->marks->len; i++) {
		widen(&x, g_array_index(plot->marks, struct mark, i).x);
		widen(&y, g_array_index(plot->marks, struct mark, i).y);
	}
	for (guint i = 0; i < plot->limits->len; i++)
		widen(&y, g_array_index(plot->limits, struct limit, i).y);
	widen(&y, plot->from_zero ? 0.0 : (double)NAN);
	if (!(x.high > x.low)) {
		x.low = isfinite(x.low) ? x.low - 1.0 : 0.0;
		x.high = x.low + 2.0;
	}
	if (!(y.high > y.low)) {
		y.low = isfinite(y.low) && !plot->from_zero ? y.low - 0.1 : 0.0;
		y.high = y.low + 0.2;
	}
	x.at_low = axis_left + 8.0;
	x.at_high = plot_width - axis_right;
	y.at_low = plot_height - axis_bottom - (plot->from_zero ? 0.0 : 5.0);
	y.at_high = axis_top;
	set_step(&x, 6);
	set_step(&y, 5);
	*ret_x = x;
	*ret_y = y;
}

static double on_paper(const struct axis *axis, double x)
{
	return axis->at_low +
	       (x - axis->low) / (axis->high - axis->low) * (axis->at_high - axis->at_low);
}

static void tick_text(const struct axis *axis, double x, char ret[REPORT_NUMBER_SIZE])
{
	report_fixed(x, axis->places, REPORT_MINUS, ret);
}

static double first_tick(const struct axis *axis)
{
	return ceil(axis->low / axis->step - 1e-9);
}

static bool is_tick(const struct axis *axis, double tick)
{
	return tick <= axis->high / axis->step + 1e-9;
}

static void draw_x_axis(struct report_canvas *canvas, const struct axis *x, bool numbers)
{
	const double base = plot_height - axis_bottom;
	char text[REPORT_NUMBER_SIZE];

	report_draw_rule(canvas, x->at_low, x->at_high, base, 0.5);
	for (double t = first_tick(x); numbers && is_tick(x, t); t++) {
		const double at = on_paper(x, t * x->step);

		cairo_move_to(canvas->cr, at, base);
		cairo_rel_line_to(canvas->cr, 0.0, 3.0);
		cairo_stroke(canvas->cr);
		tick_text(x, t * x->step, text);
		report_draw_text(canvas, text, &label_font, 0.5, at, base + 11.5);
	}
}

static void draw_y_axis(struct report_canvas *canvas, const struct axis *y)
{
	char text[REPORT_NUMBER_SIZE];

	cairo_set_line_width(canvas->cr, 0.5);
	cairo_move_to(canvas->cr, axis_left, y->at_high);
	cairo_line_to(canvas->cr, axis_left, y->at_low);
	cairo_stroke(canvas->cr);
	for (double t = first_tick(y); is_tick(y, t); t++) {
		const double at = on_paper(y, t * y->step);

		report_draw_rule(canvas, axis_left - 3.0, axis_left, at, 0.5);
		tick_text(y, t * y->step, text);
		report_draw_text(canvas, text, &label_font, 1.0, axis_left - 5.0, at + 2.7);
	}
}

/* Zero, where the axis passes through it. */
static void draw_zero(struct report_canvas *canvas, const struct axis *x, const struct axis *y)
{
	const double dots[] = { 0.75, 1.5 };

	if (!(y->low < 0.0 && y->high > 0.0))
		return;
	cairo_set_dash(canvas->cr, dots, 2, 0.0);
	cairo_set_line_width(canvas->cr, 0.3);
	cairo_move_to(canvas->cr, axis_left, on_paper(y, 0.0));
	cairo_line_to(canvas->cr, x->at_high, on_paper(y, 0.0));
	cairo_stroke(canvas->cr);
	cairo_set_dash(canvas->cr, NULL, 0, 0.0);
}

static void draw_ground(struct report_canvas *canvas, const struct line *line, const struct axis *x,
			const struct axis *y)
{
	cairo_move_to(canvas->cr, on_paper(x, line->x[0]), on_paper(y, 0.0));
	for (size_t k = 0; k < line->n; k++)
		cairo_line_to(canvas->cr, on_paper(x, line->x[k]),
			      on_paper(y, isfinite(line->y[k]) ? line->y[k] : 0.0));
	cairo_line_to(canvas->cr, on_paper(x, line->x[line->n - 1]), on_paper(y, 0.0));
	cairo_close_path(canvas->cr);
	cairo_set_source_rgb(canvas->cr, 0.88, 0.88, 0.88);
	cairo_fill(canvas->cr);
	cairo_set_source_rgb(canvas->cr, 0.0, 0.0, 0.0);
}

static void draw_line(struct report_canvas *canvas, const struct line *line, const struct axis *x,
		      const struct axis *y)
{
	const double dashes[] = { 3.0, 1.8 };
	bool open = false;

	for (size_t k = 0; k < line->n; k++) {
		if (!isfinite(line->y[k])) {
			open = false;
			continue;
		}
		if (open)
			cairo_line_to(canvas->cr, on_paper(x, line->x[k]), on_paper(y, line->y[k]));
		else
			cairo_move_to(canvas->cr, on_paper(x, line->x[k]), on_paper(y, line->y[k]));
		open = true;
	}
	cairo_set_line_width(canvas->cr, 0.8);
	cairo_set_dash(canvas->cr, dashes, line->dashed ? 2 : 0, 0.0);
	cairo_stroke(canvas->cr);
	cairo_set_dash(canvas->cr, NULL, 0, 0.0);
}

static void draw_limits(struct report_canvas *canvas, const report_plot *plot, const struct axis *x,
			const struct axis *y)
{
	const double dashes[] = { 6.0, 3.0 };

	for (guint i = 0; i < plot->limits->len; i++) {
		const struct limit *limit = &g_array_index(plot->limits, struct limit, i);
		const double at = on_paper(y, limit->y);

		cairo_set_dash(canvas->cr, dashes, 2, 0.0);
		report_draw_rule(canvas, axis_left, x->at_high, at, 0.5);
		cairo_set_dash(canvas->cr, NULL, 0, 0.0);
		report_draw_text(canvas, limit->label, &label_font, 1.0, x->at_high, at - 2.5);
	}
}

/* Where the last label ended. */
struct taken {
	double right, y;
};

/* A label with a white edge, so that lines behind it don't touch it. */
static void draw_label(struct report_canvas *canvas, const char *markup, double align, double x,
		       double y)
{
	g_autoptr(PangoLayout) layout = report_layout(canvas, markup, &label_font, 0.0);
	const double left = x - align * report_layout_width(layout);

	cairo_set_source_rgb(canvas->cr, 1.0, 1.0, 1.0);
	cairo_set_line_width(canvas->cr, 2.0);
	cairo_move_to(canvas->cr, left, y);
	pango_cairo_layout_line_path(canvas->cr, pango_layout_get_line_readonly(layout, 0));
	cairo_stroke(canvas->cr);
	cairo_set_source_rgb(canvas->cr, 0.0, 0.0, 0.0);
	report_draw_line(canvas, layout, 0, left, y);
}

static void draw_ring(struct report_canvas *canvas, double x, double y)
{
	cairo_new_sub_path(canvas->cr);
	cairo_arc(canvas->cr, x, y, 1.95, 0.0, 2.0 * G_PI);
	cairo_set_source_rgb(canvas->cr, 1.0, 1.0, 1.0);
	cairo_fill_preserve(canvas->cr);
	cairo_set_source_rgb(canvas->cr, 0.0, 0.0, 0.0);
	cairo_set_line_width(canvas->cr, 0.75);
	cairo_stroke(canvas->cr);
}

/* Names below the axis; one that would touch the last is left out. */
static void draw_name(struct report_canvas *canvas, const char *markup, double x, double *right)
{
	g_autoptr(PangoLayout) layout = report_layout(canvas, markup, &label_font, 0.0);
	const double width = report_layout_width(layout), base = plot_height - axis_bottom;

	cairo_set_line_width(canvas->cr, 0.5);
	cairo_move_to(canvas->cr, x, base);
	cairo_rel_line_to(canvas->cr, 0.0, 3.0);
	cairo_stroke(canvas->cr);
	if (x - 0.5 * width < *right + 3.0)
		return;
	report_draw_line(canvas, layout, 0, x - 0.5 * width, base + 11.5);
	*right = x + 0.5 * width;
}

/* Labels stand at the upper right of their mark; one that is close to the last a step higher. */
static void draw_mark_label(struct report_canvas *canvas, const struct mark *mark, double x,
			    double y, struct taken *taken)
{
	g_autoptr(PangoLayout) layout = report_layout(canvas, mark->label, &label_font, 0.0);
	const double width = report_layout_width(layout);
	const bool tick = isnan(mark->y);
	const double align = tick ? 0.5 : x + 4.0 + width > plot_width ? 1.0 : 0.0;
	const double anchor = tick          ? x
			      : align > 0.5 ? x - 4.5
					    : x + 3.5,
		     left = anchor - align * width;
	double baseline = y - (tick ? 6.0 : 4.0);

	if (left < taken->right + 1.0 && fabs(baseline - taken->y) < 8.5)
		baseline = taken->y - 8.5;
	if (baseline < 7.0)
		baseline = y + 11.0;
	draw_label(canvas, mark->label, align, anchor, baseline);
	*taken = (struct taken){ left + width, baseline };
}

static void draw_marks(struct report_canvas *canvas, const report_plot *plot, const struct axis *x,
		       const struct axis *y)
{
	struct taken taken = { -INFINITY, 0.0 };
	double named = -INFINITY;

	for (guint i = 0; i < plot->marks->len; i++) {
		const struct mark *mark = &g_array_index(plot->marks, struct mark, i);
		const double at = on_paper(x, mark->x);
		const double height =
		    isnan(mark->y) ? plot_height - axis_bottom : on_paper(y, mark->y);

		if (!isnan(mark->y)) {
			draw_ring(canvas, at, height);
		} else if (plot->name_x) {
			draw_name(canvas, mark->label, at, &named);
			continue;
		} else {
			cairo_set_line_width(canvas->cr, 0.9);
			cairo_move_to(canvas->cr, at, height);
			cairo_rel_line_to(canvas->cr, 0.0, -3.75);
			cairo_stroke(canvas->cr);
		}
		if (mark->label != NULL)
			draw_mark_label(canvas, mark, at, height, &taken);
	}
}

static void draw_plot(const report_plot *plot, struct report_canvas *canvas, double left,
		      double top)
{
	struct axis x, y;

	plan_axes(plot, &x, &y);
	report_tag_begin(canvas, "Figure");
	report_draw_text(canvas, plot->caption, &caption_font, 0.0, left,
			 top + report_font_ascent(&caption_font));
	cairo_save(canvas->cr);
	cairo_translate(canvas->cr, left, top + caption_font.leading + 2.0);
	cairo_set_line_join(canvas->cr, CAIRO_LINE_JOIN_ROUND);
	for (guint i = 0; i < plot->lines->len; i++) {
		const struct line *line = &g_array_index(plot->lines, struct line, i);

		if (line->ground && line->n > 0)
			draw_ground(canvas, line, &x, &y);
	}
	draw_x_axis(canvas, &x, !plot->name_x);
	draw_y_axis(canvas, &y);
	draw_zero(canvas, &x, &y);
	draw_limits(canvas, plot, &x, &y);
	for (guint i = 0; i < plot->lines->len; i++) {
		const struct line *line = &g_array_index(plot->lines, struct line, i);

		if (!line->ground)
			draw_line(canvas, line, &x, &y);
	}
	draw_marks(canvas, plot, &x, &y);
	cairo_restore(canvas->cr);
	report_tag_end(canvas, "Figure");
}

struct plots_block {
	struct report_block block;
	report_plot *plots[2];
	char *beside;
	double width;
};

static void plots_prepare(struct report_block *block, struct report_canvas *canvas, double width)
{
	(void)canvas;
	((struct plots_block *)block)->width = width;
	block->parts = 1;
}

static int plots_fit(const struct report_block *block, int from, double height, double *ret_height)
{
	(void)block;
	*ret_height = caption_font.leading + 2.0 + plot_height;
	return *ret_height <= height ? 1 : from;
}

static void plots_draw(const struct report_block *block, struct report_canvas *canvas, int from,
		       int to, double x, double y)
{
	const struct plots_block *plots = (const struct plots_block *)block;
	const double second = x + plots->width - plot_width;

	(void)from;
	(void)to;
	draw_plot(plots->plots[0], canvas, x, y);
	if (plots->plots[1] != NULL) {
		draw_plot(plots->plots[1], canvas, second, y);
	} else if (plots->beside != NULL) {
		g_autoptr(PangoLayout) layout =
		    report_layout(canvas, plots->beside, &report_font_small, plot_width);
		const double first = y + caption_font.leading + 2.0 + axis_top;

		report_tag_begin(canvas, "P");
		for (int i = 0; i < pango_layout_get_line_count(layout); i++)
			report_draw_line(canvas, layout, i, second,
					 first + report_font_ascent(&report_font_small) +
					     i * report_font_small.leading);
		report_tag_end(canvas, "P");
	}
}

static void plots_free(struct report_block *block)
{
	struct plots_block *plots = (struct plots_block *)block;

	plot_free(plots->plots[0]);
	plot_free(plots->plots[1]);
	g_free(plots->beside);
	g_free(plots);
}

static const struct report_block_class plots_class = { plots_prepare, plots_fit, plots_draw,
						       plots_free };

struct report_block *report_plots(report_plot *left, report_plot *right, const char *beside_markup,
				  double space)
{
	struct plots_block *plots = g_new0(struct plots_block, 1);

	plots->block = (struct report_block){ .class = &plots_class, .space = space };
	plots->plots[0] = left;
	plots->plots[1] = right;
	plots->beside = g_strdup(beside_markup);
	return &plots->block;
}
