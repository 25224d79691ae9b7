/* batch: the batch/1 file: many staffs of one calibre, as variants of one job.
 *
 * A variant is one choice of a value for each line of `vary`; the last line changes fastest. It is
 * named by its values. Lengths [mm]. Ownership: lives in the context. Statuses: SW_INPUT,
 * SW_UNREADABLE, SW_MEMORY.
 */
#ifndef SW_BATCH_BATCH_H
#define SW_BATCH_BATCH_H

#include "spec/table.h"

struct sw_vary {
    struct sw_list sections; /* struct sw_text: all get the same value */
    struct sw_text key;
    struct sw_list values; /* struct sw_number; a range is spread out into them */
    struct sw_number from, to, step;
};

struct sw_batch_bar {
    struct sw_number length, remnant, count;
};

struct sw_batch_forecast {
    struct sw_number wear, height, runout, bending, force_spread, measure, hand, most_runout;
    struct sw_number staffs, seed, bin;
};

struct sw_batch {
    const char *file;
    struct sw_text job; /* seen from the working folder */
    struct sw_list vary, bars;
    struct sw_number quantity, facing, parting, measure_every, sample_every, tool_life;
    struct sw_batch_forecast forecast;
};

extern const struct sw_table sw_batch_table;

enum { SW_BATCH_MOST_VARIANTS = 100000 };

enum sw_status sw_batch_load(struct sw_batch **out, const char *path,
                             struct sw_ctx *ctx) SW_MUST_CHECK;

/** How many variants; 1 when nothing varies. */
size_t sw_batch_n(const struct sw_batch *batch);

/** The name of variant I: a folder's name, different for each. Lives in the context. */
enum sw_status sw_batch_name(const char **out, const struct sw_batch *batch, size_t i,
                             struct sw_ctx *ctx) SW_MUST_CHECK;

/** The staff file of variant I, from the TEXT of the job's own. A section or a key that is not
 *  there is SW_INPUT with a diagnostic. */
enum sw_status sw_batch_staff(struct sw_buf *out, const struct sw_batch *batch, size_t i,
                              const char *name, const char *text, size_t size,
                              struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
