#include "firn/status.h"

const char *firn_status_text(enum firn_status status)
{
	switch (status) {
	case FIRN_OK:
		return "computed";
	case FIRN_WARN_SIGN:
		return "a quantity has the physically wrong sign";
	case FIRN_WARN_FEW:
		return "too few readings";
	case FIRN_WARN_CONSTANT:
		return "the readings have no spread";
	case FIRN_WARN_EXTRAPOLATED:
		return "outside the range of the constants";
	case FIRN_E_DOMAIN:
		return "a number is not finite or out of its range";
	case FIRN_E_SINGULAR:
		return "the inputs do not determine the result";
	case FIRN_E_MEMORY:
		return "no memory";
	case FIRN_E_FOREIGN:
		return "quantities of two models in one operation";
	case FIRN_E_FORMULA:
		return "a formula can't be read";
	case FIRN_E_CORRELATION:
		return "no set of quantities can have these correlations";
	case FIRN_E_UNKNOWN:
		return "a name stands for nothing here";
	}
	return "unknown status";
}
