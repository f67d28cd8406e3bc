/* What an immersion profile tells: what `firn cell profile` finds. Plain numbers, SI units. */
#ifndef LAB_CELL_PROFILE_H
#define LAB_CELL_PROFILE_H

#include "app/lab/cell_records.h"

enum lab_profile_verdict { LAB_POINT_FOLLOWS, LAB_POINT_UNDECIDED, LAB_POINT_DEPARTS };
const char *lab_profile_verdict_name(enum lab_profile_verdict verdict); /* "follows" */

struct lab_profile_point {
	double height_m, K; /* reading at zero current, from that of the deepest point */
	struct lab_estimate residual_K;
	enum lab_profile_verdict verdict;
};

struct lab_cell_profile {
	double K_per_m; /* dT/dl of the point */
	double zone_m, limit_K;
	char *limit_source;
	bool accepted;    /* every point of the zone follows, and the zone reaches that high */
	double follows_m; /* every point up to there follows */
	int n_zone;
	double line_u_K; /* root mean square of residuals in the zone, over n - 1; NaN */
	bool fitted;     /* the three that follow, and chi2 */
	struct lab_estimate error_K, true_K, decay_m;
	double chi2, dof;
	struct lab_estimate two_points_K; /* by the lowest and the highest of the zone; NaN */
	double lift_m;
	double term_K; /* standard uncertainty for a budget, nothing being corrected */
	const char *term_from;
	GArray *points;          /* struct lab_profile_point, from the deepest up */
	GPtrArray *reservations; /* char * */
	GStringChunk *text;
};
struct lab_cell_profile *lab_cell_profile_new(void);
void lab_cell_profile_free(struct lab_cell_profile *profile);
typedef struct lab_cell_profile lab_cell_profile;
G_DEFINE_AUTOPTR_CLEANUP_FUNC(lab_cell_profile, lab_cell_profile_free)

#endif
