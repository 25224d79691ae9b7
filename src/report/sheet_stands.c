/* What stands at the lathe when a tool comes in: where it can find its zero without spoiling
 * anything. Worked out from the passes of the plan, chucking frame; for guidance only: every
 * number that is typed in is measured by hand or lies on a face cut square. */
#include <math.h>
#include <stdint.h>

#include "report/sheet_int.h"

enum { SAMPLES = 16, HALVINGS = 24 };

/* Skimming shall touch what is cut away later by at least this much more [mm], on work this stout
 * [mm, radius], over this length [mm]. Common practice, no source. */
static const double skim_reserve = 0.06;
static const double least_stout = 0.2;
static const double least_stretch = 0.15;
/* A face can be touched when this much of it shows [mm]. */
static const double least_face = 0.1;
static const double step = 0.02;
static const double in_front = 0.6; /* wider than a blade */
static const double aside = 0.005;  /* to either side of a face */

/* Surface that the nose leaves at Z while its centre runs along SEG; +inf: it does not come there.
 * A blade reaches on by WIDE towards +z. */
static double leaves_at(const struct sw_seg *seg, double nose, double wide, double z)
{
    const struct sw_box box = sw_seg_box(seg);
    double r = HUGE_VAL;
    if (z < box.z0 - nose || z > box.z1 + wide + nose)
        return r;
    const int n = seg->kind == SW_SEG_LINE && fabs(seg->a.r - seg->b.r) < 1e-9 ? 1 : SAMPLES;
    if (n == 1 && z >= box.z0 && z <= box.z1 + wide)
        return seg->a.r - nose;
    for (int i = 0; i <= n; i++) {
        const struct sw_pt c = n > 1 ? sw_seg_at(seg, (double)i / n) : i ? seg->b : seg->a;
        const double d = z < c.z ? c.z - z : fmax(0, z - c.z - wide);
        if (d <= nose)
            r = fmin(r, c.r - sqrt(nose * nose - d * d));
    }
    return r;
}

static double after_ops(const struct sw_plan_chucking *chucking, size_t n_ops, double z, double r)
{
    for (size_t i = 0; i < n_ops && i < chucking->n_ops; i++) {
        const struct sw_op *op = &chucking->op[i];
        if (op->kind == SW_OP_RECESS || !op->n_passes)
            continue; /* a pocket in a face leaves the outside as it was */
        /* Facing leaves nothing in front of the face. */
        const double wide =
            op->kind == SW_OP_FACE ? chucking->stick_out : sw_tool_second_corner(op->tool).z;
        for (size_t k = 0; k < op->n_passes; k++)
            for (size_t s = 0; s < op->pass[k].run.n; s++)
                r = fmin(r,
                         leaves_at(&op->pass[k].run.at[s], op->tool->nose_radius.value, wide, z));
    }
    return fmax(r, 0);
}

/* Part z of a chucking z; the inverse of sw_plan_chucking_z. */
static double part_z(const struct sw_sheet *sheet, size_t side, double z)
{
    return sheet->plan->chucking[side].end == SW_SIDE_UPPER ? -z
                                                            : z + sheet->plan->shape->staff->total;
}

double sw_sheet_stands(const struct sw_sheet *sheet, size_t side, size_t n_ops, double z)
{
    const struct sw_plan_chucking *chucking = &sheet->plan->chucking[side];
    if (chucking->is_from_rod)
        return z > chucking->rod_end_z ? 0
                                       : after_ops(chucking, n_ops, z, chucking->rod_diameter / 2);
    if (sheet->plan->blank && side == 0)
        return after_ops(chucking, n_ops, z,
                         sw_plan_blank_radius(sheet->plan->blank, part_z(sheet, side, z)));
    /* Cut once more: the turned piece, but for what it stands too thick. */
    double turned;
    if (chucking->is_again)
        return sw_contour_r_at(&turned, &sheet->plan->shape->turned, part_z(sheet, side, z))
                   ? after_ops(chucking, n_ops, z, turned)
                   : 0;
    /* What the first side left, turned round and broken off. */
    const struct sw_plan_chucking *first = &sheet->plan->chucking[0];
    const double before = -z - sheet->plan->shape->staff->total;
    if (before < first->neck_z && !sheet->plan->blank)
        return 0;
    return after_ops(chucking, n_ops, z, sw_sheet_stands(sheet, 0, first->n_ops, before));
}

double sw_sheet_end_z(const struct sw_sheet *sheet, size_t side, size_t n_ops)
{
    const struct sw_plan_chucking *chucking = &sheet->plan->chucking[side];
    double out = chucking->rod_end_z + step, in = out;
    while (in > chucking->face_z && sw_sheet_stands(sheet, side, n_ops, in) <= 0)
        in -= step;
    for (int i = 0; i < HALVINGS; i++) {
        const double middle = (in + out) / 2;
        *(sw_sheet_stands(sheet, side, n_ops, middle) > 0 ? &in : &out) = middle;
    }
    return in;
}

/* The radius that turning leaves there in the end, rather too large than too small. */
static double ends_at(const struct sw_sheet *sheet, size_t side, double z)
{
    const struct sw_staff *staff = sheet->plan->shape->staff;
    const double at = part_z(sheet, side, z);
    double r = 0;
    for (size_t i = 0; i < staff->n; i++) {
        const struct sw_shape_section *turned = &sheet->plan->shape->section[i];
        const struct sw_section *is = &staff->section[i];
        if (at > turned->z0 - aside && at < turned->z1 + aside)
            r = fmax(r, fmax(is->r0, is->r1) + fmax(0, turned->take / 2));
    }
    return r;
}

/* The outermost stretch that is stout, even and cut away later. */
static bool skim_place(struct sw_sheet_place *place, const struct sw_sheet *sheet, size_t side,
                       size_t n_ops)
{
    const struct sw_plan_chucking *chucking = &sheet->plan->chucking[side];
    const double total = sheet->plan->shape->staff->total;
    const double z_first = chucking->is_from_rod ? chucking->rod_end_z : total;
    bool is_open = false;
    for (double z = z_first; z > chucking->face_z + least_stretch; z -= step) {
        const double r = sw_sheet_stands(sheet, side, n_ops, z);
        const bool serves = r >= least_stout && r - ends_at(sheet, side, z) >= skim_reserve;
        const bool goes_on = is_open && serves && fabs(r - place->radius) < aside;
        if (is_open && !goes_on && place->z_out - place->z_in >= least_stretch)
            return true;
        if (goes_on)
            place->z_in = z;
        else if (serves)
            *place = (struct sw_sheet_place){.z_out = z, .z_in = z, .radius = r, .may_skim = true};
        is_open = serves;
    }
    return is_open && place->z_out - place->z_in >= least_stretch;
}

/* The thickest plain diameter that is finished already. */
static bool finished_place(struct sw_sheet_place *place, const struct sw_sheet *sheet, size_t side,
                           size_t n_ops)
{
    const struct sw_plan *plan = sheet->plan;
    const struct sw_staff *staff = plan->shape->staff;
    bool is_found = false;
    for (size_t i = 0; i < staff->n; i++) {
        const struct sw_section *is = &staff->section[i];
        const struct sw_shape_section *turned = &plan->shape->section[i];
        const double length =
            is->kind == SW_SECTION_HUB && is->hub_underside > 0 ? is->hub_land : is->z1 - is->z0;
        const bool is_plain = (is->kind == SW_SECTION_SEAT && is->taper == 0) ||
                              is->kind == SW_SECTION_HUB || is->kind == SW_SECTION_CYLINDER;
        const double z =
            sw_plan_chucking_z(plan->shape, plan->chucking[side].end, turned->measure_z);
        const double r = turned->turned_diameter / 2;
        if (!is_plain || length < least_stretch - 1e-9 || z < plan->chucking[side].face_z ||
            fabs(sw_sheet_stands(sheet, side, n_ops, z) - r) > aside ||
            (is_found && r <= place->radius))
            continue;
        *place = (struct sw_sheet_place){
            .z_out = z + length / 2, .z_in = z - length / 2, .radius = r, .name = is->name};
        is_found = true;
    }
    return is_found;
}

/* The thickest that stands, wherever it ends up. */
static void thickest_place(struct sw_sheet_place *place, const struct sw_sheet *sheet, size_t side,
                           size_t n_ops)
{
    const struct sw_plan_chucking *chucking = &sheet->plan->chucking[side];
    const double z_first =
        chucking->is_from_rod ? chucking->rod_end_z : sheet->plan->shape->staff->total;
    *place = (struct sw_sheet_place){.radius = 0};
    for (double z = z_first; z > chucking->face_z + least_stretch; z -= step) {
        const double r = sw_sheet_stands(sheet, side, n_ops, z);
        if (r > place->radius + aside)
            *place = (struct sw_sheet_place){.z_out = z, .z_in = z, .radius = r};
        else if (fabs(r - place->radius) <= aside && place->z_in - z < 2 * step)
            place->z_in = z;
    }
}

struct sw_sheet_place sw_sheet_x_place(const struct sw_sheet *sheet, size_t side, size_t n_ops,
                                       const struct sw_tool *tool)
{
    struct sw_sheet_place place = {0};
    /* On a piece that is cut once more a skimmed place may never be cut again. */
    if (tool->kind.value == SW_TOOL_POINT && !sheet->plan->chucking[side].is_again &&
        skim_place(&place, sheet, side, n_ops))
        return place;
    /* A blade meets the rod it is going to part; other tools want a true diameter. */
    if (tool->kind.value == SW_TOOL_BLADE || !finished_place(&place, sheet, side, n_ops))
        thickest_place(&place, sheet, side, n_ops);
    return place;
}

/* The most that stands in front of a face, where the tool comes from. */
static double stands_before(const struct sw_sheet *sheet, size_t side, size_t n_ops, double z)
{
    double r = 0;
    for (double at = z + aside; at < z + in_front; at += step)
        r = fmax(r, sw_sheet_stands(sheet, side, n_ops, at));
    return r;
}

/* Where the next operation cuts. */
static double work_z(const struct sw_plan_chucking *chucking, size_t n_ops)
{
    for (size_t i = n_ops; i < chucking->n_ops; i++)
        if (chucking->op[i].n_passes && chucking->op[i].pass[0].run.n)
            return chucking->op[i].pass[0].run.at[0].b.z;
    return 0;
}

bool sw_sheet_z_face(struct sw_sheet_face *face, const struct sw_sheet *sheet, size_t side,
                     size_t n_ops)
{
    const struct sw_plan_chucking *chucking = &sheet->plan->chucking[side];
    const double z_work = work_z(chucking, n_ops);
    bool is_found = false;
    for (size_t i = 0; i < n_ops && i < chucking->n_ops; i++) {
        const struct sw_op *op = &chucking->op[i];
        const bool is_square = op->kind == SW_OP_FACE || op->kind == SW_OP_FINISH;
        for (size_t k = 0; is_square && k < op->n_passes; k++) {
            for (size_t s = 0; s < op->pass[k].run.n; s++) {
                const struct sw_seg *seg = &op->pass[k].run.at[s];
                if (seg->kind != SW_SEG_LINE || fabs(seg->a.z - seg->b.z) > 1e-9)
                    continue;
                const double z = seg->a.z - op->tool->nose_radius.value;
                const double r1 = sw_sheet_stands(sheet, side, n_ops, z - aside);
                const double r0 = stands_before(sheet, side, n_ops, z);
                const double high = fmin(r1, fmax(seg->a.r, seg->b.r));
                const double low = fmax(r0, fmin(seg->a.r, seg->b.r));
                if (high - low < least_face ||
                    (is_found && fabs(z - z_work) >= fabs(face->z - z_work)))
                    continue;
                *face = (struct sw_sheet_face){.z = z,
                                               .low = low,
                                               .high = high,
                                               .is_end = r0 < aside,
                                               .section = op->section,
                                               .station = op->station};
                is_found = true;
            }
        }
    }
    return is_found;
}

/* The section whose outer end a face is, NULL when it is none's. */
const char *sw_sheet_face_of(const struct sw_sheet *sheet, size_t side, double z)
{
    const struct sw_staff *staff = sheet->plan->shape->staff;
    const double at = part_z(sheet, side, z);
    const bool is_upper = sheet->plan->chucking[side].end == SW_SIDE_UPPER;
    for (size_t i = 0; i < staff->n; i++) {
        const struct sw_section *is = &staff->section[i];
        if (fabs((is_upper ? is->z0 : is->z1) - at) < aside)
            return is->name;
    }
    return NULL;
}
