#include "app/simulate/draws.h"

#include <math.h>
#include <stdarg.h>

enum { LONGEST_NAME = 128 };

static struct num_lane lane_of(const struct simulate_draws *draws, const char *format,
			       va_list arguments) G_GNUC_PRINTF(2, 0);
static struct num_lane lane_of(const struct simulate_draws *draws, const char *format,
			       va_list arguments)
{
	char name[LONGEST_NAME];

	g_vsnprintf(name, sizeof(name), format, arguments);
	const struct num_source source = { .seed = draws->seed, .stream = num_stream(name) };
	return num_lane_of(&source, draws->calibration);
}

/* The lane that a function's own name and arguments lead to. */
#define OPEN_LANE(lane, draws, name)                                                               \
	struct num_lane lane;                                                                      \
	do {                                                                                       \
		va_list arguments;                                                                 \
		va_start(arguments, name);                                                         \
		lane = lane_of((draws), (name), arguments);                                        \
		va_end(arguments);                                                                 \
	} while (0)

struct num_lane simulate_lane(const struct simulate_draws *draws, const char *name, ...)
{
	OPEN_LANE(lane, draws, name);
	return lane;
}

double simulate_next_normal(struct num_lane *lane)
{
	return num_normal_of(num_lane_word(lane), lane);
}

double simulate_normal(const struct simulate_draws *draws, const char *name, ...)
{
	OPEN_LANE(lane, draws, name);
	return simulate_next_normal(&lane);
}

double simulate_uniform(const struct simulate_draws *draws, const char *name, ...)
{
	OPEN_LANE(lane, draws, name);
	return 2.0 * num_lane_uniform(&lane) - 1.0;
}

double simulate_spread(const struct simulate_draws *draws, double dof, const char *name, ...)
{
	OPEN_LANE(lane, draws, name);
	if (!isfinite(dof))
		return 1.0;
	const double z = simulate_next_normal(&lane), u = num_lane_uniform(&lane);
	return sqrt(2.0 * num_gamma_of(0.5 * dof, z, u, &lane) / dof);
}
