/* How things of the trade are called, for text and certificate alike. */
#ifndef REPORT_WORDS_H
#define REPORT_WORDS_H

#include "app/lab/calibration.h"
#include "app/report/rounding.h"

/* "mercury, triple", "indium, freezing"; gallium by the temperature of its visit, as its triple
   point stands beside the melting point that the scale defines. */
const char *report_point_words(enum lab_point point, double t90_K);

/* "Hg", as in job files; "H₂O" with its index where markup is asked for. */
const char *report_point_sign(enum lab_point point, bool markup);

/* "long-stem thermometer" */
const char *report_sensor_words(enum lab_sensor sensor);

/* "-38.8344 °C": of a temperature in kelvin, at most four decimals. */
void report_celsius(double t90_K, enum report_style style, char ret[REPORT_NUMBER_SIZE]);
char *report_celsius_range(double low_K, double high_K, enum report_style style);

/* Kelvin in words, to two digits of u: as calibrations have it, "0.021 mK", without u (NaN) two
   digits of the value itself; or in the unit that suits it, "193.5 µK" below 1 mK, "2.10 mK" from
   there on, without u to 0.1 µK or 1 µK. Three decimals at most. */
char *report_millikelvin(double value_K, double u_K, enum report_style style);
char *report_kelvin_words(double value_K, double u_K, enum report_style style);

#endif
