#include "app/file/cell.h"

#include "app/base/file.h"
#include "app/file/cell_parts.h"
#include "app/file/kind.h"

/* One reader a section; what stands on another section comes after it. */
static void (*const sections[])(struct file_cell *, struct file_map *) = {
	file_cell_thermometer, file_cell_body,    file_cell_contact,     file_cell_surroundings,
	file_cell_mantle,      file_cell_wanted,  file_cell_preparation, file_cell_settling,
	file_cell_check,       file_cell_plateau, file_cell_profile,
};

static void read_sections(struct file_cell *f, const struct file_node *root)
{
	struct file_map top;

	file_map_open(&top, &f->reader, root, "the file", "");
	if (file_kind_is(&top, FILE_CELL, "cell")) {
		f->study->title = lab_cell_study_text(f->study, file_text(&top, "title"));
		for (size_t i = 0; i < G_N_ELEMENTS(sections); i++)
			sections[i](f, &top);
		if (!file_has(&top, "cell"))
			file_missing(&top, "cell", "say which cell it is about, under cell");
	} else {
		top.node = NULL; /* of another kind: its keys are no mistakes */
	}
	file_map_close(&top);
}

lab_cell_study *file_read_cell(const char *path, base_messages *messages)
{
	g_autoptr(GBytes) bytes = file_yaml_bytes(path, messages);

	return bytes == NULL ? NULL : file_parse_cell(path, bytes, messages);
}

lab_cell_study *file_parse_cell(const char *path, GBytes *bytes, base_messages *messages)
{
	const size_t errors =
	    base_messages_count(messages, BASE_ERROR) + base_messages_count(messages, BASE_FAILURE);
	g_autoptr(lab_cell_study) study = lab_cell_study_new();
	g_autoptr(file_yaml) yaml = file_yaml_parse(path, bytes, messages);

	if (yaml == NULL)
		return NULL;

	struct file_cell f = {
		.reader = { .file = path, .messages = messages },
		.study = study,
	};
	gsize n;
	const void *data = g_bytes_get_data(bytes, &n);
	g_autofree char *sha256 = base_sha256(data, n);
	study->path = lab_cell_study_text(study, path);
	study->sha256 = lab_cell_study_text(study, sha256);
	read_sections(&f, file_yaml_root(yaml));
	base_messages_sort(messages);
	return base_messages_count(messages, BASE_ERROR) +
			   base_messages_count(messages, BASE_FAILURE) ==
		       errors
		   ? g_steal_pointer(&study)
		   : NULL;
}
