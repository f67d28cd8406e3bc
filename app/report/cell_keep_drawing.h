/*
 * A mantle cut along time: the well in the middle, the glass at the edges, the ice between them, to
 * one scale across. What lies ahead is paler, with both ends of its interval dashed; looks stand on
 * it as open dots; bars in the well are insertions.
 */
#ifndef REPORT_CELL_KEEP_DRAWING_H
#define REPORT_CELL_KEEP_DRAWING_H

#include "app/lab/cell_keep.h"
#include "app/report/picture.h"

report_picture *report_cell_keep_drawing(const lab_cell_study *study, const lab_cell_keep *keep);

#endif
