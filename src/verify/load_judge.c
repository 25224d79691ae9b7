/* Findings about loads. Error: the nominal force already breaks, slips, stalls or spoils the size.
 * Warning: only the high end of the band does. */
#include <math.h>

#include "geom/tol.h"
#include "mech/force.h"
#include "mech/grip.h"
#include "verify/load.h"

static const double pi = 3.14159265358979323846;

/* A shoulder rests on the nose face when it is higher than the grip by this [mm]. */
#define RESTS 0.02

enum key { KEY_TORQUE, KEY_POWER, KEY_ROUGH, KEY_PULL, KEY_STRESS, KEY_KEEPS };

struct found {
    enum sw_finding_code code;
    enum sw_severity severity;
    double value, limit;
    const char *unit;
    double z; /* chucking frame */
};

static const char *section_name(const struct sw_load_block *b, double z)
{
    const struct sw_section *section =
        sw_judge_section_at(b->judge, sw_judge_part_z(b->judge, b->move->side, z));
    return section != NULL ? section->name : NULL;
}

static struct sw_finding finding_of(const struct sw_load_block *b, struct found f)
{
    struct sw_finding finding = sw_judge_at(b->judge, f.code, f.severity, b->move->event);
    finding.section = section_name(b, f.z);
    finding.z = sw_judge_part_z(b->judge, b->move->side, f.z);
    finding.value = f.value;
    finding.limit = f.limit;
    finding.unit = f.unit;
    return finding;
}

static int key_of(const struct sw_load_block *b, enum key key)
{
    return (int)b->move->tool + 1000 * (int)key;
}

/* Over SURE_LIMIT by the nominal force is an error, over LIMIT at the high end of it a warning. */
bool sw_load_is_over(enum sw_severity *severity, double *value, struct sw_load_range range,
                     double sure_limit, double limit)
{
    if (range.nominal > sure_limit) {
        *severity = SW_ERROR;
        *value = range.nominal;
        return true;
    }
    *severity = SW_WARNING;
    *value = range.most;
    return range.most > limit;
}

static const char *how(enum sw_severity severity)
{
    return severity == SW_ERROR ? "by the nominal force" : "at the high end of the force";
}

static struct sw_load_range times(struct sw_load_range range, double by)
{
    return (struct sw_load_range){range.least * by, range.nominal * by, range.most * by};
}

enum sw_status sw_load_judge_machine(const struct sw_load_block *b, const struct sw_load_spot *spot,
                                     const struct sw_load_push *push)
{
    const struct sw_machine_spindle *spindle = &b->judge->shop->machine->spindle;
    const struct sw_load_range torque = times(push->cutting, spot->r / 1000);
    const struct sw_load_range power = times(torque, spot->rpm * 2 * pi / 60);
    struct found f = {.code = SW_FINDING_OVERLOAD, .z = spot->left.z};
    f.limit = spindle->torque.value;
    if (f.limit > 0 && sw_load_is_over(&f.severity, &f.value, torque, f.limit, f.limit)) {
        f.unit = "N m";
        SW_TRY(sw_judge_add(b->judge, finding_of(b, f), key_of(b, KEY_TORQUE),
                            "%s, cutting %.3f mm deep, needs %.3f N m %s (calculated); the spindle "
                            "has at most %.3f N m",
                            b->tool->name.value, spot->depth, f.value, how(f.severity), f.limit));
    }
    f.limit = spindle->power.value;
    if (f.limit > 0 && sw_load_is_over(&f.severity, &f.value, power, f.limit, f.limit)) {
        f.unit = "W";
        SW_TRY(sw_judge_add(b->judge, finding_of(b, f), key_of(b, KEY_POWER),
                            "%s, cutting %.3f mm deep, needs %.0f W %s (calculated); the spindle "
                            "has at most %.0f W",
                            b->tool->name.value, spot->depth, f.value, how(f.severity), f.limit));
    }
    return SW_OK;
}

/* What the holder keeps from slipping [N], and what was assumed. */
static double hold_of(const struct sw_load_block *b, const char **assumed)
{
    const struct sw_sim_side *side = &b->judge->sim->side[b->move->side];
    enum sw_grip_kind kind = SW_GRIP_STEEL;
    *assumed = "drawn in by 1 kN, at most 200 MPa, friction 0.15 are assumed";
    if (side->holder->kind.value == SW_HOLDER_CEMENT) {
        kind = SW_GRIP_CEMENT;
        *assumed = "cement that bears 2 MPa is assumed";
    } else if (side->holder->kind.value == SW_HOLDER_BORED_IN_PLACE) {
        kind = SW_GRIP_BRASS;
        *assumed = "drawn in by 1 kN, at most 100 MPa in brass, friction 0.15 are assumed";
    }
    return sw_grip_keeps(kind, side->gripped_r, side->setup->grip_length.value);
}

enum sw_status sw_load_judge_hold(const struct sw_load_block *b, const struct sw_load_spot *spot,
                                  const struct sw_load_push *push)
{
    const struct sw_sim_side *side = &b->judge->sim->side[b->move->side];
    const double grip_r = side->gripped_r;
    const char *assumed = "";
    if (side->holder == NULL || !side->had_work || !(grip_r > SW_TOL_SLIVER))
        return SW_OK;
    const double nose = sw_load_nose_z(b->judge);
    const bool rests = sw_silhouette_r(&b->judge->load.after, nose + RESTS, NULL) > grip_r + RESTS;
    const struct sw_load_range need = {
        .nominal =
            sw_grip_needs(push->cutting.nominal, push->inward.nominal, spot->r, grip_r, rests),
        .most =
            fmax(sw_grip_needs(push->cutting.most, push->inward.most, spot->r, grip_r, rests),
                 sw_grip_needs(push->cutting.most, push->inward.least, spot->r, grip_r, rests))};
    const double limit = hold_of(b, &assumed);
    struct sw_finding finding = sw_judge_at(b->judge, SW_FINDING_GRIP, SW_WARNING, b->move->event);
    if (!sw_load_is_over(&finding.severity, &finding.value, need, SW_GRIP_SURELY * limit, limit))
        return SW_OK;
    finding.limit = limit;
    finding.unit = "N";
    finding.section = side->setup->rod_diameter.given ? NULL : side->setup->grips.value;
    return sw_judge_add(b->judge, finding, KEY_KEEPS,
                        "%s turns or pushes the work in its holder with %.2f N %s (calculated); %s "
                        "keeps it up to %.2f N (%s)",
                        b->tool->name.value, finding.value, how(finding.severity),
                        side->holder->name.value, limit, assumed);
}

/* Further out from the holder than the staff reaches. */
static bool is_beyond_staff(const struct sw_load_block *b, double z)
{
    const struct sw_shape *shape = b->judge->shape;
    return shape != NULL && z > fmax(sw_judge_chucking_z(b->judge, b->move->side, shape->z_upper),
                                     sw_judge_chucking_z(b->judge, b->move->side, shape->z_lower));
}

static enum sw_status judge_stress(const struct sw_load_block *b,
                                   const struct sw_load_strain *strain)
{
    const double yield = b->material->yield.value;
    const double allowed = yield / fmax(1, b->judge->shop->safety.value);
    struct found f = {.code = SW_FINDING_OVERSTRESS, .unit = "MPa", .z = strain->stress_z};
    if (!strain->knows_stress || !(yield > 0) ||
        !sw_load_is_over(&f.severity, &f.value, strain->stress, yield, allowed))
        return SW_OK;
    f.limit = f.severity == SW_ERROR ? yield : allowed;
    if (is_beyond_staff(b, f.z))
        f.severity = SW_WARNING; /* what becomes of an end that is cut away matters little */
    const char *notch = strain->notch > 1 ? ", notch counted" : "";
    if (f.limit == yield)
        return sw_judge_add(b->judge, finding_of(b, f), key_of(b, KEY_STRESS),
                            "the cut strains the work by %.0f MPa by the nominal force "
                            "(calculated%s); from %.0f MPa on it stays bent or breaks",
                            f.value, notch, f.limit);
    return sw_judge_add(b->judge, finding_of(b, f), key_of(b, KEY_STRESS),
                        "the cut may strain the work by %.0f MPa at the high end of the force "
                        "(calculated%s); with the shop's safety it should bear at most %.0f MPa",
                        f.value, notch, f.limit);
}

static enum sw_status judge_buckling(const struct sw_load_block *b, const struct sw_load_spot *spot,
                                     const struct sw_load_push *push,
                                     const struct sw_load_strain *strain)
{
    struct found f = {.code = SW_FINDING_BUCKLING,
                      .unit = "N",
                      .limit = SW_LOAD_BUCKLE_SHARE * strain->critical,
                      .z = spot->left.z};
    if (!sw_load_is_over(&f.severity, &f.value, push->inward, f.limit, f.limit))
        return SW_OK;
    const char *const by = how(f.severity);
    if (is_beyond_staff(b, f.z))
        f.severity = SW_WARNING; /* as with stress: it is cut away */
    return sw_judge_add(b->judge, finding_of(b, f), key_of(b, KEY_STRESS),
                        "the cut pushes along the work with %.2f N %s (calculated); half the force "
                        "at which it gives way sideways is %.2f N",
                        f.value, by, f.limit);
}

static enum sw_status judge_rough(const struct sw_load_block *b, const struct sw_load_spot *spot,
                                  const struct sw_load_strain *strain, double over)
{
    struct found f = {.code = SW_FINDING_DEFLECTION, .unit = "um", .z = spot->left.z};
    const struct sw_load_range pull = {.nominal = -1000 * strain->bend.nominal,
                                       .most = -1000 * strain->bend.least};
    const struct sw_load_range away = {.nominal = 1000 * strain->bend.nominal,
                                       .most = 1000 * strain->bend.most};
    f.limit = 1000 * over;
    if (sw_load_is_over(&f.severity, &f.value, pull, fmax(f.limit, 1000 * SW_VERIFY_FLOOR),
                        fmax(f.limit, 1000 * SW_VERIFY_FLOOR)))
        SW_TRY(sw_judge_add(b->judge, finding_of(b, f), key_of(b, KEY_PULL),
                            "the cut pulls the work %.2f um towards the tool %s (calculated); %.2f "
                            "um are left over the staff there",
                            f.value, how(f.severity), f.limit));
    /* of a deep cut half may be missing before the next one is another cut altogether */
    f.limit = 1000 * fmax(SW_LOAD_ROUGH_BEND, spot->depth / 2);
    if (!sw_load_is_over(&f.severity, &f.value, away, f.limit, f.limit))
        return SW_OK;
    return sw_judge_add(b->judge, finding_of(b, f), key_of(b, KEY_ROUGH),
                        "a roughing cut bends the work by %.1f um %s (calculated); beyond %.0f um "
                        "the depth of the next one is a guess",
                        f.value, how(f.severity), f.limit);
}

enum sw_status sw_load_judge_strain(const struct sw_load_block *b, const struct sw_load_spot *spot,
                                    const struct sw_load_push *push,
                                    const struct sw_load_strain *strain, bool is_near, double over)
{
    SW_TRY(judge_stress(b, strain));
    SW_TRY(judge_buckling(b, spot, push, strain));
    /* what is cut away later may bend as it likes; inside a recess the outer surface is not cut;
     * last cuts are judged at the end */
    if (section_name(b, spot->left.z) == NULL || over < -SW_LOAD_INSIDE || is_near)
        return SW_OK;
    return judge_rough(b, spot, strain, over);
}

enum sw_status sw_load_judge_rubbing(const struct sw_load_block *b, double chip,
                                     const struct sw_load_spot *spot, double least_chip,
                                     bool is_pivot)
{
    const struct found f = {.code = SW_FINDING_RUBBING,
                            .severity = is_pivot ? SW_ERROR : SW_WARNING,
                            .value = chip * 1000,
                            .limit = least_chip * 1000,
                            .unit = "um",
                            .z = spot->left.z};
    return sw_judge_add(b->judge, finding_of(b, f), (int)b->move->tool,
                        "the chip of %s is %.2f um thick at %.2f um of depth and %.2f um a turn; "
                        "below %.2f um its edge rubs instead of cutting",
                        b->tool->name.value, f.value, spot->depth * 1000, spot->feed * 1000,
                        f.limit);
}
