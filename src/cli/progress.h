/* progress: how far a long run is, on a terminal only; the one place that looks at a clock. No
 * result depends on it. No statuses.
 */
#ifndef SW_CLI_PROGRESS_H
#define SW_CLI_PROGRESS_H

#include <stddef.h>
#include <time.h>

struct timespec sw_progress_begin(void);

/** Rewrite the line on stderr; USER is the struct timespec of the beginning, and gets that of the next
 *  work when this one is done. */
void sw_progress_show(size_t done, size_t all, const char *of, void *user);

#endif
