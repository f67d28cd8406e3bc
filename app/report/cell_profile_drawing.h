/*
 * An immersion profile: readings against the height of the element above the deepest place, the
 * head of liquid as the line that they must follow, and what was fitted beside it.
 */
#ifndef REPORT_CELL_PROFILE_DRAWING_H
#define REPORT_CELL_PROFILE_DRAWING_H

#include "app/lab/cell_profile.h"
#include "app/report/picture.h"

report_picture *report_cell_profile_drawing(const lab_cell_profile *profile);

#endif
