#include "app/file/cell_content.h"

#define MOST_FOUND 100
#define MOST_TERMS 50

#define CONTENT(member) offsetof(struct lab_content, member)
#define FOREIGN(member) offsetof(struct lab_foreign, member)
#define TERM(member)    offsetof(struct lab_stated_term, member)

static const struct file_range fraction = {
	0.0, 1e4, false, false,
	"an amount fraction of impurities is in umol/mol, 0 to 10000: 1 part in a million is 1"
};
static const struct file_range coefficient = {
	0.0, 20.0, false, false,
	"a distribution coefficient is 0 to 20: below 1 where the impurity lowers the point"
};
static const struct file_range slope = {
	-1e5, 1e5, false, false, "the slope of the liquidus is in kelvin per unit of mole fraction"
};
static const struct file_range within = {
	0.01, 10.0, false, false,
	"known_within is the relative uncertainty of an uncertainty, 0.01 to 10: 0.5 for 50 %"
};
static const struct file_range microkelvin = { -1e5, 1e5, false, false,
					       "a term is in microkelvin, within 100000" };

static const struct file_quantity_field content[] = {
	{ "total_umol_per_mol", CONTENT(total), &fraction, 1e-6 },
};
static const struct file_quantity_field foreign[] = {
	{ "umol_per_mol", FOREIGN(x), &fraction, 1e-6 },
	{ "k", FOREIGN(k), &coefficient, 0.0 },
	{ "slope_K", FOREIGN(slope_K), &slope, 0.0 },
};
static const struct file_quantity_field term[] = {
	{ "uK", TERM(K), &microkelvin, 1e-6 },
};

static const char *const ages[] = { "recent", "older", NULL };

/* Lists are read by functions that see the file alone, so the record they fill stands here while
   one is open. */
struct open_list {
	struct file_cell f;
	GArray *to;
};

static void read_foreign(struct file_cell *f, struct file_map *map)
{
	const struct lab_quantity none = { LAB_NOT_GIVEN, LAB_NOT_GIVEN, { 0, 0 } };
	struct lab_foreign x = { .mark = map->mark, .x = none, .k = none, .slope_K = none };

	x.name = lab_cell_study_text(f->study, file_name(map, "name"));
	file_quantities(map, foreign, G_N_ELEMENTS(foreign), &x);
	if (!file_has(map, "name"))
		file_missing(map, "name", "say which element, as in name: Pb");
	if (!file_has(map, "umol_per_mol"))
		file_missing(map, "umol_per_mol",
			     "give {value, u}; for an element that was looked for and not found, "
			     "half the limit of detection");
	if (file_has(map, "k") && file_has(map, "slope_K"))
		file_wrong(map->reader, file_key_mark(map, "slope_K"),
			   "an impurity has either k or slope_K: the slope follows from k");
	g_array_append_val(((struct open_list *)(void *)f)->to, x);
}

static void read_term(struct file_cell *f, struct file_map *map)
{
	struct lab_stated_term x = { .mark = map->mark,
				     .K = { LAB_NOT_GIVEN, LAB_NOT_GIVEN, { 0, 0 } } };

	x.name = lab_cell_study_text(f->study, file_name(map, "name"));
	x.source = lab_cell_study_text(f->study, file_text(map, "source"));
	file_quantities(map, term, G_N_ELEMENTS(term), &x);
	if (!file_has(map, "name"))
		file_missing(map, "name", "say what the term is of");
	if (!file_has(map, "uK"))
		file_missing(map, "uK",
			     "give {value, u}: what the cell is warmer by, and its standard "
			     "uncertainty; value: 0 for a term that is not corrected");
	else if (!lab_given(x.K.u))
		file_wrong(map->reader, file_key_mark(map, "uK"),
			   "a term needs its standard uncertainty, as in uK: {value: 0, u: 5}");
	g_array_append_val(((struct open_list *)(void *)f)->to, x);
}

static void each(struct file_cell *f, struct file_map *map, const char *key, const char *what,
		 size_t most, GArray *to, void (*read)(struct file_cell *, struct file_map *))
{
	struct open_list open = { .f = *f, .to = to };

	file_cell_each(&open.f, map, key, what, most, read);
}

void file_cell_content(struct file_cell *f, struct file_map *map, struct lab_content *ret)
{
	const struct file_node *node = file_get(map, "impurities");
	struct file_map own;

	if (node == NULL)
		return;
	file_map_open(&own, &f->reader, node, "impurities", "impurities");
	if (own.node != NULL) {
		ret->given = true;
		ret->mark = own.mark;
		ret->judged = (enum lab_judged_impurities)(file_choice(&own, "judged", ages) + 1);
		file_quantities(&own, content, G_N_ELEMENTS(content), ret);
		ret->q = file_number(&own, "known_within", &within);
		each(f, &own, "found", "an impurity", MOST_FOUND, ret->foreign, read_foreign);
		if (ret->judged != LAB_NOT_JUDGED && file_has(&own, "total_umol_per_mol"))
			file_wrong(own.reader, file_key_mark(&own, "judged"),
				   "judged stands in place of an analysis; with total_umol_per_mol "
				   "leave it out");
		if (ret->judged != LAB_NOT_JUDGED && f->study->cell.point != LAB_H2O)
			file_wrong(own.reader, file_key_mark(&own, "judged"),
				   "judged is said of water cells only; give total_umol_per_mol, "
				   "what the purity of the metal leaves");
		if (!file_has(&own, "judged") && !file_has(&own, "total_umol_per_mol") &&
		    !file_has(&own, "found"))
			file_missing(&own, "found",
				     "give found, total_umol_per_mol, or for water judged");
	}
	file_map_close(&own);
}

void file_cell_terms(struct file_cell *f, struct file_map *map, GArray *terms)
{
	each(f, map, "terms", "a term", MOST_TERMS, terms, read_term);
}
