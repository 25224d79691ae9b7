#include "post/grid.h"

#include <math.h>

#include "geom/tol.h"

static double power_of_ten(int decimals)
{
    double power = 1;
    for (int i = 0; i < decimals; i++)
        power *= 10;
    return power;
}

static long long count_of(double value, int decimals)
{
    return llround(value * power_of_ten(decimals));
}

double sw_post_written(long long count, int decimals)
{
    return (double)count / power_of_ten(decimals);
}

struct sw_post_pt sw_post_round(const struct sw_post_grid *grid, struct sw_pt exact)
{
    return (struct sw_post_pt){count_of(exact.r * grid->x_factor, grid->x_decimals),
                               count_of(exact.z, grid->z_decimals)};
}

struct sw_pt sw_post_exact(const struct sw_post_grid *grid, struct sw_post_pt at)
{
    return (struct sw_pt){.z = sw_post_written(at.z, grid->z_decimals),
                          .r = sw_post_written(at.x, grid->x_decimals) / grid->x_factor};
}

bool sw_post_same(struct sw_post_pt a, struct sw_post_pt b)
{
    return a.x == b.x && a.z == b.z;
}

/* How far an arc rises over its chord. */
static double rise_of(const struct sw_seg *arc)
{
    return sw_seg_radius(arc) * (1 - cos(sw_seg_sweep(arc) / 2));
}

/* The end points do not tell which way round a badly rounded arc goes: its middle does, and a
 * wrong way round is off by a diameter. */
static double off_path(const struct sw_seg *asked, const struct sw_seg *written)
{
    return sw_pt_distance(sw_seg_at(asked, 0.5), sw_seg_at(written, 0.5));
}

/* What is left for an arc that cannot be written as one. */
static enum sw_post_arc_kind instead(const struct sw_seg *arc, struct sw_post_pt from,
                                     struct sw_post_pt to)
{
    if (rise_of(arc) > SW_POST_FLAT_ARC)
        return SW_POST_ARC_REFUSED;
    return sw_post_same(from, to) ? SW_POST_ARC_NOTHING : SW_POST_ARC_LINE;
}

static bool is_good(const struct sw_post_arc *arc)
{
    return arc->mismatch <= SW_POST_MOST_MISMATCH && arc->off_path <= SW_POST_MOST_OFF_PATH;
}

/* Good before bad; then the lesser mismatch; then the lesser way off the path. Among equals (to
 * rounding, which may differ between C libraries) the first stays, so that the order of the search
 * decides and the bytes are the same everywhere. */
static bool is_better(const struct sw_post_arc *a, const struct sw_post_arc *b)
{
    if (is_good(a) != is_good(b))
        return is_good(a);
    if (fabs(a->mismatch - b->mismatch) > SW_TOL_POINT)
        return a->mismatch < b->mismatch;
    return a->off_path < b->off_path - SW_TOL_POINT;
}

struct sw_post_arc sw_post_arc_by_centre(const struct sw_post_grid *grid, const struct sw_seg *arc,
                                         struct sw_post_pt from, struct sw_post_pt to)
{
    const struct sw_pt a = sw_post_exact(grid, from), b = sw_post_exact(grid, to);
    const double i_exact = (arc->c.r - a.r) * grid->centre_factor, k_exact = arc->c.z - a.z;
    const long long i = count_of(i_exact, grid->centre_decimals);
    const long long k = count_of(k_exact, grid->centre_decimals);
    struct sw_post_arc best = {.kind = instead(arc, from, to), .mismatch = HUGE_VAL};
    if (sw_post_same(from, to)) /* I and K would make a full turn of it */
        return best;
    for (int step = 0; step < 9; step++) {
        static const int order[3] = {0, -1, 1};
        struct sw_post_arc next = {
            .kind = SW_POST_ARC_WRITTEN, .i = i + order[step / 3], .k = k + order[step % 3]};
        const struct sw_pt centre = {.z = a.z + sw_post_written(next.k, grid->centre_decimals),
                                     .r = a.r + sw_post_written(next.i, grid->centre_decimals) /
                                                    grid->centre_factor};
        const struct sw_seg written = sw_seg_arc(a, b, centre, arc->turn, SW_TAG_NONE);
        next.mismatch = fabs(sw_pt_distance(a, centre) - sw_pt_distance(b, centre));
        next.off_path = off_path(arc, &written);
        if (step == 0 || is_better(&next, &best))
            best = next;
    }
    if (!is_good(&best))
        best.kind = instead(arc, from, to);
    return best;
}

/* Centre of the arc of less than half a turn from A to B. False: the chord is longer than 2 R. */
static bool centre_by_radius(struct sw_pt *centre, struct sw_pt a, struct sw_pt b, double radius,
                             int turn)
{
    const double chord = sw_pt_distance(a, b);
    const double square = radius * radius - chord * chord / 4;
    if (square < 0 || radius <= 0)
        return false;
    /* Going round by +1 the centre of a short arc lies to the left of the chord. */
    const double side = turn * sqrt(square) / chord;
    *centre = (struct sw_pt){.z = (a.z + b.z) / 2 - side * (b.r - a.r),
                             .r = (a.r + b.r) / 2 + side * (b.z - a.z)};
    return true;
}

struct sw_post_arc sw_post_arc_by_radius(const struct sw_post_grid *grid, const struct sw_seg *arc,
                                         struct sw_post_pt from, struct sw_post_pt to)
{
    const struct sw_pt a = sw_post_exact(grid, from), b = sw_post_exact(grid, to);
    const long long radius = count_of(sw_seg_radius(arc), grid->centre_decimals);
    struct sw_post_arc best = {.kind = instead(arc, from, to), .off_path = HUGE_VAL};
    if (sw_post_same(from, to)) /* the standard refuses it */
        return best;
    for (int step = 0; step < 3; step++) {
        static const int order[3] = {0, -1, 1};
        struct sw_post_arc next = {.kind = SW_POST_ARC_WRITTEN, .radius = radius + order[step]};
        struct sw_pt centre;
        if (!centre_by_radius(&centre, a, b, sw_post_written(next.radius, grid->centre_decimals),
                              arc->turn))
            continue;
        const struct sw_seg written = sw_seg_arc(a, b, centre, arc->turn, SW_TAG_NONE);
        next.off_path = off_path(arc, &written);
        if (isinf(best.off_path) || is_better(&next, &best))
            best = next;
    }
    if (!is_good(&best))
        best.kind = instead(arc, from, to);
    return best;
}
