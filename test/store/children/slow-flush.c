/*
 * While the file named by SLOW_FLUSH exists, every flush of a file whose name holds SLOW_NAME takes SLOW_MS longer. Each
 * is written down, a letter a flush: the file's last one (b, l: of record.db, of its log), in the file named by SLOW_TOLD.
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static void slow(int fd) {
  const char *name = getenv("SLOW_NAME"), *flag = getenv("SLOW_FLUSH"), *told = getenv("SLOW_TOLD");
  char link[64], path[4096];
  if (name == NULL || flag == NULL) return;
  snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
  ssize_t length = readlink(link, path, sizeof path - 1);
  if (length <= 0) return;
  path[length] = 0;
  if (strstr(path, name) == NULL) return;
  if (told != NULL) {
    int file = open(told, O_WRONLY | O_CREAT | O_APPEND, 0600);
    if (write(file, path + length - 1, 1) != 1) abort();
    close(file);
  }
  if (access(flag, F_OK) == 0) usleep(1000 * atoi(getenv("SLOW_MS")));
}

int fsync(int fd) {
  static int (*real)(int);
  if (real == NULL) real = (int (*)(int))dlsym(RTLD_NEXT, "fsync");
  slow(fd);
  return real(fd);
}

int fdatasync(int fd) {
  static int (*real)(int);
  if (real == NULL) real = (int (*)(int))dlsym(RTLD_NEXT, "fdatasync");
  slow(fd);
  return real(fd);
}
