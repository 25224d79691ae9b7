/* The referee of changed programs: what a text makes a lathe do, and what harm comes of it, by
 * means that share nothing with the project's own code.
 *
 * Words are read by read.c, metal is cut by cut.c as columns across the axis with intervals of
 * radius, harm is weighed by judge of referee.c against limits.csv. What stands on the machine
 * comes as a plain list from setting.py. Millimetres, radii; machine frame in the events, frame of
 * the chucking in the columns. */
#ifndef REFEREE_H
#define REFEREE_H

#include <stdbool.h>
#include <stddef.h>

enum { MOST_TOOLS = 8, MOST_POLYS = 4, MOST_CORNERS = 200, MOST_SIDES = 2, MOST_EVENTS = 20000 };
enum { MOST_SECTIONS = 32, MOST_PARTS = 16, MOST_WHY = 160 };

struct pt {
    double z, r;
};

struct poly {
    size_t n;
    struct pt at[MOST_CORNERS];
};

enum tool_kind { POINT, BLADE, FACE };

struct tool {
    int number, system, sense;
    enum tool_kind kind;
    struct pt zero, declared;
    double nose, most_depth, rough_feed, edge_radius;
    size_t n;
    struct poly poly[MOST_POLYS]; /* the first is the edge */
};

struct side {
    double park_x, park_z, nose_z, neck_z, rod_r, rod_end;
    struct poly nose;
    size_t n_tools;
    struct tool tool[MOST_TOOLS];
};

struct section {
    double z0, z1, across, along; /* limits on radius and length */
    int is_pivot;
};

enum quantity {
    GOUGE,
    UNCUT,
    FACE_OFF,
    CONTACT,
    FEED,
    SPEED,
    DEPTH,
    STRESS,
    BEND,
    HAND,
    NECK,
    RUB
};
enum { N_QUANTITIES = RUB + 1 };

struct limit {
    double limit, band;
};

struct setting {
    double x0, x1, z0, z1, least_speed, most_speed, rapid_x, rapid_z;
    double total, force, exponent, yield, modulus, least_chip;
    size_t n_sides, n_sections;
    struct side side[MOST_SIDES];
    struct section section[MOST_SECTIONS];
    struct limit limit[N_QUANTITIES];
};

/* How an arc goes whose radii at its two ends differ. */
enum radius { EVENLY, AS_IT_BEGINS, AS_IT_ENDS };

enum event_kind { MOVE, CHANGE, PAUSE, WAIT, TURN };

struct event {
    enum event_kind kind;
    int motion, tool; /* tool: index, -1 none */
    int spin, line;
    double rpm, feed;
    struct pt from, to, centre; /* machine: z, x */
    enum radius radius;
};

enum reading { READ, WRONG, UNSURE };

/** Events of a text; WHY tells what is wrong. */
enum reading read_text(struct event *event, size_t *n, char *why, const char *text, size_t size,
                       const struct side *side);

/* Columns of width STEP; the first begins at z0. */
#define STEP 0.0005

struct column {
    int n;
    double lo[MOST_PARTS], hi[MOST_PARTS];
};

struct work {
    double z0;
    size_t n;
    struct column *at;
};

/** What a sweep took or would take. */
struct taken {
    double area, depth; /* depth: of what is met, the lesser of across and along */
    double low, high;   /* reach square to the way */
    double thick;       /* most of a column */
    double back, front; /* reach along the way */
    double z, r;        /* middle of it */
    bool empties;       /* a column */
    bool is_full;       /* a column has more parts than it can hold: metal was forgotten */
};

/** The hull of a polygon moved from A to B. */
void sweep(struct poly *out, const struct poly *poly, struct pt a, struct pt b);
/** What HULL meets of the work, each column looked at, or only some of them, or taken off. WAY:
 * direction of the move. */
enum look { LOOK, GLANCE, TAKE };
struct taken meet(struct work *work, const struct poly *hull, enum look look, struct pt way);
/** How deep HULL goes into the work: by how much it would have to be thinner all round to go clear;
 * MOST_REACH at most. */
#define MOST_REACH 0.004
double reach_into(struct work *work, const struct poly *hull);
/** How far two convex polygons overlap. */
double overlap(const struct poly *a, const struct poly *b);
double outer(const struct work *work, double z);
double clearance(const struct work *work, const struct poly *poly, struct pt place);
/** Let fall what is no longer joined to the column at Z; area that fell from behind z = 0. */
double let_fall(struct work *work, double z);

#endif
