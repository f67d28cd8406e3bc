/* Raw numbers: IEC 60559 doubles, the lowest byte first; as many come out as went in. */
/* read */
#define _POSIX_C_SOURCE 200809L

#include "app/cli/convert.h"

#include <errno.h>
#include <math.h>
#include <string.h>
#include <unistd.h>

enum { SIZE = sizeof(double) };

static double from_bytes(const unsigned char *bytes)
{
	guint64 bits;
	double x;

	memcpy(&bits, bytes, SIZE);
	bits = GUINT64_FROM_LE(bits);
	memcpy(&x, &bits, SIZE);
	return x;
}

static void append_bytes(GString *to, double x)
{
	guint64 bits;

	memcpy(&bits, &x, SIZE);
	bits = GUINT64_TO_LE(bits);
	g_string_append_len(to, (const char *)&bits, SIZE);
}

static bool finish_block(struct convert *convert, size_t before, int *ret_status)
{
	double t90_K[CONVERT_BLOCK];

	calc_convert_t90(convert->conversion, convert->n, convert->values, t90_K);
	for (size_t i = 0; i < convert->n; i++) {
		append_bytes(convert->out, t90_K[i]);
		if (!isnan(t90_K[i]) || isnan(convert->values[i]) || !convert_tells(convert))
			continue;
		g_autofree char *which =
		    g_strdup_printf("value %" G_GSIZE_FORMAT ": ", before + i + 1);
		convert_refuse(convert, (struct base_mark){ 0, 0 }, which, convert->values[i]);
	}
	return convert_write(convert, ret_status);
}

/* Reads up to a block, less when no more has come yet; *n bytes are there already. */
static bool read_some(struct convert *convert, unsigned char *bytes, size_t *n)
{
	ssize_t got;

	do {
		got = read(STDIN_FILENO, bytes + *n, (size_t)CONVERT_BLOCK * SIZE - *n);
	} while (got < 0 && errno == EINTR);
	if (got < 0)
		convert_not_read(convert, errno);
	if (got > 0)
		*n += (size_t)got;
	return got > 0;
}

int convert_binary(struct convert *convert)
{
	unsigned char bytes[CONVERT_BLOCK * SIZE];
	size_t n_bytes = 0, before = 0;
	int status = CLI_DONE;

	if (!convert_prepare(convert))
		return status;
	while (read_some(convert, bytes, &n_bytes)) {
		convert->n = n_bytes / SIZE;
		for (size_t i = 0; i < convert->n; i++)
			convert->values[i] = from_bytes(bytes + i * SIZE);
		if (!finish_block(convert, before, &status))
			return status;
		before += convert->n;
		memmove(bytes, bytes + convert->n * SIZE, n_bytes % SIZE);
		n_bytes %= SIZE;
	}
	if (n_bytes != 0)
		convert_say(convert, (struct base_mark){ 0, 0 },
			    "%" G_GSIZE_FORMAT " bytes are left behind value %" G_GSIZE_FORMAT
			    "; a value has 8",
			    n_bytes, before);
	return status;
}
