/* Work spread over threads: one pool for the program, made when it is first needed. */
#ifndef BASE_THREADS_H
#define BASE_THREADS_H

#include <glib.h>
#include <stddef.h>

typedef struct base_threads base_threads;

/* At most n threads, the caller's included; 0: as many as there are processors. */
base_threads *base_threads_new(int n);
void base_threads_free(base_threads *threads);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(base_threads, base_threads_free)

/*
 * Calls work(context, i) for i from 0 to n - 1, each once, on any of the threads, and returns when
 * all have returned. Results may not depend on the order. threads is a base_threads; NULL: the
 * caller's thread alone.
 */
void base_threads_run(void *threads, size_t n, void (*work)(void *context, size_t i),
		      void *context);

#endif
