#include "app/calc/cell_tape.h"

#include "firn/scale.h"

#include <math.h>

double cell_tape_temperature(const struct lab_cell_body *cell)
{
	const struct firn_fixed_point *p =
	    cell->point == LAB_NO_POINT ? NULL : firn_scale_point((enum firn_point)cell->point);

	if (p == NULL)
		return 0.0; /* melting ice */
	/* 273.16 - 273.15 is a last digit above the 0.01 at which tables of ice end */
	return round(1e9 * ((cell->triple ? p->triple_K : p->t90_K) - 273.15)) / 1e9;
}

bool cell_tape_open(struct cell_tape *t, const struct lab_cell_study *study,
		    base_messages *messages)
{
	*t = (struct cell_tape){ .tape = firn_tape_new(),
				 .study = study,
				 .t_C = cell_tape_temperature(&study->cell),
				 .messages = messages };
	if (t->tape == NULL) {
		if (messages != NULL)
			base_messages_add(messages, BASE_FAILURE, "", (struct base_mark){ 0, 0 },
					  "no memory for the model");
		return false;
	}
	t->known = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);
	return true;
}

void cell_tape_close(struct cell_tape *t)
{
	g_hash_table_unref(t->known);
	firn_tape_free(t->tape);
}

void cell_tape_lacks(struct cell_tape *t, struct base_mark mark, const char *format, ...)
{
	va_list arguments;

	t->failed = true;
	if (t->messages == NULL)
		return;
	va_start(arguments, format);
	base_messages_add_valist(t->messages, BASE_ERROR, t->study->path, mark, format, arguments);
	va_end(arguments);
}

struct firn_node cell_tape_number(struct cell_tape *t, double value)
{
	return firn_constant(t->tape, value);
}

struct firn_node cell_tape_assumed(struct cell_tape *t, const char *name, const char *unit,
				   double value, double u, const char *source)
{
	const struct firn_input input = {
		.name = name, .unit = unit, .source = source, .value = value, .u = u
	};

	return firn_tape_input(t->tape, &input);
}

struct firn_node cell_tape_input(struct cell_tape *t, const char *name, const char *unit,
				 const struct lab_quantity *q)
{
	return cell_tape_assumed(t, name, unit, q->value, lab_or(q->u, 0.0), "stated");
}

static const char *const property_names[] = {
	[FIRN_CONDUCTIVITY] = "conductivity",
	[FIRN_DENSITY] = "density",
	[FIRN_HEAT_CAPACITY] = "heat capacity",
	[FIRN_LATENT_HEAT] = "heat of fusion",
};

struct firn_node cell_tape_property(struct cell_tape *t, const char *material,
				    enum firn_property property)
{
	return cell_tape_property_at(t, material, property, t->t_C);
}

struct firn_node cell_tape_property_at(struct cell_tape *t, const char *material,
				       enum firn_property property, double t_C)
{
	g_autofree char *name =
	    t_C == t->t_C
		? g_strdup_printf("%s of %s", property_names[property], material)
		: g_strdup_printf("%s of %s at %.4g °C", property_names[property], material, t_C);
	g_autofree char *key = g_strdelimit(g_strdup(material), " ", '_');
	const struct firn_node *known = g_hash_table_lookup(t->known, name);
	struct firn_property_value p = { .value = 1.0 };

	if (known != NULL)
		return *known;

	const enum firn_status status = firn_material_property(key, property, t_C, &p);
	if (status < 0)
		cell_tape_lacks(t, t->study->cell.mark,
				"the table of materials has no %s of %s at %.6g °C (%s); take "
				"another material, or leave this cell to a measurement",
				property_names[property], material, t_C, firn_status_text(status));

	struct firn_node *node = g_new(struct firn_node, 1);
	*node = cell_tape_assumed(t, name, p.unit, p.value, p.u, p.source);
	g_hash_table_insert(t->known, g_strdup(name), node);
	return *node;
}

struct firn_node cell_tape_radius(struct cell_tape *t, const char *name,
				  const struct lab_quantity *diameter)
{
	const struct firn_node d = cell_tape_input(t, name, "m", diameter);

	return firn_formula("r = d/2", d);
}

struct lab_estimate cell_tape_estimate(struct firn_node x)
{
	struct lab_estimate e = { firn_value(x), LAB_NOT_GIVEN, LAB_NOT_GIVEN };

	if (firn_u_dof(x, &e.u, &e.dof) < 0)
		e = (struct lab_estimate){ LAB_NOT_GIVEN, LAB_NOT_GIVEN, LAB_NOT_GIVEN };
	return e;
}
