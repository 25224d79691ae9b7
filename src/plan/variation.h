/* variation: one change of a job, its shop or its staff that might let the work bear the cuts.
 *
 * Kinds stand in the order of what they ask of the person: a line of the job first, then what the
 * shop has or can do, then what has to be bought. A stepped one has a value that goes from NOW
 * towards MOST in grid steps; the smallest step that does it is looked for.
 * Lengths mm. Ownership: lists and texts live in the context; what is applied lives in the context
 * of the trial. Statuses: SW_MEMORY; those of sw_shape_build when applied.
 */
#ifndef SW_PLAN_VARIATION_H
#define SW_PLAN_VARIATION_H

#include "plan/advice.h"
#include "plan/trial.h"

enum sw_vary {
    SW_VARY_ORDER,
    SW_VARY_FIRST_SIDE,
    SW_VARY_GRIP,
    SW_VARY_SIZING,
    SW_VARY_DEPTH, /* of the finish cut */
    SW_VARY_BURNISH,
    SW_VARY_STONE,
    SW_VARY_ROD,
    SW_VARY_WITHOUT, /* the shop's other tool takes its place */
    SW_VARY_EDGE,
    SW_VARY_NOSE,
    SW_VARY_AHEAD, /* of the holder that keeps the rod standing out */
    SW_VARY_WIDTH, /* of the blade */
    SW_VARY_TOOL,
    SW_VARY_MATERIAL
};

struct sw_variation {
    enum sw_vary kind;
    size_t tool;                    /* index in the shop's list */
    double now, most, step;         /* stepped: step > 0 */
    double then;                    /* the value taken */
    const char *name;               /* section, tool file or material file, without its suffix */
    const struct sw_tool *is;       /* TOOL */
    const struct sw_material *made; /* MATERIAL */
};

struct sw_variations {
    struct sw_variation *at;
    size_t n;
    size_t cap;
};

/** What gave way. */
struct sw_weak_spot {
    size_t section;
    const struct sw_tool *tool;
    bool is_finish;                  /* the last cut bends it; else it cannot be roughed */
    double rod;                      /* diameter taken now */
    const char *grip;                /* section gripped second; NULL: that does not matter here */
    const struct sw_tool *sets_nose; /* the tool that decides how far the rod stands out, or NULL */
};

/** All that are really different from what is planned now. */
enum sw_status sw_variations_of(struct sw_variations *out, const struct sw_plan_task *task,
                                const struct sw_weak_spot *spot, const struct sw_plan_aids *aids,
                                struct sw_ctx *ctx) SW_MUST_CHECK;

/** How many steps there are; 0: it has none. */
size_t sw_variation_steps(const struct sw_variation *variation);
/** Take the K-th step, 1 the nearest to NOW. */
void sw_variation_take(struct sw_variation *variation, size_t k);

/** The task with N variations made. */
enum sw_status sw_variation_apply(struct sw_plan_task *out, const struct sw_plan_task *task,
                                  const struct sw_variation *variation, size_t n,
                                  struct sw_ctx *ctx) SW_MUST_CHECK;

/** What to write where, from what to what. NULL when out of memory. */
const char *sw_variation_says(const struct sw_variation *variation, const struct sw_plan_task *task,
                              struct sw_ctx *ctx);

#endif
