/* While the file named by FAIL_FLUSH exists, every flush to disk fails as a dying disk's would. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <stdlib.h>
#include <unistd.h>

static int failing(void) {
  const char *flag = getenv("FAIL_FLUSH");
  return flag != NULL && access(flag, F_OK) == 0;
}

int fsync(int fd) {
  static int (*real)(int);
  if (real == NULL) real = (int (*)(int))dlsym(RTLD_NEXT, "fsync");
  if (failing()) { errno = EIO; return -1; }
  return real(fd);
}

int fdatasync(int fd) {
  static int (*real)(int);
  if (real == NULL) real = (int (*)(int))dlsym(RTLD_NEXT, "fdatasync");
  if (failing()) { errno = EIO; return -1; }
  return real(fd);
}
