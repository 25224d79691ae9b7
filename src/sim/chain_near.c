/* The chain kernel: links near by, carried from one short move to the next.
 *
 * Asking the tree costs as much as a short cut itself, and the next move asks for nearly the same.
 * So the links near a stretch of the path are asked for once, and short moves within that stretch
 * look among them; whatever a cut changes is added, what it drops is taken out. No memory is taken:
 * when the list is full, or the moves are not short, the tree answers.
 */
#include "sim/chain_int.h"

/* No move longer than this [mm] is short: about a turn's feed of a finishing cut. */
#define SHORT_MOVE 0.02
/* The stretch reaches so many moves either way. */
#define MOVES_AHEAD 16

void sw_chain_near_forget(struct sw_chain_body *body)
{
    struct sw_chain_near *near = &body->near;
    for (size_t i = 0; i < near->n; i++)
        body->links.at[near->link[i]].near_at = SW_CHAIN_NONE;
    near->n = 0;
    near->tool = NULL;
}

static struct sw_box grown(const struct sw_box *box)
{
    return (struct sw_box){box->z0 - SW_CHAIN_CLEAR, box->r0 - SW_CHAIN_CLEAR,
                           box->z1 + SW_CHAIN_CLEAR, box->r1 + SW_CHAIN_CLEAR};
}

void sw_chain_near_add(struct sw_chain_body *body, int link, const struct sw_box *box)
{
    struct sw_chain_near *near = &body->near;
    if (near->tool == NULL)
        return;
    int *at = &body->links.at[link].near_at;
    if (*at == SW_CHAIN_NONE) {
        if (near->n == SW_CHAIN_MOST_NEAR) {
            sw_chain_near_forget(body);
            return;
        }
        *at = (int)near->n;
        near->link[near->n++] = link;
    }
    near->box[*at] = grown(box);
}

void sw_chain_near_drop(struct sw_chain_body *body, int link)
{
    struct sw_chain_near *near = &body->near;
    const int at = body->links.at[link].near_at;
    if (at == SW_CHAIN_NONE)
        return;
    near->n--;
    near->link[at] = near->link[near->n];
    near->box[at] = near->box[near->n];
    body->links.at[near->link[at]].near_at = at;
    body->links.at[link].near_at = SW_CHAIN_NONE;
}

static bool covers(const struct sw_chain_near *near, const struct sw_chain_tool *tool,
                   struct sw_pt from, struct sw_pt to)
{
    return near->tool == tool && sw_chain_is_near(near->at, from, near->radius) &&
           sw_chain_is_near(near->at, to, near->radius);
}

/* All that the outline reaches while it stands within RADIUS of AT. */
static void reach_round(struct sw_chain_reach *reach, const struct sw_chain_tool *tool,
                        struct sw_pt at, double radius)
{
    const double by = radius + 2 * SW_TOL_SNAP;
    const struct sw_box *own = &tool->box;
    reach->box = (struct sw_box){own->z0 + at.z - by, own->r0 + at.r - by, own->z1 + at.z + by,
                                 own->r1 + at.r + by};
    reach->n = 0;
    for (size_t i = 0; i < tool->n_sides && reach->n < SW_CHAIN_MOST_SIDES; i++) {
        const struct sw_pt d = tool->side[i];
        reach->side[reach->n] = d;
        reach->limit[reach->n++] = tool->reach[i] + d.z * at.z + d.r * at.r + by;
    }
}

static void gather(struct sw_chain_body *body, const struct sw_chain_tool *tool, struct sw_pt from,
                   struct sw_pt to, double length)
{
    struct sw_chain_near *near = &body->near;
    struct sw_chain_reach reach;
    const double ahead = MOVES_AHEAD - 1;
    near->radius = MOVES_AHEAD * length;
    near->at = (struct sw_pt){from.z + ahead * (to.z - from.z), from.r + ahead * (to.r - from.r)};
    reach_round(&reach, tool, near->at, near->radius);
    if (!sw_chain_body_find(body, &reach, near->link, SW_CHAIN_MOST_NEAR, &near->n)) {
        near->n = 0;
        return;
    }
    near->tool = tool;
    for (size_t i = 0; i < near->n; i++) {
        struct sw_chain_link *link = &body->links.at[near->link[i]];
        link->near_at = (int)i;
        near->box[i] = grown(&body->nodes.at[link->leaf].box);
    }
}

bool sw_chain_near_is_ready(struct sw_chain_body *body, const struct sw_chain_tool *tool,
                            struct sw_pt from, struct sw_pt to)
{
    struct sw_chain_near *near = &body->near;
    const bool goes_on = near->last_tool == tool && sw_chain_is_near(near->last, from, SW_TOL_SNAP);
    near->last_tool = tool;
    near->last = to;
    if (covers(near, tool, from, to))
        return true;
    const double length = sw_chain_distance(from, to);
    sw_chain_near_forget(body);
    if (goes_on && length <= SHORT_MOVE && length > SW_TOL_SNAP)
        gather(body, tool, from, to, length);
    return near->tool != NULL;
}

bool sw_chain_near_find(struct sw_chain_body *body, const struct sw_chain_swept *swept, int *found,
                        size_t room, size_t *n)
{
    const struct sw_chain_near *near = &body->near;
    if (swept->tool == NULL || swept->tool->n == 0 ||
        !sw_chain_near_is_ready(body, swept->tool, swept->from, swept->to) || room < near->n)
        return false;
    *n = 0;
    size_t lately = 0;
    for (size_t i = 0; i < near->n; i++) {
        const struct sw_chain_link *link = &body->links.at[near->link[i]];
        if (link->leaf != SW_CHAIN_NONE &&
            !sw_chain_is_beside(&swept->reach, &body->nodes.at[link->leaf], &lately))
            found[(*n)++] = near->link[i];
    }
    return true;
}
