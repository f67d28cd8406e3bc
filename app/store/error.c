#include "app/store/error.h"

G_DEFINE_QUARK(store - error, store_error)

enum base_message_kind store_error_kind(const GError *error)
{
	switch (error->domain == STORE_ERROR ? error->code : STORE_FAILED) {
	case STORE_ABSENT:
	case STORE_NOT_BOOK:
	case STORE_EXISTS:
	case STORE_CHANGED:
	case STORE_REFUSED:
	case STORE_READ_ONLY:
		return BASE_ERROR;
	default:
		return BASE_FAILURE;
	}
}
