/* Faces square to the axis: where the piece has them, and which tool made them. */
#include <math.h>

#include "verify/judge.h"

/* A shoulder is a line of the shape square to the axis at least this high [mm]: room for a corner
 * and an edge break on either side of its middle. */
#define LEAST_SHOULDER 0.03
/* Two ends of lines at one z, up to the rounding of a chain of lengths [mm]. */
#define SAME_Z 1e-7
/* A face of the piece is looked for this far from where it should be [mm]. */
#define LOOK_FOR 0.2
/* A cut that stayed this far from a face did not make it [mm]. */
#define MADE_WITHIN 0.02

static struct sw_bounds ordered(double a, double b)
{
    return (struct sw_bounds){fmin(a, b), fmax(a, b)};
}

double sw_judge_crossing(const struct sw_rings *rings, double r, double z)
{
    double found = HUGE_VAL;
    for (size_t i = 0; i < rings->n; i++)
        for (size_t k = 0; k + 1 < rings->at[i].n; k++) {
            const struct sw_pt a = rings->at[i].at[k], b = rings->at[i].at[k + 1];
            if ((a.r < r) == (b.r < r))
                continue;
            const double at = a.z + (r - a.r) / (b.r - a.r) * (b.z - a.z);
            if (fabs(at - z) < fabs(found - z))
                found = at;
        }
    return found;
}

/* The square shoulder of the shape at Z: the r of its middle; false when there is none. */
static bool shoulder_at(double *r, const struct sw_contour *contour, double z)
{
    double highest = LEAST_SHOULDER;
    bool is_found = false;
    for (size_t i = 0; i < contour->n; i++) {
        const struct sw_seg *seg = &contour->at[i];
        const double height = fabs(seg->b.r - seg->a.r);
        if (seg->kind != SW_SEG_LINE || fabs(seg->b.z - seg->a.z) > SAME_Z ||
            fabs(seg->a.z - z) > SAME_Z || height < highest)
            continue;
        highest = height;
        *r = (seg->a.r + seg->b.r) / 2;
        is_found = true;
    }
    return is_found;
}

bool sw_judge_face_at(struct sw_bounds *out, double *r, const struct sw_judge *judge,
                      const struct sw_judge_outlines *faces, double z)
{
    const struct sw_shape *shape = judge->shape;
    double at[2];
    *r = 0;
    if (fabs(z - shape->z_upper) <= SAME_Z || fabs(z - shape->z_lower) <= SAME_Z) {
        const bool is_upper = fabs(z - shape->z_upper) <= SAME_Z;
        if (sw_judge_is_by_hand(judge, is_upper))
            return false;
        for (enum sw_work_which which = 0; which < 2; which++)
            at[which] = is_upper ? faces->box[which].z0 : faces->box[which].z1;
        *out = ordered(at[0], at[1]);
        return true;
    }
    if (!shoulder_at(r, &shape->turned, z))
        return false;
    for (enum sw_work_which which = 0; which < 2; which++) {
        at[which] = sw_judge_crossing(&faces->rings[which], *r, z);
        if (fabs(at[which] - z) > LOOK_FOR)
            return false;
    }
    *out = ordered(at[0], at[1]);
    return true;
}

/* The tool whose cut came nearest to it; a face that two came to alike is the later one's. */
static enum sw_status find_maker(struct sw_face_verdict *face, const struct sw_judge *judge,
                                 double r)
{
    struct sw_arena *scratch = sw_arena_new();
    if (scratch == NULL)
        return SW_MEMORY;
    bool is_short = false;
    double nearest = MADE_WITHIN;
    const double z = (face->at_mm.least + face->at_mm.most) / 2;
    for (size_t s = 0; s < judge->sim->n_sides && !is_short; s++) {
        const struct sw_pt there = {sw_judge_chucking_z(judge, s, z), r};
        double distance = HUGE_VAL;
        const size_t i = sw_sim_nearest_to(judge->sim, s, there, &distance, scratch, &is_short);
        if (i == SW_SIM_NO_TOOL || distance > nearest)
            continue;
        nearest = distance;
        face->made_chucking = (int)s + 1;
        const struct sw_sim_move *move = &judge->sim->moves.at[i];
        if (move->tool != SW_SIM_NO_TOOL)
            face->made_station = (int)judge->sim->side[s].tool[move->tool].station->station.value;
    }
    sw_arena_free(scratch);
    return is_short ? SW_MEMORY : SW_OK;
}

static enum sw_status add_face(struct sw_judge *judge, const struct sw_judge_outlines *outlines,
                               const char *name, double z)
{
    struct sw_face_verdict *face = &judge->verdict->face[judge->verdict->n_faces];
    double r;
    *face = (struct sw_face_verdict){.name = name, .z_mm = z};
    if (!sw_judge_face_at(&face->at_mm, &r, judge, outlines, z))
        return SW_OK;
    judge->verdict->n_faces++;
    return find_maker(face, judge, r);
}

enum sw_status sw_judge_faces(struct sw_judge *judge, const struct sw_judge_outlines *outlines)
{
    enum { TIPS = 2 };
    const struct sw_shape *shape = judge->shape;
    const struct sw_staff *staff = shape->staff;
    judge->verdict->face =
        SW_NEW(judge->ctx->arena, struct sw_face_verdict, TIPS + staff->n_heights + staff->n);
    if (judge->verdict->face == NULL)
        return SW_MEMORY;
    SW_TRY(add_face(judge, outlines, "upper tip", shape->z_upper));
    SW_TRY(add_face(judge, outlines, "lower tip", shape->z_lower));
    for (size_t i = 0; i < staff->n_heights; i++)
        SW_TRY(add_face(judge, outlines, staff->height[i].name, staff->height[i].z));
    for (size_t i = 0; i < staff->n; i++)
        if (i != staff->core)
            SW_TRY(add_face(judge, outlines, staff->section[i].name,
                            i < staff->core ? shape->section[i].z1 : shape->section[i].z0));
    return SW_OK;
}
