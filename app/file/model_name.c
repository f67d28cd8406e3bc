#include "app/file/model_name.h"

#include "app/file/text.h"

#include <string.h>

enum { LONGEST = 64 };

static bool is_function(const char *name)
{
	static const char *const functions[] = { "sqrt", "exp", "ln",   "log10", "sin",
						 "cos",  "tan", "asin", "acos",  "atan",
						 "abs",  "min", "max" };

	for (size_t i = 0; i < G_N_ELEMENTS(functions); i++) {
		if (strcmp(name, functions[i]) == 0)
			return true;
	}
	return false;
}

void file_model_check_name(const struct file_reader *reader, const struct file_node *node)
{
	static const char letters[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ_"
				      "0123456789";
	const char *name = node->key;
	const size_t n = strlen(name);
	g_autofree char *shown = file_quote(name);

	if (n == 0 || n > LONGEST || strspn(name, letters) != n || g_ascii_isdigit(name[0]))
		file_wrong(reader, node->key_mark,
			   "%s cannot be the name of a quantity; a name has letters from a to z, "
			   "digits and _, begins with a letter, and is at most %d long",
			   shown, LONGEST);
	else if (is_function(name))
		file_wrong(reader, node->key_mark,
			   "%s is a function of formulas; give the quantity another name", shown);
}
