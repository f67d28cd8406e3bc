/* Formulas of the scale as a printer sets them. */
#ifndef REPORT_FORMULA_H
#define REPORT_FORMULA_H

/* Markup of a formula such as "deltaW = a*(W - 1) + c1*(ln(W))^2": quantities italic with their
   indices, exponents raised, deltaW as W − W_r, true minus, no signs of multiplication. */
char *report_formula_markup(const char *formula);

#endif
