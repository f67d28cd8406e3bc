/* Fuzz target: a map of old readings, a byte 0xFF, and the readings. */
#include "fuzz/fuzz.h"

#include "app/file/old_readings.h"

#include <math.h>
#include <string.h>

static void check(const struct file_old_readings *readings)
{
	for (guint i = 0; i < readings->readings->len; i++) {
		const struct lab_reading *r = LAB_AT(readings->readings, lab_reading, i);

		FUZZ_HOLDS(!isnan(r->current_mA));
		FUZZ_HOLDS(r->set_aside || isnan(r->ratio) != isnan(r->resistance_ohm));
	}
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(GBytes) map = NULL, bytes = NULL;
	struct file_old_readings readings;
	bool good;

	fuzz_split(data, size, &map, &bytes);
	good = file_parse_old_readings("old.csv", bytes, "map.yaml", map, &readings, messages);

	fuzz_check_messages(messages, good);
	if (good)
		check(&readings);
	file_old_readings_clear(&readings);
	return 0;
}
