/* peg: the simplest staff a judge can be tried on: a seat of 1.0 and a hub of 1.6, each 1.5 long,
 * with a shoulder between them, and the moves that turn it on the lathe of the tests.
 */
#ifndef SW_TESTS_SUPPORT_PEG_H
#define SW_TESTS_SUPPORT_PEG_H

#include "shape/shape.h"
#include "support/lathe.h"
#include "verify/verify.h"

struct sw_peg {
    struct sw_section section[2];
    struct sw_height height;
    struct sw_staff staff;
    struct sw_shape_section place[2];
    struct sw_shape shape;
};

/** Tolerances: diameters +-0.005, lengths +-0.01, total +-0.005; corner 0.06. */
void sw_peg_init(struct sw_peg *peg, struct sw_ctx *ctx);

/** What may differ from the right program. */
struct sw_peg_slips {
    double seat_r;     /* added to the radius of the seat */
    double shoulder_z; /* added to the z of the shoulder, chucking frame */
    double hub_r;
};

/** Spindle on; face, turn hub and seat with station 1. */
void sw_peg_turn(struct sw_lathe *lathe, struct sw_peg_slips slips);
/** Part with station 2, draw back, stop. */
void sw_peg_part(struct sw_lathe *lathe);
/** All moves of side 1, ended. */
void sw_peg_program(struct sw_lathe *lathe, struct sw_peg_slips slips);

/** Judge the motions written. SHAPE may be NULL. */
struct sw_verdict *sw_peg_judge(struct sw_lathe *lathe, const struct sw_shape *shape);
/** The finding of a code, or NULL. */
const struct sw_finding *sw_peg_finding(const struct sw_verdict *verdict,
                                        enum sw_finding_code code);
/** The same, but for what is said when there is no shape to compare with. */
void sw_peg_expect_clean_without_shape(const struct sw_verdict *verdict);
/** Fails the test, printing all findings, unless there is none. */
void sw_peg_expect_clean(const struct sw_verdict *verdict);
void sw_peg_print(const struct sw_verdict *verdict);

#endif
