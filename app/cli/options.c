#include "app/cli/options.h"

#include "app/base/suggest.h"

#include <stdbool.h>
#include <string.h>

struct options {
	const char *command;
	const GOptionEntry *const *groups;
	GPtrArray *seen; /* entries with a value */
};

int cli_options_end(int argc, char *const *argv)
{
	for (int i = 1; i < argc; i++) {
		if (strcmp(argv[i], "--") == 0)
			return i;
	}
	return argc;
}

/* The option that a text such as --pdf or --pdf=a.pdf names. */
static const GOptionEntry *find(const struct options *options, const char *text)
{
	const size_t length = strcspn(text, "=");

	if (length < 3 || strncmp(text, "--", 2) != 0)
		return NULL;
	for (size_t g = 0; options->groups[g] != NULL; g++) {
		for (const GOptionEntry *e = options->groups[g]; e->long_name != NULL; e++) {
			if (strlen(e->long_name) == length - 2 &&
			    strncmp(e->long_name, text + 2, length - 2) == 0)
				return e;
		}
	}
	return NULL;
}

/* "--pdf", "--json" and so on, those that --help shows; ended by NULL. */
static GPtrArray *shown_names(const struct options *options)
{
	GPtrArray *names = g_ptr_array_new_with_free_func(g_free);

	for (size_t g = 0; options->groups[g] != NULL; g++) {
		for (const GOptionEntry *e = options->groups[g]; e->long_name != NULL; e++) {
			if ((e->flags & G_OPTION_FLAG_HIDDEN) == 0)
				g_ptr_array_add(names, g_strconcat("--", e->long_name, NULL));
		}
	}
	g_ptr_array_add(names, NULL);
	return names;
}

static char *unknown(const struct options *options, const char *text)
{
	g_autofree char *typed = g_strndup(text, MIN(strcspn(text, "="), 60));
	g_autofree char *dashed = g_strconcat("--", typed + strspn(typed, "-"), NULL);
	g_autoptr(GPtrArray) names = shown_names(options);
	const char *near = base_suggest(dashed, (const char *const *)names->pdata);

	if (text[1] == '.' || g_ascii_isdigit(text[1]))
		return g_strdup_printf("%s begins like an option; before values with a minus put "
				       "--, as in %s ... -- %s",
				       typed, options->command, typed);
	if (near != NULL)
		return g_strdup_printf("there is no option %s; did you mean %s?", typed, near);
	g_autofree char *all = g_strjoinv(", ", (char **)names->pdata);
	return g_strdup_printf("there is no option %s; %s has %s; a file whose name begins with a "
			       "minus stands behind --",
			       typed, options->command, all);
}

/* `value`: what stands for it, NULL for nothing. */
static char *check_value(const struct options *options, const GOptionEntry *entry,
			 const char *value, bool is_apart)
{
	const char *name = entry->long_name;
	g_autofree char *right = entry->description == NULL
				     ? g_strdup("see --help")
				     : g_strdup_printf("write --%s %s (%s)", name,
						       entry->arg_description, entry->description);

	if (value == NULL)
		return g_strdup_printf("--%s has no value; %s", name, right);
	if (value[0] == '\0')
		return g_strdup_printf("the value of --%s is empty; %s", name, right);
	if (is_apart && (find(options, value) != NULL || strcmp(value, "-h") == 0))
		return g_strdup_printf("--%s has no value, for %s comes next; %s", name, value,
				       right);
	if (g_ptr_array_find(options->seen, entry, NULL))
		return g_strdup_printf("--%s stands twice; give it once", name);
	g_ptr_array_add(options->seen, (gpointer)entry);
	return NULL;
}

char *cli_options_fault(const char *command, int argc, char *const *argv,
			const GOptionEntry *const *groups)
{
	g_autoptr(GPtrArray) seen = g_ptr_array_new();
	const struct options options = { command, groups, seen };

	for (int i = 1; i < argc; i++) {
		const char *equals = strchr(argv[i], '=');
		const GOptionEntry *entry = find(&options, argv[i]);
		char *fault = NULL;

		if (argv[i][0] != '-' || argv[i][1] == '\0' || strcmp(argv[i], "-h") == 0)
			continue;
		if (entry == NULL)
			fault = unknown(&options, argv[i]);
		else if (entry->arg != G_OPTION_ARG_NONE && equals != NULL)
			fault = check_value(&options, entry, equals + 1, false);
		else if (entry->arg != G_OPTION_ARG_NONE)
			fault = check_value(&options, entry, ++i < argc ? argv[i] : NULL, true);
		else if (equals != NULL)
			fault = g_strdup_printf("--%s takes no value; write it alone",
						entry->long_name);
		if (fault != NULL)
			return fault;
	}
	return NULL;
}
