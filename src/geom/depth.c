/* The point of a line that is farthest from a chain, by halving and bounding. */
#include <math.h>

#include "geom/geom_int.h"

/* One end of a stretch of the line, and what is nearest there. */
struct place {
    struct sw_pt at;
    double distance;
    size_t seg;
};

struct stretch {
    struct place a, b;
};

static struct place place_at(const struct sw_contour *chain, struct sw_pt at)
{
    struct place place = {.at = at};
    place.distance = sw_contour_distance(chain, at, &place.seg);
    return place;
}

/* No point of the stretch is farther from SEG, hence from the chain, than this. The distance from
 * a straight line is convex, so an end has the largest. From an arc it is not; but the way from
 * the feet of both ends along their chord is, and the arc is no farther from its chord than
 * R angle^2 / 8. */
static double bound_by_seg(const struct sw_seg *seg, const struct stretch *stretch)
{
    double da, db;
    const double ta = sw_seg_nearest(seg, stretch->a.at, &da);
    const double tb = sw_seg_nearest(seg, stretch->b.at, &db);
    const double angle = (tb - ta) * sw_seg_sweep(seg);
    return fmax(da, db) + sw_seg_radius(seg) * angle * angle / 8;
}

static double bound_of(const struct sw_contour *chain, const struct stretch *stretch)
{
    const struct place *a = &stretch->a, *b = &stretch->b;
    /* A distance changes by at most the way gone. */
    const double by_way = (a->distance + b->distance + sw_pt_distance(a->at, b->at)) / 2;
    const double by_a = bound_by_seg(&chain->at[a->seg], stretch);
    return fmin(by_way,
                a->seg == b->seg ? by_a : fmin(by_a, bound_by_seg(&chain->at[b->seg], stretch)));
}

double sw_geom_line_depth(const struct sw_contour *chain, struct sw_pt a, struct sw_pt b,
                          double best)
{
    /* One stretch waits for each halving; 64 of them would be shorter than rounding. */
    enum { LEVELS = 64 };
    struct stretch wait[LEVELS + 1];
    size_t n = 0;
    wait[n++] = (struct stretch){place_at(chain, a), place_at(chain, b)};
    best = fmax(best, fmax(wait[0].a.distance, wait[0].b.distance));
    while (n > 0) {
        const struct stretch here = wait[--n];
        if (bound_of(chain, &here) <= best + SW_TOL_DEPTH || n + 2 > LEVELS)
            continue;
        const struct place mid =
            place_at(chain, sw_geom_times(sw_geom_plus(here.a.at, here.b.at), 0.5));
        best = fmax(best, mid.distance);
        wait[n++] = (struct stretch){here.a, mid};
        wait[n++] = (struct stretch){mid, here.b};
    }
    return best;
}
