/* lengths: from gauged lengths to how far each tool stands off along the axis.
 *
 * A face that a tool makes is off by what the tool is off along Z. A length knows only the
 * difference of its two faces, so one face has to count as right: the one the piece rests on when
 * its second side is cut. Everything on the first side is counted from the tool that made it (a
 * shift of all tools there only wastes rod), everything on the second from the nose face it rests
 * on. A tool that no chain of readings joins to that face cannot be told, and is not guessed.
 * Lengths mm; part frame in, offsets in the chucking frame (> 0: away from the headstock).
 * Plain numbers; no allocation, no statuses.
 * Source: weighted least squares and its variances as in reckon.h; which unknowns a set of
 * differences decides is whether a graph hangs together (derived).
 */
#ifndef SW_GAUGE_LENGTHS_H
#define SW_GAUGE_LENGTHS_H

#include "gauge/reckon.h"

/** The most tools of both sides together. */
enum { SW_GAUGE_MOST_TOOLS = 24 };

/** One length: the later face less the earlier one, in z of the part. */
struct sw_gauge_span {
    size_t from, to;         /* tools of its faces; z(to) > z(from) */
    double from_way, to_way; /* z of the part = way * z of the chucking + ... : 1 or -1 */
    double error;            /* found less expected */
    double u;                /* of the error, > 0 */
};

struct sw_gauge_z {
    bool is_known;
    struct sw_gauge_value offset;
    size_t n; /* lengths that have a face of it */
};

/** Reckon N_TOOLS from N spans; tool REFERENCE counts as right. *TOOL gets N_TOOLS. */
void sw_gauge_z(struct sw_gauge_z *tool, size_t n_tools, size_t reference,
                const struct sw_gauge_span *span, size_t n);

#endif
