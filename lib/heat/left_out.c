/* What conduction on a grid of rings does not know. */
#include "firn/conduction.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

static const double indium_K = 429.7485; /* from here on radiation matters */

const char *firn_conduction_left_out(double t90_K, size_t i)
{
	/* Sizes: CCT Guide ch. 5 (2018), 5.2.1 and 5.2.2, for light and for what simulations of
	   moving air found; radiation along the sheath: common practice, no source. */
	static const char *const always[] = {
		"convection in the fluid of the well and in water: heat moves by conduction alone",
		"what is not a body of revolution: a thermometer off the axis, a bridge of ice",
		"conductivity and heat capacity that change with temperature within a region",
		"the change of volume on freezing: density is that of the solid",
	};
	static const char *const cold = "light that enters from above";
	static const char *const hot =
	    "radiation along the sheath: tenths of a millikelvin at zinc, "
	    "tens of millikelvin at silver, by the sheath's treatment";

	if (i < COUNT(always))
		return always[i];
	return i > COUNT(always) ? NULL : t90_K < indium_K ? cold : hot;
}
