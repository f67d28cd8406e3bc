#include "app/calc/reduce_trials.h"

static void note_times(struct reduction *r)
{
	struct lab_calibration_result *result = r->result;

	result->first_us = result->last_us = INT64_MIN;
	for (guint i = 0; i < r->job->readings->len; i++) {
		const int64_t time_us = LAB_AT(r->job->readings, lab_reading, i)->time_us;

		if (time_us == INT64_MIN)
			continue;
		if (result->first_us == INT64_MIN || time_us < result->first_us)
			result->first_us = time_us;
		if (time_us > result->last_us)
			result->last_us = time_us;
	}
}

static void note_what_u_leaves_out(struct reduction *r)
{
	static const char *const always[] = {
		"the user's own measurements of R(0.01 \u00b0C) and of R",
		"drift of the thermometer after this calibration, and what transport does to it",
		"conduction along the stem where the thermometer is used",
		"non-uniqueness of the scale between the fixed points, stated beside",
		"inconsistency of subranges, stated beside",
	};

	for (size_t i = 0; i < G_N_ELEMENTS(always); i++)
		g_ptr_array_add(r->result->leaves_out, reduction_text(r, "%s", always[i]));
}

static bool run_visits(struct reduction *r)
{
	r->result->wr_from_equation = r->job->wr_from_equation;
	r->result->coverage_probability = lab_given(r->job->coverage_factor)
					      ? LAB_NOT_GIVEN
					      : lab_or(r->job->coverage_probability, 0.95);
	r->result->coverage_factor = r->job->coverage_factor;
	note_times(r);
	note_what_u_leaves_out(r);
	return reduction_read(r) && reduction_correct(r) && reduction_divide(r) &&
	       reduction_is_plausible(r);
}

static bool run(struct reduction *r)
{
	return run_visits(r) && reduction_solve(r) && reduction_measure(r) &&
	       reduction_tabulate(r) && reduction_judge(r);
}

typedef bool reduction_steps(struct reduction *r);

/* Carries these steps out and hands the reduction to `look` (NULL: nobody looks) while its tape is
   alive. */
static lab_calibration_result *reduce(const struct lab_calibration *job, reduction_steps *steps,
				      reduction_look *look, void *context, base_messages *messages)
{
	g_autoptr(lab_calibration_result) result = lab_calibration_result_new();
	g_autofree struct reduced_visit *visits =
	    g_new0(struct reduced_visit, job->visits->len + 1);
	g_autoptr(GHashTable) shared = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
	struct reduction r = { .job = job,
			       .messages = messages,
			       .result = result,
			       .tape = firn_tape_new(),
			       .visits = visits,
			       .shared = shared };
	bool done;

	if (r.tape == NULL) {
		base_messages_add(messages, BASE_FAILURE, "", (struct base_mark){ 0, 0 },
				  "no memory for the calculation");
		return NULL;
	}
	for (int i = 0; i < REDUCTION_POINTS; i++)
		r.points[i].visits = g_array_new(FALSE, TRUE, sizeof(int));
	done = steps(&r) && (look == NULL || look(&r, context));
	done =
	    reduction_is_good(&r, lab_calibration_mark(job, "visits"), "the calibration") && done;
	for (int i = 0; i < REDUCTION_POINTS; i++)
		g_array_unref(r.points[i].visits);
	firn_tape_free(r.tape);
	return done ? g_steal_pointer(&result) : NULL;
}

lab_calibration_result *calc_reduce(const struct lab_calibration *job, base_messages *messages)
{
	return reduce(job, run, NULL, NULL, messages);
}

lab_calibration_result *calc_reduce_visits(const struct lab_calibration *job,
					   base_messages *messages)
{
	return reduce(job, run_visits, NULL, NULL, messages);
}

lab_calibration_result *calc_reduce_by_trials(const struct lab_calibration *job, int64_t n,
					      base_threads *threads, base_messages *messages)
{
	struct reduce_trials trials = { n, threads };

	return reduce(job, run, reduction_try, &trials, messages);
}

struct explanation {
	const char *what;
	GString *to;
};

static bool explain(struct reduction *r, void *context)
{
	const struct explanation *explanation = context;

	return reduction_explain(r, explanation->what, explanation->to);
}

bool calc_explain(const struct lab_calibration *job, const char *what, GString *to,
		  base_messages *messages)
{
	struct explanation explanation = { what, to };
	g_autoptr(lab_calibration_result) result =
	    reduce(job, run, explain, &explanation, messages);

	return result != NULL;
}
