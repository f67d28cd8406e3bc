/* A number in a YAML file, and a sentence for each way of writing one that looks right and is not.
 */
#include "app/file/read.h"

#include "app/file/number.h"
#include "app/file/text.h"

#include "firn/number.h"

#include <math.h>
#include <string.h>

const struct file_range file_any = { -(double)INFINITY, (double)INFINITY, true, true, "" };
const struct file_range file_uncertainty = { 0.0, (double)INFINITY, false, true,
					     "a standard uncertainty is 0 or more" };
/* 0.5: u is uncertain by 100 % of itself (JCGM 100:2008, equation (G.3)). The limit is ours; from
   0.1 down there is no coverage factor. */
const struct file_range file_dof = {
	0.5, (double)INFINITY, false, true,
	"degrees of freedom are 0.5 (u known to 100 %) or more; leave them out where they are "
	"infinite"
};
const struct file_range file_positive = { 0.0, (double)INFINITY, true, true,
					  "it has to be above 0" };
const struct file_range file_correlation = { -1.0, 1.0, false, false,
					     "a correlation lies from -1 to 1" };

static bool is_in_range(double x, const struct file_range *range)
{
	return (range->above_low ? x > range->low : x >= range->low) &&
	       (range->below_high ? x < range->high : x <= range->high);
}

double file_node_number(const struct file_reader *reader, const struct file_node *node,
			const char *name, const struct file_range *range)
{
	double x;

	if (node->broken)
		return (double)NAN;
	if (node->kind != FILE_SCALAR) {
		file_wrong(reader, node->mark, "%s is %s; it is one number", name,
			   file_node_kind_name(node));
		return (double)NAN;
	}
	g_autofree char *shown = file_quote(node->text);
	if (node->quoted) {
		file_wrong(reader, node->mark,
			   "%s is a text in quotes, %s; a number stands without quotes", name,
			   shown);
		return (double)NAN;
	}
	if (firn_number_parse(node->text, strlen(node->text), &x) == FIRN_OK) {
		if (is_in_range(x, range))
			return x;
		file_wrong(reader, node->mark, "%s is %s; %s", name, node->text, range->right);
		return (double)NAN;
	}

	g_autofree char *fault = file_number_fault(node->text);
	if (range == &file_dof && file_number_is_infinite(node->text))
		file_wrong(reader, node->mark, "%s is %s; %s", name, shown, range->right);
	else if (node->text[0] == '\0' || strcmp(node->text, "~") == 0)
		file_wrong(reader, node->mark, "%s is empty; write a number, or leave the key out",
			   name);
	else
		file_wrong(reader, node->mark, "%s is %s; %s", name, shown, fault);
	return (double)NAN;
}
