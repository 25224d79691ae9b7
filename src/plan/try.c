/* Pauses to try the real parts on. What a hand should feel then depends on what is still left for
 * the stone: a part that goes on as it should before stoning is loose afterwards. */
#include <math.h>

#include "plan/plan_int.h"

/* A slow taper lets a roller up by hand about this share of its way, the rest is pressed (Hall
 * 1910, ch. VII). */
static const double by_hand = 0.75;
/* A part that would go up by less than this [mm] does not go on at all: its mouth is rounded by as
 * much. Common practice, no source. */
static const double least_way = 0.1;
/* What is left counts from this on, on the diameter [mm]: nobody feels less. */
static const double least_left = 0.001;
/* Less taper than this is a cylinder. */
static const double least_taper = 1e-4;

static const char *when_finished(enum sw_takes takes)
{
    switch (takes) {
    case SW_TAKES_COLLET:
        return "the collet, sprung open by its slot, goes on with light friction and stays";
    case SW_TAKES_BALANCE:
        return "the balance arm goes on by hand without shake and sits flat on the face behind it";
    case SW_TAKES_ROLLER:
    case SW_TAKES_SAFETY_ROLLER:
        return "the roller slides by hand about three quarters of the way up, no further";
    case SW_TAKES_NOTHING:
        break;
    }
    return "it goes on as it should";
}

static const char *with_left(const struct sw_planner *p, const struct sw_section *is, double left)
{
    const double taper = 2 * fabs(is->r1 - is->r0) / (is->z1 - is->z0);
    const double way = taper > least_taper ? by_hand * (is->z1 - is->z0) - left / taper : 0;
    if (is->takes == SW_TAKES_COLLET)
        return "the collet, sprung open by its slot, goes on and grips firmly; light friction is "
               "left "
               "after the stone";
    if (way >= least_way)
        return sw_arena_printf(
            p->ctx->arena,
            "the part slides by hand about %.2f mm up the taper, no further; after "
            "the stone it goes three quarters of the way",
            way);
    return "the part does not go on yet, or only just begins to; the fit itself is tried while "
           "stoning";
}

static enum sw_status trial(struct sw_op *op, struct sw_planner *p, const struct sw_zone *zone,
                            struct sw_fitted tool, int correction)
{
    static const char *const part[] = {"part", "collet", "balance", "roller", "safety roller"};
    const struct sw_section *is = &p->staff->section[zone->tried];
    const struct sw_shape_section *turned = &p->shape->section[zone->tried];
    const double left = turned->turned_diameter - turned->finished_diameter;
    *op = (struct sw_op){
        .kind = SW_OP_TRY,
        .what = sw_arena_printf(p->ctx->arena, "try the %s on its seat", part[is->takes]),
        .section = zone->tried,
        .station = tool.station,
        .tool = tool.tool,
        .correction = correction,
        .tries = is->takes,
        .expected_diameter = turned->turned_diameter,
        .target_diameter = turned->finished_diameter,
        .measure_z = sw_plan_chucking_z(p->shape, p->now->end, turned->measure_z),
        .advice = left > least_left ? with_left(p, is, left) : when_finished(is->takes)};
    return op->what && op->advice ? SW_OK : SW_MEMORY;
}

enum sw_status sw_plan_try(struct sw_planner *p, const struct sw_zone *zone, struct sw_fitted tool,
                           int correction)
{
    const size_t index = (size_t)(zone - p->zones.at);
    /* Pivots last: the zone further in is the next one cut, too. */
    const bool has_next = index + 1 < p->zones.n && index + 1 != p->n_tip;
    const struct sw_op waiting = p->waiting;
    p->waiting = (struct sw_op){0};
    if (waiting.what)
        SW_TRY(sw_plan_add(p, waiting));
    if (zone->tried == SIZE_MAX)
        return SW_OK;
    struct sw_op op;
    SW_TRY(trial(&op, p, zone, tool, correction));
    if (op.tries != SW_TAKES_BALANCE || !has_next)
        return sw_plan_add(p, op);
    p->waiting = op;
    return SW_OK;
}
