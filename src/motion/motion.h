/* motion: what a control would do with a program text, block by block. Data only.
 *
 * Made by ncread, read by sim and verify. Machine frame: x is a radius, z along the spindle [mm],
 * both of the controlled point: the axis words plus the coordinate system and offsets in force.
 * Which point of which tool that is, the reader does not know; the setup record and the tool say.
 * Ownership: lives in the context's arena.
 */
#ifndef SW_MOTION_MOTION_H
#define SW_MOTION_MOTION_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/ctx.h"

struct sw_motion_pt {
    double x; /* radius */
    double z;
};

enum sw_motion_kind {
    SW_MOTION_RAPID,   /* straight; the axes may arrive at different times */
    SW_MOTION_LINE,
    SW_MOTION_ARC,
    SW_MOTION_DWELL,
    SW_MOTION_TOOL,    /* the tool in the spindle's sense changed: state.tool is the new one */
    SW_MOTION_SPINDLE, /* sense or speed changed */
    SW_MOTION_SECOND,  /* a second spindle takes the work (is_taken), or goes away */
    SW_MOTION_PAUSE,   /* M0 or M1 */
    SW_MOTION_MESSAGE, /* an operator message */
    SW_MOTION_END      /* M2 or M30 */
};

enum sw_motion_spindle { SW_MOTION_STOPPED, SW_MOTION_CW /* M3 */, SW_MOTION_CCW /* M4 */ };
enum sw_motion_feed { SW_MOTION_PER_MINUTE, SW_MOTION_PER_TURN, SW_MOTION_INVERSE_TIME };

/** Everything modal as it stands while the event happens. */
struct sw_motion_state {
    int tool;           /* T number in use after the last change; 0 none */
    int selected_tool;
    int system;         /* coordinate system 1..9 (G54..G59.3) */
    enum sw_motion_spindle spindle;
    bool is_surface_speed;  /* speed is m/min, else rev/min */
    double speed;
    double speed_clamp;     /* rev/min, 0: none in force */
    enum sw_motion_feed feed_mode;
    double feed;            /* mm/min, mm/rev or 1/min; 0: none programmed */
    bool is_continuous;     /* G64 in force */
    bool coolant;
};

struct sw_motion_event {
    enum sw_motion_kind kind;
    uint32_t line;          /* in the text, from 1 */
    size_t block;           /* index of the executed block, from 0 */
    struct sw_motion_pt from, to;
    /* ARC only. A text may give a centre whose distances from both ends differ (up to the
     * standard's tolerance): both readings are kept. */
    struct sw_motion_pt centre;
    double radius_from, radius_to;
    int turn;               /* +1: angle from +z towards +x grows (G3), -1: falls (G2) */
    bool is_full_turn;
    bool is_thread;         /* LINE: fed by the turn, in step with the spindle (G33) */
    double seconds;         /* DWELL */
    bool is_optional;       /* PAUSE: M1 */
    bool is_taken;          /* SECOND */
    const char *text;       /* MESSAGE */
    struct sw_motion_state state;
};

struct sw_motion {
    const char *name;       /* of the program file */
    uint32_t source;        /* diagnostics source of the text */
    struct sw_motion_event *at;
    size_t n;
    size_t cap;
    size_t n_blocks;        /* executed */
    bool has_ended;         /* by M2 or M30 */
};

#endif
