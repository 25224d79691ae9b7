#include "support/cuts.h"

#include <math.h>
#include <stdio.h>

static const double pi = 3.14159265358979323846;

double sw_cuts_share(uint64_t *state)
{
    *state ^= *state >> 12;
    *state ^= *state << 25;
    *state ^= *state >> 27;
    return (double)((*state * 2685821657736338717ull) >> 11) / 9007199254740992.0;
}

static int pick(uint64_t *state, int n)
{
    return (int)(sw_cuts_share(state) * n);
}

struct maker {
    struct sw_cuts *cuts;
    uint64_t state;
    struct sw_arena *arena;
    bool is_short;
};

static void add(struct maker *m, struct sw_seg seg)
{
    if (!sw_contour_add(m->arena, &m->cuts->tool, seg))
        m->is_short = true;
}

static void line(struct maker *m, struct sw_pt a, struct sw_pt b)
{
    add(m, sw_seg_line(a, b, SW_TAG_NONE));
}

static void arc(struct maker *m, struct sw_pt a, struct sw_pt b, struct sw_pt c)
{
    add(m, sw_seg_arc(a, b, c, 1, SW_TAG_NONE));
}

static struct sw_pt polar(struct sw_pt c, double radius, double angle)
{
    return (struct sw_pt){c.z + radius * cos(angle), c.r + radius * sin(angle)};
}

static double size(struct maker *m, double low, double high, double grid)
{
    const double x = low + (high - low) * sw_cuts_share(&m->state);
    return m->cuts->is_on_grid ? fmax(grid, grid * floor(x / grid + 0.5)) : x;
}

static void make_disc(struct maker *m)
{
    const double radius = size(m, 0.03, 0.3, 0.1);
    const struct sw_pt c = {0, 0}, left = {-radius, 0}, right = {radius, 0};
    m->cuts->tool_name = "disc";
    arc(m, left, right, c);
    arc(m, right, left, c);
}

static void make_point(struct maker *m)
{
    const double nose = size(m, 0.02, 0.2, 0.05), length = size(m, 0.3, 1.5, 0.5);
    const struct sw_pt c = {0, 0};
    double low = 0.2 + 1.4 * sw_cuts_share(&m->state);
    double high = low + 0.3 + 1.2 * sw_cuts_share(&m->state);
    if (m->cuts->is_on_grid) {
        low = pi / 4 * pick(&m->state, 3);
        high = low + pi / 4 * (1 + pick(&m->state, 2));
    }
    m->cuts->tool_name = "point";
    const struct sw_pt a = polar(c, nose, high + pi / 2), b = polar(c, nose, low - pi / 2);
    const struct sw_pt d = polar(b, length, low), e = polar(a, length, high);
    arc(m, a, b, c);
    line(m, b, d);
    line(m, d, e);
    line(m, e, a);
}

static void make_blade(struct maker *m)
{
    const double corner = size(m, 0.01, 0.06, 0.05), width = size(m, 0.1, 0.5, 0.1);
    const struct sw_pt c = {0, 0}, d = {width, 0};
    const double height = 1.5;
    m->cuts->tool_name = "blade";
    const struct sw_pt p[] = {{-corner, 0},
                              {0, -corner},
                              {width, -corner},
                              {width + corner, 0},
                              {width + corner, height},
                              {-corner, height}};
    arc(m, p[0], p[1], c);
    line(m, p[1], p[2]);
    arc(m, p[2], p[3], d);
    line(m, p[3], p[4]);
    line(m, p[4], p[5]);
    line(m, p[5], p[0]);
}

static void make_box(struct maker *m)
{
    const double z = size(m, 0.1, 0.6, 0.1), r = size(m, 0.1, 2, 0.1);
    const struct sw_pt p[] = {{0, 0}, {z, 0}, {z, r}, {0, r}};
    m->cuts->tool_name = "box";
    for (int i = 0; i < 4; i++)
        line(m, p[i], p[(i + 1) % 4]);
}

/* Arcs of three radii and a flat. */
static void make_round(struct maker *m)
{
    const double small = size(m, 0.02, 0.1, 0.1), large = small + size(m, 0.1, 0.3, 0.1);
    const struct sw_pt c = {0, 0}, d = {0, small - large};
    m->cuts->tool_name = "round";
    /* the large circle's right quarter up to the small one, which it touches on top */
    const struct sw_pt bottom = {0, d.r - large}, right = {large, d.r}, top = {0, small};
    const struct sw_pt left = {-small, 0};
    arc(m, bottom, right, d);
    arc(m, right, top, d);
    arc(m, top, left, c);
    line(m, left, bottom);
}

static struct sw_pt place(struct maker *m)
{
    const struct sw_pt p = {0.5 - 5.5 * sw_cuts_share(&m->state),
                            -0.3 + 1.7 * sw_cuts_share(&m->state)};
    if (!m->cuts->is_on_grid)
        return p;
    return (struct sw_pt){floor(p.z * 10 + 0.5) / 10, floor(p.r * 10 + 0.5) / 10};
}

static struct sw_sweep line_to(struct sw_pt from, struct sw_pt to)
{
    return (struct sw_sweep){.from = from, .to = to};
}

static struct sw_sweep arc_about(struct sw_pt from, struct sw_pt to, struct sw_pt c, int turn,
                                 bool is_full)
{
    return (struct sw_sweep){.is_arc = true,
                             .from = from,
                             .to = to,
                             .centre = c,
                             .radius_from = sw_pt_distance(from, c),
                             .radius_to = sw_pt_distance(to, c),
                             .turn = turn,
                             .is_full_turn = is_full};
}

static struct sw_sweep random_arc(struct maker *m, struct sw_pt from)
{
    const int turn = pick(&m->state, 2) == 0 ? 1 : -1;
    if (pick(&m->state, 8) == 0) {
        const struct sw_pt c = {from.z + (pick(&m->state, 2) == 0 ? 0.2 : 0), from.r - 0.2};
        return arc_about(from, from, c, turn, true);
    }
    if (m->cuts->is_on_grid || pick(&m->state, 4) == 0) {
        /* a quarter about a place on the grid */
        const double radius = 0.1 * (1 + pick(&m->state, 4));
        const int quarter = pick(&m->state, 4), by = 1 + pick(&m->state, 3);
        static const int way[4][2] = {{1, 0}, {0, 1}, {-1, 0}, {0, -1}};
        const int last = (quarter + turn * by + 8) % 4;
        const struct sw_pt c = {from.z - radius * way[quarter][0],
                                from.r - radius * way[quarter][1]};
        const struct sw_pt to = {c.z + radius * way[last][0], c.r + radius * way[last][1]};
        return arc_about(from, to, c, turn, false);
    }
    const double radius = 0.005 + 0.5 * sw_cuts_share(&m->state) * sw_cuts_share(&m->state);
    const double a = 2 * pi * sw_cuts_share(&m->state);
    const double by = (0.05 + 3 * sw_cuts_share(&m->state)) * turn;
    const struct sw_pt c = polar(from, -radius, a);
    struct sw_sweep sweep = arc_about(from, polar(c, radius, a + by), c, turn, false);
    if (pick(&m->state, 6) == 0)
        sweep.radius_to += 1e-4 * sw_cuts_share(&m->state);
    return sweep;
}

static struct sw_sweep random_move(struct maker *m, struct sw_pt from, const struct sw_sweep *last)
{
    struct sw_pt to = place(m);
    switch (pick(&m->state, 10)) {
    case 0:
    case 1:
        to.r = from.r;
        return line_to(from, to);
    case 2:
        to.z = from.z;
        return line_to(from, to);
    case 3: /* the same way back */
        return last != NULL && !last->is_arc ? line_to(last->to, last->from) : line_to(from, to);
    case 4: /* a little on */
        to = (struct sw_pt){from.z - 1e-3 * sw_cuts_share(&m->state),
                            from.r - 1e-4 * sw_cuts_share(&m->state)};
        return line_to(from, to);
    case 5: /* on in the same direction */
        if (last == NULL || last->is_arc)
            return line_to(from, to);
        to = (struct sw_pt){from.z + (last->to.z - last->from.z) / 2,
                            from.r + (last->to.r - last->from.r) / 2};
        return line_to(from, to);
    case 6:
    case 7:
        return random_arc(m, from);
    default:
        return line_to(from, to);
    }
}

static bool is_far(struct sw_pt p)
{
    return p.z > 1 || p.z < -5.5 || p.r > 2 || p.r < -0.7;
}

static struct maker begin(struct sw_cuts *out, uint64_t seed, struct sw_arena *arena)
{
    *out = (struct sw_cuts){.seed = seed, .is_on_grid = seed % 2 == 0};
    struct maker m = {.cuts = out, .state = seed * 0x9e3779b97f4a7c15ull + 1, .arena = arena};
    for (int i = 0; i < 8; i++)
        sw_cuts_share(&m.state);
    static void (*const make[])(struct maker *) = {make_disc, make_point, make_blade,
                                                   make_box,  make_round, make_point};
    make[pick(&m.state, 6)](&m);
    return m;
}

bool sw_cuts_make(struct sw_cuts *out, uint64_t seed, size_t n, struct sw_arena *arena)
{
    struct maker m = begin(out, seed, arena);
    struct sw_pt at = {0.3, 1.3};
    for (out->n = 0; out->n < n && out->n < SW_CUTS_MOST; out->n++) {
        const struct sw_sweep *last = out->n > 0 ? &out->sweep[out->n - 1] : NULL;
        out->sweep[out->n] = random_move(&m, at, last);
        at = out->sweep[out->n].to;
        if (is_far(at))
            at = place(&m);
    }
    return !m.is_short;
}

/* Mostly a little aside of the way before; straight on, square, back and to the axis too. */
static double next_way(struct maker *m, double way)
{
    switch (pick(&m->state, 12)) {
    case 0:
    case 1:
        return way;
    case 2:
        return way + pi * (sw_cuts_share(&m->state) < 0.3 ? 1 : sw_cuts_share(&m->state) - 0.5);
    case 3:
        return floor(way / (pi / 4) + 0.5) * (pi / 4);
    default:
        return way + 0.5 * (sw_cuts_share(&m->state) - 0.5);
    }
}

bool sw_cuts_make_short(struct sw_cuts *out, uint64_t seed, size_t n, struct sw_arena *arena)
{
    struct maker m = begin(out, seed, arena);
    const double length = 2e-4 * pow(90, sw_cuts_share(&m.state));
    const size_t n_before = 4;
    struct sw_pt at = {0.3, 1.3};
    double way = pi;
    for (out->n = 0; out->n < n && out->n < SW_CUTS_MOST; out->n++) {
        struct sw_pt to = place(&m);
        if (out->n == n_before) { /* into the work by no more than a tool's own size */
            to = (struct sw_pt){-1 - 3 * sw_cuts_share(&m.state),
                                0.8 + 0.3 * sw_cuts_share(&m.state)};
        } else if (out->n > n_before) {
            way = next_way(&m, way);
            to = polar(at, length * (0.2 + 0.8 * sw_cuts_share(&m.state)), way);
        }
        if (out->n >= n_before && out->is_on_grid)
            to = (struct sw_pt){floor(to.z * 1e4 + 0.5) / 1e4, floor(to.r * 1e4 + 0.5) / 1e4};
        out->sweep[out->n] = line_to(at, to);
        at = to;
    }
    return !m.is_short;
}

void sw_cuts_print(const struct sw_cuts *cuts)
{
    printf("seed %llu, tool %s:\n", (unsigned long long)cuts->seed, cuts->tool_name);
    for (size_t i = 0; i < cuts->tool.n; i++) {
        const struct sw_seg *seg = &cuts->tool.at[i];
        printf("  %s (%.17g, %.17g) to (%.17g, %.17g)\n", seg->kind == SW_SEG_ARC ? "arc" : "line",
               seg->a.z, seg->a.r, seg->b.z, seg->b.r);
    }
    for (size_t i = 0; i < cuts->n; i++) {
        const struct sw_sweep *s = &cuts->sweep[i];
        printf("  %zu: (%.17g, %.17g) to (%.17g, %.17g)", i, s->from.z, s->from.r, s->to.z,
               s->to.r);
        if (s->is_arc)
            printf(" about (%.17g, %.17g) turn %d%s, radii %.17g and %.17g", s->centre.z,
                   s->centre.r, s->turn, s->is_full_turn ? " full" : "", s->radius_from,
                   s->radius_to);
        printf("\n");
    }
    fflush(stdout);
}
