#include "app/calc/cell_water.h"

#include "app/base/time.h"
#include "firn/correction.h"
#include "firn/mantle.h"

#define US_PER_DAY 86400e6

enum firn_status cell_water_isotopes(struct cell_tape *t, struct firn_node *ret_dt_K,
				     bool *ret_analysed)
{
	const struct lab_cell_body *cell = &t->study->cell;
	struct firn_water_constants constants;
	enum firn_status status;

	*ret_analysed = lab_stated(&cell->dD) && lab_stated(&cell->d18O);
	if (!*ret_analysed)
		return firn_water_unknown(t->tape, "isotopes", ret_dt_K);
	struct firn_water water = { .d_D = cell_tape_input(t, "dD", "1", &cell->dD),
				    .d_18O = cell_tape_input(t, "d18O", "1", &cell->d18O) };
	if (lab_stated(&cell->d17O))
		water.d_17O = cell_tape_input(t, "d17O", "1", &cell->d17O);
	status = firn_water_constants(t->tape, FIRN_ANNEX_2017, true, &constants);
	return status < 0 ? status : firn_water_isotopes(&water, &constants, ret_dt_K);
}

double cell_water_age_d(const struct lab_mantle *mantle)
{
	if (!mantle->given || mantle->frozen_us == BASE_NO_TIME || mantle->at_us == BASE_NO_TIME)
		return LAB_NOT_GIVEN;
	return (double)(mantle->at_us - mantle->frozen_us) / US_PER_DAY;
}

enum firn_status cell_water_age(struct cell_tape *t, double age_d, struct firn_node *ret_dt_K)
{
	return firn_mantle_age(t->tape, "mantle age",
			       t->study->mantle.way == LAB_HEAT_PIPE ? FIRN_MANTLE_SLOW
								     : FIRN_MANTLE_FAST,
			       age_d, ret_dt_K);
}
