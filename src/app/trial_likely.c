/* What in a dialect is likely wrong when its text means something else than was asked. Each answer
 * is a reading of the numbers that would be true if one thing were wrong; the first that fits
 * within the grid is said. */
#include "app/trial_int.h"

#include <math.h>

#define INCH_MM 25.4

/* One answer each for things that are asked at several places: its address tells causes apart. */
static const char unknown_place[] =
    "a letter or number of `words` or `decimals`, or a line that moves axes or shifts their zero";

struct sw_pt sw_trial_own(const struct sw_trial_comparer *c, struct sw_motion_pt at)
{
    const struct sw_motion_pt zero = c->run->zero[c->station];
    return (struct sw_pt){.z = at.z - zero.z, .r = at.x - zero.x - c->corrected};
}

/* The same number but for rounding before it was multiplied by FACTOR. */
static bool is_near(const struct sw_trial_comparer *c, double a, double b, double factor)
{
    return fabs(a - b) <= (0.5 * sw_post_step(c->run->post) + 1e-9) * fmax(1, fabs(factor));
}

static bool is_scaled(const struct sw_trial_comparer *c, struct sw_pt asked, struct sw_pt read,
                      double by_r, double by_z)
{
    return is_near(c, read.r, asked.r * by_r, by_r) && is_near(c, read.z, asked.z * by_z, by_z);
}

/* X is right but for a share of the correction that is in. */
static const char *why_corrected(const struct sw_trial_comparer *c, struct sw_pt asked,
                                 struct sw_pt read)
{
    if (!is_near(c, read.z, asked.z, 1))
        return NULL;
    const double off = read.r - asked.r;
    for (int i = 1; i <= SW_TRIAL_CORRECTIONS; i++) {
        const double value = c->run->correction[i];
        if (value != 0 && c->corrected == 0 && is_near(c, off, value, 1))
            return "`corrections`: it stays in after `off`, or acts before `on`";
    }
    if (c->corrected == 0)
        return NULL;
    static const struct {
        double share; /* of the correction, too much */
        const char *why;
    } known[] = {
        {-2, "`corrections.x` or `on`: the correction acts with the wrong sign"},
        {-1, "`corrections.x` or `on`: the correction does not act"},
        {-0.5,
         "`corrections.x` or `on`: half of it acts; X is a diameter, the correction on radius"},
        {1, "`corrections.x` or `on`: twice of it acts; the correction is on radius"},
    };
    for (size_t i = 0; i < sizeof known / sizeof *known; i++)
        if (is_near(c, off, known[i].share * c->corrected, 1))
            return known[i].why;
    return NULL;
}

/* By the zero of another tool, or by none. */
static bool is_of_other_zero(const struct sw_trial_comparer *c, struct sw_pt asked,
                             struct sw_pt read)
{
    const struct sw_motion_pt own = c->run->zero[c->station];
    if (is_near(c, read.r + own.x, asked.r, 1) && is_near(c, read.z + own.z, asked.z, 1))
        return true;
    for (int i = 0; i < SW_NCREAD_TOOLS; i++) {
        const struct sw_motion_pt other = c->run->zero[i];
        if (i != c->station && is_near(c, read.r + own.x - other.x, asked.r, 1) &&
            is_near(c, read.z + own.z - other.z, asked.z, 1))
            return true;
    }
    return false;
}

const char *sw_trial_why_place(const struct sw_trial_comparer *c, struct sw_pt asked,
                               const struct sw_motion_event *read)
{
    const struct sw_pt got = sw_trial_own(c, read->to), from = sw_trial_own(c, read->from);
    const char *why = why_corrected(c, asked, got);
    if (why)
        return why;
    /* Axes the wrong way round count from the zeroes of the other axis too. */
    if (is_scaled(c, (struct sw_pt){.z = asked.r, .r = asked.z}, got, 1, 1))
        return "`words.x` and `words.z`: the letters of the axes are the wrong way round";
    if (is_scaled(c, asked, got, 2, 1) || is_scaled(c, asked, got, 0.5, 1))
        return "`x`: radius or diameter";
    if (is_scaled(c, asked, got, INCH_MM, INCH_MM) || is_scaled(c, asked, got, INCH_MM, 1) ||
        is_scaled(c, asked, got, 1, INCH_MM))
        return "`units`: numbers in millimetres are read as inches";
    if (is_scaled(c, asked, got, 1 / INCH_MM, 1 / INCH_MM))
        return "`units`: numbers in inches are read as millimetres";
    if (is_scaled(c, asked, got, -1, 1) || is_scaled(c, asked, got, 1, -1))
        return "a sign in front of `words.x` or `words.z`";
    const struct sw_pt by = {.z = got.z - from.z, .r = got.r - from.r};
    if (is_scaled(c, asked, by, 1, 1) || is_scaled(c, asked, by, 1, 0) ||
        is_scaled(c, asked, by, 0, 1))
        return "`lines.head` or `section`: places are read as increments; G90 is missing";
    if (is_of_other_zero(c, asked, got))
        return "`tools`, `systems`, `lines.tool_change` or `lines.section`: the place of another "
               "tool is in force";
    return unknown_place;
}

const char *sw_trial_why_feed(const struct sw_trial_comparer *c, double asked,
                              const struct sw_motion_state *read)
{
    const bool is_per_turn = c->run->can.is_feed_per_turn;
    if (read->feed_mode == SW_MOTION_INVERSE_TIME)
        return "`lines.head` or `section`: feeds are read as inverse time (G93)";
    if ((read->feed_mode == SW_MOTION_PER_TURN) != is_per_turn)
        return is_per_turn
                   ? "`feed`, or the feed mode in `lines.head` and `section`: feeds per turn "
                     "are read as per minute"
                   : "`feed`, or the feed mode in `lines.head` and `section`: feeds per "
                     "minute are read as per turn";
    const double ratio = read->feed / (is_per_turn || !(c->speed > 0) ? asked : asked * c->speed);
    const double slack = 0.01; /* feeds have few digits; no two causes are this near */
    if (fabs(ratio / INCH_MM - 1) < slack || fabs(ratio * INCH_MM - 1) < slack)
        return "`units`: feeds are read in the other unit";
    return "`words.feed`, `decimals.feed`, or a line that states a feed";
}

const char *sw_trial_why_dwell(double asked, double read)
{
    const double slack = 0.5; /* waits are rounded up to whole steps */
    if (fabs(read * 1000 - asked) < slack || fabs(read / 1000 - asked) < slack)
        return "`lines.dwell`: seconds are read as milliseconds or the other way round";
    return "`lines.dwell`: the number of the wait";
}

const char *sw_trial_why_missing(const struct sw_trial_run *run, const struct sw_path_event *e)
{
    switch (e->kind) {
    case SW_PATH_TOOL:
        return "`lines.tool_change`: a T word and M6 do not come, or name another tool";
    case SW_PATH_RAPID:
        return "`words.rapid`, or a line that the control does not read";
    case SW_PATH_LINE:
        return "`words.line`, or a line that the control does not read";
    case SW_PATH_ARC:
        return run->can.chord_error > 0 ? "`arcs` or `chord_error`: the chords of an arc"
                                        : "`words.arc_cw`, `words.arc_ccw`, `words.i`, `words.k`, "
                                          "`words.r` or `i`: how an arc is written";
    case SW_PATH_DWELL:
        return "`lines.dwell`: no wait comes";
    case SW_PATH_PAUSE:
        return "`lines.pause`: no stop comes (M0)";
    case SW_PATH_SECOND:
        return "`lines.second_takes`, `lines.second_leaves`: not the M words of `control:`";
    case SW_PATH_SPINDLE:
        return "`lines.spindle_cw`, `spindle_ccw` or `surface_*`";
    case SW_PATH_STOP:
        return "`lines.stop`";
    case SW_PATH_END:
        return "`lines.tail`: the end of the program (M2 or M30)";
    default:
        return "the lines of this event";
    }
}
