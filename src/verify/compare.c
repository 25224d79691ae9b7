/* What is left against the shape: gouges and left-overs, by section.
 *
 * Gouge = turned shape (chords outside) minus the least that may be left; left over = the most that
 * may be left minus the ceiling (chords inside): both are upper bounds. A point of such a region is
 * off a surface that looks across the axis by so much, and off one that looks along the axis by so
 * much: it is within limits when either is, since a shoulder a few micrometres off its place takes
 * the corner above it along. Across the axis the limit is half the diameter tolerance of the
 * section, along it its length tolerance (the tips: the total's), never less than SW_VERIFY_FLOOR.
 * What is beyond both is told by the nearer surface.
 */
#include <math.h>

#include "geom/tol.h"
#include "verify/judge.h"

/* Edges of a difference are looked at in steps of this [mm]: between two corners the distance to
 * the shape is nearly straight. */
#define STEP 0.02

enum { GOUGE, UNCUT };

struct deepest {
    double share; /* depth as a share of the limit; the largest is kept */
    double depth, limit;
    bool is_axial;
    double at_share;      /* of the place kept: never a corner, so that one move made it */
    struct sw_pt at;      /* on the edge of the work, part frame */
    struct sw_pt nearest; /* on the shape */
};

struct section_worst {
    struct deepest worst[2]; /* gouge, uncut */
};

static enum sw_status region_of(struct sw_region **out, struct sw_kernel *kernel,
                                const struct sw_contour *profile, int side, struct sw_ctx *ctx)
{
    struct sw_pt *points = NULL;
    size_t n = 0;
    SW_TRY(sw_contour_flatten(&points, &n, profile, SW_TOL_CHORD, side, ctx));
    return sw_region_from_points(out, kernel, points, n);
}

/* Does a place belong to the tip of the staff, and not to the inner end of its last section? */
static bool is_tip(const struct sw_shape *shape, size_t index, double z)
{
    const struct sw_shape_section *place = &shape->section[index];
    const double middle = (place->z0 + place->z1) / 2;
    return (index == 0 && z < middle) || (index + 1 == shape->staff->n && z > middle);
}

static double limit_of(const struct sw_judge *judge, size_t index, int kind, bool is_axial,
                       double z)
{
    const struct sw_staff *staff = judge->shape->staff;
    const struct sw_section *section = &staff->section[index];
    if (is_axial) {
        const bool is_end = is_tip(judge->shape, index, z);
        const struct sw_band *band = is_end ? &staff->total_tolerance : &section->length_tolerance;
        return fmax(kind == GOUGE ? -band->lower : band->upper, SW_VERIFY_FLOOR);
    }
    /* the shape stands in the middle of the limits */
    const struct sw_band *band = &section->diameter_tolerance;
    const double middle = sw_section_middle(section);
    const double deviation = kind == GOUGE ? middle - band->lower : band->upper - middle;
    return fmax(deviation / 2, SW_VERIFY_FLOOR);
}

/* The nearest place of the shape that looks across (0) and along (1) the axis. */
struct place {
    double distance;
    struct sw_pt at;
    int tag;
};

static void nearest_places(struct place out[2], const struct sw_contour *contour, struct sw_pt p)
{
    out[0].distance = out[1].distance = HUGE_VAL;
    for (size_t i = 0; i < contour->n; i++) {
        const struct sw_seg *seg = &contour->at[i];
        double distance = HUGE_VAL;
        const double t = sw_seg_nearest(seg, p, &distance);
        const struct sw_pt along = sw_seg_direction(seg, t);
        struct place *place = &out[fabs(along.r) > fabs(along.z)];
        if (distance < place->distance)
            *place = (struct place){distance, sw_seg_at(seg, t), seg->tag};
    }
}

static void keep_worst(struct deepest *worst, const struct deepest *found, bool is_corner)
{
    const double at_share = is_corner ? 0 : found->share;
    if (at_share > worst->at_share || worst->share == 0) {
        worst->at_share = at_share;
        worst->at = found->at;
        worst->nearest = found->nearest;
    }
    if (found->share > worst->share) {
        worst->share = found->share;
        worst->depth = found->depth;
        worst->limit = found->limit;
        worst->is_axial = found->is_axial;
    }
}

/* Within limits by either reading: that reading is kept. Beyond both: the nearer one tells how
 * much material it is about. */
static void look_at(struct section_worst *sections, const struct sw_judge *judge, int kind,
                    const struct sw_contour *contour, struct sw_pt p, bool is_corner)
{
    struct place place[2];
    double limit[2] = {1, 1}, share[2] = {HUGE_VAL, HUGE_VAL};
    nearest_places(place, contour, p);
    for (int axial = 0; axial < 2; axial++) {
        const int tag = place[axial].tag;
        if (isinf(place[axial].distance) || tag < 0 || (size_t)tag >= judge->shape->staff->n)
            continue;
        limit[axial] = limit_of(judge, (size_t)tag, kind, axial == 1, place[axial].at.z);
        share[axial] = place[axial].distance / limit[axial];
    }
    const double least = fmin(share[0], share[1]);
    if (isinf(least))
        return;
    bool axial = share[1] < share[0];
    if (least > 1 && !isinf(share[0]) && !isinf(share[1]))
        axial = place[1].distance < place[0].distance;
    const struct deepest found = {.share = least,
                                  .depth = place[axial].distance,
                                  .limit = limit[axial],
                                  .is_axial = axial,
                                  .at = p,
                                  .nearest = place[axial].at};
    keep_worst(&sections[place[axial].tag].worst[kind], &found, is_corner);
}

static enum sw_status look_over(struct section_worst *sections, struct sw_judge *judge, int kind,
                                const struct sw_contour *contour, const struct sw_region *region)
{
    struct sw_rings rings = {0};
    SW_TRY(sw_region_rings(&rings, region, judge->ctx));
    for (size_t i = 0; i < rings.n; i++)
        for (size_t k = 0; k + 1 < rings.at[i].n; k++) {
            const struct sw_pt a = rings.at[i].at[k], b = rings.at[i].at[k + 1];
            const double steps = fmax(1, ceil(sw_pt_distance(a, b) / STEP));
            look_at(sections, judge, kind, contour, a, true);
            for (double s = 0.5; s < steps; s++) {
                const double t = s / steps;
                const struct sw_pt p = {a.z + t * (b.z - a.z), a.r + t * (b.r - a.r)};
                look_at(sections, judge, kind, contour, p, false);
            }
        }
    return SW_OK;
}

/* Which move took the material away, or came nearest to what stands. */
static enum sw_status find_move(const struct sw_sim_move **out, size_t *side,
                                const struct sw_judge *judge, const struct deepest *worst)
{
    /* Half way between work and shape: in a gouge the edge has surely been there, and before it no
     * move that left the place alone. */
    const struct sw_pt p = {(worst->at.z + worst->nearest.z) / 2,
                            (worst->at.r + worst->nearest.r) / 2};
    struct sw_arena *scratch = sw_arena_new();
    if (scratch == NULL)
        return SW_MEMORY;
    bool is_short = false;
    double nearest = HUGE_VAL;
    *out = NULL;
    for (size_t s = 0; s < judge->sim->n_sides && !is_short; s++) {
        const struct sw_pt there = {sw_judge_chucking_z(judge, s, p.z), p.r};
        double distance = HUGE_VAL;
        const size_t i = sw_sim_nearest_to(judge->sim, s, there, &distance, scratch, &is_short);
        if (i != SW_SIM_NO_TOOL && distance < nearest) {
            nearest = distance;
            *out = &judge->sim->moves.at[i];
            *side = s;
        }
    }
    sw_arena_free(scratch);
    return is_short ? SW_MEMORY : SW_OK;
}

static enum sw_status report(struct sw_judge *judge, size_t index, int kind,
                             const struct deepest *worst)
{
    const char *name = judge->shape->staff->section[index].name;
    const struct sw_sim_move *move = NULL;
    size_t side = 0;
    SW_TRY(find_move(&move, &side, judge, worst));
    struct sw_finding finding =
        sw_judge_finding(kind == GOUGE ? SW_FINDING_GOUGE : SW_FINDING_UNCUT, SW_ERROR);
    finding.value = worst->depth * 1000;
    finding.limit = worst->limit * 1000;
    finding.unit = "um";
    finding.section = name;
    finding.z = worst->nearest.z;
    if (move != NULL) {
        finding.program = judge->program[move->program].name;
        finding.line = move->event->line;
        finding.chucking = (int)side + 1;
    }
    const char *where = worst->is_axial ? "along the axis" : "on the radius";
    if (kind == GOUGE)
        return sw_judge_add(judge, finding, 0,
                            "%s is cut %.2f um too deep %s near z %.3f r %.3f; %.2f um are allowed",
                            name, finding.value, where, worst->nearest.z, worst->nearest.r,
                            finding.limit);
    return sw_judge_add(judge, finding, 0,
                        "%.2f um too much stand on %s %s near z %.3f r %.3f; %.2f um are allowed",
                        finding.value, name, where, worst->nearest.z, worst->nearest.r,
                        finding.limit);
}

static enum sw_status judge_section(struct sw_judge *judge, size_t index,
                                    const struct section_worst *found)
{
    struct sw_section_verdict *verdict = &judge->verdict->section[index];
    for (int kind = GOUGE; kind <= UNCUT; kind++) {
        const struct deepest *worst = &found->worst[kind];
        const double limit =
            worst->share > 0 ? worst->limit : limit_of(judge, index, kind, false, 0);
        *(kind == GOUGE ? &verdict->gouge_um : &verdict->left_um) = worst->depth * 1000;
        *(kind == GOUGE ? &verdict->gouge_limit_um : &verdict->left_limit_um) = limit * 1000;
        if (worst->share > 1)
            SW_TRY(report(judge, index, kind, worst));
    }
    return SW_OK;
}

static enum sw_status find_differences(struct section_worst *sections, struct sw_judge *judge,
                                       struct sw_kernel *kernel, struct sw_region *own[4])
{
    const struct sw_shape *shape = judge->shape;
    struct sw_ctx *ctx = judge->ctx;
    SW_TRY(region_of(&own[0], kernel, &shape->turned, 1, ctx));
    SW_TRY(region_of(&own[1], kernel, &shape->ceiling, -1, ctx));
    SW_TRY(sw_region_minus(&own[2], own[0], sw_sim_left(judge->sim, SW_WORK_LEAST)));
    SW_TRY(sw_region_minus(&own[3], sw_sim_left(judge->sim, SW_WORK_MOST), own[1]));
    SW_TRY(look_over(sections, judge, GOUGE, &shape->turned, own[2]));
    return look_over(sections, judge, UNCUT, &shape->ceiling, own[3]);
}

enum sw_status sw_judge_compare(struct sw_judge *judge)
{
    const size_t n = judge->shape->staff->n;
    struct section_worst *sections = SW_NEW(judge->ctx->arena, struct section_worst, n);
    struct sw_kernel *kernel = sw_kernel_new(judge->ctx);
    if (sections == NULL || kernel == NULL) {
        sw_kernel_free(kernel);
        return SW_MEMORY;
    }
    struct sw_region *own[4] = {NULL, NULL, NULL, NULL};
    enum sw_status status = find_differences(sections, judge, kernel, own);
    for (int i = 0; i < 4; i++)
        sw_region_free(own[i]);
    sw_kernel_free(kernel);
    for (size_t i = 0; i < n && status == SW_OK; i++)
        status = judge_section(judge, i, &sections[i]);
    return status;
}
