/* Plots in black: lines told apart by dash, parts of a whole in grey, points as open rings. */
#ifndef REPORT_PLOT_H
#define REPORT_PLOT_H

#include "app/report/page.h"

typedef struct report_plot report_plot;

report_plot *report_plot_new(const char *caption_markup);

/* A line through n points; a NaN breaks it. */
void report_plot_line(report_plot *plot, size_t n, const double *x, const double *y, bool dashed);
/* The ground between 0 and a line in grey. */
void report_plot_ground(report_plot *plot, size_t n, const double *x, const double *y);
/* An open ring with a label, or without one (NULL); or, on the axis, a tick with one. */
void report_plot_point(report_plot *plot, double x, double y, const char *label_markup);
void report_plot_tick(report_plot *plot, double x, const char *label_markup);
/* A level that must not be passed, dashed across, with a label at its end. */
void report_plot_limit(report_plot *plot, double y, const char *label_markup);
/* The y axis starts at zero. */
void report_plot_from_zero(report_plot *plot);
/* x has names instead of numbers: the ticks are those of report_plot_tick, labels below. */
void report_plot_name_x(report_plot *plot);

/* Two plots side by side; `right` may be NULL, and then markup may stand beside the first. Owns
   both. */
struct report_block *report_plots(report_plot *left, report_plot *right, const char *beside_markup,
				  double space);

#endif
