#include "app/lab/cell_records.h"

static const struct lab_quantity none = { LAB_NOT_GIVEN, LAB_NOT_GIVEN, { 0, 0 } };

static void clear_content(struct lab_content *c)
{
	c->total = none;
	c->q = LAB_NOT_GIVEN;
	c->foreign = g_array_new(FALSE, TRUE, sizeof(struct lab_foreign));
}

static void clear_checks(struct lab_cell_checks *c)
{
	struct lab_bubble *b = &c->bubble;

	b->headspace_m3 = b->diameter_m = b->plug_m3 = b->head_m = none;
	b->water_C = b->accepted_m = none;
	c->inversion.before_K = c->inversion.after_K = none;
	c->inversion.first_film = c->free = c->drops = c->bridge = -1;
	c->years = c->drift_K_per_year = c->depth_m = none;
	clear_content(&c->content);
	c->terms = g_array_new(FALSE, TRUE, sizeof(struct lab_stated_term));
}

static void clear_profile(struct lab_profile *p)
{
	p->inserting = -1;
	p->zone_m = p->limit_K = p->decay_m = none;
	p->u_K = p->u_ohm = p->r_tpw_ohm = LAB_NOT_GIVEN;
	p->currents_A[0] = p->currents_A[1] = LAB_NOT_GIVEN;
	p->readings = g_array_new(FALSE, TRUE, sizeof(struct lab_profile_reading));
}

static void clear_plateau(struct lab_plateau *p)
{
	p->window_s = p->rise_K = p->start_s = p->end_s = p->at_once = p->heat_J = none;
	p->pressure_Pa = p->depth_m = p->load_W = p->resistance_K_per_W = none;
	p->coupling.period_s = p->coupling.furnace_K = none;
	p->from_part = p->to_part = LAB_NOT_GIVEN;
	clear_content(&p->content);
	p->rows = g_array_new(FALSE, TRUE, sizeof(double));
	p->coupling.rows = g_array_new(FALSE, TRUE, sizeof(double));
	p->stability_K = g_array_new(FALSE, TRUE, sizeof(double));
	p->vertical_K = g_array_new(FALSE, TRUE, sizeof(double));
	p->terms = g_array_new(FALSE, TRUE, sizeof(struct lab_stated_term));
}

struct lab_cell_records *lab_cell_records_new(void)
{
	struct lab_cell_records *r = g_new0(struct lab_cell_records, 1);

	clear_checks(&r->checks);
	clear_profile(&r->profile);
	clear_plateau(&r->plateau);
	return r;
}

void lab_cell_records_free(struct lab_cell_records *records)
{
	if (records == NULL)
		return;
	g_array_unref(records->checks.content.foreign);
	g_array_unref(records->checks.terms);
	g_array_unref(records->profile.readings);
	g_array_unref(records->plateau.content.foreign);
	g_array_unref(records->plateau.rows);
	g_array_unref(records->plateau.coupling.rows);
	g_array_unref(records->plateau.stability_K);
	g_array_unref(records->plateau.vertical_K);
	g_array_unref(records->plateau.terms);
	g_free(records);
}
