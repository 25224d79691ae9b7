/* codes: the G and M codes as data: number, modal group, meaning, and which fact of the control
 * lets them in.
 *
 * Standard rows: NISTIR 6556, Tables 4, 5 and 7. The rows that need a fact other than STANDARD are
 * the declared turning extension; their numbers are those of the public code lists.
 */
#ifndef SW_NCREAD_CODES_H
#define SW_NCREAD_CODES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct sw_control;
struct nc_facts;

/** Modal groups (3.4, Table 4); SPEED is not in the report. */
enum nc_g_group {
    NC_ZERO, /* for one line only */
    NC_MOTION,
    NC_PLANE,
    NC_DISTANCE,
    NC_FEED,
    NC_UNITS,
    NC_COMP,
    NC_LENGTH,
    NC_RETURN,
    NC_SYSTEM,
    NC_PATH,
    NC_SPEED,
    NC_G_GROUPS
};

/** SECOND is not in the report: words of the machine's builder. */
enum nc_m_group { NC_STOP, NC_CHANGE, NC_SPINDLE, NC_COOLANT, NC_OVERRIDE, NC_SECOND, NC_M_GROUPS };

#define NC_FEED_KEYS "feed_per_turn, feed_words"
/* fact, diagnostic code and key under `control:` for a word it keeps out */
#define NC_FACT_LIST(X)                                                                          \
    X(STANDARD, "control.standard", "")                                                          \
    X(ARCS, "control.arcs", "arcs")                                                              \
    X(UNITS_G20, "control.units", "units")                                                       \
    X(UNITS_G70, "control.units", "units")                                                       \
    X(FEED_G94, "control.feed-words", "feed_words")                                              \
    X(FEED_G98, "control.feed-words", "feed_words")                                              \
    X(TURN_G95, "control.feed-per-turn", NC_FEED_KEYS)                                           \
    X(TURN_G99, "control.feed-per-turn", NC_FEED_KEYS)                                           \
    X(SURFACE, "control.surface-speed", "surface_speed")                                         \
    X(CLAMP_G50, "control.speed-clamp", "speed_clamp")                                           \
    X(THREAD, "control.threading", "threading")                                                  \
    X(SPINDLE, "control.spindle-words", "spindle_words")                                         \
    X(TOOL, "control.tool-words", "tool_words")                                                  \
    X(SECOND, "control.second-spindle", "second_takes, second_leaves")

enum nc_fact {
#define X(name, code, key) NC_FACT_##name,
    NC_FACT_LIST(X)
#undef X
};

/* row, ten times the code, group, fact, meaning */
#define NC_G_LIST(X)                                                                             \
    X(G0, 0, MOTION, STANDARD, "rapid motion")                                                   \
    X(G1, 10, MOTION, STANDARD, "straight motion at feed")                                       \
    X(G2, 20, MOTION, ARCS, "a clockwise arc")                                                   \
    X(G3, 30, MOTION, ARCS, "a counter-clockwise arc")                                           \
    X(G4, 40, ZERO, STANDARD, "dwell")                                                           \
    X(G10, 100, ZERO, STANDARD, "setting the origin of a coordinate system")                     \
    X(G17, 170, PLANE, STANDARD, "the XY plane")                                                 \
    X(G18, 180, PLANE, STANDARD, "the XZ plane")                                                 \
    X(G19, 190, PLANE, STANDARD, "the YZ plane")                                                 \
    X(G20, 200, UNITS, UNITS_G20, "inches")                                                      \
    X(G21, 210, UNITS, UNITS_G20, "millimetres")                                                 \
    X(G28, 280, ZERO, STANDARD, "going home")                                                    \
    X(G30, 300, ZERO, STANDARD, "going to the second home")                                      \
    X(G33, 330, MOTION, THREAD, "a thread of constant lead")                                     \
    X(G40, 400, COMP, STANDARD, "no radius compensation")                                        \
    X(G41, 410, COMP, STANDARD, "radius compensation left of the path")                          \
    X(G42, 420, COMP, STANDARD, "radius compensation right of the path")                         \
    X(G43, 430, LENGTH, STANDARD, "tool length offset")                                          \
    X(G49, 490, LENGTH, STANDARD, "no tool length offset")                                       \
    X(G50, 500, ZERO, CLAMP_G50, "a spindle speed limit")                                        \
    X(G53, 530, ZERO, STANDARD, "motion in machine coordinates")                                 \
    X(G54, 540, SYSTEM, STANDARD, "coordinate system 1")                                         \
    X(G55, 550, SYSTEM, STANDARD, "coordinate system 2")                                         \
    X(G56, 560, SYSTEM, STANDARD, "coordinate system 3")                                         \
    X(G57, 570, SYSTEM, STANDARD, "coordinate system 4")                                         \
    X(G58, 580, SYSTEM, STANDARD, "coordinate system 5")                                         \
    X(G59, 590, SYSTEM, STANDARD, "coordinate system 6")                                         \
    X(G59_1, 591, SYSTEM, STANDARD, "coordinate system 7")                                       \
    X(G59_2, 592, SYSTEM, STANDARD, "coordinate system 8")                                       \
    X(G59_3, 593, SYSTEM, STANDARD, "coordinate system 9")                                       \
    X(G61, 610, PATH, STANDARD, "exact path")                                                    \
    X(G61_1, 611, PATH, STANDARD, "exact stop")                                                  \
    X(G64, 640, PATH, STANDARD, "continuous path")                                               \
    X(G70, 700, UNITS, UNITS_G70, "inches")                                                      \
    X(G71, 710, UNITS, UNITS_G70, "millimetres")                                                 \
    X(G80, 800, MOTION, STANDARD, "no motion")                                                   \
    X(G81, 810, MOTION, STANDARD, "a drilling cycle")                                            \
    X(G82, 820, MOTION, STANDARD, "a drilling cycle with dwell")                                 \
    X(G83, 830, MOTION, STANDARD, "a peck drilling cycle")                                       \
    X(G85, 850, MOTION, STANDARD, "a boring cycle, feed out")                                    \
    X(G86, 860, MOTION, STANDARD, "a boring cycle, spindle stopped, rapid out")                  \
    X(G89, 890, MOTION, STANDARD, "a boring cycle with dwell, feed out")                         \
    X(G90, 900, DISTANCE, STANDARD, "absolute distances")                                        \
    X(G91, 910, DISTANCE, STANDARD, "incremental distances")                                     \
    X(G92, 920, ZERO, STANDARD, "setting the numbers of the point where the tool is")            \
    X(G92_1, 921, ZERO, STANDARD, "cancelling G92 and its parameters")                           \
    X(G92_2, 922, ZERO, STANDARD, "cancelling G92")                                              \
    X(G92_3, 923, ZERO, STANDARD, "restoring G92 from its parameters")                           \
    X(G93, 930, FEED, STANDARD, "inverse time feed")                                             \
    X(G94, 940, FEED, FEED_G94, "feed per minute")                                               \
    X(G95, 950, FEED, TURN_G95, "feed per turn")                                                 \
    X(G96, 960, SPEED, SURFACE, "surface speed")                                                 \
    X(G97, 970, SPEED, SURFACE, "spindle speed in rev/min")                                      \
    X(G98, 980, RETURN, FEED_G94, "return of a cycle to where it began")                         \
    X(G99, 990, RETURN, FEED_G94, "return of a cycle to its R level")                            \
    X(G98_FEED, 980, FEED, FEED_G98, "feed per minute")                                          \
    X(G99_FEED, 990, FEED, TURN_G99, "feed per turn")

/* row, code, group, fact, meaning; where the control says the number the code is NC_M_OWN */
#define NC_M_OWN (-1)
#define NC_M_LIST(X)                                                                             \
    X(M0, 0, STOP, STANDARD, "a stop")                                                           \
    X(M1, 1, STOP, STANDARD, "an optional stop")                                                 \
    X(M2, 2, STOP, STANDARD, "end of program")                                                   \
    X(M3, 3, SPINDLE, SPINDLE, "spindle on, clockwise")                                          \
    X(M4, 4, SPINDLE, SPINDLE, "spindle on, counter-clockwise")                                  \
    X(M5, 5, SPINDLE, SPINDLE, "spindle off")                                                    \
    X(M6, 6, CHANGE, TOOL, "a tool change")                                                      \
    X(M7, 7, COOLANT, STANDARD, "mist coolant on")                                               \
    X(M8, 8, COOLANT, STANDARD, "flood coolant on")                                              \
    X(M9, 9, COOLANT, STANDARD, "coolant off")                                                   \
    X(M30, 30, STOP, STANDARD, "end of program")                                                 \
    X(M48, 48, OVERRIDE, STANDARD, "overrides enabled")                                          \
    X(M49, 49, OVERRIDE, STANDARD, "overrides disabled")                                         \
    X(M60, 60, STOP, STANDARD, "pallet change and stop")                                         \
    X(M_TAKES, NC_M_OWN, SECOND, SECOND, "a second spindle that takes the piece")                \
    X(M_LEAVES, NC_M_OWN, SECOND, SECOND, "a second spindle that leaves")

enum nc_g {
    NC_G_NONE,
#define X(name, code, group, fact, meaning) NC_##name,
    NC_G_LIST(X)
#undef X
};

enum nc_m {
    NC_M_NONE,
#define X(name, code, group, fact, meaning) NC_##name,
    NC_M_LIST(X)
#undef X
};

enum { NC_G_CODES = 1000, NC_M_CODES = 100 };

struct nc_code {
    int code; /* G: ten times */
    int group;
    enum nc_fact fact;
    const char *meaning;
};

/** The row of a code. */
const struct nc_code *sw_nc_g_code(enum nc_g g);
const struct nc_code *sw_nc_m_code(enum nc_m m);

/** A code as written, "G59.1" or "M30", by its number. */
struct nc_name {
    char text[16];
};
struct nc_name sw_nc_g_name(enum nc_g g);
struct nc_name sw_nc_name_of_g(int ten_times);
struct nc_name sw_nc_m_name(const struct nc_facts *facts, enum nc_m m);

/** What a group chooses, for messages. */
const char *sw_nc_g_group_name(enum nc_g_group group);
const char *sw_nc_m_group_name(enum nc_m_group group);

/** Work out what a control knows. */
void sw_nc_facts(struct nc_facts *facts, const struct sw_control *control);

/** Diagnostic code and key under `control:` of a fact. */
const char *sw_nc_fact_code(enum nc_fact fact);
const char *sw_nc_fact_key(enum nc_fact fact);

/** A code that other lists know, or that the standard knows and nothing here can follow. */
struct nc_absent {
    int code;            /* G: ten times */
    const char *fault;   /* diagnostic code */
    const char *meaning; /* sentence behind "Gn is " */
};

/** Find a code this control keeps out or that other lists know; NULL: neither. */
const struct nc_code *sw_nc_g_kept_out(int code);
const struct nc_code *sw_nc_m_kept_out(int code);
const struct nc_absent *sw_nc_g_elsewhere(int code);
const struct nc_absent *sw_nc_m_elsewhere(int code);

#endif
