/* Arcs in the XZ plane (3.5.3), centre and radius form.
 *
 * The report takes the plane as (Z, X), seen from the + end of Y (4.3.6.1): G3 turns from +Z
 * towards +X, G2 back. Reading it as (X, Z) would flip every arc.
 */
#include "ncread/ncread_int.h"

#include <math.h>

/* Largest difference of the two radii (3.5.3), by the unit in force. */
#define MISMATCH_MM 0.002
#define MISMATCH_INCH 0.0002
/* Sums of offsets leave errors of this order [mm]; no control resolves it. */
#define NC_ROUNDING_MM 1e-9

static bool is_same(struct sw_motion_pt a, struct sw_motion_pt b)
{
    return fabs(a.x - b.x) <= NC_ROUNDING_MM && fabs(a.z - b.z) <= NC_ROUNDING_MM;
}

static double distance(struct sw_motion_pt a, struct sw_motion_pt b)
{
    return hypot(a.x - b.x, a.z - b.z);
}

/* I and K are increments from the start, in G90 too (3.5.17). */
static enum sw_status centre_form(struct nc_reader *r, struct sw_motion_event *arc)
{
    const struct nc_block *b = &r->block;
    const double i = sw_nc_has(b, 'I') ? sw_nc_word(b, 'I') * r->now.unit * r->facts.i_scale : 0;
    const double k = sw_nc_has(b, 'K') ? sw_nc_word(b, 'K') * r->now.unit : 0;
    arc->centre = (struct sw_motion_pt){arc->from.x + i, arc->from.z + k};
    arc->radius_from = distance(arc->from, arc->centre);
    arc->radius_to = distance(arc->to, arc->centre);
    arc->is_full_turn = is_same(arc->from, arc->to);
    const double mismatch = fabs(arc->radius_from - arc->radius_to);
    const bool is_inch = r->now.unit == NC_INCH_MM;
    const double most = is_inch ? MISMATCH_INCH * NC_INCH_MM : MISMATCH_MM;
    if (mismatch > most + NC_ROUNDING_MM)
        return sw_nc_fault(r, sw_nc_motion_at(b), "block.arc-radii", NULL,
                           "the arc's radius is %.4f mm at its start and %.4f mm at its end; at "
                           "most %s may lie between",
                           arc->radius_from, arc->radius_to, is_inch ? "0.0002 inch" : "0.002 mm");
    if (arc->radius_from <= NC_ROUNDING_MM)
        return sw_nc_fault(r, sw_nc_motion_at(b), "block.arc-zero", NULL,
                           "the arc's centre is its start: it has no radius");
    return SW_OK;
}

/* R > 0: the smaller arc; R < 0: the larger (3.5.3.1). */
static enum sw_status radius_form(struct nc_reader *r, struct sw_motion_event *arc)
{
    const double radius = sw_nc_word(&r->block, 'R') * r->now.unit;
    const struct nc_piece at = sw_nc_at(&r->block, 'R');
    if (is_same(arc->from, arc->to))
        return sw_nc_fault(r, at, "block.arc-same-end", "use I and K for a full turn",
                           "an arc by R cannot end where it starts");
    const double dz = arc->to.z - arc->from.z, dx = arc->to.x - arc->from.x;
    const double half = hypot(dz, dx) / 2;
    if (half > fabs(radius) + NC_ROUNDING_MM)
        return sw_nc_fault(r, at, "block.arc-radius-small", NULL,
                           "a radius of %.4f mm does not span the %.4f mm from start to end",
                           fabs(radius), 2 * half);
    const double ratio = fmin(half / fabs(radius), 1);
    const double height = fabs(radius) * sqrt((1 - ratio) * (1 + ratio));
    /* The centre of a small counter-clockwise arc lies left of the chord in (Z, X). */
    const double side = (arc->turn > 0) == (radius > 0) ? 1 : -1;
    arc->centre.z = (arc->from.z + arc->to.z) / 2 - side * height * dx / (2 * half);
    arc->centre.x = (arc->from.x + arc->to.x) / 2 + side * height * dz / (2 * half);
    arc->radius_from = distance(arc->from, arc->centre);
    arc->radius_to = distance(arc->to, arc->centre);
    return SW_OK;
}

enum sw_status sw_nc_arc(struct nc_reader *r, enum nc_g code)
{
    const struct nc_block *b = &r->block;
    const struct nc_piece at = sw_nc_motion_at(b);
    if (r->now.plane != NC_G18)
        return sw_nc_fault(r, at, "block.arc-plane", "arcs in X and Z need G18",
                           "%s in %s turns along Y, an axis this machine does not have",
                           sw_nc_g_name(code).text, sw_nc_g_name(r->now.plane).text);
    SW_TRY(sw_nc_need_feed(r, code));
    const bool has_centre = sw_nc_has(b, 'I') || sw_nc_has(b, 'K');
    if (sw_nc_has(b, 'R') && has_centre)
        return sw_nc_fault(r, sw_nc_at(b, 'R'), "block.arc-forms", NULL,
                           "an arc has R or a centre (I, K), not both");
    if (!sw_nc_has(b, 'R') && !has_centre)
        return sw_nc_fault(r, at, "block.arc-centre", NULL, "%s needs I or K, or R",
                           sw_nc_g_name(code).text);
    struct sw_motion_event *arc;
    const struct sw_motion_pt to = sw_nc_target(r);
    SW_TRY(sw_nc_push(r, SW_MOTION_ARC, &arc));
    arc->to = to;
    arc->turn = code == NC_G3 ? 1 : -1;
    SW_TRY(has_centre ? centre_form(r, arc) : radius_form(r, arc));
    r->now.at = to;
    return SW_OK;
}
