#include "app/report/equipment.h"

#include "app/report/columns.h"

/* One resistor, bridge or cell. */
struct piece {
	const char *id, *certificate;
	enum lab_point point; /* of a cell; LAB_NO_POINT for what has none */
};

enum kind { RESISTOR, BRIDGE, CELL, KINDS };

static const struct {
	const char *members, *word, *in_full;
} kinds[KINDS] = {
	[RESISTOR] = { "resistors", "resistor", "standard resistor" },
	[BRIDGE] = { "bridges", "bridge", "bridge" },
	[CELL] = { "cells", "cell", "cell" },
};

static guint count(const struct lab_calibration *c, enum kind kind)
{
	return kind == RESISTOR ? c->resistors->len
	       : kind == BRIDGE ? c->bridges->len
				: c->cells->len;
}

static struct piece piece(const struct lab_calibration *c, enum kind kind, guint i)
{
	if (kind == RESISTOR) {
		const struct lab_resistor *r = LAB_AT(c->resistors, lab_resistor, i);

		return (struct piece){ r->id, r->certificate, LAB_NO_POINT };
	}
	if (kind == BRIDGE) {
		const struct lab_bridge *b = LAB_AT(c->bridges, lab_bridge, i);

		return (struct piece){ b->id, b->certificate, LAB_NO_POINT };
	}
	const struct lab_cell *cell = LAB_AT(c->cells, lab_cell, i);

	return (struct piece){ cell->id, cell->certificate.number, cell->point };
}

static bool is_used(const struct lab_calibration *c, enum kind kind, guint i)
{
	for (guint k = 0; k < c->visits->len; k++) {
		const struct lab_visit *v = LAB_AT(c->visits, lab_visit, k);
		const int index = kind == RESISTOR ? v->resistor
				  : kind == BRIDGE ? v->bridge
						   : v->cell;

		if (index == (int)i)
			return true;
	}
	return false;
}

void report_equipment_json(struct report_json *json, const struct lab_calibration *calibration)
{
	report_json_object(json, "equipment");
	for (enum kind kind = 0; kind < KINDS; kind++) {
		report_json_array(json, kinds[kind].members);
		for (guint i = 0; i < count(calibration, kind); i++) {
			const struct piece p = piece(calibration, kind, i);

			report_json_object(json, NULL);
			report_json_text(json, "id", p.id);
			if (kind == CELL)
				report_json_text(json, "point", lab_point_name(p.point));
			report_json_text(json, "certificate", p.certificate);
			report_json_close(json);
		}
		report_json_close(json);
	}
	report_json_close(json);
}

void report_visit_equipment_json(struct report_json *json,
				 const struct lab_calibration *calibration, int visit)
{
	const struct lab_visit *v = LAB_AT(calibration->visits, lab_visit, visit);

	report_json_text(json, "resistor",
			 v->resistor < 0 ? NULL
					 : piece(calibration, RESISTOR, (guint)v->resistor).id);
	report_json_text(json, "bridge",
			 v->bridge < 0 ? NULL : piece(calibration, BRIDGE, (guint)v->bridge).id);
}

/* "cell W1 (H2O), certificate 29-1140" */
static void append_piece(GString *to, const char *word, struct piece p)
{
	g_string_append_printf(to, "%s %s", word, p.id);
	if (p.point != LAB_NO_POINT)
		g_string_append_printf(to, " (%s)", lab_point_name(p.point));
	if (p.certificate != NULL)
		g_string_append_printf(to, ", certificate %s", p.certificate);
}

void report_equipment_text(const struct lab_calibration *calibration, GString *to)
{
	bool first = true;

	for (enum kind kind = 0; kind < KINDS; kind++) {
		for (guint i = 0; i < count(calibration, kind); i++) {
			g_autoptr(GString) line = g_string_new("  ");

			append_piece(line, kinds[kind].word, piece(calibration, kind, i));
			g_string_append(to, first ? "\nEquipment\n" : "");
			report_wrap(to, line->str, 4);
			first = false;
		}
	}
}

char *report_equipment_traceability(const struct lab_calibration *calibration)
{
	g_autoptr(GString) to = g_string_new(NULL);

	for (enum kind kind = 0; kind < KINDS; kind++) {
		for (guint i = 0; i < count(calibration, kind); i++) {
			const struct piece p = piece(calibration, kind, i);

			if (p.certificate == NULL || !is_used(calibration, kind, i))
				continue;
			g_string_append(to, to->len > 0 ? "; " : "Through ");
			append_piece(to, kinds[kind].in_full, p);
		}
	}
	if (to->len == 0)
		return NULL;
	g_string_append_c(to, '.');
	return g_string_free(g_steal_pointer(&to), FALSE);
}
