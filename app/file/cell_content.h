/* Sections that the records of a cell share: what a sample holds, and terms of a person's own. */
#ifndef FILE_CELL_CONTENT_H
#define FILE_CELL_CONTENT_H

#include "app/file/cell_parts.h"
#include "app/lab/cell_records.h"

/* impurities: {judged, total_umol_per_mol, found, known_within} */
void file_cell_content(struct file_cell *f, struct file_map *map, struct lab_content *content);

/* terms: [{name, uK, source}]; adds struct lab_stated_term. */
void file_cell_terms(struct file_cell *f, struct file_map *map, GArray *terms);

#endif
