/*
 * Moves the clocks of a process by what the file named by CLOCK_OFF holds: two 64-bit numbers, by how many ms the wall
 * clock is off and by how many the clock since boot; the monotonic one is left alone, as over a sleep on Linux.
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <fcntl.h>
#include <stdint.h>
#include <stdlib.h>
#include <sys/mman.h>
#include <sys/time.h>
#include <time.h>
#include <unistd.h>

static volatile const int64_t *off = NULL;

static void __attribute__((constructor)) map(void) {
  const char *name = getenv("CLOCK_OFF");
  int fd = name == NULL ? -1 : open(name, O_RDONLY);
  void *at = fd < 0 ? MAP_FAILED : mmap(NULL, 2 * sizeof(int64_t), PROT_READ, MAP_SHARED, fd, 0);
  if (at != MAP_FAILED) off = at;
  if (fd >= 0) close(fd);
}

static int64_t off_ms(clockid_t clock) {
  if (off == NULL) return 0;
  if (clock == CLOCK_REALTIME || clock == CLOCK_REALTIME_COARSE) return off[0];
  return clock == CLOCK_BOOTTIME ? off[1] : 0;
}

int clock_gettime(clockid_t clock, struct timespec *now) {
  static int (*real)(clockid_t, struct timespec *);
  if (real == NULL) real = (int (*)(clockid_t, struct timespec *))dlsym(RTLD_NEXT, "clock_gettime");
  int result = real(clock, now);
  int64_t ms = result == 0 ? off_ms(clock) : 0;
  now->tv_sec += ms / 1000;
  return result;
}

int gettimeofday(struct timeval *restrict now, void *restrict zone) {
  static int (*real)(struct timeval *, void *);
  if (real == NULL) real = (int (*)(struct timeval *, void *))dlsym(RTLD_NEXT, "gettimeofday");
  int result = real(now, zone);
  if (result == 0) now->tv_sec += off_ms(CLOCK_REALTIME) / 1000;
  return result;
}
