#include "app/lab/cell_effects.h"

struct lab_cell_effects *lab_cell_effects_new(void)
{
	struct lab_cell_effects *effects = g_new0(struct lab_cell_effects, 1);

	effects->effects = g_array_new(FALSE, TRUE, sizeof(struct lab_cell_effect));
	effects->text = g_string_chunk_new(512);
	return effects;
}

void lab_cell_effects_free(struct lab_cell_effects *effects)
{
	if (effects == NULL)
		return;
	g_array_unref(effects->effects);
	g_string_chunk_free(effects->text);
	g_free(effects);
}
