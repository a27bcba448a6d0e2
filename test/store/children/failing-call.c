/*
 * From the FAIL_AT-th call on (counted over writes and flushes of files whose name holds FAIL_NAME) the disk fails as a
 * dying one would: with FAIL_TIMES calls failing, then working again; 0: for ever. FAIL_WHAT is flush, write or both;
 * with kill the process dies before that call instead, and renaming and removing files are calls too.
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/types.h>
#include <unistd.h>

static long calls = 0;

static void count_to_death(void) {
  const char *at = getenv("FAIL_AT");
  if (at != NULL && ++calls == atol(at)) kill(getpid(), SIGKILL);
}

static int kills(void) {
  const char *what = getenv("FAIL_WHAT");
  return what != NULL && strcmp(what, "kill") == 0;
}

static int concerns(int fd) {
  const char *name = getenv("FAIL_NAME");
  char link[64], path[4096];
  ssize_t length;
  if (name == NULL) return 0;
  snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
  length = readlink(link, path, sizeof path - 1);
  if (length <= 0) return 0;
  path[length] = 0;
  return strstr(path, name) != NULL;
}

static int fails(int fd, const char *kind) {
  const char *what = getenv("FAIL_WHAT");
  const char *at = getenv("FAIL_AT");
  const char *times = getenv("FAIL_TIMES");
  if (at == NULL || what == NULL || !concerns(fd)) return 0;
  if (kills()) {
    count_to_death();
    return 0;
  }
  if (strcmp(what, "both") != 0 && strcmp(what, kind) != 0) return 0;
  calls++;
  if (calls < atol(at)) return 0;
  if (times != NULL && atol(times) > 0 && calls >= atol(at) + atol(times)) return 0;
  errno = EIO;
  return 1;
}

int fsync(int fd) {
  static int (*real)(int);
  if (real == NULL) real = (int (*)(int))dlsym(RTLD_NEXT, "fsync");
  return fails(fd, "flush") ? -1 : real(fd);
}

int fdatasync(int fd) {
  static int (*real)(int);
  if (real == NULL) real = (int (*)(int))dlsym(RTLD_NEXT, "fdatasync");
  return fails(fd, "flush") ? -1 : real(fd);
}

ssize_t pwrite64(int fd, const void *bytes, size_t count, off64_t at) {
  static ssize_t (*real)(int, const void *, size_t, off64_t);
  if (real == NULL) real = (ssize_t (*)(int, const void *, size_t, off64_t))dlsym(RTLD_NEXT, "pwrite64");
  return fails(fd, "write") ? -1 : real(fd, bytes, count, at);
}

ssize_t pwrite(int fd, const void *bytes, size_t count, off_t at) {
  static ssize_t (*real)(int, const void *, size_t, off_t);
  if (real == NULL) real = (ssize_t (*)(int, const void *, size_t, off_t))dlsym(RTLD_NEXT, "pwrite");
  return fails(fd, "write") ? -1 : real(fd, bytes, count, at);
}

int rename(const char *from, const char *to) {
  static int (*real)(const char *, const char *);
  const char *name = getenv("FAIL_NAME");
  if (real == NULL) real = (int (*)(const char *, const char *))dlsym(RTLD_NEXT, "rename");
  if (kills() && name != NULL && strstr(to, name) != NULL) count_to_death();
  return real(from, to);
}

int unlink(const char *path) {
  static int (*real)(const char *);
  const char *name = getenv("FAIL_NAME");
  if (real == NULL) real = (int (*)(const char *))dlsym(RTLD_NEXT, "unlink");
  if (kills() && name != NULL && strstr(path, name) != NULL) count_to_death();
  return real(path);
}
