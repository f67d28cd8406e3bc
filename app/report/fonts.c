#include "app/report/fonts.h"

#include <fontconfig/fontconfig.h>
#include <pango/pangofc-fontmap.h>

struct report_fonts {
	FcConfig *config;
	FcCharSet *signs; /* what upright and italic both have */
	PangoFontMap *map;
	PangoContext *context;
};

static const char *const files[] = { "GentiumBookPlus-Regular.ttf", "GentiumBookPlus-Italic.ttf" };

static bool add_files(FcConfig *config, const char *folder)
{
	for (size_t i = 0; i < G_N_ELEMENTS(files); i++) {
		g_autofree char *path = g_build_filename(folder, files[i], NULL);

		if (!g_file_test(path, G_FILE_TEST_IS_REGULAR) ||
		    !FcConfigAppFontAddFile(config, (const FcChar8 *)path))
			return false;
	}
	return true;
}

static bool find_files(FcConfig *config)
{
	const char *const *folders = g_get_system_data_dirs();
	const char *chosen = g_getenv("FIRN_FONTS");

	if (chosen != NULL)
		return add_files(config, chosen);
	for (size_t i = 0; folders[i] != NULL; i++) {
		g_autofree char *folder =
		    g_build_filename(folders[i], "fonts", "truetype", "gentiumplus", NULL);

		if (add_files(config, folder))
			return true;
		FcConfigAppFontClear(config);
	}
	return false;
}

static FcCharSet *common_signs(FcConfig *config)
{
	const FcFontSet *set = FcConfigGetFonts(config, FcSetApplication);
	FcCharSet *common = NULL;

	for (int i = 0; i < set->nfont; i++) {
		FcCharSet *signs = NULL;

		FcPatternGetCharSet(set->fonts[i], FC_CHARSET, 0, &signs);
		FcCharSet *next =
		    common == NULL ? FcCharSetCopy(signs) : FcCharSetIntersect(common, signs);
		if (common != NULL)
			FcCharSetDestroy(common);
		common = next;
	}
	return common;
}

/* Text is laid out in points, as if the paper had endless resolution. */
static PangoContext *new_context(PangoFontMap *map)
{
	PangoContext *context = pango_font_map_create_context(map);
	cairo_font_options_t *options = cairo_font_options_create();

	cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
	cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
	cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
	pango_cairo_context_set_font_options(context, options);
	cairo_font_options_destroy(options);
	pango_cairo_context_set_resolution(context, 72.0);
	pango_context_set_round_glyph_positions(context, FALSE);
	pango_context_set_language(context, pango_language_from_string("en"));
	pango_context_set_base_dir(context, PANGO_DIRECTION_LTR);
	return context;
}

report_fonts *report_fonts_new(base_messages *messages)
{
	FcConfig *config = FcConfigCreate();

	if (config == NULL || !find_files(config)) {
		base_messages_add(messages, BASE_FAILURE, "", (struct base_mark){ 0, 0 },
				  "the font " REPORT_FONT_FAMILY
				  " was not found; install it (fonts-sil-gentiumplus), or name the "
				  "folder of %s and %s in FIRN_FONTS",
				  files[0], files[1]);
		if (config != NULL)
			FcConfigDestroy(config);
		return NULL;
	}
	report_fonts *fonts = g_new0(report_fonts, 1);
	fonts->config = config;
	fonts->signs = common_signs(config);
	fonts->map = pango_cairo_font_map_new_for_font_type(CAIRO_FONT_TYPE_FT);
	pango_fc_font_map_set_config(PANGO_FC_FONT_MAP(fonts->map), config);
	fonts->context = new_context(fonts->map);
	return fonts;
}

void report_fonts_free(report_fonts *fonts)
{
	if (fonts == NULL)
		return;
	g_object_unref(fonts->context);
	g_object_unref(fonts->map);
	FcCharSetDestroy(fonts->signs);
	FcConfigDestroy(fonts->config);
	g_free(fonts);
}

PangoContext *report_fonts_context(const report_fonts *fonts)
{
	return fonts->context;
}

gunichar report_fonts_missing(const report_fonts *fonts, const char *text)
{
	for (const char *p = text; *p != '\0'; p = g_utf8_next_char(p)) {
		const gunichar c = g_utf8_get_char(p);

		if (c != '\n' && !FcCharSetHasChar(fonts->signs, c))
			return c;
	}
	return 0;
}
