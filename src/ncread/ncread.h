/* ncread: RS-274 text to motion, written from the published standard.
 *
 * Reads programs nobody here wrote. It knows NISTIR 6556 (T. Kramer, F. Proctor, E. Messina, The
 * NIST RS274NGC Interpreter - Version 3, 2000) for a machine with axes X and Z, the facts of one
 * control (shop/machine.h), and no post file. Every fault the report asks for has a message of its
 * own with line and column; a rejected line leaves the state untouched and reading goes on, so
 * that all faults are found; the motion then lacks those lines.
 *
 * What stands at the start. The report has no power-on table. Taken from what its M2 leaves behind
 * (3.6.1): G17, G90, G94, G40, G54, M48, motion G1, spindle and coolant off. Assumed, because it
 * says nothing: G21, G49, G98, G64 (as its printed session starts, Table 10), G97, no feed.
 * The report's parameters with lengths (5161.., 5181.., 5211.., 5221..) have no stated unit: here
 * they read and take values as an X or Z word on the same line would be meant.
 * Where the control brings offsets with the tool, G43 H and G49 act on the Z part of what it
 * brought (the report's length offset lies along the spindle only); elsewhere G43 is refused.
 * A block behind M2 or M30 is reported, though the report passes over it: somebody wants it run.
 * G33, where the control has it: K is the lead along Z, one a line, in the unit in force.
 * A change of feed mode forgets the feed, a change of speed mode (G96, G97) the speed: a number
 * meant in one unit is never used in the other.
 *
 * Frames: see motion/motion.h. Ownership: everything lives in the context's arena. No global
 * state; one context a thread.
 */
#ifndef SW_NCREAD_NCREAD_H
#define SW_NCREAD_NCREAD_H

#include "motion/motion.h"
#include "shop/machine.h"

enum { SW_NCREAD_SYSTEMS = 9, SW_NCREAD_TOOLS = 100 };

/** Beyond these a text is refused as unreadable: they bound memory against hostile input. Events count
 *  what repeats (L) and pecks (Q) of a cycle make of a single line, too. */
enum {
    SW_NCREAD_MOST_BYTES = 64 << 20,
    SW_NCREAD_MOST_LINES = 1 << 20,
    SW_NCREAD_MOST_EVENTS = 1 << 18
};

/** What stands in the control before the program starts. Machine frame, x as radius [mm]. */
struct sw_ncread_start {
    struct sw_motion_pt at;                           /* where the controlled point is */
    struct sw_motion_pt origin[SW_NCREAD_SYSTEMS];    /* of coordinate systems 1..9 (G54..) */
    struct sw_motion_pt tool_offset[SW_NCREAD_TOOLS]; /* by T or D number, 0 is none; used when the
                                                         control brings offsets with the tool */
    struct sw_motion_pt home[2];                      /* of G28 and G30 */
    int n_tools;                                      /* largest T number that exists */
    bool is_block_delete_on;
    bool is_tool_loaded; /* a tool is in use before any change */
    int tool;
};

/** Read one program. NAME is shown in diagnostics (codes "block.*" for faults against the
 *  standard, "control.*" for words this control does not know). MOTION holds all that could be
 *  executed. SW_FOUND when anything was wrong with the text; SW_UNREADABLE when it is no text at
 *  all (binary) or beyond the limits. */
enum sw_status sw_ncread_text(struct sw_motion *motion, const char *name, const char *text,
                              size_t size, const struct sw_control *control,
                              const struct sw_ncread_start *start,
                              struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
