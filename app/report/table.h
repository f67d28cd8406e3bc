/* A table with three rules; decimals stand in line. A page that ends within it repeats its head. */
#ifndef REPORT_TABLE_H
#define REPORT_TABLE_H

#include "app/report/page.h"

enum report_column {
	REPORT_LEFT,
	REPORT_RIGHT,
	REPORT_DECIMAL, /* in line at the point; plain numbers, no markup */
	REPORT_WRAPPED, /* left; takes the width that is left over, and as many lines as it needs */
};

typedef struct report_table report_table;

report_table *report_table_new(void);
void report_table_column(report_table *table, enum report_column kind, const char *heading_markup);
/* The next cell; rows fill from left to right. NULL is empty. */
void report_table_cell(report_table *table, const char *markup);
/* Two halves side by side, to be read down the left one first; and rows set closer. */
void report_table_fold(report_table *table);
void report_table_tight(report_table *table);
/* The table as a block, which owns it from here on. */
struct report_block *report_table_block(report_table *table, double space);

#endif
