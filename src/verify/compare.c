/* What is left against the shape: gouges and left-overs, by section.
 *
 * Gouge = turned shape (chords outside) minus the least that may be left; left over = the most that
 * may be left minus the ceiling (chords inside): both are upper bounds. A point of such a region is
 * off a surface that looks across the axis by so much, and off one that looks along the axis by so
 * much: it is within limits when either is. Across the axis the limit is half the diameter
 * tolerance of the section. Along it the length tolerance (the tips: the total's) is for a shoulder
 * that stands off its place as a whole, which takes the corners beside it along: as far as the
 * shoulder is off at three heights; what goes beyond that, a fillet too large, has the limit on the
 * radius. No limit is less than SW_VERIFY_FLOOR. What is beyond both is told by the nearer surface.
 */
#include <math.h>

#include "geom/tol.h"
#include "verify/judge.h"

/* Edges of a difference are looked at in steps of this [mm]: between two corners the distance to
 * the shape is nearly straight. */
#define STEP 0.02

/* A line square to the axis up to the rounding of a chain of lengths [mm] is a shoulder. */
#define SQUARE 1e-7
/* A shoulder lower than this [mm] has no face to speak of. */
#define LEAST_FACE 0.005
/* Between a face and a side there are at most so many segments: a corner's arc and a bevel. */
enum { CORNER_SEGMENTS = 2 };
/* A face is looked for this far from its place [mm]. */
#define LOOK_FOR 0.2

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

double sw_judge_radial_limit(const struct sw_section *section, bool is_gouge)
{
    const struct sw_band *band = &section->diameter_tolerance;
    const double middle = sw_section_middle(section);
    const double deviation = is_gouge ? middle - band->lower : band->upper - middle;
    return fmax(deviation / 2, SW_VERIFY_FLOOR);
}

static double axial_limit(const struct sw_judge *judge, size_t index, int kind, double z)
{
    const struct sw_staff *staff = judge->shape->staff;
    const struct sw_band *band = is_tip(judge->shape, index, z)
                                     ? &staff->total_tolerance
                                     : &staff->section[index].length_tolerance;
    return fmax(kind == GOUGE ? -band->lower : band->upper, SW_VERIFY_FLOOR);
}

/* One comparison: the work against one contour of the shape. */
struct comparison {
    const struct sw_judge *judge;
    int kind;
    const struct sw_contour *contour;
    struct sw_rings work;
    struct sw_box box; /* of the work */
    double *off;       /* by segment: how far its shoulder stands off as a whole, towards KIND */
    struct section_worst *sections;
};

/* The nearest place of the shape that looks across (0) and along (1) the axis. A slope is gauged
 * across at one height and along at one radius, both further than square to it. */
struct place {
    double distance;
    double gauged; /* the distance as the place looks */
    struct sw_pt at;
    int tag;
    size_t seg;
};

static bool is_shoulder(const struct sw_seg *seg)
{
    return seg->kind == SW_SEG_LINE && fabs(seg->b.z - seg->a.z) <= SQUARE &&
           fabs(seg->b.r - seg->a.r) >= LEAST_FACE;
}

/* Of a shoulder, at three heights, the least that counts towards KIND. */
static double off_place(const struct comparison *c, const struct sw_seg *shoulder)
{
    static const double height[] = {0.25, 0.5, 0.75};
    /* material stands on the right of travel: behind a rising line is the +z side */
    const double outwards = shoulder->b.r > shoulder->a.r ? -1 : 1;
    double least = HUGE_VAL;
    for (size_t i = 0; i < sizeof height / sizeof *height; i++) {
        const double r = shoulder->a.r + height[i] * (shoulder->b.r - shoulder->a.r);
        const double found = sw_judge_crossing(&c->work, r, shoulder->a.z) - shoulder->a.z;
        if (!(fabs(found) <= LOOK_FOR))
            return 0;
        least = fmin(least, (c->kind == UNCUT ? 1 : -1) * outwards * found);
    }
    return fmax(0, least);
}

/* The tips move with the ends of the piece. */
static double off_tip(const struct comparison *c, size_t index)
{
    const struct sw_shape *shape = c->judge->shape;
    if (sw_judge_is_by_hand(c->judge, index == 0))
        return 0;
    const double found = index == 0 ? shape->z_upper - c->box.z0 : c->box.z1 - shape->z_lower;
    return fmax(0, c->kind == UNCUT ? found : -found);
}

static double off_of_segment(const struct comparison *c, size_t i)
{
    const struct sw_seg *seg = &c->contour->at[i];
    if (seg->tag >= 0 && (size_t)seg->tag < c->judge->shape->staff->n &&
        is_tip(c->judge->shape, (size_t)seg->tag, (seg->a.z + seg->b.z) / 2))
        return off_tip(c, (size_t)seg->tag);
    for (size_t far = 0; far <= CORNER_SEGMENTS; far++) {
        if (far <= i && is_shoulder(&c->contour->at[i - far]))
            return off_place(c, &c->contour->at[i - far]);
        if (i + far < c->contour->n && is_shoulder(&c->contour->at[i + far]))
            return off_place(c, &c->contour->at[i + far]);
    }
    return 0;
}

static enum sw_status begin_comparison(struct comparison *c, const struct sw_region *work)
{
    struct sw_ctx *ctx = c->judge->ctx;
    SW_TRY(sw_region_rings(&c->work, work, ctx));
    c->box = sw_region_box(work);
    c->off = SW_NEW(ctx->arena, double, c->contour->n);
    if (c->off == NULL)
        return SW_MEMORY;
    for (size_t i = 0; i < c->contour->n; i++)
        c->off[i] = off_of_segment(c, i);
    return SW_OK;
}

static bool is_slope(const struct sw_staff *staff, int tag)
{
    return tag >= 0 && (size_t)tag < staff->n &&
           (staff->section[tag].kind == SW_SECTION_CONE ||
            staff->section[tag].kind == SW_SECTION_BACK_SLOPE);
}

static void nearest_places(struct place out[2], const struct comparison *c, struct sw_pt p)
{
    out[0].distance = out[1].distance = HUGE_VAL;
    for (size_t i = 0; i < c->contour->n; i++) {
        const struct sw_seg *seg = &c->contour->at[i];
        double distance = HUGE_VAL;
        const double t = sw_seg_nearest(seg, p, &distance);
        const struct sw_pt along = sw_seg_direction(seg, t);
        const bool axial = fabs(along.r) > fabs(along.z);
        if (distance >= out[axial].distance)
            continue;
        const bool is_square = t > 0 && t < 1; /* not a corner, where the nearest way has its own */
        const double slant = is_square && is_slope(c->judge->shape->staff, seg->tag)
                                 ? fabs(axial ? along.r : along.z) / hypot(along.z, along.r)
                                 : 1;
        out[axial] = (struct place){distance, distance / slant, sw_seg_at(seg, t), seg->tag, i};
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
static void look_at(const struct comparison *c, struct sw_pt p, bool is_corner)
{
    const struct sw_staff *staff = c->judge->shape->staff;
    struct place place[2];
    double limit[2] = {1, 1}, share[2] = {HUGE_VAL, HUGE_VAL};
    nearest_places(place, c, p);
    for (int axial = 0; axial < 2; axial++) {
        const int tag = place[axial].tag;
        if (isinf(place[axial].distance) || tag < 0 || (size_t)tag >= staff->n)
            continue;
        limit[axial] = sw_judge_radial_limit(&staff->section[tag], c->kind == GOUGE);
        share[axial] = place[axial].gauged / limit[axial];
        if (axial == 0)
            continue;
        const double off = fmin(c->off[place[1].seg], place[1].gauged);
        const double along = axial_limit(c->judge, (size_t)tag, c->kind, place[1].at.z);
        const double beyond = (place[1].gauged - off) / limit[1];
        share[1] = fmax(off / along, beyond);
        limit[1] = off / along > beyond ? along : limit[1] + off;
    }
    const double least = fmin(share[0], share[1]);
    if (isinf(least))
        return;
    bool axial = share[1] < share[0];
    if (least > 1 && !isinf(share[0]) && !isinf(share[1]))
        axial = place[1].distance < place[0].distance;
    const struct deepest found = {.share = least,
                                  .depth = place[axial].gauged,
                                  .limit = limit[axial],
                                  .is_axial = axial,
                                  .at = p,
                                  .nearest = place[axial].at};
    keep_worst(&c->sections[place[axial].tag].worst[c->kind], &found, is_corner);
}

static enum sw_status look_over(struct comparison *c, const struct sw_region *work,
                                const struct sw_region *region)
{
    struct sw_rings rings = {0};
    SW_TRY(begin_comparison(c, work));
    SW_TRY(sw_region_rings(&rings, region, c->judge->ctx));
    for (size_t i = 0; i < rings.n; i++)
        for (size_t k = 0; k + 1 < rings.at[i].n; k++) {
            const struct sw_pt a = rings.at[i].at[k], b = rings.at[i].at[k + 1];
            const double steps = fmax(1, ceil(sw_pt_distance(a, b) / STEP));
            look_at(c, a, true);
            for (double s = 0.5; s < steps; s++) {
                const double t = s / steps;
                const struct sw_pt p = {a.z + t * (b.z - a.z), a.r + t * (b.r - a.r)};
                look_at(c, p, false);
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

/* How far the radius is off where the section is gauged, 0 when it is not towards KIND. An edge of
 * the work is told by the nearest surface: of a rod left standing that is another section's. */
static double off_at_gauge(const struct sw_section_verdict *verdict, int kind)
{
    const double off = kind == GOUGE ? verdict->turned_mm - verdict->size_mm.least
                                     : verdict->size_mm.most - verdict->turned_mm;
    return off > 2 * SW_VERIFY_FLOOR ? off / 2 : 0;
}

static enum sw_status judge_section(struct sw_judge *judge, size_t index,
                                    const struct section_worst *found)
{
    struct sw_section_verdict *verdict = &judge->verdict->section[index];
    for (int kind = GOUGE; kind <= UNCUT; kind++) {
        const struct deepest *worst = &found->worst[kind];
        const double limit =
            worst->share > 0
                ? worst->limit
                : sw_judge_radial_limit(&judge->shape->staff->section[index], kind == GOUGE);
        *(kind == GOUGE ? &verdict->gouge_um : &verdict->left_um) =
            fmax(worst->depth, off_at_gauge(verdict, kind)) * 1000;
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
    struct sw_contour ceiling;
    SW_TRY(sw_judge_ceiling(&ceiling, judge));
    SW_TRY(region_of(&own[1], kernel, &ceiling, -1, ctx));
    const struct sw_region *least = sw_sim_left(judge->sim, SW_WORK_LEAST);
    const struct sw_region *most = sw_sim_left(judge->sim, SW_WORK_MOST);
    SW_TRY(sw_region_minus(&own[2], own[0], least));
    SW_TRY(sw_region_minus(&own[3], most, own[1]));
    struct comparison gouge = {
        .judge = judge, .kind = GOUGE, .contour = &shape->turned, .sections = sections};
    struct comparison uncut = {
        .judge = judge, .kind = UNCUT, .contour = &ceiling, .sections = sections};
    SW_TRY(look_over(&gouge, least, own[2]));
    return look_over(&uncut, most, own[3]);
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
