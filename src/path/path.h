/* path: the neutral toolpath: what we ask a machine to do, before any dialect.
 *
 * Frame: chucking (z = 0 at the finished end face of this chucking, + away from the headstock; r
 * the distance from the axis, mm) of the tool's DECLARED point (shop/tool.h). Feeds are per turn,
 * speeds rev/min or m/min; a post turns them into what its dialect knows. Nothing is rounded here.
 * Rules a post relies on: the last event, and only that, is END; the spindle stands at each TOOL
 * and PAUSE and turns in each feed move; after TOOL and CORRECT, and at the start, a RAPID or LINE
 * comes before any ARC, because only then the position is known again; every correction that goes
 * in comes out before END (one file a tool: before the next TOOL); the ends of an arc are on one
 * circle within 1e-6 mm.
 * Ownership: lives in the context's arena.
 */
#ifndef SW_PATH_PATH_H
#define SW_PATH_PATH_H

#include <stdbool.h>
#include <stddef.h>

#include "geom/seg.h"

enum sw_path_kind {
    SW_PATH_COMMENT,   /* text: for the reader of the program */
    SW_PATH_SECTION,   /* text: a new operation begins; a place to start again from */
    SW_PATH_TOOL,      /* station comes into use (text: what tool); axes stand at the change
                          point, spindle stopped */
    SW_PATH_SPINDLE,   /* turn with speed and sense; wait until it is reached */
    SW_PATH_STOP,      /* spindle stop */
    SW_PATH_RAPID,     /* to: straight; axes may be sent one after the other by the maker */
    SW_PATH_LINE,      /* to, feed */
    SW_PATH_ARC,       /* to, centre, turn, feed */
    SW_PATH_DWELL,     /* seconds */
    SW_PATH_PAUSE,     /* text: program stop for the operator; spindle already stopped */
    SW_PATH_SECOND,    /* a second spindle takes the work (is_on), or leaves with what is parted */
    SW_PATH_CORRECT,   /* correction number `correction` goes into X (is_on) or out of it */
    SW_PATH_END
};

struct sw_path_event {
    enum sw_path_kind kind;
    const char *text;
    int station;
    struct sw_pt to;
    struct sw_pt centre;
    int turn;                  /* arc: +1 angle from +z towards +r grows, -1 falls */
    double feed;               /* mm per turn */
    double speed;              /* rev/min, or m/min when is_surface_speed */
    bool is_surface_speed;
    double speed_clamp;        /* rev/min, with surface speed */
    bool is_ccw;               /* spindle sense: false M3, true M4 */
    double seconds;
    int correction;            /* 1..; its name stands in sw_path.correction */
    bool is_on;
    bool begins_pass;          /* first event of a pass: a post notes the line, and writes nothing
                                  else for it */
};

struct sw_path_correction {
    const char *name;          /* "upper pivot, on radius" */
};

struct sw_path {
    struct sw_path_event *at;  /* first, so that SW_VEC_PUSH takes a path */
    size_t n;
    size_t cap;
    const char *stem;          /* program name without suffix: "side-1" */
    const char *const *head;   /* comment lines for the program head */
    size_t n_head;
    const struct sw_path_correction *correction;
    size_t n_corrections;
    struct sw_pt park;         /* where the declared point of the first tool stands at the start */
};

#endif
