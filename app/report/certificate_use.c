/* How to use the results, what U leaves out, what is to be known; and where the numbers stand. */
#include "app/report/certificate_parts.h"

static void add_list(GString *to, const GPtrArray *texts)
{
	for (unsigned i = 0; i < texts->len; i++) {
		g_autofree char *markup = report_markup(g_ptr_array_index(texts, i));

		g_string_append_printf(to, "%s%s",
				       i == 0                ? ""
				       : i + 1 == texts->len ? "; and "
							     : "; ",
				       markup);
	}
}

static void advice(struct certificate *c)
{
	g_autoptr(GString) text = g_string_new(
	    "Measure " MARKUP_R_TPW
	    " on your own bridge, at the current you use, and again after any "
	    "knock or strong heating; divide <i>R</i> by that value. The results hold for this "
	    "thermometer alone, in the state in which it left us, and not outside the ranges "
	    "above. "
	    "This certificate states no interval for the next calibration. It may be copied only "
	    "as a "
	    "whole unless the laboratory agrees in writing.");

	certificate_body(c, text->str);
}

static void left_out(struct certificate *c)
{
	g_autoptr(GString) text =
	    g_string_new("The <i>U</i> of the table and of the pictures leaves out: ");

	if (c->result->leaves_out->len == 0)
		return;
	add_list(text, c->result->leaves_out);
	g_string_append_c(text, '.');
	certificate_body(c, text->str);
}

static void reservations(struct certificate *c)
{
	const GPtrArray *texts = c->result->reservations;

	if (texts->len == 0)
		return;
	certificate_heading(c, "To be known", false);
	for (unsigned i = 0; i < texts->len; i++) {
		g_autofree char *markup = report_markup(g_ptr_array_index(texts, i));

		certificate_small(c, markup);
	}
}

/* "8c1e44f0 b7a290d3 ...": groups that an eye can compare. */
static void add_groups(GString *to, const char *hex)
{
	for (size_t i = 0; hex[i] != '\0'; i++)
		g_string_append_printf(to, "%s%c", i > 0 && i % 8 == 0 ? " " : "", hex[i]);
}

static void origin(struct certificate *c)
{
	const GArray *inputs = c->job->inputs;
	g_autoptr(GString) text =
	    g_string_new("<i>W</i><sub>r</sub> at the fixed points is that of ");

	g_string_append(text, c->result->wr_from_equation ? "the reference functions."
							  : "Table 1 of the ITS-90.");
	if (inputs->len > 0)
		g_string_append(text,
				" The numbers were computed from files with these fingerprints "
				"(SHA-256), and can be computed again from them:");
	certificate_body(c, text->str);
	for (unsigned i = 0; i < inputs->len; i++) {
		const struct lab_file_id *id = LAB_AT(inputs, lab_file_id, i);
		g_autofree char *name = g_path_get_basename(id->path);
		g_autofree char *markup = report_markup(name);
		g_autoptr(GString) line = g_string_new(markup);

		g_string_append(line, "\u2002");
		add_groups(line, id->sha256);
		report_pdf_add(c->pdf,
			       report_paragraph(line->str, &report_font_foot, "P", 2.0, 1.0, 0.0));
	}
}

void certificate_use(struct certificate *c)
{
	certificate_heading(c, "In use", false);
	advice(c);
	left_out(c);
	origin(c);
	reservations(c);
}
