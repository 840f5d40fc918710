/* A disk that tells what is asked of it, and that can refuse.

Loaded before the C library (LD_PRELOAD). Of everything below the folder in DISK_FOLDER it writes each call that
changes something, in the order in which they were made, to the file in DISK_LOG; and from a chosen call on it can
answer with an error, as a full or broken disk does.

A line of the log: the kind of call, numbers, names; then as many bytes as the line said, and a line end.
*/
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <pthread.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/types.h>
#include <unistd.h>

static pthread_mutex_t turn = PTHREAD_MUTEX_INITIALIZER;
static char folder[PATH_MAX];
static int log_handle = -1;
static long calls, refuse_from = -1, refuse_until = -1;
static int refuse_with;

#define REAL(name, type) static type real; if (!real) real = (type)dlsym(RTLD_NEXT, name)

void disk_watch(const char *path, const char *log) {
    pthread_mutex_lock(&turn);
    if (log_handle >= 0) syscall(SYS_close, log_handle);
    log_handle = log && *log ? (int)syscall(SYS_openat, AT_FDCWD, log, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600) : -1;
    snprintf(folder, sizeof folder, "%s", path);
    calls = 0;
    pthread_mutex_unlock(&turn);
}

/* Let the calls from the given one on fail, `many` of them (-1: all that come). */
void disk_refuse(long from, long many, int with) {
    pthread_mutex_lock(&turn);
    calls = 0;
    refuse_from = from;
    refuse_until = many < 0 ? LONG_MAX : from + many;
    refuse_with = with;
    pthread_mutex_unlock(&turn);
}

long disk_calls(void) { return calls; }

static int inside(const char *path) {
    size_t length = strlen(folder);
    return length && strncmp(path, folder, length) == 0 && (path[length] == '/' || !path[length]);
}

static int absolute(const char *path, char *out) {
    if (path[0] == '/') { snprintf(out, PATH_MAX, "%s", path); return 1; }
    char here[PATH_MAX];
    if (!getcwd(here, sizeof here)) return 0;
    return snprintf(out, PATH_MAX, "%s/%s", here, path) < PATH_MAX;
}

static int path_of(int handle, char *out) {
    char link[64];
    snprintf(link, sizeof link, "/proc/self/fd/%d", handle);
    ssize_t length = readlink(link, out, PATH_MAX - 1);
    if (length < 0) return 0;
    out[length] = 0;
    return inside(out);
}

static void put(const void *bytes, size_t length) {
    const char *at = bytes;
    while (length) {
        ssize_t done = syscall(SYS_write, log_handle, at, length);
        if (done <= 0) abort();
        at += done;
        length -= (size_t)done;
    }
}

static void tell(const char *kind, long number, long place, const char *one, const char *two, const void *bytes, size_t length) {
    if (log_handle < 0) return;
    char line[3 * PATH_MAX];
    int n = snprintf(line, sizeof line, "%s\t%ld\t%ld\t%zu\t%s\t%s\n", kind, number, place, length, one ? one : "", two ? two : "");
    put(line, (size_t)n);
    if (length) put(bytes, length);
    put("\n", 1);
}

/* What a test says about its own doings, in its place among the calls. */
void disk_note(const char *text) {
    pthread_mutex_lock(&turn);
    tell("note", 0, 0, text, NULL, NULL, 0);
    pthread_mutex_unlock(&turn);
}

static int refused(void) {
    long number = calls++;
    if (number < refuse_from || refuse_from < 0 || number >= refuse_until) return 0;
    errno = refuse_with;
    return 1;
}

static long inode(int handle) {
    struct stat about;
    return fstat(handle, &about) ? -1 : (long)about.st_ino;
}

static int there(const char *path) { struct stat about; return lstat(path, &about) == 0; }

typedef int (*open_type)(int, const char *, int, ...);

static int opening(int at, const char *path, int flags, mode_t mode) {
    REAL("openat64", open_type);
    char whole[PATH_MAX];
    if (at != AT_FDCWD || !(flags & (O_CREAT | O_TRUNC)) || !absolute(path, whole) || !inside(whole))
        return real(at, path, flags, mode);
    pthread_mutex_lock(&turn);
    int is_new = !there(whole), handle = -1;
    if (!(is_new || (flags & O_TRUNC)) || !refused()) {
        handle = real(at, path, flags, mode);
        int why = errno;
        if (handle >= 0 && is_new) tell("create", inode(handle), 0, whole, NULL, NULL, 0);
        else if (handle >= 0 && (flags & O_TRUNC)) tell("cut", inode(handle), 0, whole, NULL, NULL, 0);
        errno = why;
    }
    pthread_mutex_unlock(&turn);
    return handle;
}

static mode_t mode_in(int flags, va_list more) { return flags & (O_CREAT | O_TMPFILE) ? va_arg(more, mode_t) : 0; }

#define OPEN(name) int name(const char *path, int flags, ...) { \
    va_list more; va_start(more, flags); mode_t mode = mode_in(flags, more); va_end(more); \
    return opening(AT_FDCWD, path, flags, mode); }
#define OPENAT(name) int name(int at, const char *path, int flags, ...) { \
    va_list more; va_start(more, flags); mode_t mode = mode_in(flags, more); va_end(more); \
    return opening(at, path, flags, mode); }
OPEN(open) OPEN(open64) OPENAT(openat) OPENAT(openat64)

static ssize_t writing(int handle, const void *bytes, size_t length, off64_t place) {
    char path[PATH_MAX];
    long raw = place < 0 ? SYS_write : SYS_pwrite64;
    if (!length || !path_of(handle, path)) return syscall(raw, handle, bytes, length, place);
    pthread_mutex_lock(&turn);
    long before = calls;
    ssize_t done = -1;
    int no = refused();
    /* A disk that fills up takes the beginning of what is written first. */
    if (no && refuse_with == ENOSPC && before == refuse_from && length > 1) { no = 0; length /= 2; }
    if (!no) {
        off64_t at = place;
        if (at < 0) {
            at = syscall(SYS_lseek, handle, 0, SEEK_CUR);
            if (fcntl(handle, F_GETFL) & O_APPEND) at = syscall(SYS_lseek, handle, 0, SEEK_END);
        }
        done = syscall(raw, handle, bytes, length, place);
        int why = errno;
        if (done > 0) tell("write", inode(handle), at, path, NULL, bytes, (size_t)done);
        errno = why;
    }
    pthread_mutex_unlock(&turn);
    return done;
}

ssize_t write(int handle, const void *bytes, size_t length) { return writing(handle, bytes, length, -1); }
ssize_t pwrite(int handle, const void *bytes, size_t length, off_t place) { return writing(handle, bytes, length, place); }
ssize_t pwrite64(int handle, const void *bytes, size_t length, off64_t place) { return writing(handle, bytes, length, place); }

/* The calls below differ only in how they are made and told. */
#define GUARDED(watched, call, report) \
    if (!(watched)) return (call); \
    pthread_mutex_lock(&turn); \
    int answer = -1; \
    if (!refused()) { answer = (call); int why = errno; if (!answer) { report; } errno = why; } \
    pthread_mutex_unlock(&turn); \
    return answer;

static int cutting(int handle, off64_t length) {
    char path[PATH_MAX];
    GUARDED(path_of(handle, path), (int)syscall(SYS_ftruncate, handle, length),
            tell("cut", inode(handle), length, path, NULL, NULL, 0))
}
int ftruncate(int handle, off_t length) { return cutting(handle, length); }
int ftruncate64(int handle, off64_t length) { return cutting(handle, length); }

static int syncing(int handle, long raw) {
    char path[PATH_MAX];
    GUARDED(path_of(handle, path), (int)syscall(raw, handle), tell("sync", inode(handle), 0, path, NULL, NULL, 0))
}
int fsync(int handle) { return syncing(handle, SYS_fsync); }
int fdatasync(int handle) { return syncing(handle, SYS_fdatasync); }

int rename(const char *from, const char *to) {
    char one[PATH_MAX], two[PATH_MAX];
    GUARDED(absolute(from, one) && absolute(to, two) && (inside(one) || inside(two)),
            (int)syscall(SYS_renameat2, AT_FDCWD, from, AT_FDCWD, to, 0), tell("rename", 0, 0, one, two, NULL, 0))
}

int unlink(const char *path) {
    char whole[PATH_MAX];
    GUARDED(absolute(path, whole) && inside(whole), (int)syscall(SYS_unlinkat, AT_FDCWD, path, 0),
            tell("unlink", 0, 0, whole, NULL, NULL, 0))
}

int mkdir(const char *path, mode_t mode) {
    char whole[PATH_MAX];
    GUARDED(absolute(path, whole) && inside(whole), (int)syscall(SYS_mkdirat, AT_FDCWD, path, mode),
            tell("mkdir", 0, 0, whole, NULL, NULL, 0))
}

int rmdir(const char *path) {
    char whole[PATH_MAX];
    GUARDED(absolute(path, whole) && inside(whole), (int)syscall(SYS_unlinkat, AT_FDCWD, path, AT_REMOVEDIR),
            tell("rmdir", 0, 0, whole, NULL, NULL, 0))
}

/* Ways of changing a file that the log could not tell of: whoever takes one up must teach it to the log first. */
static void unheard_of(int handle, const char *call) {
    char path[PATH_MAX];
    if (path_of(handle, path)) { fprintf(stderr, "%s on %s is not told by the log\n", call, path); abort(); }
}
ssize_t sendfile(int to, int from, off_t *place, size_t length) {
    unheard_of(to, "sendfile");
    return syscall(SYS_sendfile, to, from, place, length);
}
ssize_t sendfile64(int to, int from, off64_t *place, size_t length) {
    unheard_of(to, "sendfile");
    return syscall(SYS_sendfile, to, from, place, length);
}
ssize_t copy_file_range(int from, off64_t *a, int to, off64_t *b, size_t length, unsigned flags) {
    unheard_of(to, "copy_file_range");
    return syscall(SYS_copy_file_range, from, a, to, b, length, flags);
}
