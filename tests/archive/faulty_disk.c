/* A disk that fails on order: loaded before the C library, it counts every call that changes
 * something below one folder, and makes the nth of them fail, or end the process there.
 * Armed by disk_arm(); action > 0 is the errno to fail with, KILL ends before the call,
 * HALF writes half of the bytes first. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <signal.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <sys/types.h>
#include <unistd.h>

enum { KILL = -1, HALF = -2 };
static long nth, count;
static int action;
static char below[PATH_MAX];

void disk_arm(long n, int what, const char *folder) {
    nth = n; action = what; count = 0;
    snprintf(below, sizeof below, "%s", folder);
}
long disk_count(void) { return count; }

static int is_below(const char *path) { return below[0] && strncmp(path, below, strlen(below)) == 0; }
static int fd_is_below(int fd) {
    char link[64], path[PATH_MAX];
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t n = below[0] ? readlink(link, path, sizeof path - 1) : -1;
    if (n < 0) return 0;
    path[n] = 0;
    return is_below(path);
}
static int fails(int inside) {
    if (!inside || ++count != nth) return 0;
    if (action == KILL) kill(getpid(), SIGKILL);
    if (action > 0) { errno = action; return 1; }
    return action == HALF;
}
#define REAL(name) static __typeof__(name) *real; if (!real) real = dlsym(RTLD_NEXT, #name)

#define WRITES(name, type)                                                      \
    ssize_t name(int fd, const void *data, size_t size, type at) {              \
        REAL(name);                                                             \
        if (fails(fd_is_below(fd))) {                                           \
            if (action > 0) return -1;                                          \
            real(fd, data, size / 2, at); kill(getpid(), SIGKILL);              \
        }                                                                       \
        return real(fd, data, size, at);                                        \
    }
WRITES(pwrite, off_t)
WRITES(pwrite64, off64_t)

ssize_t write(int fd, const void *data, size_t size) {
    REAL(write);
    if (fails(fd_is_below(fd))) {
        if (action > 0) return -1;
        real(fd, data, size / 2); kill(getpid(), SIGKILL);
    }
    return real(fd, data, size);
}
#define ON_FD(name)                                                             \
    int name(int fd) {                                                          \
        REAL(name);                                                             \
        if (fails(fd_is_below(fd))) { if (action > 0) return -1; kill(getpid(), SIGKILL); } \
        return real(fd);                                                        \
    }
ON_FD(fsync)
ON_FD(fdatasync)
#define ON_PATH(name, args, call, path)                                         \
    int name args {                                                             \
        REAL(name);                                                             \
        if (fails(is_below(path))) { if (action > 0) return -1; kill(getpid(), SIGKILL); } \
        return real call;                                                       \
    }
ON_PATH(rename, (const char *from, const char *to), (from, to), to)
ON_PATH(link, (const char *from, const char *to), (from, to), to)
ON_PATH(linkat, (int a, const char *from, int b, const char *to, int f), (a, from, b, to, f), to)
ON_PATH(unlink, (const char *path), (path), path)
ON_PATH(mkdir, (const char *path, mode_t mode), (path, mode), path)
int ftruncate64(int fd, off64_t size) {
    REAL(ftruncate64);
    if (fails(fd_is_below(fd))) { if (action > 0) return -1; kill(getpid(), SIGKILL); }
    return real(fd, size);
}
