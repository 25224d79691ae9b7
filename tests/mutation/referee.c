/* Judges changed programs beside the verifier: for each request on standard input, "INDEX SIZE" and
 * a line of its own with SIZE bytes of program INDEX behind it, one line "equivalent", "harmful
 * WHY", "harmless WHY" or "between WHY".
 *
 * usage: mutation_referee SETTING PROGRAM... */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "referee.h"

/* The work is kept every so many events, to begin again from there. */
enum { KEEP = 32 };
/* A cut taking less than this [mm] is a path retraced. */
#define NO_CUT 5e-4
/* A rod is a few micrometres over its size, and positions are rounded [mm]. */
#define SLACK 2e-3
/* The grid lies beside the round figures that programs are written in. */
#define ASIDE 0.00037
/* A move is followed in pieces no shorter than this [mm]: what a piece takes over its length is the
 * depth; and arcs in chords this near to them. */
#define PIECE 0.03
#define CHORD 2e-5
enum { MOST_PIECES = 100, MOST_CHORDS = 400 };
/* Cuts this far [mm] above a pivot are not yet about its surface. */
#define NEAR_PIVOT 0.04
/* Rounding leaves the radii of an arc different by less than this [mm]. */
#define NOT_CLOSED 3e-4
/* No rod of these programs is thicker [mm]. */
#define WIDEST 5.0
/* Resultant of the force over its cutting part, as plain text books have it. */
#define RESULTANT 1.5
/* Cosine from which on a way goes straight in. */
#define STRAIGHT 0.9998

struct done {
    struct taken taken;
    double near;  /* how deep a rapid would go in a column further along the axis */
    double ahead; /* how deep a body meets what the edge takes in the same move */
    double feed, depth, stress, bend;
};

struct program {
    char *text;
    size_t size, n;
    struct event *event;
    struct done *done;
    struct work start, end, *kept; /* kept[k]: before event k * KEEP */
    double neck_r;
};

struct judged {
    double worst[N_QUANTITIES];
    int line, at[N_QUANTITIES];
    bool is_wrong, is_unsure;
    char why[MOST_WHY];
};

static struct setting setting;
static struct program program[MOST_SIDES];
static struct work good;

static const char *const names[N_QUANTITIES] = {"gouge", "uncut", "face",  "contact",
                                                "feed",  "speed", "depth", "stress",
                                                "bend",  "hand",  "neck",  "rub"};

static void *must(void *p)
{
    if (p == NULL)
        exit(5);
    return p;
}

static struct work work_of(double z0, double z1)
{
    struct work w = {.z0 = floor(z0 / STEP) * STEP - ASIDE, .n = (size_t)ceil((z1 - z0) / STEP)};
    w.at = must(calloc(w.n, sizeof *w.at));
    return w;
}

static struct work copy_of(const struct work *w)
{
    struct work c = *w;
    c.at = must(malloc(w->n * sizeof *w->at));
    memcpy(c.at, w->at, w->n * sizeof *w->at);
    return c;
}

static void wrong(struct judged *j, const char *why)
{
    if (!j->is_wrong)
        snprintf(j->why, sizeof j->why, "line %d: %s", j->line, why);
    j->is_wrong = true;
}

static void unsure(struct judged *j, const char *why)
{
    if (!j->is_wrong && !j->is_unsure)
        snprintf(j->why, sizeof j->why, "line %d: %s", j->line, why);
    j->is_unsure = true;
}

static void worse(struct judged *j, enum quantity q, double value)
{
    if (value > j->worst[q])
        j->at[q] = j->line;
    j->worst[q] = fmax(j->worst[q], value);
}

static struct pt place(const struct tool *tool, struct pt at)
{
    return (struct pt){at.z - tool->zero.z - tool->declared.z,
                       at.r - tool->zero.r - tool->declared.r};
}

static struct pt on_way(const struct event *e, double t)
{
    if (e->motion < 2)
        return (struct pt){e->from.z + t * (e->to.z - e->from.z),
                           e->from.r + t * (e->to.r - e->from.r)};
    const double pi = 3.14159265358979323846;
    const double a = atan2(e->from.r - e->centre.r, e->from.z - e->centre.z);
    const double b = atan2(e->to.r - e->centre.r, e->to.z - e->centre.z);
    const double r0 = hypot(e->from.z - e->centre.z, e->from.r - e->centre.r);
    const double r1 = hypot(e->to.z - e->centre.z, e->to.r - e->centre.r);
    double turn = e->motion == 3 ? b - a : a - b;
    while (turn <= 1e-9)
        turn += 2 * pi;
    if (t >= 1)
        return e->to;
    const double angle = a + (e->motion == 3 ? t : -t) * turn;
    const double r = e->radius == AS_IT_BEGINS ? r0
                     : e->radius == AS_IT_ENDS ? r1
                                               : r0 + t * (r1 - r0);
    return (struct pt){e->centre.z + r * cos(angle), e->centre.r + r * sin(angle)};
}

static double length_of(const struct event *e)
{
    double sum = 0;
    struct pt last = e->from;
    const int n = e->motion < 2 ? 1 : 64;
    for (int i = 1; i <= n; i++) {
        const struct pt p = on_way(e, (double)i / n);
        sum += hypot(p.z - last.z, p.r - last.r);
        last = p;
    }
    return sum;
}

/* By how much the radius at the end of an arc differs from that at its begin. */
static double open_by(const struct event *e)
{
    if (e->motion < 2)
        return 0;
    return fabs(hypot(e->from.z - e->centre.z, e->from.r - e->centre.r) -
                hypot(e->to.z - e->centre.z, e->to.r - e->centre.r));
}

static int chords_of(const struct event *e)
{
    if (e->motion < 2)
        return 1;
    const double r = hypot(e->from.z - e->centre.z, e->from.r - e->centre.r);
    const double turn = length_of(e) / fmax(r, 1e-6);
    const double n = ceil(turn / (2 * acos(1 - fmin(0.5, CHORD / fmax(r, CHORD)))));
    return (int)fmin(fmax(n, 2), MOST_CHORDS);
}

struct box {
    double z0, r0, z1, r1;
};

static struct box box_of(const struct poly *p)
{
    struct box b = {HUGE_VAL, HUGE_VAL, -HUGE_VAL, -HUGE_VAL};
    for (size_t i = 0; i < p->n; i++) {
        b.z0 = fmin(b.z0, p->at[i].z);
        b.z1 = fmax(b.z1, p->at[i].z);
        b.r0 = fmin(b.r0, p->at[i].r);
        b.r1 = fmax(b.r1, p->at[i].r);
    }
    return b;
}

static struct box moved(struct box b, struct pt from, struct pt to)
{
    return (struct box){b.z0 + fmin(from.z, to.z), b.r0 + fmin(from.r, to.r),
                        b.z1 + fmax(from.z, to.z), b.r1 + fmax(from.r, to.r)};
}

static bool do_overlap(struct box a, struct box b)
{
    return a.z0 < b.z1 && b.z0 < a.z1 && a.r0 < b.r1 && b.r0 < a.r1;
}

/* Everything on the slide but the edge in use, against work and nose, along a straight way. */
static double touch(struct work *w, const struct side *side, int in_use, struct pt from,
                    struct pt to, bool with_edge, bool with_neighbours, bool with_own)
{
    double most = 0;
    const struct pt way = {1, 0};
    for (size_t i = 0; i < side->n_tools; i++) {
        const struct tool *tool = &side->tool[i];
        const struct pt a = place(tool, from), b = place(tool, to);
        if ((int)i == in_use ? !with_own : !with_neighbours)
            continue;
        for (size_t k = 0; k < tool->n; k++) {
            struct poly hull;
            const bool is_edge_in_use = (int)i == in_use && k == 0;
            const struct box reach = moved(box_of(&tool->poly[k]), a, b);
            const bool may_work = reach.r0 < WIDEST && reach.r1 > 0 && reach.z1 > w->z0 &&
                                  reach.z0 < w->z0 + STEP * (double)w->n;
            const bool may_nose = do_overlap(reach, box_of(&side->nose));
            if (!may_work && !may_nose)
                continue;
            sweep(&hull, &tool->poly[k], a, b);
            if (may_nose)
                most = fmax(most, overlap(&hull, &side->nose));
            /* a glance skips columns: how deep, only all of them tell */
            if (!may_work || (is_edge_in_use && !with_edge))
                continue;
            if (meet(w, &hull, GLANCE, way).area > 0)
                most = fmax(most, reach_into(w, &hull));
        }
    }
    return most;
}

static const struct section *section_at(double z)
{
    for (size_t i = 0; i < setting.n_sections; i++)
        if (z >= setting.section[i].z0 && z <= setting.section[i].z1)
            return &setting.section[i];
    return NULL;
}

/* WAY: of the move. While a face is cut the layer that comes off stands as far out as the edge: a
 * pip that it leaves on the axis carries nothing. What is left under a blade is twisted by it
 * (torsion of a round bar, 2 F / (pi r^2), and its equivalent by von Mises). */
static void strain(struct done *d, const struct work *w, const struct side *side,
                   const struct event *e, const struct tool *tool, struct pt way, double depth)
{
    const double pi = 3.14159265358979323846;
    const double feed = e->rpm > 0 ? e->feed / e->rpm : 0, z = d->taken.z;
    const double chip = fmax(1e-4, fmin(feed, depth));
    const double force = RESULTANT * setting.force * pow(chip, -setting.exponent) * depth * feed;
    const double far = 2 * fmax(outer(w, z), d->taken.r);
    const bool is_face = way.r < -STRAIGHT && tool->kind != BLADE;
    const double layer = is_face ? d->taken.low : HUGE_VAL;
    const double root = tool->kind == BLADE && way.r < -STRAIGHT ? outer(w, z) : 0;
    if (root > 0)
        d->stress = sqrt(3) * 2 * force / RESULTANT / (pi * root * root);
    double bend = 0;
    const double start = fmax(side->nose_z, w->z0), step = 40 * STEP;
    for (double at = start; at < z; at += step) {
        const double arm = z - at;
        const double r = fmax(outer(w, at), at >= layer ? d->taken.r : 0);
        if (r <= 0)
            continue;
        if (arm >= far)
            d->stress = fmax(d->stress, force * arm / (pi * r * r * r / 4));
        bend += force * arm * arm * step / (setting.modulus * pi * r * r * r * r / 4);
    }
    d->stress /= setting.yield;
    d->bend = bend / fmax(0.02, depth / 2);
}

/* A chip thinner than the edge takes, near the surface of a pivot. What is shorter than a few noses
 * turns a corner. */
static void rub(struct judged *j, const struct side *side, const struct event *e,
                const struct tool *tool, double depth, double r, double length)
{
    const bool is_last = side == &setting.side[setting.n_sides - 1];
    const double a = place(tool, e->from).z, b = place(tool, e->to).z, own = 4 * tool->nose;
    if (!(e->rpm > 0) || depth <= NO_CUT)
        return;
    const double share = fmin(1, depth / tool->nose);
    const double chip = e->feed / e->rpm * sqrt(1 - (1 - share) * (1 - share));
    const double value = setting.least_chip * tool->edge_radius / chip;
    for (size_t i = 0; i < setting.n_sections; i++) {
        const struct section *s = &setting.section[i];
        const double z0 = is_last ? s->z0 : -s->z1 - setting.total;
        const double z1 = is_last ? s->z1 : -s->z0 - setting.total;
        const double shared = fmin(fmax(a, b), z1) - fmax(fmin(a, b), z0);
        const double over = r - outer(&good, (s->z0 + s->z1) / 2);
        if (!s->is_pivot || shared <= 0 || over > 2 * NEAR_PIVOT)
            continue;
        if (shared > 1.5 * own && length > 1.5 * own && over < NEAR_PIVOT)
            worse(j, RUB, value);
        else if (value > setting.limit[RUB].limit - setting.limit[RUB].band)
            unsure(j, "a short rub, or not quite on a pivot");
    }
}

/* The report lets the radii of an arc differ and does not say how it goes then: what some control
 * may take off is taken off. */
static void go_other_ways(struct work *w, const struct tool *tool, const struct event *e)
{
    const int n = chords_of(e);
    struct event other = *e;
    for (other.radius = AS_IT_BEGINS; other.radius <= AS_IT_ENDS; other.radius++)
        for (int i = 0; i < n; i++) {
            const struct pt a = on_way(&other, (double)i / n);
            const struct pt b = on_way(&other, (double)(i + 1) / n);
            struct poly hull;
            sweep(&hull, tool->poly, place(tool, a), place(tool, b));
            meet(w, &hull, TAKE, (struct pt){1, 0});
        }
}

/* Do one move. */
static void cut(struct done *d, struct work *w, const struct side *side, const struct event *e,
                const struct done *known, struct judged *j)
{
    *d = (struct done){0};
    for (int i = 0, n = chords_of(e) > 1 ? 16 : 1; i <= n && j != NULL; i++) {
        const struct pt p = on_way(e, (double)i / n);
        if (p.r < setting.x0 - 1e-6 || p.r > setting.x1 + 1e-6 || p.z < setting.z0 - 1e-6 ||
            p.z > setting.z1 + 1e-6)
            wrong(j, "beyond travel");
    }
    if (e->tool < 0) {
        if (j != NULL && e->motion > 0)
            wrong(j, "a feed move without a tool");
        return;
    }
    const struct tool *tool = &side->tool[e->tool];
    const int n = chords_of(e);
    const struct pt way0 = {e->to.z - e->from.z, e->to.r - e->from.r};
    const double chord = hypot(way0.z, way0.r), length = length_of(e);
    const struct pt way =
        chord > 0 ? (struct pt){way0.z / chord, way0.r / chord} : (struct pt){1, 0};
    if (e->motion == 0) {
        struct poly hull;
        sweep(&hull, tool->poly, place(tool, e->from), place(tool, e->to));
        double contact = reach_into(w, &hull);
        for (int i = -1; i <= 1; i += 2) {
            struct poly beside = hull;
            for (size_t k = 0; k < beside.n; k++)
                beside.at[k].z += i * STEP;
            d->near = fmax(d->near, reach_into(w, &beside));
        }
        d->taken = meet(w, &hull, TAKE, way);
        if (j != NULL && d->taken.is_full)
            unsure(j, "more teeth than a column holds");
        /* more than the unchanged program has, or a rapid along a wall just cut */
        if (j != NULL && d->near > (known != NULL ? known->near : STEP) + STEP / 4)
            unsure(j, "a rapid nearer than the columns tell");
        contact = fmax(contact, touch(w, side, e->tool, e->from, e->to, false, true, true));
        for (int i = 0; i < 2 && chord > 0; i++) {
            const struct pt corner =
                i ? (struct pt){e->from.z, e->to.r} : (struct pt){e->to.z, e->from.r};
            contact = fmax(contact, touch(w, side, e->tool, e->from, corner, true, false, true));
            contact = fmax(contact, touch(w, side, e->tool, corner, e->to, true, false, true));
        }
        /* neighbours with each axis at its own speed */
        const double x_time = fabs(way0.r) / setting.rapid_x,
                     z_time = fabs(way0.z) / setting.rapid_z;
        const double time = fmin(x_time, z_time);
        if (time > 0) {
            const struct pt corner = {e->from.z + way0.z * time / z_time,
                                      e->from.r + way0.r * time / x_time};
            contact = fmax(contact, touch(w, side, e->tool, e->from, corner, false, true, false));
            contact = fmax(contact, touch(w, side, e->tool, corner, e->to, false, true, false));
        }
        if (j != NULL && contact > STEP / 4)
            unsure(j, "a rapid nearer than the columns tell");
        if (j != NULL)
            worse(j, CONTACT, contact);
        return;
    }
    /* bodies before the cut: what they meet there and not after it, the edge has taken meanwhile */
    const int pieces = n > 1 ? n : (int)fmin(MOST_PIECES, fmax(1, floor(length / PIECE)));
    struct taken all = {.low = HUGE_VAL, .high = -HUGE_VAL, .back = HUGE_VAL, .front = -HUGE_VAL};
    bool is_known = j == NULL;
    double thick = 0; /* of columns, by all of the move */
    if (j != NULL && n == 1) {
        struct poly hull;
        sweep(&hull, tool->poly, place(tool, e->from), place(tool, e->to));
        const struct taken t = meet(w, &hull, LOOK, way);
        thick = t.thick;
        is_known = known != NULL && t.area <= known->taken.area * 1.001 + 1e-7 &&
                   t.depth <= known->taken.depth + 1e-6;
    }
    const int steps = is_known && n == 1 ? 1 : pieces;
    double gathered = 0, over = 0, most = 0;
    bool is_entry = true;
    d->ahead = touch(w, side, e->tool, e->from, e->to, false, true, true);
    for (int i = 0; i < steps; i++) {
        struct poly hull;
        const struct pt a = on_way(e, (double)i / steps), b = on_way(e, (double)(i + 1) / steps);
        sweep(&hull, tool->poly, place(tool, a), place(tool, b));
        const struct taken t = meet(w, &hull, TAKE, way);
        if (j != NULL && t.is_full)
            unsure(j, "more teeth than a column holds");
        if (t.area > 0) {
            all.z = (all.z * all.area + t.z * t.area) / (all.area + t.area);
            all.r = (all.r * all.area + t.r * t.area) / (all.area + t.area);
            all.area += t.area;
            all.depth = fmax(all.depth, t.depth);
            all.thick = fmax(all.thick, t.thick);
            all.low = fmin(all.low, t.low);
            all.high = fmax(all.high, t.high);
            all.back = fmin(all.back, t.back);
            all.front = fmax(all.front, t.front);
            all.empties |= t.empties;
        }
        gathered += t.area;
        over += hypot(b.z - a.z, b.r - a.r);
        if (over >= fmax(PIECE, 2 * tool->nose) * 0.99) {
            if (!is_entry)
                most = fmax(most, gathered / over);
            is_entry = gathered <= 0; /* the nose comes in */
            gathered = over = 0;
        }
    }
    d->taken = all;
    if (open_by(e) > NOT_CLOSED) {
        go_other_ways(w, tool, e);
        if (j != NULL && open_by(e) > setting.limit[UNCUT].band)
            unsure(j, "an arc that does not close");
    }
    const double after = touch(w, side, e->tool, e->from, e->to, false, true, true);
    if (j != NULL)
        worse(j, CONTACT, after);
    if (all.area <= 0)
        return;
    /* less sure: over all its way, and by its reach */
    const double mean = all.area / fmax(all.front - all.back, PIECE);
    d->depth = fmax(most, mean);
    if (j == NULL || (known != NULL && all.area <= known->taken.area * 1.001 + 1e-7 &&
                      all.depth <= known->taken.depth + 1e-6))
        return;
    const double surely = d->depth;
    /* at a place of it, square to the way; across it the reach is all that is known */
    const double at_most =
        fabs(way.z) > 0.7 ? fmax(all.thick, thick) * fabs(way.z) : all.high - all.low;
    const double reach = fmin(all.high - all.low, at_most);
    const double perhaps =
        fmax(surely, fabs(way.z) > 0.7 ? reach : fmin(reach, all.area / fmax(length, 1e-6)));
    if (d->ahead > fmax(after, known != NULL ? known->ahead : 0) + NO_CUT)
        unsure(j, "a body where the edge has just been");
    if (all.depth <= NO_CUT) {
        /* less than a column is wide: a graze or a path retraced */
        if (e->spin != tool->sense || !(e->rpm > 0) ||
            e->feed / e->rpm > setting.limit[FEED].limit * tool->rough_feed)
            unsure(j, "a graze without the spindle or the feed for a cut");
        return;
    }
    if (e->spin == 0 || e->rpm <= 0)
        wrong(j, "a cut while the spindle stands");
    else if (e->spin != tool->sense)
        wrong(j, "a cut while the spindle turns the wrong way");
    if (e->rpm > 0)
        worse(j, FEED, e->feed / e->rpm / tool->rough_feed);
    const bool is_across = fabs(way0.r) > fabs(way0.z);
    if (tool->most_depth > 0 && !(tool->kind == BLADE && is_across) &&
        !(tool->kind == FACE && !is_across)) {
        const double allowed =
            tool->most_depth + (is_across && tool->kind == POINT ? 2 * tool->nose : 0);
        const struct limit *limit = &setting.limit[DEPTH];
        const double value = (surely - SLACK) / allowed;
        worse(j, DEPTH, value);
        if (value < limit->limit - limit->band &&
            (perhaps - SLACK) / tool->most_depth > limit->limit - limit->band)
            unsure(j, "how deep");
    }
    rub(j, side, e, tool, reach, all.r, length);
    strain(d, w, side, e, tool, way, surely);
    worse(j, STRESS, d->stress);
    worse(j, BEND, d->bend);
}

static bool same(const struct event *a, const struct event *b)
{
    if (a->kind != b->kind)
        return false;
    switch (a->kind) {
    case CHANGE:
        return a->tool == b->tool;
    case WAIT:
        return a->feed == b->feed;
    case TURN:
        return a->spin == b->spin && a->rpm == b->rpm;
    case PAUSE:
        return (a->spin != 0) == (b->spin != 0);
    default:
        break;
    }
    const double d =
        fabs(a->from.z - b->from.z) + fabs(a->from.r - b->from.r) + fabs(a->to.z - b->to.z) +
        fabs(a->to.r - b->to.r) +
        (a->motion > 1 ? fabs(a->centre.z - b->centre.z) + fabs(a->centre.r - b->centre.r) : 0);
    return a->motion == b->motion && a->tool == b->tool && a->spin == b->spin && a->rpm == b->rpm &&
           a->feed == b->feed && d < 1e-9;
}

/* Run events FIRST on; KNOWN gives what the unchanged program did, event by event, from event
 * SUFFIX on shifted by SHIFT. True: the work has become the unchanged one's again. */
static bool run(struct work *w, struct program *p, const struct side *side,
                const struct event *event, size_t n, size_t first, size_t suffix, long shift,
                bool is_base, struct judged *j)
{
    for (size_t i = first; i < n; i++) {
        const long base = (long)i + shift;
        const bool is_aligned = i >= suffix && !is_base;
        if (is_base && i % KEEP == 0)
            p->kept[i / KEEP] = copy_of(w);
        if (is_aligned && i > suffix && base % KEEP == 0 &&
            memcmp(p->kept[base / KEEP].at, w->at, w->n * sizeof *w->at) == 0)
            return true;
        const struct event *e = &event[i];
        if (j != NULL)
            j->line = e->line;
        if (!is_base && (e->kind == MOVE || e->kind == TURN) && e->spin != 0 && e->rpm > 0) {
            worse(j, SPEED, e->rpm / setting.most_speed);
            worse(j, SPEED, setting.least_speed / e->rpm);
        }
        if (e->kind == MOVE) {
            struct done done;
            cut(&done, w, side, e, is_aligned ? &p->done[base] : NULL, is_base ? NULL : j);
            if (is_base)
                p->done[i] = done;
            if (done.taken.empties) {
                const double fell = let_fall(w, side->nose_z);
                if (!is_base && fell > 1e-4)
                    wrong(j, "the piece falls");
            }
            if (!is_base && e->motion > 0 && !isnan(side->neck_z) && done.taken.depth > NO_CUT &&
                done.taken.z > side->neck_z + 0.4 && outer(w, side->neck_z) <= p->neck_r * 1.02)
                wrong(j, "a cut on a piece that hangs by its neck");
        } else if (e->kind == PAUSE && !is_base) {
            if (e->spin != 0 && e->rpm > 0)
                wrong(j, "a pause while the spindle turns");
            double near = HUGE_VAL;
            for (size_t t = 0; t < side->n_tools; t++)
                for (size_t k = 0; k < side->tool[t].n; k++)
                    near = fmin(
                        near, clearance(w, &side->tool[t].poly[k], place(&side->tool[t], e->from)));
            worse(j, HAND, 10 - near);
        } else if (e->kind == CHANGE && !is_base && e->tool < 0) {
            wrong(j, "no such tool");
        }
    }
    return false;
}

/* The work of side I from what the one before left. */
static struct work begin(size_t i, const struct work *before)
{
    const struct side *side = &setting.side[i];
    const double far = fmax(1, isnan(side->rod_end) ? 1 : side->rod_end + 0.1);
    if (!isnan(side->rod_r)) {
        struct work w =
            work_of(fmax(side->nose_z, isnan(side->neck_z) ? -99 : side->neck_z - 2), far);
        for (size_t k = 0; k < w.n; k++)
            if (w.z0 + ((double)k + 0.5) * STEP <= side->rod_end)
                w.at[k] = (struct column){.n = 1, .hi = {side->rod_r}};
        return w;
    }
    struct work w = work_of(-setting.total - 1, 1);
    const struct side *last = &setting.side[i - 1];
    for (size_t k = 0; k < w.n; k++) {
        const double z = -(w.z0 + ((double)k + 0.5) * STEP) - setting.total;
        const double index = floor((z - before->z0) / STEP + 1e-6);
        if (index >= 0 && index < (double)before->n && !(z < last->neck_z))
            w.at[k] = before->at[(size_t)index];
    }
    return w;
}

static double widest(const struct work *w, double a, double b)
{
    double most = 0;
    for (double z = a; z <= b; z += 0.05)
        most = fmax(most, outer(w, z));
    return most;
}

static void look_at_neck(struct judged *j, const struct work *w, const struct side *side)
{
    if (isnan(side->neck_z))
        return;
    const double r = outer(w, side->neck_z);
    const double beside =
        fmin(widest(w, side->neck_z - 1, side->neck_z), widest(w, side->neck_z, side->neck_z + 1));
    if (beside > 0)
        worse(j, NECK, r / beside);
}

/* How far R at column K is from material of W, across and along; up to FAR along. */
static void distances(double *across, double *along, const struct work *w, size_t k, double r,
                      double far)
{
    const struct column *c = &w->at[k];
    *across = c->n == 0 ? HUGE_VAL : HUGE_VAL;
    for (int i = 0; i < c->n; i++) {
        const double d = r < c->lo[i] ? c->lo[i] - r : r > c->hi[i] ? r - c->hi[i] : 0;
        *across = fmin(*across, d);
    }
    *along = HUGE_VAL;
    const size_t n = (size_t)ceil(far / STEP) + 1;
    for (size_t s = 1; s <= n && !(*along < HUGE_VAL); s++)
        for (int sign = -1; sign <= 1; sign += 2) {
            const long at = (long)k + sign * (long)s;
            if (at < 0 || at >= (long)w->n)
                continue;
            for (int i = 0; i < w->at[at].n; i++)
                if (w->at[at].lo[i] <= r && r <= w->at[at].hi[i])
                    *along = (double)s * STEP;
        }
}

/* What INNER has and OUTER has not. Values are in units of mm over the limit of the section; the
 * lesser of across and along counts, and what is less than the limit across in both is small. */
static void compare(struct judged *j, const struct work *inner, const struct work *outer_work,
                    enum quantity q)
{
    for (size_t k = 0; k < inner->n && k < outer_work->n; k++) {
        const struct column *c = &inner->at[k], *o = &outer_work->at[k];
        if (c->n == o->n && memcmp(c, o, sizeof *c) == 0)
            continue;
        const double z = inner->z0 + ((double)k + 0.5) * STEP;
        const struct section *section = section_at(z);
        if (section == NULL)
            continue;
        for (int i = 0; i < c->n; i++)
            for (int end = 0; end < 3; end++) {
                const double r = end == 0   ? c->hi[i]
                                 : end == 1 ? c->lo[i]
                                            : (c->lo[i] + c->hi[i]) / 2;
                double across, along;
                distances(&across, &along, outer_work, k, r, section->along + 0.02);
                if (across <= 1e-9 || (end == 1 && r <= 0))
                    continue;
                /* beyond what the section bears, by the surface it is nearer to */
                j->line = (int)floor(1000 * z); /* a place here [um] */
                worse(j, q, fmin(across - section->across, along - section->along));
                worse(j, FACE_OFF, fmin(across, along) - section->across);
            }
    }
}

static void judge(char *out, size_t room, size_t index, const char *text, size_t size)
{
    static struct event event[MOST_EVENTS];
    struct judged j = {.is_wrong = false};
    for (int q = 0; q < N_QUANTITIES; q++)
        j.worst[q] = -1;
    struct program *p = &program[index];
    size_t n = 0;
    const enum reading reading = read_text(event, &n, j.why, text, size, &setting.side[index]);
    if (reading != READ) {
        snprintf(out, room, "%s %s", reading == WRONG ? "harmful" : "between", j.why);
        return;
    }
    size_t first = 0, behind = 0;
    const size_t most = n < p->n ? n : p->n;
    while (first < most && same(&event[first], &p->event[first]))
        first++;
    if (first == n && n == p->n) {
        snprintf(out, room, "equivalent");
        return;
    }
    while (behind < most - first && same(&event[n - 1 - behind], &p->event[p->n - 1 - behind]))
        behind++;
    const size_t from = first / KEEP * KEEP;
    struct work w = copy_of(from < p->n ? &p->kept[from / KEEP] : &p->end);
    struct judged aside = {.is_wrong = false};
    run(&w, p, &setting.side[index], event, first, from, from, 0, false, &aside);
    bool is_same = run(&w, p, &setting.side[index], event, n, first, n - behind,
                       (long)p->n - (long)n, false, &j);
    is_same = is_same || memcmp(w.at, p->end.at, w.n * sizeof *w.at) == 0;
    if (!is_same) {
        look_at_neck(&j, &w, &setting.side[index]);
        for (size_t i = index + 1; i < setting.n_sides; i++) {
            struct work next = begin(i, &w);
            free(w.at);
            w = next;
            if (memcmp(w.at, program[i].start.at, w.n * sizeof *w.at) == 0) {
                free(w.at);
                w = copy_of(&program[i].end);
                continue;
            }
            if (run(&w, &program[i], &setting.side[i], program[i].event, program[i].n, 0, 0, 0,
                    false, &j)) {
                free(w.at);
                w = copy_of(&program[i].end);
            }
        }
        compare(&j, &good, &w, GOUGE);
        compare(&j, &w, &good, UNCUT);
    }
    free(w.at);
    bool is_harm = j.is_wrong, is_between = j.is_unsure;
    int at = snprintf(out, room, "%s", "");
    char values[MOST_WHY * 2] = "";
    size_t used = 0;
    for (int q = 0; q < N_QUANTITIES; q++) {
        const struct limit *limit = &setting.limit[q];
        if (j.worst[q] > -1 && used + 48 < sizeof values)
            used += (size_t)snprintf(values + used, sizeof values - used, " %s %.4f (line %d)",
                                     names[q], j.worst[q], j.at[q]);
        is_harm |= q != FACE_OFF && j.worst[q] > limit->limit + limit->band;
        is_between |= (q != GOUGE && q != UNCUT) && j.worst[q] > limit->limit - limit->band;
    }
    (void)at;
    snprintf(out, room, "%s %s%s",
             is_harm      ? "harmful"
             : is_between ? "between"
                          : "harmless",
             j.why, values);
}

static void read_setting(const char *path)
{
    FILE *file = must(fopen(path, "r"));
    char word[64];
    struct side *side = NULL;
    while (fscanf(file, "%63s", word) == 1) {
        int got = 1;
        if (strcmp(word, "machine") == 0) {
            got = fscanf(file, "%lf %lf %lf %lf %lf %lf %lf %lf", &setting.x0, &setting.x1,
                         &setting.z0, &setting.z1, &setting.least_speed, &setting.most_speed,
                         &setting.rapid_x, &setting.rapid_z) == 8;
        } else if (strcmp(word, "material") == 0) {
            got = fscanf(file, "%lf %lf %lf %lf %lf", &setting.force, &setting.exponent,
                         &setting.yield, &setting.modulus, &setting.least_chip) == 5;
        } else if (strcmp(word, "total") == 0) {
            got = fscanf(file, "%lf", &setting.total) == 1;
        } else if (strcmp(word, "side") == 0) {
            side = &setting.side[setting.n_sides++];
            got = fscanf(file, "%lf %lf %lf %lf %lf %lf", &side->park_x, &side->park_z,
                         &side->nose_z, &side->neck_z, &side->rod_r, &side->rod_end) == 6;
        } else if (strcmp(word, "nose") == 0 || strcmp(word, "poly") == 0) {
            struct tool *tool = side->n_tools > 0 ? &side->tool[side->n_tools - 1] : NULL;
            struct poly *poly = word[0] == 'n' ? &side->nose : &tool->poly[tool->n++];
            got = fscanf(file, "%zu", &poly->n) == 1 && poly->n <= MOST_CORNERS;
            for (size_t i = 0; got && i < poly->n; i++)
                got = fscanf(file, "%lf %lf", &poly->at[i].z, &poly->at[i].r) == 2;
        } else if (strcmp(word, "tool") == 0) {
            struct tool *tool = &side->tool[side->n_tools++];
            int kind = 0;
            got = fscanf(file, "%d %d %d %d %lf %lf %lf %lf %lf %lf %lf %lf", &tool->number,
                         &tool->system, &tool->sense, &kind, &tool->zero.z, &tool->zero.r,
                         &tool->declared.z, &tool->declared.r, &tool->nose, &tool->most_depth,
                         &tool->rough_feed, &tool->edge_radius) == 12;
            tool->kind = (enum tool_kind)kind;
        } else if (strcmp(word, "section") == 0) {
            struct section *section = &setting.section[setting.n_sections++];
            got = fscanf(file, "%lf %lf %lf %lf %d", &section->z0, &section->z1, &section->across,
                         &section->along, &section->is_pivot) == 5;
        } else if (strcmp(word, "limit") == 0) {
            int q = 0;
            double limit, band;
            got = fscanf(file, "%63s %lf %lf", word, &limit, &band) == 3;
            while (q < N_QUANTITIES && strcmp(names[q], word) != 0)
                q++;
            got = got && q < N_QUANTITIES;
            if (got)
                setting.limit[q] = (struct limit){limit, band};
        } else {
            got = 0;
        }
        if (!got) {
            fprintf(stderr, "%s: %s does not read\n", path, word);
            exit(2);
        }
    }
    fclose(file);
}

static void read_program(struct program *p, const char *path)
{
    FILE *file = must(fopen(path, "rb"));
    enum { ROOM = 1 << 22 };
    p->text = must(malloc(ROOM));
    p->size = fread(p->text, 1, ROOM, file);
    fclose(file);
}

int main(int argc, char **argv)
{
    if (argc < 3)
        return 2;
    read_setting(argv[1]);
    for (size_t i = 0; i < setting.n_sides; i++) {
        struct program *p = &program[i];
        char why[MOST_WHY];
        read_program(p, argv[2 + i]);
        p->event = must(calloc(MOST_EVENTS, sizeof *p->event));
        if (read_text(p->event, &p->n, why, p->text, p->size, &setting.side[i]) != READ) {
            fprintf(stderr, "%s: %s\n", argv[2 + i], why);
            return 1;
        }
        p->done = must(calloc(p->n + 1, sizeof *p->done));
        p->kept = must(calloc(p->n / KEEP + 1, sizeof *p->kept));
        p->start = begin(i, i > 0 ? &program[i - 1].end : NULL);
        struct work w = copy_of(&p->start);
        run(&w, p, &setting.side[i], p->event, p->n, 0, 0, 0, true, NULL);
        p->end = w;
        p->neck_r = isnan(setting.side[i].neck_z) ? 0 : outer(&w, setting.side[i].neck_z);
        /* judged as if all of it were new: the unchanged program does no harm */
        struct judged j = {.is_wrong = false};
        for (int q = 0; q < N_QUANTITIES; q++)
            j.worst[q] = -1;
        struct work again = copy_of(&p->start);
        p->neck_r = -1;
        run(&again, p, &setting.side[i], p->event, p->n, 0, p->n, 0, false, &j);
        p->neck_r = isnan(setting.side[i].neck_z) ? 0 : outer(&w, setting.side[i].neck_z);
        look_at_neck(&j, &again, &setting.side[i]);
        free(again.at);
        fprintf(stderr, "%s: %zu events%s%s", argv[2 + i], p->n,
                j.is_wrong    ? " wrong: "
                : j.is_unsure ? " unsure"
                              : "",
                j.why);
        for (int q = 0; q < N_QUANTITIES; q++)
            if (j.worst[q] > -1)
                fprintf(stderr, " %s %.4f", names[q], j.worst[q]);
        fputc('\n', stderr);
    }
    good = program[setting.n_sides - 1].end;
    size_t index, size;
    while (scanf("%zu %zu", &index, &size) == 2) {
        char *text = must(malloc(size + 1)), out[3 * MOST_WHY];
        if (getchar() != '\n' || index >= setting.n_sides || fread(text, 1, size, stdin) != size)
            return 2;
        judge(out, sizeof out, index, text, size);
        puts(out);
        fflush(stdout);
        free(text);
    }
    return 0;
}
