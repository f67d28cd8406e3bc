/* Fuzz target: a calibration result as JSON, as firn convert reads it back. */
/* memfd_create */
#define _GNU_SOURCE

#include "fuzz/fuzz.h"

#include "app/file/result.h"

#include <stdio.h>
#include <sys/mman.h>
#include <unistd.h>

/* The reader takes a path: that of a file in memory, which is written anew each time. */
static const char *path_of(const uint8_t *data, size_t size)
{
	static int fd = -1;
	static char path[40];

	if (fd < 0) {
		fd = memfd_create("result", MFD_CLOEXEC);
		snprintf(path, sizeof(path), "/proc/self/fd/%d", fd);
	}
	FUZZ_HOLDS(fd >= 0 && ftruncate(fd, 0) == 0);
	FUZZ_HOLDS(pwrite(fd, data, size, 0) == (ssize_t)size);
	return path;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	g_autoptr(base_messages) messages = base_messages_new();
	g_autoptr(lab_conversion) made = file_read_result(path_of(data, size), messages);

	fuzz_check_messages(messages, made != NULL);
	return 0;
}
