/* plain: cutting as a user of an overlay library would write it: one polygon for all of the work,
 * and for every chord of every move the convex hull of the tool at both ends taken off it.
 *
 * Slow and simple: the third opinion when two removal kernels differ, and what benchmarks are
 * measured against. Frame and units as in sim/work.h.
 */
#ifndef SW_TESTS_SUPPORT_PLAIN_H
#define SW_TESTS_SUPPORT_PLAIN_H

#include "sim/work.h"

struct sw_plain {
    struct sw_ctx *ctx;
    struct sw_kernel *kernel;
    struct sw_region *left;
    double chord;          /* of the tool [mm] */
    double sagitta;        /* of arcs of the path [mm] */
    int side;              /* -1: drawn too large, +1: too small */
    struct sw_convex tool; /* along lines */
};

enum sw_status sw_plain_init(struct sw_plain *plain, const struct sw_contour *tool,
                             struct sw_box rod, double chord, double sagitta, int side,
                             struct sw_ctx *ctx);
enum sw_status sw_plain_cut(struct sw_plain *plain, const struct sw_sweep *sweep);
void sw_plain_done(struct sw_plain *plain);

#endif
