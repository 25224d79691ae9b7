/* Where the front of a tool stands in metal. */
#include <math.h>

#include "geom/tol.h"
#include "plan/engage_int.h"

static const double pi = 3.14159265358979323846;
/* The front of the nose in so many points, each flank in so many more; where metal begins between
 * two of them is found by halving. */
enum { NOSE_POINTS = 24, FLANK_POINTS = 8, HALVINGS = 7 };
/* A flank may stand in metal as far beyond the nose as a cut is deep, and so many nose radii more.
 */
static const double flank_noses = 4;
/* Faces of zones further in may stand this much further out than the stock's record says [mm]. */
static const double stands_out = 0.05;

static double dot(struct sw_pt a, struct sw_pt b)
{
    return a.z * b.z + a.r * b.r;
}

/* ---- what stands ---- */

/* Whether V, seen from the nose centre, lies in the cutting part: within the nose, or between the
 * flanks, which are taken as long as they need be. */
static bool is_in_tool(const struct sw_tool *tool, struct sw_pt v)
{
    const double nose = tool->nose_radius.value;
    double low, high;
    if (dot(v, v) < nose * nose)
        return true;
    if (tool->kind.value == SW_TOOL_BLADE)
        return false;
    sw_tool_flanks(&low, &high, tool);
    const struct sw_pt n_low = {cos(low - pi / 2), sin(low - pi / 2)},
                       n_high = {cos(high + pi / 2), sin(high + pi / 2)};
    const double middle = (low + high) / 2;
    const bool is_ahead = v.z * cos(middle) + v.r * sin(middle) > 0;
    return is_ahead && dot(v, n_low) < nose && dot(v, n_high) < nose;
}

static bool is_taken_by(const struct sw_past *past, struct sw_pt p)
{
    if (p.r < past->box.r0 - past->tool->nose_radius.value)
        return false;
    const struct sw_pt near = sw_seg_at(&past->seg, sw_seg_nearest(&past->seg, p, NULL));
    const struct sw_pt at[] = {near, past->seg.a, past->seg.b};
    for (size_t i = 0; i < sizeof at / sizeof *at; i++)
        if (is_in_tool(past->tool, (struct sw_pt){p.z - at[i].z, p.r - at[i].r}))
            return true;
    return false;
}

bool sw_engage_stands(const struct sw_engage *e, struct sw_pt p)
{
    double r = 0, here = 0, inwards = 0;
    /* nearer the holder than its record begins the stock is the rod, or what is gripped */
    if (p.z < e->z_record + stands_out)
        r = e->r_behind;
    (void)sw_contour_r_at(&here, e->before, p.z);
    (void)sw_contour_r_at(&inwards, e->before, p.z - stands_out);
    if (p.r < 0 || p.r >= fmax(r, fmax(here, inwards)))
        return false;
    for (size_t i = e->past.n; i-- > 0;)
        if (is_taken_by(&e->past.at[i], p))
            return false;
    return true;
}

/* ---- what a place takes ---- */

/* The front of the tool, walked from one side to the other: along a flank that goes ahead, round
 * the nose, along the other flank. */
struct front {
    const struct sw_engage *e;
    const struct sw_place *at;
    double middle, half; /* of the nose's part: where it looks, half its opening [rad] */
    double ahead;        /* the way [rad] */
};

/* Parts of it by a parameter that grows with `across`. */
enum part { NOSE, LOW_FLANK, HIGH_FLANK };

static struct sw_pt front_point(double *across, const struct front *f, enum part part, double t)
{
    const struct sw_tool *tool = f->e->op->tool;
    const double nose = tool->nose_radius.value;
    const double flank = tool->most_depth.value + flank_noses * nose;
    struct sw_pt v;
    if (part == NOSE) {
        const double angle = f->ahead + asin(t);
        v = (struct sw_pt){nose * cos(angle), nose * sin(angle)};
    } else {
        const double along = part == LOW_FLANK ? f->e->low : f->e->high;
        const double normal = part == LOW_FLANK ? along - pi / 2 : along + pi / 2;
        v = (struct sw_pt){nose * cos(normal) + t * flank * cos(along),
                           nose * sin(normal) + t * flank * sin(along)};
    }
    *across = dot(v, (struct sw_pt){-f->at->way.r, f->at->way.z});
    return (struct sw_pt){f->at->centre.z + v.z, f->at->centre.r + v.r};
}

static bool is_met(const struct front *f, enum part part, double t)
{
    double across;
    const struct sw_pt p = front_point(&across, f, part, t);
    if (part == NOSE && fabs(remainder(f->ahead + asin(t) - f->middle, 2 * pi)) > f->half)
        return false; /* where the flanks begin the nose ends */
    return sw_engage_stands(f->e, p);
}

/* Along the front from T0 to T1: how much of it, square to the way, stands in metal. */
static void walk(struct sw_taken *taken, const struct front *f, enum part part, double t0,
                 double t1, int n)
{
    bool was = false;
    double from = t0, before = t0;
    for (int i = 0; i <= n; i++) {
        /* closer towards the ends, where shallow cuts are */
        const double here = i < n ? t0 + (t1 - t0) * (1 - cos(pi * (i + 0.5) / n)) / 2 : t1;
        const bool is = i < n && is_met(f, part, here);
        if (is != was) {
            double low = before, high = here;
            for (int k = 0; k < HALVINGS; k++) {
                const double middle = (low + high) / 2;
                *(is_met(f, part, middle) == was ? &low : &high) = middle;
            }
            const double edge = i < n || is_met(f, part, t1) != was ? (low + high) / 2 : t1;
            if (is) {
                from = edge;
            } else {
                double a, b;
                (void)front_point(&a, f, part, from);
                (void)front_point(&b, f, part, edge);
                taken->depth += fabs(b - a);
                taken->from = fmin(taken->from, fmin(a, b));
                taken->to = fmax(taken->to, fmax(a, b));
            }
        }
        was = is;
        before = here;
    }
}

struct sw_taken sw_engage_taken(const struct sw_engage *e, const struct sw_place *at)
{
    const struct front f = {.e = e,
                            .at = at,
                            .middle = (e->low + e->high) / 2 + pi,
                            .half = pi / 2 - (e->high - e->low) / 2,
                            .ahead = atan2(at->way.r, at->way.z)};
    struct sw_taken taken = {0, HUGE_VAL, -HUGE_VAL};
    walk(&taken, &f, NOSE, -1, 1, NOSE_POINTS);
    for (enum part flank = LOW_FLANK; flank <= HIGH_FLANK; flank++) {
        const double normal = flank == LOW_FLANK ? e->low - pi / 2 : e->high + pi / 2;
        if (cos(normal - f.ahead) > SW_TOL_SLIVER)
            walk(&taken, &f, flank, 0, 1, FLANK_POINTS);
    }
    return taken;
}
