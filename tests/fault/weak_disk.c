#include "tests/fault/weak_disk.h"

#include "tests/fault/made_reading.h"

#include <glib.h>
#include <glib/gstdio.h>
#include <sqlite3.h>
#include <string.h>

/* A write, or (bytes NULL) a new length. */
struct change {
	sqlite3_int64 offset;
	GBytes *bytes;
};

/* A name on the disk. */
struct holding {
	GByteArray *kept;    /* what is there for sure */
	GArray *changes;     /* struct change, behind it, in order */
	GByteArray *before;  /* what stood under the name before and may come back; NULL: nothing */
	bool is_there;       /* as programs see it */
	bool name_is_synced; /* whether it will be there when the power goes now */
};

struct weak_file {
	sqlite3_file base;
	struct holding *holding; /* NULL: a temporary file, which need not survive */
	sqlite3_file *real;      /* behind this struct */
};

static struct {
	sqlite3_vfs vfs, *real;
	GHashTable *holdings; /* path -> struct holding */
	enum weak_disk_kind kind;
	long calls, fail_at; /* fail_at 0: never */
	bool go_on, off;
} disk;

/* ---- whether a call fails ---- */

enum call { LOOKS, WRITES, CHANGES }; /* reads; may need room; changes what is there otherwise */

static bool counts(enum call call)
{
	switch (disk.kind) {
	case WEAK_DISK_FULL:
		return call == WRITES;
	case WEAK_DISK_POWER:
		return call != LOOKS;
	default:
		return true;
	}
}

/* SQLITE_OK, or with what this call fails. */
static int trouble(enum call call, int io_error)
{
	if (disk.off)
		return io_error;
	if (!counts(call))
		return SQLITE_OK;
	disk.calls++;
	if (disk.fail_at == 0 || disk.kind == WEAK_DISK_POWER || disk.calls < disk.fail_at ||
	    (disk.calls > disk.fail_at && !disk.go_on))
		return SQLITE_OK;
	return disk.kind == WEAK_DISK_FULL ? SQLITE_FULL : io_error;
}

/* Asked in the midst of a call, when what it writes has reached the disk's own memory. */
static bool power_goes(void)
{
	if (disk.kind != WEAK_DISK_POWER || disk.fail_at == 0 || disk.calls < disk.fail_at)
		return false;
	disk.off = true;
	return true;
}

void weak_disk_fail_at(enum weak_disk_kind kind, long n, bool go_on)
{
	disk.kind = kind;
	disk.calls = 0;
	disk.fail_at = n;
	disk.go_on = go_on;
}

void weak_disk_heal(void)
{
	disk.fail_at = 0;
}

bool weak_disk_has_failed(void)
{
	return disk.fail_at > 0 && disk.calls >= disk.fail_at;
}

long weak_disk_calls(void)
{
	return disk.calls;
}

/* ---- what the disk holds ---- */

static void clear_change(gpointer change)
{
	GBytes *bytes = ((struct change *)change)->bytes;

	if (bytes != NULL)
		g_bytes_unref(bytes);
}

static void free_holding(gpointer data)
{
	struct holding *h = data;

	g_byte_array_unref(h->kept);
	g_array_unref(h->changes);
	if (h->before != NULL)
		g_byte_array_unref(h->before);
	g_free(h);
}

static struct holding *holding_of(const char *path)
{
	struct holding *h = g_hash_table_lookup(disk.holdings, path);
	g_autofree char *bytes = NULL;
	gsize n = 0;

	if (h != NULL)
		return h;
	h = g_new0(struct holding, 1);
	h->kept = g_byte_array_new();
	h->changes = g_array_new(FALSE, FALSE, sizeof(struct change));
	g_array_set_clear_func(h->changes, clear_change);
	h->is_there = g_file_get_contents(path, &bytes, &n, NULL);
	h->name_is_synced = h->is_there;
	g_byte_array_append(h->kept, (const guint8 *)bytes, (guint)n);
	g_hash_table_insert(disk.holdings, g_strdup(path), h);
	return h;
}

static void set_length(GByteArray *bytes, sqlite3_int64 n)
{
	const guint before = bytes->len;

	g_byte_array_set_size(bytes, (guint)n);
	if (n > before)
		memset(bytes->data + before, 0, (size_t)n - before);
}

/* n: how many bytes of the write arrive. */
static void apply(GByteArray *to, const struct change *change, size_t n)
{
	if (change->bytes == NULL) {
		set_length(to, change->offset);
		return;
	}
	if (change->offset + (sqlite3_int64)n > to->len)
		set_length(to, change->offset + (sqlite3_int64)n);
	if (n > 0)
		memcpy(to->data + change->offset, g_bytes_get_data(change->bytes, NULL), n);
}

static size_t length_of(const struct change *change)
{
	return change->bytes != NULL ? g_bytes_get_size(change->bytes) : 0;
}

static void note(struct holding *h, sqlite3_int64 offset, const void *bytes, int n)
{
	const struct change change = { offset,
				       bytes != NULL ? g_bytes_new(bytes, (gsize)n) : NULL };

	if (h != NULL)
		g_array_append_val(h->changes, change);
	else if (change.bytes != NULL)
		g_bytes_unref(change.bytes);
}

static void settle(struct holding *h)
{
	for (guint i = 0; i < h->changes->len; i++) {
		const struct change *change = &g_array_index(h->changes, struct change, i);

		apply(h->kept, change, length_of(change));
	}
	g_array_set_size(h->changes, 0);
	h->name_is_synced = true;
	g_clear_pointer(&h->before, g_byte_array_unref);
}

/* ---- when the power is back ---- */

/* Of what was not synced: mode 0 nothing, 1 a beginning, 2 any; the last of it torn. */
static void keep_some(struct holding *h, uint64_t bits)
{
	const guint n = h->changes->len;
	const int mode = (int)(bits % 3);
	const guint end = mode == 1 && n > 0 ? (guint)(made_bits(bits) % (n + 1)) : n;

	for (guint i = 0; mode > 0 && i < end; i++) {
		const struct change *change = &g_array_index(h->changes, struct change, i);
		const uint64_t chance = made_bits(bits ^ (i + 1));
		size_t length = length_of(change);

		if (mode == 2 && chance % 2 == 0)
			continue;
		if (i + 1 == end && length > 0)
			length = (size_t)(made_bits(chance) % (length + 1));
		apply(h->kept, change, length);
	}
}

static void restore(const char *path, struct holding *h, uint64_t bits)
{
	const GByteArray *bytes = h->kept;
	bool there = h->is_there;

	keep_some(h, bits);
	if (!h->name_is_synced && (bits >> 32) % 2 == 0) { /* the old name, or its absence */
		bytes = h->before;
		there = bytes != NULL;
	}
	g_unlink(path);
	if (there &&
	    !g_file_set_contents(path, (const char *)bytes->data, (gssize)bytes->len, NULL))
		g_error("%s can't be written", path);
	g_autofree char *shared = g_strconcat(path, "-shm", NULL);
	g_unlink(shared);
}

void weak_disk_restore(uint64_t seed)
{
	GHashTableIter iter;
	gpointer path, holding;

	g_hash_table_iter_init(&iter, disk.holdings);
	while (g_hash_table_iter_next(&iter, &path, &holding))
		restore(path, holding, made_bits(seed ^ g_str_hash(path)));
	g_hash_table_remove_all(disk.holdings);
	disk.off = false;
	weak_disk_heal();
}

/* ---- the methods of a file ---- */

static struct weak_file *weak(sqlite3_file *file)
{
	return (struct weak_file *)(void *)file;
}

#define REAL(file, method, ...) (weak(file)->real->pMethods->method(weak(file)->real, __VA_ARGS__))

static int file_close(sqlite3_file *file)
{
	return weak(file)->real->pMethods->xClose(weak(file)->real);
}

static int file_read(sqlite3_file *file, void *to, int n, sqlite3_int64 offset)
{
	const int code = trouble(LOOKS, SQLITE_IOERR_READ);

	return code != SQLITE_OK ? code : REAL(file, xRead, to, n, offset);
}

static int file_write(sqlite3_file *file, const void *from, int n, sqlite3_int64 offset)
{
	const int code = trouble(WRITES, SQLITE_IOERR_WRITE);

	if (code != SQLITE_OK)
		return code;
	note(weak(file)->holding, offset, from, n);
	return power_goes() ? SQLITE_IOERR_WRITE : REAL(file, xWrite, from, n, offset);
}

static int file_truncate(sqlite3_file *file, sqlite3_int64 length)
{
	const int code = trouble(CHANGES, SQLITE_IOERR_TRUNCATE);

	if (code != SQLITE_OK)
		return code;
	note(weak(file)->holding, length, NULL, 0);
	return power_goes() ? SQLITE_IOERR_TRUNCATE : REAL(file, xTruncate, length);
}

/* The machine that tests has no need to sync, and would take long. */
static int file_sync(sqlite3_file *file, int flags)
{
	const int code = trouble(CHANGES, SQLITE_IOERR_FSYNC);

	(void)flags;
	if (code != SQLITE_OK)
		return code;
	if (power_goes())
		return SQLITE_IOERR_FSYNC;
	if (weak(file)->holding != NULL)
		settle(weak(file)->holding);
	return SQLITE_OK;
}

static int file_size(sqlite3_file *file, sqlite3_int64 *ret)
{
	const int code = trouble(LOOKS, SQLITE_IOERR_FSTAT);

	return code != SQLITE_OK ? code : REAL(file, xFileSize, ret);
}

static int file_lock(sqlite3_file *file, int level)
{
	const int code = trouble(LOOKS, SQLITE_IOERR_LOCK);

	return code != SQLITE_OK ? code : REAL(file, xLock, level);
}

static int file_unlock(sqlite3_file *file, int level)
{
	return REAL(file, xUnlock, level);
}

static int file_check_lock(sqlite3_file *file, int *ret)
{
	return REAL(file, xCheckReservedLock, ret);
}

static int file_control(sqlite3_file *file, int what, void *argument)
{
	return REAL(file, xFileControl, what, argument);
}

static int file_sector(sqlite3_file *file)
{
	return weak(file)->real->pMethods->xSectorSize(weak(file)->real);
}

static int file_character(sqlite3_file *file)
{
	return weak(file)->real->pMethods->xDeviceCharacteristics(weak(file)->real);
}

static int shared_map(sqlite3_file *file, int page, int size, int extend, void volatile **ret)
{
	const int code = trouble(LOOKS, SQLITE_IOERR_SHMMAP);

	return code != SQLITE_OK ? code : REAL(file, xShmMap, page, size, extend, ret);
}

static int shared_lock(sqlite3_file *file, int offset, int n, int flags)
{
	return REAL(file, xShmLock, offset, n, flags);
}

static void shared_barrier(sqlite3_file *file)
{
	weak(file)->real->pMethods->xShmBarrier(weak(file)->real);
}

static int shared_unmap(sqlite3_file *file, int remove)
{
	return REAL(file, xShmUnmap, remove);
}

static const sqlite3_io_methods methods = {
	.iVersion = 2, /* 3 would be mmap */
	.xClose = file_close,
	.xRead = file_read,
	.xWrite = file_write,
	.xTruncate = file_truncate,
	.xSync = file_sync,
	.xFileSize = file_size,
	.xLock = file_lock,
	.xUnlock = file_unlock,
	.xCheckReservedLock = file_check_lock,
	.xFileControl = file_control,
	.xSectorSize = file_sector,
	.xDeviceCharacteristics = file_character,
	.xShmMap = shared_map,
	.xShmLock = shared_lock,
	.xShmBarrier = shared_barrier,
	.xShmUnmap = shared_unmap,
};

/* ---- the methods of the file system ---- */

static int disk_open(sqlite3_vfs *vfs, const char *path, sqlite3_file *file, int flags,
		     int *ret_flags)
{
	struct weak_file *f = weak(file);
	const int code = trouble(LOOKS, SQLITE_CANTOPEN);
	int opened;

	(void)vfs;
	f->base.pMethods = NULL;
	if (code != SQLITE_OK)
		return code;
	f->real = (sqlite3_file *)(void *)(f + 1);
	f->holding =
	    path != NULL && (flags & SQLITE_OPEN_DELETEONCLOSE) == 0 ? holding_of(path) : NULL;
	opened = disk.real->xOpen(disk.real, path, f->real, flags, ret_flags);
	if (f->real->pMethods != NULL)
		f->base.pMethods = &methods;
	if (opened == SQLITE_OK && f->holding != NULL)
		f->holding->is_there = true;
	return opened;
}

static int disk_delete(sqlite3_vfs *vfs, const char *path, int sync_folder)
{
	const int code = trouble(CHANGES, SQLITE_IOERR_DELETE);
	struct holding *h;

	(void)vfs;
	if (code != SQLITE_OK)
		return code;
	if (power_goes())
		return SQLITE_IOERR_DELETE;
	h = holding_of(path);
	if (h->name_is_synced && !sync_folder) {
		settle(h);
		h->before = h->kept;
		h->kept = g_byte_array_new();
	}
	g_byte_array_set_size(h->kept, 0);
	g_array_set_size(h->changes, 0);
	h->is_there = false;
	h->name_is_synced = sync_folder;
	return disk.real->xDelete(disk.real, path, 0);
}

static int disk_access(sqlite3_vfs *vfs, const char *path, int flags, int *ret)
{
	const int code = trouble(LOOKS, SQLITE_IOERR_ACCESS);

	(void)vfs;
	return code != SQLITE_OK ? code : disk.real->xAccess(disk.real, path, flags, ret);
}

void weak_disk_install(void)
{
	disk.real = sqlite3_vfs_find(NULL);
	disk.vfs = *disk.real; /* what is not of files stays the real one's, with its own data */
	disk.vfs.zName = "weak disk";
	disk.vfs.szOsFile = (int)sizeof(struct weak_file) + disk.real->szOsFile;
	disk.vfs.xOpen = disk_open;
	disk.vfs.xDelete = disk_delete;
	disk.vfs.xAccess = disk_access;
	disk.holdings = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, free_holding);
	sqlite3_vfs_register(&disk.vfs, 1);
}
