/* Drilling and boring cycles (3.5.16) in the XY plane, where their depth lies along Z: what a
 * two-axis lathe can do of them. X places the hole.
 *
 * Z, R, P and Q are sticky while the same cycle goes on.
 */
#include "ncread/ncread_int.h"

/* How far G83 stays off the bottom when it comes back; "backed off a bit" in 3.5.16.4, the size
 * from memory. */
#define PECK_CLEARANCE_MM 0.254

struct hole {
    double bottom;
    double clear;   /* R level */
    double back_to; /* where the cycle ends */
};

static enum sw_status move_z(struct nc_reader *r, enum sw_motion_kind kind, double z)
{
    return sw_nc_move(r, kind, (struct sw_motion_pt){r->now.at.x, z});
}

static enum sw_status missing(struct nc_reader *r, enum nc_g code, char letter, const char *what)
{
    return sw_nc_fault(r, sw_nc_motion_at(&r->block), "block.cycle-word", NULL,
                       "%s needs %s (%c) on its first line", sw_nc_g_name(code).text, what, letter);
}

/* Take the line's words into the sticky ones and refuse what is missing or wrong. */
static enum sw_status read_words(struct nc_reader *r, enum nc_g code)
{
    const struct nc_block *b = &r->block;
    struct nc_cycle *cycle = &r->now.cycle;
    if (r->now.motion != code)
        *cycle = (struct nc_cycle){0};
    if (sw_nc_has(b, 'Z')) {
        cycle->z = sw_nc_z(r, 'Z');
        cycle->has_z = true;
    }
    if (sw_nc_has(b, 'R')) {
        cycle->r = sw_nc_word(b, 'R') * r->now.unit;
        cycle->has_r = true;
    }
    if (sw_nc_has(b, 'P')) {
        if (sw_nc_word(b, 'P') < 0)
            return sw_nc_fault(r, sw_nc_at(b, 'P'), "block.dwell-negative", NULL,
                               "a dwell lasts zero seconds or more, not %g", sw_nc_word(b, 'P'));
        cycle->p = sw_nc_word(b, 'P');
        if (r->facts.dwell == SW_DWELL_P_MILLISECONDS)
            cycle->p /= 1000;
        cycle->has_p = true;
    }
    if (sw_nc_has(b, 'Q')) {
        if (sw_nc_word(b, 'Q') <= 0)
            return sw_nc_fault(r, sw_nc_at(b, 'Q'), "block.peck", NULL,
                               "a peck is deeper than zero, not %g", sw_nc_word(b, 'Q'));
        cycle->q = sw_nc_word(b, 'Q') * r->now.unit;
        cycle->has_q = true;
    }
    if (!cycle->has_z)
        return missing(r, code, 'Z', "its depth");
    if (!cycle->has_r)
        return missing(r, code, 'R', "its clear level");
    if (!cycle->has_p && (code == NC_G82 || code == NC_G86 || code == NC_G89))
        return missing(r, code, 'P', "its dwell");
    if (!cycle->has_q && code == NC_G83)
        return missing(r, code, 'Q', "its peck");
    return SW_OK;
}

/* Down by pecks, out after each (3.5.16.4). */
static enum sw_status peck(struct nc_reader *r, const struct hole *hole)
{
    double reached = hole->clear;
    for (;;) {
        reached -= r->now.cycle.q;
        if (reached <= hole->bottom)
            return move_z(r, SW_MOTION_LINE, hole->bottom);
        SW_TRY(move_z(r, SW_MOTION_LINE, reached));
        SW_TRY(move_z(r, SW_MOTION_RAPID, hole->back_to));
        const double near_bottom = reached + PECK_CLEARANCE_MM;
        if (near_bottom < hole->back_to)
            SW_TRY(move_z(r, SW_MOTION_RAPID, near_bottom));
    }
}

/* Stop at the bottom, out at rapid, on again as before (3.5.16.7). */
static enum sw_status out_with_stopped_spindle(struct nc_reader *r, const struct hole *hole)
{
    struct sw_motion_event *event;
    const enum sw_motion_spindle before = r->now.modal.spindle;
    r->now.modal.spindle = SW_MOTION_STOPPED;
    SW_TRY(sw_nc_push(r, SW_MOTION_SPINDLE, &event));
    SW_TRY(move_z(r, SW_MOTION_RAPID, hole->back_to));
    r->now.modal.spindle = before;
    return sw_nc_push(r, SW_MOTION_SPINDLE, &event);
}

static enum sw_status one_hole(struct nc_reader *r, enum nc_g code, const struct hole *hole)
{
    if (code == NC_G83)
        SW_TRY(peck(r, hole));
    else
        SW_TRY(move_z(r, SW_MOTION_LINE, hole->bottom));
    if (code == NC_G82 || code == NC_G86 || code == NC_G89)
        SW_TRY(sw_nc_dwell(r, r->now.cycle.p));
    if (code == NC_G86)
        return out_with_stopped_spindle(r, hole);
    const bool feeds_out = code == NC_G85 || code == NC_G89;
    return move_z(r, feeds_out ? SW_MOTION_LINE : SW_MOTION_RAPID, hole->back_to);
}

static enum sw_status check(struct nc_reader *r, enum nc_g code)
{
    const struct nc_piece at = sw_nc_motion_at(&r->block);
    const struct nc_name name = sw_nc_g_name(code);
    if (r->now.plane == NC_G18)
        return sw_nc_fault(r, at, "block.cycle-plane", "drilling along Z needs G17",
                           "%s in G18 drills along Y, an axis this machine does not have",
                           name.text);
    if (r->now.plane == NC_G19)
        return sw_nc_fault(r, at, "block.cycle-plane", "drilling along Z needs G17",
                           "%s in G19 drills along X across a plane of Y and Z; this machine has "
                           "no Y",
                           name.text);
    if (r->now.modal.feed_mode == SW_MOTION_INVERSE_TIME)
        return sw_nc_fault(r, at, "block.cycle-inverse-time", "use G94",
                           "%s cannot go by inverse time feed (G93)", name.text);
    if (code == NC_G86 && r->now.modal.spindle == SW_MOTION_STOPPED)
        return sw_nc_fault(r, at, "block.cycle-spindle", NULL,
                           "G86 needs a turning spindle: it stops and restarts it");
    return sw_nc_need_feed(r, code);
}

enum sw_status sw_nc_cycle(struct nc_reader *r, enum nc_g code)
{
    const struct nc_block *b = &r->block;
    SW_TRY(check(r, code));
    SW_TRY(read_words(r, code));
    struct nc_state *now = &r->now;
    const double base = now->is_incremental ? now->at.z : sw_nc_shift(now).z;
    struct hole hole = {.clear = base + now->cycle.r};
    hole.bottom = (now->is_incremental ? hole.clear : base) + now->cycle.z;
    if (hole.clear < hole.bottom)
        return sw_nc_fault(r, sw_nc_motion_at(b), "block.cycle-levels", NULL,
                           "the R level of %s lies below its depth", sw_nc_g_name(code).text);
    int repeats = 1;
    if (sw_nc_has(b, 'L'))
        (void)sw_nc_whole(sw_nc_word(b, 'L'), &repeats); /* checked with the block */
    const bool was_continuous = now->modal.is_continuous;
    now->modal.is_continuous = false; /* as the printed session shows, Table 10 */
    if (now->at.z < hole.clear)
        SW_TRY(move_z(r, SW_MOTION_RAPID, hole.clear));
    hole.back_to = now->cycle_return == NC_G99 ? hole.clear : now->at.z;
    for (int i = 0; i < repeats; i++) {
        struct sw_motion_pt over = {now->at.x, now->at.z};
        if (sw_nc_has(b, 'X'))
            over.x = (now->is_incremental ? now->at.x : sw_nc_shift(now).x) + sw_nc_x(r, 'X');
        SW_TRY(sw_nc_move(r, SW_MOTION_RAPID, over));
        if (now->at.z != hole.clear)
            SW_TRY(move_z(r, SW_MOTION_RAPID, hole.clear));
        SW_TRY(one_hole(r, code, &hole));
    }
    now->modal.is_continuous = was_continuous;
    return SW_OK;
}
