/* verify: from what the programs leave to findings, sizes and a verdict.
 *
 * Takes the motions of all programs of a setup, cuts them with sim, compares what is left with
 * the shape, and checks how the machine is driven. Knows nothing of how the programs were made.
 * Frames: findings give z in the part frame where they concern the part, otherwise NAN.
 * Ownership: the verdict lives in the context.
 */
#ifndef SW_VERIFY_VERIFY_H
#define SW_VERIFY_VERIFY_H

#include "geom/region.h"
#include "motion/motion.h"
#include "setup/setup.h"
#include "shape/shape.h"
#include "shop/shop.h"

/** Beyond these no verdict is given (SW_UNREADABLE, with a diagnostic): they bound the time that a
 *  hostile text can take. Moves of all programs together: a staff takes some five thousand, and the
 *  worst known cost a third of a millisecond each. Seconds: what one program may take on the
 * machine, pauses left out. */
enum { SW_VERIFY_MOST_MOVES = 100000 };
#define SW_VERIFY_MOST_SECONDS 3.6e6

/* code word as shown, what it means (shown by `list findings` and `explain`) */
#define SW_FINDING_LIST(X)                                                                         \
    X(GOUGE, "gouge", "material that belongs to the staff was cut away")                           \
    X(UNCUT, "uncut", "material stands where turning should have taken it")                        \
    X(RAPID_INTO_STOCK, "rapid-into-stock", "a rapid move runs into material")                     \
    X(HOLDER_RUBS, "holder-rubs",                                                                  \
      "tool body, holder or a neighbour on the slide touches the work")                            \
    X(HEEL_RUBS, "heel-rubs", "the tool below its edge touches the wall of a recess")              \
    X(NOSE_TOUCHES, "nose-touches",                                                                \
      "a tool or holder touches the nose of the work holder, or of the second spindle")            \
    X(BEYOND_TRAVEL, "beyond-travel", "an axis is sent beyond its travel")                         \
    X(WRONG_TOOL, "wrong-tool",                                                                    \
      "the tool in use is not the one the coordinates belong to, or does not exist")               \
    X(WRONG_ORDER, "wrong-order",                                                                  \
      "a cut is made before what it needs, or the piece is parted too early")                      \
    X(WRONG_WAY, "wrong-way", "the spindle turns against the tool's side")                         \
    X(SPINDLE_STOPPED, "spindle-stopped", "a cut with the spindle standing still")                 \
    X(PAUSE_WHILE_TURNING, "pause-while-turning",                                                  \
      "a pause for hands while the spindle turns or tools are near")                               \
    X(OVERSPEED, "overspeed", "the spindle is asked for a speed it does not have")                 \
    X(BAR_WHIP, "bar-whip",                                                                        \
      "what hangs free, the bar's tail or a piece on its neck, whips at that speed")               \
    X(OVERFEED, "overfeed", "a cut fed much faster than the tool is meant for")                    \
    X(NO_FEED, "no-feed", "a cut without a feed")                                                  \
    X(DEPTH, "depth", "a cut deeper than the tool allows")                                         \
    X(RUBBING, "rubbing", "a cut thinner than the edge can take: it rubs")                         \
    X(OVERLOAD, "overload", "a cut needs more torque or power than the spindle has")               \
    X(DEFLECTION, "deflection", "a cut bends the work further than its size allows")               \
    X(OVERSTRESS, "overstress", "a cut strains the work so that it may stay bent or break")        \
    X(BUCKLING, "buckling", "a cut pushes along the work near to where it gives way sideways")     \
    X(LOST_SUPPORT, "lost-support", "the work is no longer held where it is cut")                  \
    X(SECOND, "second-spindle",                                                                    \
      "the second spindle cannot take the piece, does not hold it, or pulls on it")                \
    X(ADVANCE, "advance", "the bar is not brought to where its next piece is cut")                 \
    X(GRIP, "grip", "the holder cannot hold what it is given")                                     \
    X(SIZE, "size", "a size comes out beyond its limits")                                          \
    X(BLOCK, "block", "the text is wrong by the standard")                                         \
    X(CONTROL, "control", "a word this control does not know")                                     \
    X(CHANGED_SINCE, "changed-since", "a file was edited after it was judged")

enum sw_finding_code {
#define X(name, word, sentence) SW_FINDING_##name,
    SW_FINDING_LIST(X)
#undef X
        SW_N_FINDINGS
};

const char *sw_finding_word(enum sw_finding_code code);
const char *sw_finding_sentence(enum sw_finding_code code);

struct sw_finding {
    enum sw_finding_code code;
    enum sw_severity severity; /* an error fails the verdict, a warning does not */
    const char *message;       /* one line with value, unit and limit */
    double value, limit;       /* NAN when there is none */
    const char *unit;          /* "um", "mm", "rev/min", "" */
    const char *program;       /* file name; NULL when it concerns the whole */
    uint32_t line, column;     /* 0: none */
    int chucking;              /* 1.., 0: none */
    const char *section;       /* NULL: none */
    double z;                  /* part frame, NAN: none */
};

/** A range that holds the exact value: from the inscribed and the circumscribed kernel. */
struct sw_bounds {
    double least, most;
};

/** Where something was worst. Forces are calculated; see mech/force.h for how little is known. */
struct sw_verdict_worst {
    double nominal;      /* NAN: nothing was */
    double high;         /* at the high end of the forces; what is worst goes by it */
    const char *program; /* NULL: none */
    uint32_t line;
    const char *section; /* NULL: none */
    double z;            /* part frame, NAN: none */
};

/** What the work bears while it is cut in a section, as it stands at that moment. NAN: never cut.
 */
struct sw_section_load {
    double slenderness;  /* length over turned diameter */
    double um_per_n;     /* how far 1 N sideways at the tool bends it where that is most */
    double mpa_per_n;    /* largest stress of that 1 N, no nearer to the tool than a diameter; NAN:
                            nothing is further away */
    double load_n;       /* largest force of a cut, nominal */
    double load_high_n;  /* and at its high end */
    const char *program; /* of that */
    uint32_t line;
    double stress_mpa; /* largest, anywhere in the work, at the high end */
    double safety;     /* yield over it; NAN: no yield known or all of it small */
    double bend_um[3]; /* of the radius at the measuring place, by the cut that made it: low,
                          nominal, high; below 0 towards the tool */
};

/* What moves a diameter that a program leaves: cause, word, what helps against it */
#define SW_MOVER_LIST(X)                                                                           \
    X(BEND, "bending", "a lighter last cut, or a pause to measure before it")                      \
    X(BACKLASH, "backlash",                                                                        \
      "take up the play of the slide, or come to the size from outside only")                      \
    X(HEIGHT, "centre height", "set the point nearer to the axis, or measure before the last cut") \
    X(CHANGE, "tool change",                                                                       \
      "a pause to measure before the last cut, with no change of tool between")                    \
    X(REPEAT, "repeatability", "a wider tolerance, or a slide that comes back better")             \
    X(STEP, "step of the control", "a finer step in X, or a wider tolerance")                      \
    X(GAUGE, "gauge", "a gauge that reads finer")

enum sw_mover {
#define X(name, word, help) SW_MOVER_##name,
    SW_MOVER_LIST(X)
#undef X
        SW_N_MOVERS
};

const char *sw_mover_word(enum sw_mover mover);
const char *sw_mover_help(enum sw_mover mover);

/** How far a diameter may come out from its predicted size, on the diameter [um]. */
struct sw_move {
    double down, up; /* down <= 0 <= up; NAN: not known */
};

/** Where a size may move. What is one-sided or a band of ignorance (bending, backlash, centre
 *  height) adds up; what scatters either way adds by squares (JCGM 100, 5.1.2). A pause to measure
 *  before the last cut shows what stays the same from that reading to the last cut, so that it is
 *  corrected: bending, backlash, height and change go but for their difference; what scatters
 *  counts twice, in the reading and in the cut. Figures: verify/moves.c. */
struct sw_section_moves {
    struct sw_move plain[SW_N_MOVERS];  /* nothing measured */
    struct sw_move gauged[SW_N_MOVERS]; /* measured at a pause before the last cut; NAN without */
    struct sw_move plain_sum, gauged_sum;
    bool is_gauged;     /* there is such a pause: then `gauged_sum` counts */
    double runs_out_um; /* total, against what the first grip turned; NAN: is of the first grip */
};

struct sw_section_verdict {
    const char *name;
    double nominal_mm;          /* finished nominal diameter at the measuring place */
    double lower_mm, upper_mm;  /* finished limits */
    double turned_mm;           /* diameter turning should leave there */
    double measure_z_mm;        /* the measuring place, part frame */
    struct sw_bounds size_mm;   /* diameter it leaves there */
    struct sw_bounds length_mm; /* axial extent it leaves between its shoulders; NAN: no shoulder */
    double gouge_um, left_um;   /* deepest gouge and thickest left over in the section */
    double gouge_limit_um, left_limit_um;
    struct sw_bounds predicted_mm; /* with all that may move it, measured at the pause where there
                                      is one; NAN: not known */
    double predicted_nominal_mm;   /* size_mm bent by the nominal force */
    struct sw_section_moves moves;
    struct sw_section_load load;
    int made_chucking; /* the cut that made the measuring place last; 0: not known */
    int made_station;
};

/** What counts of them: gauged where there is a pause for it. */
const struct sw_move *sw_section_moves_of(const struct sw_section_moves *moves);

/** Where time goes [s]. */
struct sw_times {
    double cutting;  /* moves that take something off */
    double moving;   /* all others, and what corners and ends of feed moves cost */
    double changing; /* tools */
    double waiting;  /* dwells */
};

/** Time from the begin of a program to the end of a line of it. */
struct sw_time_mark {
    uint32_t line;
    struct sw_times time;
};

/** A figure by the nominal force and by its high end; NAN: not known. */
struct sw_pair {
    double nominal, high;
};

/** What the blocks of a line did at their worst, each figure by itself. NAN: not known. */
struct sw_line_load {
    uint32_t line;
    double least_force_n;      /* low end of the band of which `force_n` has the rest */
    struct sw_pair force_n;    /* all components together */
    struct sw_pair bend_um;    /* of the axis at the tool, whether or not it moves what is cut */
    struct sw_pair stress_mpa; /* no nearer to the tool than a diameter */
};

/** A face that lengths are gauged from or to: a tip, a height of the staff, or the shoulder of a
 *  section at its end towards the core (by the section's name). */
struct sw_face_verdict {
    const char *name;
    double z_mm;            /* where the turned shape has it, part frame */
    struct sw_bounds at_mm; /* where the programs leave it; NAN: nowhere near */
    int made_chucking;      /* the cut that came nearest to it; 0: not known */
    int made_station;
};

struct sw_program_verdict {
    const char *file;
    int chucking;
    size_t n_blocks;
    size_t n_moves;
    double seconds; /* all of it, pauses for hands left out */
    double removed_mm3;
    struct sw_times time;
    SW_VEC(struct sw_time_mark) mark; /* one an event, in the order they run */
    SW_VEC(struct sw_line_load)
    load; /* of lines that cut, in the order they run; where asked for */
};

/** One piece of a run. */
struct sw_piece_verdict {
    const char *name;    /* its record, as the run's names it */
    const char *program; /* NULL: no program brings the bar out for it */
    uint32_t line;       /* where the stop is called for it: work may be taken up there */
    uint32_t pause, end; /* its lines: from the pause that advances the bar to the next one */
    bool passes;
    size_t as; /* judged once for all that are cut by the same moves: the first of them, from 0 */
    double bar_mm;     /* length of the bar before it */
    double gripped_mm; /* of that, behind the nose */
    double used_mm;    /* what the piece takes of it */
};

struct sw_verdict {
    bool passes;
    SW_VEC(struct sw_finding) findings; /* by program and line */
    struct sw_section_verdict *section; /* n_sections, in the order of the staff */
    size_t n_sections;
    struct sw_face_verdict *face; /* n_faces: tips, heights, shoulders */
    size_t n_faces;
    struct sw_program_verdict *program;
    size_t n_programs;
    double length_least_mm, length_most_mm; /* total length left */
    /* Largest bending of the radius by a block that leaves a final surface (without a shape: by
     * any), largest stress, least safety against yield. */
    struct sw_verdict_worst deflection_um, stress_mpa, safety;
    double rod_end_z; /* free end of what stays in the holder where the piece is cut from a
                         rod, chucking frame; NAN: there is none */
    SW_VEC(struct sw_piece_verdict) piece; /* of a run, in the order they are cut */
    size_t slenderest;                     /* section of the largest slenderness, counted from 0 */
    double resolution_um;                  /* half width of what the kernels leave open */
    struct sw_rings left[2]; /* outlines of what is surely left and of the most that may be
                                left, part frame */
    /* Of one chucking judged without a shape: the outline of the most that may be left, from the
     * free end to the nose, chucking frame; a line from point to point, empty otherwise. */
    SW_VEC(struct sw_pt) outline;
};

double sw_times_sum(const struct sw_times *time);

/** Time of the lines of a program from FIRST up to, and not with, END (0: to its end). Of a program
 *  whose lines run in the order they are written. */
struct sw_times sw_program_times(const struct sw_program_verdict *program, uint32_t first,
                                 uint32_t end);

/** The worst on the lines from FIRST up to, and not with, END (0: to its end). `line` is 0 where
 *  nothing there was judged, or not line by line: all is NAN then. */
struct sw_line_load sw_program_load(const struct sw_program_verdict *program, uint32_t first,
                                    uint32_t end);

/** One program text of the setup, already read. */
struct sw_verify_program {
    const char *name;
    const struct sw_motion *motion;
    bool text_is_wrong; /* ncread returned SW_FOUND: its diagnostics become findings */
};

/** Judge. PROGRAM in the order of the setup's sides and their program lists. SHAPE may be NULL:
 *  then only how the machine is driven is judged and nothing is compared. SW_OK also when the
 *  verdict is "fail". */
enum sw_status sw_verify_run(struct sw_verdict **out, const struct sw_verify_program *program,
                             size_t n_programs, const struct sw_setup *setup,
                             const struct sw_shop *shop, const struct sw_shape *shape,
                             struct sw_ctx *ctx) SW_MUST_CHECK;

/** The same, and the loads of every line: takes half as long again. */
enum sw_status sw_verify_by_line(struct sw_verdict **out, const struct sw_verify_program *program,
                                 size_t n_programs, const struct sw_setup *setup,
                                 const struct sw_shop *shop, const struct sw_shape *shape,
                                 struct sw_ctx *ctx) SW_MUST_CHECK;

/** A piece of a run, besides its moves: its own record and shape, and the programs of its later
 *  sides, already read. */
struct sw_verify_piece {
    const struct sw_setup *setup;
    const struct sw_shape *shape;
    const struct sw_verify_program *later;
    size_t n_later;
};

/** Judge a run (SETUP has one side, with `run.pieces`): each piece by the moves between its pause
 *  at the stop and the next, on the bar as it stands there, and on through its later sides. Where
 *  the bar ends, the text says: by the place of the stop at the pause. PIECE one a piece of the
 *  record; pieces with one record share it by pointer. Sizes stand in no section: each variant has
 *  them in its own verdict, and here its findings count. BY_REFEREE: as sw_verify_by_referee. */
enum sw_status sw_verify_bar(struct sw_verdict **out, const struct sw_verify_program *program,
                             size_t n_programs, const struct sw_verify_piece *piece,
                             const struct sw_setup *setup, const struct sw_shop *shop,
                             bool by_referee, struct sw_ctx *ctx) SW_MUST_CHECK;

/** Asked before each event of a program, while nothing of it is done yet, with the verdict as it
 *  stands: what it gives other than SW_OK ends the run. The events still to come of
 *  `sw_verify_program.motion` may be others when it returns; those that ran must stay. Not for a
 *  spindle switched by hand: there the run has motions of its own. */
struct sw_verify_watch {
    enum sw_status (*before)(size_t program, size_t event, const struct sw_verdict *so_far,
                             void *user);
    void *user;
};

enum sw_status sw_verify_watched(struct sw_verdict **out, const struct sw_verify_watch *watch,
                                 const struct sw_verify_program *program, size_t n_programs,
                                 const struct sw_setup *setup, const struct sw_shop *shop,
                                 const struct sw_shape *shape, struct sw_ctx *ctx) SW_MUST_CHECK;

/** As sw_verify_run, the work cut by the region kernel in place of the chain: the referee, slower
 * and with twice the resolution. */
enum sw_status sw_verify_by_referee(struct sw_verdict **out,
                                    const struct sw_verify_program *program, size_t n_programs,
                                    const struct sw_setup *setup, const struct sw_shop *shop,
                                    const struct sw_shape *shape, struct sw_ctx *ctx) SW_MUST_CHECK;

/** Add a finding; used by verify's own parts. */
enum sw_status sw_verdict_add(struct sw_verdict *verdict, struct sw_finding finding,
                              struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
