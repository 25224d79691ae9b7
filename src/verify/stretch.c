/* Short moves one behind the other, judged as the one move they are. A move that is hardly longer
 * than the edge it cuts with takes a crescent whose thickness says nothing of the depth the tool
 * stands in; along the whole way the crescents add up to what a single move would have taken. */
#include <math.h>

#include "verify/judge.h"

/* A move is short below so many times the length of the edge that cuts, seen along the way: its
 * begin and end, where less is taken, then count for much of it. */
#define OWN_LENGTHS 4
/* Moves whose ends stray from a straight line by no more than this [mm] lie on one: what is thinner
 * is grazing for the kernels too. */
#define STRAY SW_WORK_TOUCH
/* Thickness is gathered over places of this length [mm], as in a single move's profile. */
#define PLACE 2e-3
/* Room kept before the first move's own begin [mm]: what a later one takes before that counts for
 * the first place. */
#define ROOM_BEHIND 0.05

/* A move whose cosine against the way is less goes across it: 14 degrees, where what it takes is
 * shifted by a quarter of its height. */
#define ALONG 0.97

static double dot(struct sw_pt a, struct sw_pt b)
{
    return a.z * b.z + a.r * b.r;
}

static struct sw_pt less(struct sw_pt a, struct sw_pt b)
{
    return (struct sw_pt){a.z - b.z, a.r - b.r};
}

static struct sw_pt place_of(struct sw_motion_pt at)
{
    return (struct sw_pt){at.z, at.x};
}

/* Directions from the begin, against that of the first point further than STRAY, in which a line
 * passes every end so far by STRAY at most. */
static bool narrow(struct sw_judge_stretch *s, struct sw_pt to)
{
    const struct sw_pt d = less(to, s->begin);
    const double distance = hypot(d.z, d.r);
    if (distance <= STRAY)
        return true;
    if (!s->has_way) {
        s->has_way = true;
        s->way = (struct sw_pt){d.z / distance, d.r / distance};
        s->right = -HUGE_VAL;
        s->left = HUGE_VAL;
    }
    const double angle = atan2(s->way.z * d.r - s->way.r * d.z, dot(s->way, d));
    if (angle < s->right || angle > s->left)
        return false;
    const double stray = asin(STRAY / distance);
    s->right = fmax(s->right, angle - stray);
    s->left = fmin(s->left, angle + stray);
    return true;
}

bool sw_judge_stretch_goes_on(const struct sw_judge *judge, const struct sw_motion_event *event)
{
    const struct sw_judge_stretch *s = &judge->stretch;
    if (event->kind == SW_MOTION_DWELL || event->kind == SW_MOTION_MESSAGE ||
        event->kind == SW_MOTION_SPINDLE)
        return true;
    if (event->kind != SW_MOTION_LINE ||
        sw_sim_tool_in_use(judge->sim, &event->state) != s->move.tool)
        return false;
    struct sw_judge_stretch tried = *s;
    return narrow(&tried, place_of(event->to));
}

/* Add AREA, spread evenly from FROM to TO. */
static void share_out(double *area_at, size_t n, double back, double width, double from, double to,
                      double area)
{
    const double last = (double)(n - 1);
    const size_t first = (size_t)fmin(fmax(0, floor((from - back) / width)), last);
    const size_t end = (size_t)fmin(fmax(0, floor((to - back) / width)), last);
    for (size_t i = first; i <= end; i++) {
        const double begin = i == first ? from : back + width * (double)i;
        const double stop = i == end ? to : back + width * (double)(i + 1);
        area_at[i] += area * (stop - begin) / (to - from);
    }
}

static enum sw_status make_room(struct sw_judge *judge, double front)
{
    struct sw_judge_stretch *s = &judge->stretch;
    const size_t n = (size_t)fmax(1, ceil((front - s->back) / PLACE) + 1);
    while (s->area.n < n)
        if (!SW_VEC_PUSH(judge->ctx->arena, &s->area, 0.0))
            return SW_MEMORY;
    return SW_OK;
}

/* What a move took, seen along the way of the stretch. */
struct seen {
    double back, front, low, high;
    size_t n;
    double thick[SW_CUT_PLACES]; /* from the back on */
};

static struct sw_pt way_of(const struct sw_judge_stretch *s, const struct sw_sim_move *move)
{
    const struct sw_pt d = less(move->sweep.to, move->sweep.from);
    const double length = hypot(d.z, d.r);
    if (s->has_way || !(length > 0))
        return s->way;
    return (struct sw_pt){d.z / length, d.r / length};
}

static struct seen seen_along(const struct sw_cut_profile *profile, double offset, bool is_back)
{
    struct seen seen = {.n = profile->n, .low = profile->low, .high = profile->high};
    const double length = profile->width * (double)profile->n;
    seen.back = offset + (is_back ? -profile->back - length : profile->back);
    seen.front = seen.back + length;
    for (size_t i = 0; i < profile->n; i++)
        seen.thick[i] = profile->thick[is_back ? profile->n - 1 - i : i];
    if (is_back) {
        seen.low = -profile->high;
        seen.high = -profile->low;
    }
    return seen;
}

/* A move across the way, a tread of a staircase: its box is all that can be seen of it. */
static struct seen seen_across(const struct sw_removed *removed, struct sw_pt begin,
                               struct sw_pt way)
{
    const struct sw_box *box = &removed->box;
    const struct sw_pt corner[4] = {
        {box->z0, box->r0}, {box->z1, box->r0}, {box->z0, box->r1}, {box->z1, box->r1}};
    struct seen seen = {.back = HUGE_VAL, .front = -HUGE_VAL, .n = 1};
    seen.low = HUGE_VAL;
    seen.high = -HUGE_VAL;
    for (int i = 0; i < 4; i++) {
        const struct sw_pt d = less(corner[i], begin);
        const double along = dot(way, d), left = way.z * d.r - way.r * d.z;
        seen.back = fmin(seen.back, along);
        seen.front = fmax(seen.front, along);
        seen.low = fmin(seen.low, left);
        seen.high = fmax(seen.high, left);
    }
    seen.thick[0] = removed->area_most / (seen.front - seen.back);
    return seen;
}

static enum sw_status gather(struct sw_judge *judge, const struct sw_sim_move *move)
{
    struct sw_judge_stretch *s = &judge->stretch;
    const struct sw_cut_profile *profile = judge->sim->kernel->profile(judge->sim->work);
    if (!move->is_cut || profile->n == 0)
        return SW_OK;
    const struct sw_pt way = way_of(s, move), begin = s->move.sweep.from;
    const double cosine = dot(way, less(move->sweep.to, move->sweep.from)) / move->length;
    const struct seen seen =
        fabs(cosine) < ALONG
            ? seen_across(&move->removed, begin, way)
            : seen_along(profile, dot(way, less(move->sweep.from, begin)), cosine < 0);
    const double width = (seen.front - seen.back) / (double)seen.n;
    if (s->area.n == 0)
        s->back = seen.back - ROOM_BEHIND;
    SW_TRY(make_room(judge, seen.front));
    for (size_t i = 0; i < seen.n; i++) {
        const double from = seen.back + width * (double)i;
        share_out(s->area.at, s->area.n, s->back, PLACE, from, from + width, seen.thick[i] * width);
    }
    s->low = fmin(s->low, seen.low);
    s->high = fmax(s->high, seen.high);
    s->first = fmin(s->first, fmax(seen.back, s->back));
    s->front = fmax(s->front, seen.front);
    /* rounded to places the thickness may come out larger than what was taken reaches across */
    for (double z = fmax(seen.back, s->back); z < seen.front; z += PLACE) {
        const size_t i = (size_t)fmin((z - s->back) / PLACE, (double)(s->area.n - 1));
        s->deepest = fmax(s->deepest, s->area.at[i] / PLACE);
    }
    s->move.removed.depth = fmax(s->move.removed.depth, fmin(s->deepest, s->high - s->low));
    return SW_OK;
}

/* Fed fastest, it takes the thickest chip. */
static void join(struct sw_judge *judge, const struct sw_sim_move *move)
{
    struct sw_judge_stretch *s = &judge->stretch;
    struct sw_removed *all = &s->move.removed;
    const double feed = sw_judge_feed(judge, move, fmax(0, move->sweep.to.r));
    if (feed > s->feed) {
        s->feed = feed;
        s->move.event = move->event;
        s->move.length = move->length; /* what a feed by inverse time is counted by */
    }
    const double reached = sw_pt_distance(s->move.sweep.from, s->move.sweep.to);
    if (sw_pt_distance(s->move.sweep.from, move->sweep.to) > reached)
        s->move.sweep.to = move->sweep.to;
    if (!move->is_cut)
        return;
    all->box = s->move.is_cut ? sw_box_join(all->box, move->removed.box) : move->removed.box;
    all->area_least += move->removed.area_least;
    all->area_most += move->removed.area_most;
    all->depth = fmax(all->depth, move->removed.depth);
    s->move.is_cut = true;
}

/* Where it comes to the work it cuts with less of its edge than it will: its nose counts. */
static bool is_short(const struct sw_judge *judge, const struct sw_sim_move *move)
{
    const struct sw_cut_profile *profile = judge->sim->kernel->profile(judge->sim->work);
    const double nose = judge->sim->side[move->side].tool[move->tool].tool->nose_radius.value;
    const double edge = profile->width * (double)profile->n - move->length;
    return profile->n > 0 && move->length < OWN_LENGTHS * fmax(edge, nose);
}

enum sw_status sw_judge_stretch_add(struct sw_judge *judge, const struct sw_motion_event *event)
{
    struct sw_judge_stretch *s = &judge->stretch;
    if (event->kind != SW_MOTION_LINE)
        return SW_OK;
    const struct sw_sim_move *move = &judge->sim->moves.at[judge->sim->moves.n - 1];
    if (s->n == 0) {
        if (!move->is_cut || move->tool == SW_SIM_NO_TOOL || !is_short(judge, move) ||
            !sw_tool_cuts(judge->sim->side[move->side].tool[move->tool].tool))
            return SW_OK;
        s->begin = place_of(event->from);
        s->move = *move;
        s->feed = sw_judge_feed(judge, move, fmax(0, move->sweep.to.r));
        s->low = s->first = HUGE_VAL;
        s->high = s->front = -HUGE_VAL;
        s->deepest = 0;
        s->has_way = false;
    } else {
        join(judge, move);
    }
    s->n++;
    narrow(s, place_of(event->to));
    SW_TRY(gather(judge, move));
    s->move.removed.along = fmax(0, s->front - s->first);
    return SW_OK;
}

const struct sw_sim_move *sw_judge_stretch_of(const struct sw_judge *judge,
                                              const struct sw_sim_move *move)
{
    return judge->stretch.n > 1 ? &judge->stretch.move : move;
}

static struct sw_cut_profile profile_of(const struct sw_judge_stretch *s)
{
    struct sw_cut_profile out = {.low = s->low, .high = s->high, .back = s->first};
    const double length = s->front - s->first;
    out.n = (size_t)fmin(fmax(1, floor(length / PLACE)), SW_CUT_PLACES);
    out.width = length / (double)out.n;
    for (size_t i = 0; i < s->area.n; i++) {
        const double from = s->back + PLACE * (double)i;
        if (s->area.at[i] > 0)
            share_out(out.thick, out.n, out.back, out.width, fmax(from, s->first),
                      fmin(from + PLACE, s->front), s->area.at[i]);
    }
    for (size_t i = 0; i < out.n; i++)
        out.thick[i] /= out.width;
    return out;
}

enum sw_status sw_judge_stretch_end(struct sw_judge *judge)
{
    struct sw_judge_stretch *s = &judge->stretch;
    const size_t n = s->n;
    if (n == 0)
        return SW_OK;
    /* one alone is judged as it is: the work still stands as it left it */
    const struct sw_cut_profile profile =
        n > 1 ? profile_of(s) : *judge->sim->kernel->profile(judge->sim->work);
    s->n = 0;
    s->area.n = 0;
    return sw_judge_load(judge, &s->move, &profile);
}
