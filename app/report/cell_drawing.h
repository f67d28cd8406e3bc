/*
 * A cell cut across, to scale: envelope, liquid, mantle, well and thermometer, with the middle of
 * its element; the head of liquid drawn as the slope it is; each effect written where it acts.
 */
#ifndef REPORT_CELL_DRAWING_H
#define REPORT_CELL_DRAWING_H

#include "app/lab/cell_effects.h"
#include "app/report/picture.h"

report_picture *report_cell_drawing(const lab_cell_study *study, const lab_cell_effects *effects);

#endif
