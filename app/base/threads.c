#include "app/base/threads.h"

struct base_threads {
	int n;
	GThreadPool *pool; /* of n - 1: the caller works, too */
};

/* One call of base_threads_run: whoever is free takes the next number. */
struct job {
	size_t n, next;
	void (*work)(void *context, size_t i);
	void *context;
	int helpers;
	GMutex mutex;
	GCond left;
};

static void take_numbers(struct job *job)
{
	for (;;) {
		size_t i;

		g_mutex_lock(&job->mutex);
		i = job->next < job->n ? job->next++ : job->n;
		g_mutex_unlock(&job->mutex);
		if (i == job->n)
			return;
		job->work(job->context, i);
	}
}

static void help(gpointer data, gpointer unused)
{
	struct job *job = data;

	(void)unused;
	take_numbers(job);
	g_mutex_lock(&job->mutex);
	if (--job->helpers == 0)
		g_cond_signal(&job->left);
	g_mutex_unlock(&job->mutex);
}

base_threads *base_threads_new(int n)
{
	base_threads *threads = g_new0(base_threads, 1);

	threads->n = n > 0 ? n : (int)g_get_num_processors();
	return threads;
}

void base_threads_free(base_threads *threads)
{
	if (threads == NULL)
		return;
	if (threads->pool != NULL)
		g_thread_pool_free(threads->pool, FALSE, TRUE);
	g_free(threads);
}

/* The machine may refuse threads; the caller's own then does it all. */
static void call_helpers(base_threads *threads, struct job *job)
{
	const int wanted = threads->n - 1;

	if (threads->pool == NULL)
		threads->pool = g_thread_pool_new(help, NULL, wanted, FALSE, NULL);
	for (int i = 0; threads->pool != NULL && i < wanted && (size_t)i + 1 < job->n; i++) {
		g_mutex_lock(&job->mutex);
		job->helpers++;
		g_mutex_unlock(&job->mutex);
		g_thread_pool_push(threads->pool, job, NULL); /* kept even when no thread came */
	}
}

void base_threads_run(void *data, size_t n, void (*work)(void *context, size_t i), void *context)
{
	base_threads *threads = data;
	struct job job = { .n = n, .work = work, .context = context };

	g_mutex_init(&job.mutex);
	g_cond_init(&job.left);
	if (threads != NULL && threads->n > 1)
		call_helpers(threads, &job);
	take_numbers(&job);
	g_mutex_lock(&job.mutex);
	while (job.helpers > 0)
		g_cond_wait(&job.left, &job.mutex);
	g_mutex_unlock(&job.mutex);
	g_cond_clear(&job.left);
	g_mutex_clear(&job.mutex);
}
