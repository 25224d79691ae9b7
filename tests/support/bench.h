/* bench: a sample job loaded up to its plan, for tests of what makes and judges programs. */
#ifndef SW_TESTS_SUPPORT_BENCH_H
#define SW_TESTS_SUPPORT_BENCH_H

#include "plan/plan.h"
#include "support/near.h"

struct sw_bench {
    struct sw_ctx ctx;
    struct sw_job *job;
    struct sw_staff *staff;
    struct sw_shop *shop;
    const struct sw_post *post;
    struct sw_shape *shape;
    struct sw_plan *plan;
};

/** Load samples/NAME/job.yaml with its shop and dialect; everything but shape and plan. */
void sw_bench_load(struct sw_bench *bench, const char *name);

/** Likewise another job of that folder. */
void sw_bench_load_job(struct sw_bench *bench, const char *name, const char *file);

/** Build shape and plan from what is loaded (and perhaps changed by the test). */
enum sw_status sw_bench_plan(struct sw_bench *bench);

void sw_bench_free(struct sw_bench *bench);

#endif
