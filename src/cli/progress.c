#include "cli/progress.h"

#include <stdio.h>

struct timespec sw_progress_begin(void)
{
    struct timespec now = {0};
    clock_gettime(CLOCK_MONOTONIC, &now);
    return now;
}

void sw_progress_show(size_t done, size_t all, const char *of, void *user)
{
    struct timespec *began = user;
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    const double spent =
        (double)(now.tv_sec - began->tv_sec) + 1e-9 * (double)(now.tv_nsec - began->tv_nsec);
    fprintf(stderr, "\r%zu of %zu %s, %.0f s left %s", done, all, of,
            spent / (double)done * (double)(all - done), done == all ? "\n" : "");
    if (done == all)
        *began = now;
}
