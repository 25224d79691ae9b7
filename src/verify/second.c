/* A second spindle that takes the piece before it is parted and carries it away.
 *
 * It must find what the setup record says it takes: a cylinder of that diameter, thick enough for
 * it, nothing thicker further out, and a bore deep enough. From then until the piece is parted both
 * spindles hold one piece of work: a move along z would draw it out of one of them, or bend it.
 * That it holds the free end makes the work stiffer; what it is judged by leaves that out. */
#include <math.h>

#include "geom/tol.h"
#include "verify/judge.h"

/* A collet closes on what differs from its size by this at most, on the diameter [mm] (common
 * practice, no source). */
#define CLOSES 0.02
/* Both spindles hold the work: along z it may be moved by no more than this [mm]. */
#define PULL 1e-3

enum key { NOT_IN_RECORD, TWICE, NOTHING_TAKEN, WORK, PULLED, JOINED, STAYS, FALLS };

static const struct sw_sim_side *side_now(const struct sw_judge *judge)
{
    return &judge->sim->side[judge->sim->n_sides - 1];
}

static struct sw_finding finding_at(const struct sw_judge *judge,
                                    const struct sw_motion_event *event)
{
    return sw_judge_at(judge, SW_FINDING_SECOND, SW_ERROR, event);
}

/* Least and largest diameter of the work between Z0 and Z1. */
static struct sw_bounds diameters(const struct sw_silhouette *work, double z0, double z1)
{
    struct sw_bounds d = {
        2 * fmin(sw_silhouette_r(work, z0, NULL), sw_silhouette_r(work, z1, NULL)), 0};
    for (size_t i = 0; i < work->n; i++) {
        const struct sw_stretch *s = &work->at[i];
        if (s->z1 <= z0 + SW_TOL_SLIVER || s->z0 >= z1 - SW_TOL_SLIVER)
            continue;
        d.least = fmin(d.least, 2 * fmin(s->r0, s->r1));
        d.most = fmax(d.most, 2 * fmax(s->r0, s->r1));
    }
    return d;
}

static enum sw_status look_at_work(struct sw_judge *judge, const struct sw_motion_event *event,
                                   const struct sw_silhouette *work)
{
    const struct sw_setup_second *is = &side_now(judge)->setup->second;
    const struct sw_machine_second *can = &judge->shop->machine->second_spindle;
    const double nose = is->nose_z.value, inner = nose + is->length.value;
    const double wanted = is->diameter.value, end = judge->sim->kernel->box(judge->sim->work).z1;
    const struct sw_bounds held = diameters(work, nose, inner);
    const struct sw_bounds inside = diameters(work, inner, end);
    struct sw_finding finding = finding_at(judge, event);
    finding.z = sw_judge_part_z(judge, judge->sim->n_sides - 1, (nose + inner) / 2);
    finding.unit = "mm";
    if (held.least < wanted - CLOSES || held.most > wanted + CLOSES) {
        finding.value = held.most > wanted + CLOSES ? held.most : held.least;
        finding.limit = wanted;
        return sw_judge_add(
            judge, finding, WORK,
            "the second spindle is to close on %.3f mm, and the work between z %.3f "
            "and %.3f is %.3f to %.3f mm thick",
            wanted, nose, inner, held.least, held.most);
    }
    if (inside.most > wanted + CLOSES) {
        finding.value = inside.most;
        finding.limit = wanted;
        return sw_judge_add(judge, finding, WORK,
                            "%.3f mm of work stand in front of the %.3f mm that the second spindle "
                            "is to close on",
                            inside.most, wanted);
    }
    if (end - nose > can->depth.value + SW_TOL_POINT) {
        finding.value = end - nose;
        finding.limit = can->depth.value;
        return sw_judge_add(judge, finding, WORK,
                            "%.3f mm of work would reach into the second spindle, which is %.3f mm "
                            "deep",
                            end - nose, can->depth.value);
    }
    if (wanted < can->least.value || wanted > can->most.value ||
        is->length.value < can->grip.value - SW_TOL_POINT)
        return sw_judge_add(judge, finding, WORK,
                            "the second spindle takes %.3f to %.3f mm over %.3f mm or more, and is "
                            "to take %.3f mm over %.3f",
                            can->least.value, can->most.value, can->grip.value, wanted,
                            is->length.value);
    return SW_OK;
}

static enum sw_status take(struct sw_judge *judge, const struct sw_motion_event *event)
{
    struct sw_judge_second *second = &judge->second;
    const struct sw_setup_second *is = &side_now(judge)->setup->second;
    if (second->taken != NULL)
        return sw_judge_add(
            judge, finding_at(judge, event), TWICE,
            "the second spindle holds the work since line %u and is brought up once "
            "more",
            (unsigned)second->taken->line);
    *second = (struct sw_judge_second){event, judge->sim->loose.n};
    if (!is->section.given)
        return sw_judge_add(judge, finding_at(judge, event), NOT_IN_RECORD,
                            "the second spindle comes up, and the setup record does not say what "
                            "it takes; write `second` there");
    struct sw_silhouette work = {0};
    enum sw_status status =
        judge->sim->kernel->silhouette(&work, judge->sim->work, SW_WORK_MOST, is->nose_z.value);
    if (status == SW_OK)
        status = look_at_work(judge, event, &work);
    sw_silhouette_free(&work);
    return status;
}

static bool is_parted(const struct sw_judge *judge)
{
    return judge->sim->loose.n > judge->second.n_loose;
}

static enum sw_status leave(struct sw_judge *judge, const struct sw_motion_event *event)
{
    const struct sw_motion_event *taken = judge->second.taken;
    const bool is_joined = taken != NULL && !is_parted(judge);
    judge->second.taken = NULL;
    if (taken == NULL)
        return sw_judge_add(judge, finding_at(judge, event), NOTHING_TAKEN,
                            "the second spindle leaves and has taken nothing");
    if (is_joined)
        return sw_judge_add(judge, finding_at(judge, event), JOINED,
                            "the second spindle leaves with a piece that is not parted yet");
    return SW_OK;
}

static enum sw_status move(struct sw_judge *judge, const struct sw_motion_event *event)
{
    const double along = fabs(event->to.z - event->from.z);
    if (judge->second.taken == NULL || is_parted(judge) || along <= PULL)
        return SW_OK;
    struct sw_finding finding = finding_at(judge, event);
    finding.value = along;
    finding.limit = PULL;
    finding.unit = "mm";
    return sw_judge_add(judge, finding, PULLED,
                        "%.3f mm along z while both spindles hold the work: it is drawn out of one "
                        "of them, or bent",
                        along);
}

/* The piece that the record has it take falls, and it does not hold it. */
static enum sw_status fall(struct sw_judge *judge, const struct sw_motion_event *event,
                           size_t n_loose)
{
    const struct sw_setup_second *is = &side_now(judge)->setup->second;
    const double at = is->nose_z.value + is->length.value / 2;
    bool is_piece = false;
    for (size_t i = n_loose; i < judge->sim->loose.n && is->section.given; i++) {
        const struct sw_box *box = &judge->sim->loose.at[i].piece.box;
        is_piece = is_piece || (box->z0 < at && box->z1 > at);
    }
    if (!is_piece || judge->second.taken != NULL)
        return SW_OK;
    return sw_judge_add(judge, finding_at(judge, event), FALLS,
                        "the piece is parted and falls: the second spindle does not hold it yet");
}

enum sw_status sw_judge_second(struct sw_judge *judge, const struct sw_motion_event *event,
                               size_t n_loose)
{
    switch (event->kind) {
    case SW_MOTION_SECOND:
        return event->is_taken ? take(judge, event) : leave(judge, event);
    case SW_MOTION_RAPID:
    case SW_MOTION_LINE:
    case SW_MOTION_ARC:
        SW_TRY(fall(judge, event, n_loose));
        return move(judge, event);
    case SW_MOTION_END:
        if (judge->second.taken == NULL)
            return SW_OK;
        return sw_judge_add(judge, finding_at(judge, event), STAYS,
                            "the program ends and the second spindle still holds the work");
    default:
        return SW_OK;
    }
}
