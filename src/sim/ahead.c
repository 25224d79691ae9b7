#include "sim/ahead.h"

#include <math.h>

/* Chords of an arc are as fine as contacts are [mm]. */
#define SAGITTA SW_WORK_TOUCH
/* Widths below this [mm] are rounding. */
#define NO_WIDTH 1e-9

/* Places along and across a straight move: s with it, n to the left of it. */
struct front {
    struct sw_pt *at; /* z: n, r: s; by growing n, the side that looks along the move */
    size_t n;
};

struct frame {
    struct sw_pt origin, along;
};

static struct sw_pt to_frame(const struct frame *frame, struct sw_pt p, struct sw_pt at)
{
    const double z = p.z + at.z - frame->origin.z, r = p.r + at.r - frame->origin.r;
    const struct sw_pt u = frame->along;
    return (struct sw_pt){-u.r * z + u.z * r, u.z * z + u.r * r};
}

static struct sw_pt from_frame(const struct frame *frame, double n, double s)
{
    const struct sw_pt u = frame->along;
    return (struct sw_pt){frame->origin.z - u.r * n + u.z * s, frame->origin.r + u.z * n + u.r * s};
}

static double cross(struct sw_pt a, struct sw_pt b, struct sw_pt c)
{
    return (b.z - a.z) * (c.r - a.r) - (b.r - a.r) * (c.z - a.z);
}

/* The upper chain of a convex polygon that stands at AT, in the frame. */
static enum sw_status make_front(struct front *out, const struct frame *frame,
                                 const struct sw_convex *shape, struct sw_pt at,
                                 struct sw_arena *arena)
{
    struct sw_pt *p = SW_NEW(arena, struct sw_pt, shape->n);
    out->at = SW_NEW(arena, struct sw_pt, shape->n);
    if (p == NULL || out->at == NULL)
        return SW_MEMORY;
    for (size_t i = 0; i < shape->n; i++) {
        const struct sw_pt one = to_frame(frame, shape->at[i], at);
        size_t k = i;
        for (; k > 0 && (p[k - 1].z > one.z || (p[k - 1].z == one.z && p[k - 1].r > one.r)); k--)
            p[k] = p[k - 1];
        p[k] = one;
    }
    out->n = 0;
    for (size_t i = 0; i < shape->n; i++) {
        if (out->n > 0 && p[i].z - out->at[out->n - 1].z <= NO_WIDTH) {
            out->at[out->n - 1].r = fmax(out->at[out->n - 1].r, p[i].r);
            continue;
        }
        while (out->n > 1 && cross(out->at[out->n - 2], out->at[out->n - 1], p[i]) >= 0)
            out->n--;
        out->at[out->n++] = p[i];
    }
    return SW_OK;
}

static double front_at(const struct front *front, double n)
{
    size_t i = 1;
    while (i + 1 < front->n && front->at[i].z < n)
        i++;
    const struct sw_pt a = front->at[i - 1], b = front->at[i];
    return a.r + (n - a.z) / (b.z - a.z) * (b.r - a.r);
}

struct trial {
    const struct sw_region *before;
    struct sw_kernel *kernel;
    struct sw_ctx ctx;
    bool hit;
    struct sw_pt place;
};

/* Try an area; LESS (or NULL) is taken off it first. */
static enum sw_status try_area(struct trial *trial, const struct sw_pt *points, size_t n,
                               const struct sw_region *less)
{
    struct sw_region *area = NULL, *common = NULL, *left = NULL;
    enum sw_status status = sw_region_from_hull(&area, trial->kernel, points, n);
    if (status == SW_OK)
        status = sw_region_both(&common, trial->before, area);
    if (status == SW_OK && less != NULL)
        status = sw_region_minus(&left, common, less);
    const struct sw_region *found = less != NULL ? left : common;
    if (status == SW_OK && !sw_region_is_empty(found)) {
        const struct sw_box box = sw_region_box(found);
        trial->hit = true;
        trial->place = (struct sw_pt){(box.z0 + box.z1) / 2, (box.r0 + box.r1) / 2};
    }
    sw_region_free(left);
    sw_region_free(common);
    sw_region_free(area);
    return status;
}

/* Between N0 and N1 both fronts are straight: try the part where the body leads. */
static enum sw_status try_strip(struct trial *trial, const struct frame *frame, double length,
                                const struct front *edge, const struct front *body, double n0,
                                double n1)
{
    double lead0 = front_at(body, n0) - front_at(edge, n0) - SW_WORK_TOUCH;
    double lead1 = front_at(body, n1) - front_at(edge, n1) - SW_WORK_TOUCH;
    if (lead0 <= 0 && lead1 <= 0)
        return SW_OK;
    const double n = n0 + (n1 - n0) * lead0 / (lead0 - lead1); /* where neither leads */
    if (lead0 < 0)
        n0 = n;
    if (lead1 < 0)
        n1 = n;
    if (n1 - n0 <= SW_WORK_TOUCH)
        return SW_OK;
    const struct sw_pt quad[] = {from_frame(frame, n0, front_at(edge, n0)),
                                 from_frame(frame, n1, front_at(edge, n1)),
                                 from_frame(frame, n1, front_at(body, n1) + length),
                                 from_frame(frame, n0, front_at(body, n0) + length)};
    return try_area(trial, quad, 4, NULL);
}

static enum sw_status try_line(struct trial *trial, const struct sw_convex *edge,
                               const struct sw_sweep *edge_sweep, const struct sw_convex *body,
                               const struct sw_sweep *body_sweep)
{
    const double length = sw_pt_distance(edge_sweep->from, edge_sweep->to);
    if (!(length > NO_WIDTH))
        return SW_OK;
    const struct frame frame = {edge_sweep->from,
                                {(edge_sweep->to.z - edge_sweep->from.z) / length,
                                 (edge_sweep->to.r - edge_sweep->from.r) / length}};
    struct front front[2];
    SW_TRY(make_front(&front[0], &frame, edge, edge_sweep->from, trial->ctx.arena));
    SW_TRY(make_front(&front[1], &frame, body, body_sweep->from, trial->ctx.arena));
    if (front[0].n < 2 || front[1].n < 2)
        return SW_OK;
    const double low = fmax(front[0].at[0].z, front[1].at[0].z);
    const double high = fmin(front[0].at[front[0].n - 1].z, front[1].at[front[1].n - 1].z);
    double n = low;
    while (n < high && !trial->hit) {
        double next = high; /* the nearest corner of either front */
        for (int which = 0; which < 2; which++)
            for (size_t i = 0; i < front[which].n; i++)
                if (front[which].at[i].z > n + NO_WIDTH)
                    next = fmin(next, front[which].at[i].z);
        SW_TRY(try_strip(trial, &frame, length, &front[0], &front[1], n, next));
        n = next;
    }
    return SW_OK;
}

/* *CUT grows by where the edge went. */
static enum sw_status add_swept(struct sw_region **cut, struct trial *trial,
                                const struct sw_convex *swept)
{
    struct sw_region *own = NULL, *all = NULL;
    SW_TRY(sw_region_from_hull(&own, trial->kernel, swept->at, swept->n));
    if (*cut == NULL) {
        *cut = own;
        return SW_OK;
    }
    const enum sw_status status = sw_region_either(&all, *cut, own);
    sw_region_free(own);
    SW_TRY(status);
    sw_region_free(*cut);
    *cut = all;
    return SW_OK;
}

static enum sw_status try_chords(struct trial *trial, struct sw_region **cut,
                                 const struct sw_convex *edge, const struct sw_sweep *edge_sweep,
                                 const struct sw_convex *body, const struct sw_sweep *body_sweep)
{
    struct sw_pt *points[2] = {SW_NEW(trial->ctx.arena, struct sw_pt, sw_convex_sweep_room(edge)),
                               SW_NEW(trial->ctx.arena, struct sw_pt, sw_convex_sweep_room(body))};
    if (points[0] == NULL || points[1] == NULL)
        return SW_MEMORY;
    const size_t n = sw_sweep_n_chords(edge_sweep, SAGITTA);
    for (size_t i = 0; i < n && !trial->hit; i++) {
        const struct sw_convex taken = sw_convex_sweep(
            points[0], edge, sw_sweep_at(edge_sweep, i, n), sw_sweep_at(edge_sweep, i + 1, n));
        SW_TRY(add_swept(cut, trial, &taken));
        const struct sw_convex swept = sw_convex_sweep(
            points[1], body, sw_sweep_at(body_sweep, i, n), sw_sweep_at(body_sweep, i + 1, n));
        SW_TRY(try_area(trial, swept.at, swept.n, *cut));
    }
    return SW_OK;
}

enum sw_status sw_sim_ahead(bool *out, struct sw_pt *place, const struct sw_region *before,
                            const struct sw_convex *edge, const struct sw_sweep *edge_sweep,
                            const struct sw_convex *body, const struct sw_sweep *body_sweep,
                            struct sw_ctx *ctx)
{
    struct trial trial = {.before = before, .ctx = {sw_arena_new(), ctx->diag}};
    struct sw_region *cut = NULL;
    *out = false;
    if (edge->n == 0 || body->n == 0) {
        sw_arena_free(trial.ctx.arena);
        return SW_OK;
    }
    trial.kernel = trial.ctx.arena != NULL ? sw_kernel_new(ctx) : NULL;
    enum sw_status status = SW_MEMORY;
    if (trial.kernel != NULL)
        status = edge_sweep->is_arc ? try_chords(&trial, &cut, edge, edge_sweep, body, body_sweep)
                                    : try_line(&trial, edge, edge_sweep, body, body_sweep);
    sw_region_free(cut);
    sw_kernel_free(trial.kernel);
    sw_arena_free(trial.ctx.arena);
    SW_TRY(status);
    *out = trial.hit;
    if (trial.hit)
        *place = trial.place;
    return SW_OK;
}
