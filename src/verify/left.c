/* What one chucking leaves, as a turner measures it: points of its outline from the free end to the
 * nose of the holder. */
#include <math.h>

#include "geom/tol.h"
#include "verify/judge.h"

/* Arcs come as many chords; a table keeps the points that a gauge could tell apart [mm]. */
static const double apart = 0.002;
/* Points a straight piece may pass over: bounds the work on outlines of very many points. */
enum { MOST_PASSED = 256 };

static const struct sw_ring *longest(const struct sw_rings *rings)
{
    const struct sw_ring *found = NULL;
    double length = 0;
    for (size_t i = 0; i < rings->n; i++) {
        double low = HUGE_VAL, high = -HUGE_VAL;
        for (size_t k = 0; k < rings->at[i].n; k++) {
            low = fmin(low, rings->at[i].at[k].z);
            high = fmax(high, rings->at[i].at[k].z);
        }
        if (!rings->at[i].is_hole && high - low > length) {
            length = high - low;
            found = &rings->at[i];
        }
    }
    return found;
}

/* Where the outline leaves the axis: the point behind the ring's long side on it. */
static size_t start_of(const struct sw_ring *ring, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (ring->at[i].r <= SW_TOL_POINT && ring->at[(i + n - 1) % n].r <= SW_TOL_POINT)
            return i;
    return 0;
}

/* The outline from the largest z to the nose; N gets how many points there are. */
static void unroll(struct sw_pt *to, size_t *n_to, const struct sw_ring *ring,
                   const struct sw_sim_side *side)
{
    const size_t n = ring->n - 1; /* the last is the first */
    const size_t start = start_of(ring, n);
    const double nose = side->setup->nose_z.value;
    for (size_t i = 0; i < n; i++) {
        const struct sw_pt p = ring->at[(start + i) % n];
        to[i] = (struct sw_pt){side->to_part_sign * (p.z - side->to_part_shift), p.r};
    }
    if (to[0].z < to[n - 1].z)
        for (size_t i = 0; i < n / 2; i++) {
            const struct sw_pt swapped = to[i];
            to[i] = to[n - 1 - i];
            to[n - 1 - i] = swapped;
        }
    *n_to = n;
    for (size_t i = 0; i < n; i++) {
        if (to[i].z >= nose)
            continue;
        if (i > 0) {
            const double share = (to[i - 1].z - nose) / (to[i - 1].z - to[i].z);
            to[i] = (struct sw_pt){nose, to[i - 1].r + share * (to[i].r - to[i - 1].r)};
        }
        *n_to = i > 0 ? i + 1 : 0;
        return;
    }
}

static bool lies_between(const struct sw_pt *at, size_t from, size_t to)
{
    const double dz = at[to].z - at[from].z, dr = at[to].r - at[from].r, length = hypot(dz, dr);
    for (size_t i = from + 1; i < to; i++) {
        const double z = at[i].z - at[from].z, r = at[i].r - at[from].r;
        const double along = length > 0 ? (z * dz + r * dr) / length : 0;
        const double across = length > 0 ? fabs(z * dr - r * dz) / length : hypot(z, r);
        if (across > apart || along < -apart || along > length + apart)
            return false;
    }
    return true;
}

enum sw_status sw_judge_left(struct sw_judge *judge)
{
    struct sw_verdict *verdict = judge->verdict;
    const struct sw_ring *ring = longest(&verdict->left[SW_WORK_MOST]);
    if (judge->sim->n_sides != 1 || ring == NULL || ring->n < 3)
        return SW_OK;
    struct sw_pt *at = SW_NEW(judge->ctx->arena, struct sw_pt, ring->n);
    if (at == NULL)
        return SW_MEMORY;
    size_t n, from = 0;
    unroll(at, &n, ring, &judge->sim->side[0]);
    /* What is still held reaches into the holder: it has no length of its own. */
    if (n > 0 && at[n - 1].z <= judge->sim->side[0].setup->nose_z.value + SW_TOL_POINT)
        verdict->length_least_mm = verdict->length_most_mm = (double)NAN;
    while (from < n) {
        if (!SW_VEC_PUSH(judge->ctx->arena, &verdict->outline, at[from]))
            return SW_MEMORY;
        size_t to = from + 1;
        while (to + 1 < n && to - from < MOST_PASSED && lies_between(at, from, to + 1))
            to++;
        from = to;
    }
    return SW_OK;
}
