/* The chain kernel: links, and the tree of boxes that finds them.
 *
 * A binary tree balanced by height (Adelson-Velsky and Landis, 1962); new leaves go in beside their
 * neighbour in the boundary, so a node covers a stretch of it and boxes are small.
 */
#include "sim/chain_int.h"

/* Twice the height of the tallest tree of as many nodes as memory can hold. */
enum { STACK = 128 };
/* A node higher than this stands for so much of the boundary that it is hardly ever left out. */
enum { TALL = 5 };

void sw_chain_body_clear(struct sw_chain_body *body)
{
    body->links.n = 0;
    body->nodes.n = 0;
    body->near = (struct sw_chain_near){0};
    body->free_link = body->free_node = body->root = SW_CHAIN_NONE;
    body->n_free_links = body->n_free_nodes = body->n_links = 0;
}

bool sw_chain_body_reserve(struct sw_chain_body *body, size_t n, struct sw_arena *arena)
{
    while (body->n_free_links < n) {
        const struct sw_chain_link link = {.next = body->free_link,
                                           .leaf = SW_CHAIN_NONE,
                                           .near_at = SW_CHAIN_NONE,
                                           .local = SW_CHAIN_NONE};
        if (!SW_VEC_PUSH(arena, &body->links, link))
            return false;
        body->free_link = (int)body->links.n - 1;
        body->n_free_links++;
    }
    while (body->n_free_nodes < 2 * n) {
        const struct sw_chain_node node = {.parent = body->free_node};
        if (!SW_VEC_PUSH(arena, &body->nodes, node))
            return false;
        body->free_node = (int)body->nodes.n - 1;
        body->n_free_nodes++;
    }
    return true;
}

int sw_chain_body_take(struct sw_chain_body *body, const struct sw_chain_edge *edge)
{
    const int link = body->free_link;
    body->free_link = body->links.at[link].next;
    body->n_free_links--;
    body->n_links++;
    body->links.at[link] = (struct sw_chain_link){.edge = *edge,
                                                  .next = SW_CHAIN_NONE,
                                                  .prev = SW_CHAIN_NONE,
                                                  .leaf = SW_CHAIN_NONE,
                                                  .near_at = SW_CHAIN_NONE,
                                                  .local = SW_CHAIN_NONE};
    return link;
}

static int take_node(struct sw_chain_body *body)
{
    const int node = body->free_node;
    body->free_node = body->nodes.at[node].parent;
    body->n_free_nodes--;
    return node;
}

static void free_node(struct sw_chain_body *body, int node)
{
    body->nodes.at[node].parent = body->free_node;
    body->free_node = node;
    body->n_free_nodes++;
}

static bool is_same_box(const struct sw_box *a, const struct sw_box *b)
{
    return a->z0 == b->z0 && a->r0 == b->r0 && a->z1 == b->z1 && a->r1 == b->r1;
}

/* Box and height from the children; true when either changed. */
static inline bool renew(struct sw_chain_node *nodes, int at)
{
    struct sw_chain_node *node = &nodes[at];
    const struct sw_chain_node *left = &nodes[node->left], *right = &nodes[node->right];
    const struct sw_box box = sw_chain_box_join(&left->box, &right->box);
    const int height = 1 + (left->height > right->height ? left->height : right->height);
    const bool is_same = is_same_box(&box, &node->box) && height == node->height;
    node->box = box;
    node->height = height;
    return !is_same;
}

static void replace_child(struct sw_chain_body *body, int parent, int old, int by)
{
    struct sw_chain_node *nodes = body->nodes.at;
    nodes[by].parent = parent;
    if (parent == SW_CHAIN_NONE)
        body->root = by;
    else if (nodes[parent].left == old)
        nodes[parent].left = by;
    else
        nodes[parent].right = by;
}

/* Let a child of AT rise above it; order is kept. */
static int rotate(struct sw_chain_body *body, int at, bool is_left)
{
    struct sw_chain_node *nodes = body->nodes.at;
    const int up = is_left ? nodes[at].left : nodes[at].right;
    const int middle = is_left ? nodes[up].right : nodes[up].left;
    replace_child(body, nodes[at].parent, at, up);
    if (is_left) {
        nodes[at].left = middle;
        nodes[up].right = at;
    } else {
        nodes[at].right = middle;
        nodes[up].left = at;
    }
    nodes[middle].parent = at;
    nodes[at].parent = up;
    renew(nodes, at);
    renew(nodes, up);
    return up;
}

static int balance(struct sw_chain_body *body, int at)
{
    struct sw_chain_node *nodes = body->nodes.at;
    const int left = nodes[at].left, right = nodes[at].right;
    const int lean = nodes[left].height - nodes[right].height;
    if (lean >= -1 && lean <= 1)
        return at;
    const int high = lean > 0 ? left : right;
    const int outer = lean > 0 ? nodes[high].left : nodes[high].right;
    const int inner = lean > 0 ? nodes[high].right : nodes[high].left;
    if (nodes[inner].height > nodes[outer].height)
        rotate(body, high, lean < 0);
    return rotate(body, at, lean > 0);
}

/* From AT to the root, as far as anything changes. */
static void renew_up(struct sw_chain_body *body, int at)
{
    while (at != SW_CHAIN_NONE) {
        const bool has_changed = renew(body->nodes.at, at);
        const int now = balance(body, at);
        if (!has_changed && now == at)
            return;
        at = body->nodes.at[now].parent;
    }
}

void sw_chain_body_plant(struct sw_chain_body *body, int link, int behind)
{
    struct sw_chain_node *nodes = body->nodes.at;
    const int leaf = take_node(body);
    nodes[leaf] = (struct sw_chain_node){.box = sw_chain_edge_box(&body->links.at[link].edge),
                                         .parent = SW_CHAIN_NONE,
                                         .left = SW_CHAIN_NONE,
                                         .right = SW_CHAIN_NONE,
                                         .link = link};
    body->links.at[link].leaf = leaf;
    sw_chain_near_add(body, link, &nodes[leaf].box);
    if (body->root == SW_CHAIN_NONE) {
        body->root = leaf;
        return;
    }
    int beside = behind == SW_CHAIN_NONE ? body->root : body->links.at[behind].leaf;
    while (nodes[beside].height > 0)
        beside = nodes[beside].right;
    const int fork = take_node(body);
    replace_child(body, nodes[beside].parent, beside, fork);
    nodes[fork].left = beside;
    nodes[fork].right = leaf;
    nodes[beside].parent = nodes[leaf].parent = fork;
    nodes[fork].height = 0;
    nodes[fork].link = SW_CHAIN_NONE;
    renew_up(body, fork);
}

void sw_chain_body_replant(struct sw_chain_body *body, int from, int to)
{
    const int leaf = body->links.at[from].leaf;
    body->links.at[from].leaf = SW_CHAIN_NONE;
    body->links.at[to].leaf = leaf;
    body->nodes.at[leaf].link = to;
    sw_chain_body_refit(body, to);
}

void sw_chain_body_refit(struct sw_chain_body *body, int link)
{
    struct sw_chain_node *leaf = &body->nodes.at[body->links.at[link].leaf];
    leaf->box = sw_chain_edge_box(&body->links.at[link].edge);
    sw_chain_near_add(body, link, &leaf->box);
    renew_up(body, leaf->parent);
}

static void add_refit(struct sw_chain_refits *refits, int node)
{
    for (int i = 0; i < refits->n; i++)
        if (refits->node[i] == node)
            return;
    refits->node[refits->n++] = node;
}

void sw_chain_body_refit_later(struct sw_chain_body *body, int link, struct sw_chain_refits *refits)
{
    struct sw_chain_node *leaf = &body->nodes.at[body->links.at[link].leaf];
    const struct sw_box box = sw_chain_edge_box(&body->links.at[link].edge);
    if (is_same_box(&box, &leaf->box))
        return;
    leaf->box = box;
    sw_chain_near_add(body, link, &box);
    if (leaf->parent == SW_CHAIN_NONE)
        return;
    if (refits->n < SW_CHAIN_MOST_REFITS)
        add_refit(refits, leaf->parent);
    else
        renew_up(body, leaf->parent);
}

/* Nothing has been planted or dropped: heights are as they were. */
void sw_chain_body_refit_now(struct sw_chain_body *body, struct sw_chain_refits *refits)
{
    struct sw_chain_node *nodes = body->nodes.at;
    while (refits->n > 0) {
        int lowest = 0;
        for (int i = 1; i < refits->n; i++)
            if (nodes[refits->node[i]].height < nodes[refits->node[lowest]].height)
                lowest = i;
        struct sw_chain_node *node = &nodes[refits->node[lowest]];
        const struct sw_box box =
            sw_chain_box_join(&nodes[node->left].box, &nodes[node->right].box);
        refits->node[lowest] = refits->node[--refits->n];
        if (is_same_box(&box, &node->box))
            continue;
        node->box = box;
        if (node->parent != SW_CHAIN_NONE)
            add_refit(refits, node->parent);
    }
}

static void unplant(struct sw_chain_body *body, int leaf)
{
    struct sw_chain_node *nodes = body->nodes.at;
    const int fork = nodes[leaf].parent;
    if (fork == SW_CHAIN_NONE) {
        body->root = SW_CHAIN_NONE;
        free_node(body, leaf);
        return;
    }
    const int other = nodes[fork].left == leaf ? nodes[fork].right : nodes[fork].left;
    const int parent = nodes[fork].parent;
    replace_child(body, parent, fork, other);
    free_node(body, leaf);
    free_node(body, fork);
    renew_up(body, parent);
}

void sw_chain_body_drop(struct sw_chain_body *body, int link)
{
    struct sw_chain_link *gone = &body->links.at[link];
    if (gone->leaf != SW_CHAIN_NONE)
        unplant(body, gone->leaf);
    sw_chain_near_drop(body, link);
    gone->leaf = SW_CHAIN_NONE;
    gone->local = SW_CHAIN_NONE;
    gone->next = body->free_link;
    body->free_link = link;
    body->n_free_links++;
    body->n_links--;
}

bool sw_chain_body_add_loop(struct sw_chain_body *body, const struct sw_chain_edge *edges, size_t n,
                            struct sw_arena *arena)
{
    if (!sw_chain_body_reserve(body, n, arena))
        return false;
    int first = SW_CHAIN_NONE, last = SW_CHAIN_NONE;
    for (size_t i = 0; i < n; i++) {
        const int link = sw_chain_body_take(body, &edges[i]);
        sw_chain_body_plant(body, link, last);
        if (last == SW_CHAIN_NONE) {
            first = link;
        } else {
            body->links.at[last].next = link;
            body->links.at[link].prev = last;
        }
        last = link;
    }
    if (n > 0) {
        body->links.at[last].next = first;
        body->links.at[first].prev = last;
    }
    return true;
}

bool sw_chain_body_copy(struct sw_chain_body *to, const struct sw_chain_body *from,
                        struct sw_arena *arena)
{
    sw_chain_body_clear(to);
    for (size_t i = 0; i < from->links.n; i++) {
        if (!SW_VEC_PUSH(arena, &to->links, from->links.at[i]))
            return false;
        to->links.at[i].near_at = SW_CHAIN_NONE;
    }
    for (size_t i = 0; i < from->nodes.n; i++)
        if (!SW_VEC_PUSH(arena, &to->nodes, from->nodes.at[i]))
            return false;
    to->free_link = from->free_link;
    to->free_node = from->free_node;
    to->n_free_links = from->n_free_links;
    to->n_free_nodes = from->n_free_nodes;
    to->n_links = from->n_links;
    to->root = from->root;
    return true;
}

static bool is_beyond(const struct sw_chain_reach *reach, size_t side, const struct sw_box *box)
{
    const struct sw_pt d = reach->side[side];
    return d.z * (d.z > 0 ? box->z0 : box->z1) + d.r * (d.r > 0 ? box->r0 : box->r1) >
           reach->limit[side];
}

/* Of a tall node only the one that answered last is asked. */
bool sw_chain_is_beside(const struct sw_chain_reach *reach, const struct sw_chain_node *node,
                        size_t *lately)
{
    const struct sw_box *own = &reach->box, *box = &node->box;
    if (box->z0 > own->z1 || box->z1 < own->z0 || box->r0 > own->r1 || box->r1 < own->r0)
        return true;
    if (reach->n == 0)
        return false;
    if (is_beyond(reach, *lately, box))
        return true;
    for (size_t i = 0; i < reach->n && node->height <= TALL; i++)
        if (is_beyond(reach, i, box)) {
            *lately = i;
            return true;
        }
    return false;
}

bool sw_chain_body_find(const struct sw_chain_body *body, const struct sw_chain_reach *reach,
                        int *found, size_t room, size_t *n)
{
    const struct sw_chain_node *nodes = body->nodes.at;
    int stack[STACK], depth = 0;
    size_t lately = 0;
    *n = 0;
    if (body->root != SW_CHAIN_NONE)
        stack[depth++] = body->root;
    while (depth > 0) {
        const struct sw_chain_node *node = &nodes[stack[--depth]];
        if (sw_chain_is_beside(reach, node, &lately))
            continue;
        if (node->height == 0) {
            if (*n == room)
                return false;
            found[(*n)++] = node->link;
            continue;
        }
        stack[depth++] = node->right;
        stack[depth++] = node->left;
    }
    return true;
}

int sw_chain_body_winding(const struct sw_chain_body *body, struct sw_pt p)
{
    const struct sw_chain_node *nodes = body->nodes.at;
    int stack[STACK], depth = 0, winds = 0;
    if (body->root != SW_CHAIN_NONE)
        stack[depth++] = body->root;
    while (depth > 0) {
        const struct sw_chain_node *node = &nodes[stack[--depth]];
        if (node->box.z0 > p.z || node->box.z1 < p.z || node->box.r1 < p.r)
            continue;
        if (node->height == 0) {
            winds += sw_chain_edge_winds(&body->links.at[node->link].edge, p);
            continue;
        }
        stack[depth++] = node->right;
        stack[depth++] = node->left;
    }
    return winds;
}

struct sw_box sw_chain_body_box(const struct sw_chain_body *body)
{
    return body->root != SW_CHAIN_NONE ? body->nodes.at[body->root].box
                                       : (struct sw_box){0, 0, 0, 0};
}

/* The turned work reaches from a link down to the same on the far side of the axis; as seen from
 * AT. Grown by a snap: a line along r or z has no sides to tell apart. */
static struct sw_box turned_box(const struct sw_box *box, struct sw_pt at)
{
    const struct sw_box turned = {box->z0 - at.z, -box->r1 - at.r, box->z1 - at.z, box->r1 - at.r};
    return sw_box_grow(turned, SW_TOL_SNAP);
}

/* No outline in box A is nearer to box B than this. */
static double gap_between(const struct sw_box *a, const struct sw_box *b)
{
    const double z = sw_chain_max(a->z0 - b->z1, b->z0 - a->z1);
    const double r = sw_chain_max(a->r0 - b->r1, b->r0 - a->r1);
    return z > 0 && r > 0 ? sqrt(z * z + r * r) : sw_chain_max(0, sw_chain_max(z, r));
}

double sw_chain_body_distance(const struct sw_chain_body *body, const struct sw_convex *outline,
                              struct sw_pt at)
{
    /* a box of the boundary let down to the axis covers all work below it */
    const struct sw_chain_node *nodes = body->nodes.at;
    const struct sw_box own = sw_convex_box(outline);
    int stack[STACK], depth = 0;
    double nearest = HUGE_VAL;
    if (body->root != SW_CHAIN_NONE)
        stack[depth++] = body->root;
    while (depth > 0 && nearest > 0) {
        const struct sw_chain_node *node = &nodes[stack[--depth]];
        const struct sw_box turned = turned_box(&node->box, at);
        if (gap_between(&own, &turned) >= nearest)
            continue;
        const double distance = sw_convex_box_distance(outline, turned);
        if (distance >= nearest)
            continue;
        if (node->height == 0) {
            nearest = distance;
            continue;
        }
        const struct sw_box left = turned_box(&nodes[node->left].box, at);
        const struct sw_box right = turned_box(&nodes[node->right].box, at);
        const bool left_first = gap_between(&own, &left) <= gap_between(&own, &right);
        stack[depth++] = left_first ? node->right : node->left;
        stack[depth++] = left_first ? node->left : node->right;
    }
    return nearest;
}

static double r_on(const struct sw_chain_edge *edge, double z)
{
    const double low = fmin(edge->a.r, edge->b.r), high = fmax(edge->a.r, edge->b.r);
    if (edge->turn != 0) {
        const double dz = z - edge->u;
        const double r = sqrt(fmax(0, edge->w * edge->w - dz * dz));
        return edge->v + edge->half * r;
    }
    return edge->v == 0 ? high : fmin(high, fmax(low, (edge->w - edge->u * z) / edge->v));
}

bool sw_chain_body_r_range(double *low, double *high, const struct sw_chain_body *body, double z)
{
    const struct sw_chain_node *nodes = body->nodes.at;
    int stack[STACK], depth = 0;
    double least = HUGE_VAL, most = -HUGE_VAL;
    if (body->root != SW_CHAIN_NONE)
        stack[depth++] = body->root;
    while (depth > 0) {
        const struct sw_chain_node *node = &nodes[stack[--depth]];
        if (node->box.z0 > z || node->box.z1 < z)
            continue;
        if (node->height > 0) {
            stack[depth++] = node->right;
            stack[depth++] = node->left;
            continue;
        }
        const struct sw_chain_edge *edge = &body->links.at[node->link].edge;
        const bool is_square = edge->turn == 0 && edge->a.z == edge->b.z;
        const double first = is_square ? node->box.r0 : r_on(edge, z);
        const double second = is_square ? node->box.r1 : first;
        least = fmin(least, first);
        most = fmax(most, second);
    }
    if (!(least <= most))
        return false;
    *low = least;
    *high = most;
    return true;
}
