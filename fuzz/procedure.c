/* Fuzz target: what a laboratory changes in a procedure; whatever it says, no caution is lost. */
#include "fuzz/fuzz.h"

#include "app/file/procedure.h"
#include "app/report/procedure.h"

#define NAME "tpw-dry-ice"

/* Each step that shows cautions is still there, with all of them. */
static void check_cautions(const lab_procedure *changed)
{
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(lab_procedure) own = file_read_procedure(NAME, NULL, messages);

	for (guint i = 0; i < own->steps->len; i++) {
		const struct lab_step *before = own->steps->pdata[i];
		const struct lab_step *after = lab_procedure_step(changed, before->id, NULL);

		FUZZ_HOLDS(after != NULL || before->cautions->len == 0);
		for (guint c = 0; c < before->cautions->len; c++)
			FUZZ_HOLDS(
			    g_ptr_array_find(after->cautions, before->cautions->pdata[c], NULL));
	}
}

/* What is printed for programs is read back to the same bytes, as the book keeps it. */
static void check_kept(const lab_procedure *changed)
{
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(GString) first = g_string_new(NULL), second = g_string_new(NULL);

	report_procedure_json(changed, first);
	fuzz_check_json(first);
	g_autoptr(GBytes) bytes = g_bytes_new(first->str, first->len);
	g_autoptr(lab_procedure) again = file_parse_kept_procedure("kept", bytes, messages);
	FUZZ_HOLDS(again != NULL);
	report_procedure_json(again, second);
	FUZZ_HOLDS(g_string_equal(first, second));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(GBytes) bytes = g_bytes_new(data, size);
	g_autoptr(lab_procedure) changed =
	    file_parse_procedure(NAME, "change.yaml", bytes, messages);

	fuzz_check_messages(messages, changed != NULL);
	if (changed == NULL)
		return 0;
	check_cautions(changed);
	check_kept(changed);

	g_autoptr(GString) text = g_string_new(NULL);
	report_procedure_text(changed, text);
	FUZZ_HOLDS(g_utf8_validate(text->str, (gssize)text->len, NULL));
	return 0;
}
