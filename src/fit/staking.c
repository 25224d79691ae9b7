#include "fit/staking.h"

#include <math.h>

/* Common practice, no source: a hole clears what passes by this much, is deeper than what stands
 * in it by this much, and a punch that bears on an arm or a roller may be this much wider. */
static const double clear = 0.02, deeper = 0.2, wider = 0.4;

enum sw_fixing sw_staff_fixing(const struct sw_staff *staff)
{
    if (staff->parts)
        return staff->parts->fixing;
    for (size_t i = 0; i < staff->n; i++)
        if (staff->section[i].kind == SW_SECTION_RIVET)
            return SW_FIX_RIVETED;
    return staff->hub < staff->n ? SW_FIX_DRIVEN : SW_FIX_FRICTION;
}

const struct sw_section *sw_staff_seat(const struct sw_staff *staff, enum sw_takes takes)
{
    for (size_t i = 0; i < staff->n; i++)
        if (staff->section[i].takes == takes)
            return &staff->section[i];
    return NULL;
}

static double widest_of(const struct sw_section *section)
{
    return 2 * fmax(section->r0, section->r1) + section->diameter_tolerance.upper;
}

/* The widest of the sections beyond I, towards the lower tip or the upper. */
static double widest_beyond(const struct sw_staff *staff, size_t i, bool is_down)
{
    double widest = 0;
    for (size_t k = 0; k < staff->n; k++)
        if (is_down ? k > i : k < i)
            widest = fmax(widest, widest_of(&staff->section[k]));
    return widest;
}

/* How far the tip lies from the outer end of section I. */
static double reach_beyond(const struct sw_staff *staff, size_t i, bool is_down)
{
    return is_down ? staff->total - staff->section[i].z1 : staff->section[i].z0;
}

/* A ring bears between what passes and its outer diameter: half of it at least. */
static struct sw_hole ring(const struct sw_staff *staff, size_t i, bool is_down, double outer)
{
    const double inner = widest_beyond(staff, i, is_down);
    return (struct sw_hole){inner + clear, (inner + outer) / 2,
                            reach_beyond(staff, i, is_down) + deeper};
}

static void rivet_on(struct sw_staking *out, const struct sw_staff *staff)
{
    const struct sw_section *rivet = &staff->section[out->rivet];
    const bool is_down = rivet->points_down;
    out->points_down = is_down;
    /* The hub's face looks away from the rivet; its far end is what stands on the stake. */
    const struct sw_section *core = &staff->section[staff->core];
    const double face = 2 * (is_down ? core->r0 : core->r1);
    out->stake = ring(staff, staff->core, !is_down, face);
    const double outer = 2 * rivet->r0;
    out->punch = ring(staff, out->rivet, is_down, outer);
    /* The lip is opened from inside: the punch goes into the recess. */
    if (rivet->has_recess)
        out->punch.most = outer - 2 * rivet->recess_lip;
}

/* The arm lies on the hub, or the hub that stays in the balance on the stake. */
static void press_on(struct sw_staking *out, const struct sw_staff *staff)
{
    const size_t core = staff->core;
    if (out->fixing == SW_FIX_DRIVEN && out->seat < staff->n) {
        const bool is_down = out->seat > core;
        const struct sw_section *hub = &staff->section[core];
        out->points_down = is_down;
        out->stake = ring(staff, core, !is_down, 2 * (is_down ? hub->r0 : hub->r1));
        const double seat = widest_of(&staff->section[out->seat]);
        out->punch = (struct sw_hole){seat + clear, seat + wider,
                                      reach_beyond(staff, out->seat, is_down) + deeper};
        return;
    }
    /* Friction: the end with the roller is pushed, the other goes through hub and stake. */
    const struct sw_section *roller = sw_staff_seat(staff, SW_TAKES_ROLLER);
    out->points_down = !roller || roller->index > core;
    const double passes =
        fmax(widest_of(&staff->section[core]), widest_beyond(staff, core, !out->points_down));
    out->stake = (struct sw_hole){passes + clear, passes + wider,
                                  reach_beyond(staff, core, !out->points_down) + deeper};
    /* Behind the back slope the first shoulder bears. */
    const size_t n = staff->n;
    for (size_t k = 0; k < n; k++) {
        const size_t i = out->points_down ? n - 1 - k : k;
        const enum sw_section_kind kind = staff->section[i].kind;
        if (kind == SW_SECTION_PIVOT || kind == SW_SECTION_CONE || kind == SW_SECTION_BACK_SLOPE)
            continue;
        out->punch = ring(staff, i, out->points_down, widest_of(&staff->section[i]));
        break;
    }
}

static double outside_of_roller(const struct sw_staff *staff)
{
    for (size_t i = 0; staff->parts && i < staff->parts->n; i++)
        if (staff->parts->reading[i].kind == SW_READ_ROLLER_OUTSIDE)
            return staff->parts->reading[i].value;
    return 0;
}

struct sw_staking sw_staking_of(const struct sw_staff *staff)
{
    struct sw_staking out = {.fixing = sw_staff_fixing(staff), .seat = staff->n, .rivet = staff->n};
    for (size_t i = 0; i < staff->n; i++) {
        if (staff->section[i].kind == SW_SECTION_RIVET)
            out.rivet = i;
        if (staff->section[i].takes == SW_TAKES_BALANCE)
            out.seat = i;
    }
    if (out.fixing == SW_FIX_FRICTION)
        out.seat = staff->core;
    if (out.rivet < staff->n)
        rivet_on(&out, staff);
    else
        press_on(&out, staff);
    const struct sw_section *roller = sw_staff_seat(staff, SW_TAKES_ROLLER);
    if (roller) {
        const double seat = widest_of(roller), outside = outside_of_roller(staff);
        out.has_roller = true;
        out.roller = (struct sw_hole){
            seat + clear, outside > 0 ? fmin(outside - clear, seat + wider) : seat + wider,
            reach_beyond(staff, roller->index, roller->is_lower_half) + (roller->z1 - roller->z0) +
                deeper};
    }
    return out;
}
