/* tool: the shape of a lathe tool, what it may be asked to do, and which point its numbers mean.
 *
 * Tool frame: (z, r) as in a chucking; origin at the centre of the nose (a blade: of the corner
 * circle on the -z side). The cutting outline is the nose (a blade: both corner circles and the
 * edge between them) and two straight flanks, whose directions are angles from +z towards +r. A
 * pointed tool of the right hand (it cuts towards -z) with tool cutting edge angle K and point
 * angle E (ISO 3002-1) has its trailing flank at pi - K - E and its leading flank at pi - K: for
 * K = 93 and E = 35 degrees at 52 and 87 degrees. The left hand is the mirror image; a neutral
 * tool has K on both sides, so E = pi - 2 K. A face-point comes from the +z side, its flanks at
 * `clearance` (towards the axis) and `clearance` + `point_angle`. A blade stands square. A stop cuts
 * nothing: its origin is the middle of the face that the end of a bar is pushed against, its pin
 * and block stand on the +z side of it.
 * Ownership: lives in the context that loaded it.
 * Statuses: sw_tool_load as machine.h; the outlines give SW_MEMORY only.
 * Sources: angles ISO 3002-1; outlines derived, checked against a published table of nose-radius
 * swaps (tests/unit/test_shop_outline.c).
 */
#ifndef SW_SHOP_TOOL_H
#define SW_SHOP_TOOL_H

#include "geom/contour.h"
#include "spec/table.h"

enum sw_tool_kind {
    SW_TOOL_POINT,      /* pointed turning tool */
    SW_TOOL_BLADE,      /* parting and grooving, square to the axis */
    SW_TOOL_FACE_POINT, /* ground point parallel to the axis, for recesses in faces */
    SW_TOOL_STOP        /* a flat face for the end of a bar; it cuts nothing */
};
enum sw_tool_hand { SW_HAND_RIGHT, SW_HAND_LEFT, SW_HAND_NEUTRAL };
enum sw_tool_point { SW_POINT_THEORETICAL_TIP, SW_POINT_NOSE_CENTRE };
/* Which sides of the nose were touched off: the theoretical tip is where these tangents meet. */
enum sw_touched { SW_TOUCHED_HEADSTOCK_SIDE /* -z */, SW_TOUCHED_FREE_SIDE /* +z */ };

/* The block counts as this high [mm]: a bench shank with its clamp is lower, and nothing that a
 * staff lathe turns reaches so far. */
#define SW_TOOL_BLOCK_HEIGHT 40.0

struct sw_tool_holder_block {
    struct sw_number clear;  /* from the nose centre to the block, along the shank [mm] */
    struct sw_number ahead;  /* how far the block reaches to the -z side (face-point: -r side) */
    struct sw_number behind; /* and to the +z side (face-point: +r side) */
};

struct sw_tool {
    const char *file;
    struct sw_text name;
    struct sw_choice kind;          /* enum sw_tool_kind */
    struct sw_choice hand;          /* enum sw_tool_hand; points only */
    struct sw_number nose_radius;   /* mm; a blade: of both corners */
    struct sw_number cutting_angle; /* tool cutting edge angle [rad]; points only */
    struct sw_number point_angle;   /* included [rad]; points and face-points */
    struct sw_number clearance;     /* blade: of each side [rad]; face-point: of the inner flank
                                       against the axis */
    struct sw_number width;         /* blade: over both corners; stop: of its face [mm] */
    struct sw_number reach;         /* usable length of blade or face-point, or of a stop's pin,
                                       from its front [mm] */
    struct sw_number edge_length;   /* of each straight edge of a point, from the nose on [mm] */
    struct sw_number relief;        /* below the edge [rad]: whether a face-point's heel rubs */
    struct sw_number heel_height;   /* how far the tool body reaches below the edge [mm] */
    struct sw_number edge_radius;   /* rounding of the cutting edge [mm] */
    struct sw_choice point;         /* enum sw_tool_point */
    struct sw_choice touched;       /* enum sw_touched, for the theoretical tip's Z; X is always
                                       touched on the axis side of the nose */
    struct sw_number most_depth;    /* largest depth of cut on radius [mm] */
    struct sw_number rough_depth;   /* usual depth of a roughing pass [mm] */
    struct sw_number finish_depth;  /* depth of semi-finish and finish [mm] */
    struct sw_number rough_feed;    /* mm/rev */
    struct sw_number finish_feed;   /* mm/rev */
    struct sw_number surface_speed; /* m/min, most */
    struct sw_tool_holder_block holder;
};

extern const struct sw_table sw_tool_table;

/** Read a tool/1 file. */
enum sw_status sw_tool_load(struct sw_tool **out, const char *path,
                            struct sw_ctx *ctx) SW_MUST_CHECK;

/** A tool that cuts. */
bool sw_tool_cuts(const struct sw_tool *tool);

/** Directions of the two flanks [rad from +z towards +r]: *LOW <= *HIGH, the body between them. A
 *  blade gives pi/2 twice: its sides are treated as square, though the outline narrows by the
 *  clearance away from the corners, so whoever plans by the flanks stays on the safe side. */
void sw_tool_flanks(double *low, double *high, const struct sw_tool *tool);

/** Centre of the second corner circle, seen from the first: (width - 2 nose, 0) for a blade,
 *  (0, 0) for the others. */
struct sw_pt sw_tool_second_corner(const struct sw_tool *tool);

/** From the nose centre (the origin of the tool frame) to the point the program's numbers mean. */
struct sw_pt sw_tool_declared_point(const struct sw_tool *tool);

/** The part that cuts: a closed, convex, counter-clockwise contour of nose and edges. It starts
 *  where the nose arc leaves the flank of the higher direction (a blade: the -z side). */
enum sw_status sw_tool_cutting_outline(struct sw_contour *out, const struct sw_tool *tool,
                                       struct sw_ctx *ctx) SW_MUST_CHECK;

/** What must touch nothing: closed convex counter-clockwise contours: the tool behind its edges,
 *  left out when the block begins where the edges end, and the holder block. BODY has room for
 *  SW_TOOL_BODIES; *N are set. Where a wedge would grow wider than both block and edges it is cut
 *  off there. */
enum { SW_TOOL_BODIES = 2 };
enum sw_status sw_tool_body_outlines(struct sw_contour body[SW_TOOL_BODIES], size_t *n,
                                     const struct sw_tool *tool, struct sw_ctx *ctx) SW_MUST_CHECK;

/** Height below the edge at which the heel of a face-point touches a recess wall that stands at
 *  WALL [rad] from the axis at radius R [mm]: 2 R tan(relief) / cos(WALL). The tool clears when
 *  its heel_height is less. (derived: chord of a circle against an inclined flank) */
double sw_tool_heel_limit(const struct sw_tool *tool, double r, double wall);

#endif
