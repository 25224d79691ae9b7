/* Inside of verify: the judge's table, shared by its parts. */
#ifndef SW_VERIFY_JUDGE_H
#define SW_VERIFY_JUDGE_H

#include "mech/bar_profile.h"
#include "mech/feedtime.h"
#include "sim/sim.h"
#include "verify/verify.h"

/* Deviations on the radius below this [mm] are never held against a program: half a micrometre
 * is ten times what the kernels leave open and a fifth of what a workshop micrometer resolves, but
 * well above the 0.1 um by which four decimals may move a surface. */
#define SW_VERIFY_FLOOR 5e-4

/* For a pause the tools stand at least this far from the work [mm]: room for a gauge and fingers.
 */
#define SW_VERIFY_HAND 5.0

/* A depth may exceed the tool's limit by this [mm]: a rod is a few micrometres over its size, and
 * positions are rounded. */
#define SW_VERIFY_DEPTH_SLACK 2e-3

/* Less thickness than this [mm] is the kernels' doubt or a path retraced, not a cut. */
#define SW_VERIFY_CUT 2e-4

/* The bar tail is kept below this share of its first critical speed (common practice, no
 * source). */
#define SW_VERIFY_WHIP_SHARE 0.8

/* A feed beyond this many times the tool's usual one for roughing is a slip of the point or of the
 * unit, not a choice. */
#define SW_VERIFY_FEED_SHARE 2.0

/* A neck is broken by hand: at most this share of the thinner of its neighbours, so that it stands
 * 0.4 of their bending moment and breaks before they bend. Above the second share (0.7 of their
 * moment) it is no neck at all. */
#define SW_VERIFY_NECK_SHARE 0.75
#define SW_VERIFY_NO_NECK_SHARE 0.9

/* A run-up may be cut short by this share: waiting times are written with one decimal. */
#define SW_VERIFY_RUN_UP_SLACK 0.05

/* What falls and overlaps the staff by more than this [mm2] is part of the work, not waste. */
#define SW_VERIFY_MATTERS 1e-5

struct sw_judge_kept {
    struct sw_finding finding;
    int key;      /* tells findings of one code apart that must not be merged */
    double worst; /* value against limit; the larger is kept */
    size_t n;     /* how many were merged */
};

/* The cut on the piece that was made with the thinnest neck behind it. */
struct sw_judge_hung {
    const struct sw_motion_event *event; /* NULL: none */
    size_t program;
    double neck_r, z; /* part frame */
    const struct sw_section *section;
};

/* Cuts at one z, deeper than the tool stands but for the allowance of a short plunge. */
struct sw_judge_plunge {
    size_t side, tool;
    double z;
    double along;   /* all of them together [mm]; 0: none yet */
    double widened; /* cut along the axis since the last of them [mm] */
};

/* A figure with the doubt of the forces: low end, nominal, high end of the band. */
struct sw_load_range {
    double least, nominal, most;
};

/* What a gauge finds at a pause, and what of it the last cut has too. */
struct sw_judge_reading {
    bool is_there;
    struct sw_load_range bend; /* by the cut before the pause [mm] */
    double lag;                /* of the cross slide in that cut [mm] */
    size_t tool, n_changes;    /* of the side; changes of it until then */
};

/* The cut that came last at a place near the size of its section, so far. */
struct sw_judge_made {
    const struct sw_motion_event *event; /* NULL: none yet */
    size_t program;
    int chucking;
    double z;                  /* part frame */
    double over;               /* left over the shape, square to it [mm] */
    struct sw_load_range bend; /* of the surface, away from the tool [mm] */
    double lag;                /* the slide stays short of its place by this [mm] */
    size_t tool, n_changes;    /* of the side; changes of it until then */
    bool was_gauged;
    struct sw_judge_reading reading; /* before this cut */
};

enum { SW_JUDGE_PLACES = 32 };

/* A section while it is cut: by which cuts its surface was made, place by place; whether it stood
 * near its size, and at a pause after that, so that its spring shows in the gauge and can be
 * corrected. */
struct sw_judge_making {
    struct sw_judge_made at[SW_JUDGE_PLACES];
    bool is_near, was_paused;
    struct sw_judge_reading reading; /* at the last pause */
};

/* What stands behind the tool at one moment: fed towards the holder, what was there before the
 * block; fed away from it, what the block leaves; fed in, what it leaves down to where the edge is.
 */
struct sw_judge_stand {
    const struct sw_silhouette *stock; /* NULL: nothing known of this block yet */
    double floor; /* between z0 and z1 nothing is thinner yet; 0: as the stock says */
    double z0, z1;
    double root_z, z; /* from where to where it is looked at */
};

/* What the judge of loads keeps from block to block. */
struct sw_judge_load {
    struct sw_judge_making *making;     /* of all sections; in the context */
    struct sw_silhouette before, after; /* `least` around the last cut, from the nose on */
    struct sw_silhouette turned;        /* of the shape, part frame; empty: none */
    struct sw_bar_pieces pieces;
    struct sw_bar bar;           /* built again only when pieces differ */
    double root_z;               /* chucking z of the place it begins at */
    struct sw_judge_stand stand; /* what `pieces` were made of */
    bool is_built;               /* `bar` of these very pieces */
};

/* The cross slide with its backlash: how far it stays short of where it is sent outwards, now and
 * before the move (or the stretch) at hand; and the changes of the tool that cuts. */
struct sw_judge_slide {
    double lag, lag_before;
    size_t tool, n_changes;
};

/* Feed moves gathered since the axes last stood still. */
struct sw_clock {
    SW_VEC(struct sw_leg) legs;
    struct sw_pt way; /* direction at the end of the last one */
    double nominal;   /* time of all of them without acceleration [s] */
    size_t last_mark; /* in the program's marks */
};

/* Short feed moves along one line, gathered to be judged as one; chucking frame. */
struct sw_judge_stretch {
    size_t n;                /* moves; 0: none */
    struct sw_sim_move move; /* all of them; alone in it a move is as sim left it */
    double feed;             /* a turn, of the fastest of them [mm] */
    struct sw_pt begin;      /* machine frame */
    bool has_way;            /* has gone far enough to have one */
    struct sw_pt way;
    double right, left;  /* directions in which it may go on, against `way` [rad] */
    double back;         /* begin of the first place, along the way [mm] */
    SW_VEC(double) area; /* taken there, place by place [mm2] */
    double first, front; /* of what was taken, along the way [mm] */
    double deepest;      /* of any place [mm] */
    double low, high;    /* likewise, to the left of it */
};

/* The second spindle in this side. */
struct sw_judge_second {
    const struct sw_motion_event *taken; /* holds since this; NULL: does not */
    size_t n_loose;                      /* pieces that had fallen by then */
};

struct sw_judge {
    const struct sw_verify_watch *watch; /* NULL: none */
    bool by_line;                        /* the loads of each line are asked for */
    struct sw_ctx *ctx;
    struct sw_verdict *verdict;
    const struct sw_verify_program *program;
    size_t n_programs;
    const struct sw_setup *setup;
    const struct sw_shop *shop;
    const struct sw_shape *shape; /* may be NULL */
    struct sw_sim *sim;
    struct sw_kernel *piece; /* of the regions of a piece that stood before; NULL: none did */
    size_t program_now;
    double fastest; /* rev/min met so far in this side */
    /* Of this program: whether the spindle turns, for how long, and how long it needs to come up
     * to the speed it was started with [s]. */
    bool is_turning;
    double turned, run_up;
    struct sw_clock clock;
    double neck_r;       /* of this side, after the last cut there; infinite before */
    double neck_fastest; /* rev/min since it is as thin as that */
    struct sw_judge_hung hung;
    struct sw_judge_plunge plunge;
    struct sw_judge_stretch stretch;
    struct sw_judge_load load;
    struct sw_judge_slide slide;
    struct sw_judge_second second;
    SW_VEC(struct sw_judge_kept) kept;
};

/** Keep a finding; of several alike (code, program, chucking, section, key) the worst stays, the
 *  first when none is worse. The message is printed. */
enum sw_status sw_judge_add(struct sw_judge *judge, struct sw_finding finding, int key,
                            const char *format, ...) SW_PRINTF(4, 5);
/** A finding with everything unknown set to NAN, 0 or NULL. */
struct sw_finding sw_judge_finding(enum sw_finding_code code, enum sw_severity severity);
/** The same, at an event of the program being run. */
struct sw_finding sw_judge_at(const struct sw_judge *judge, enum sw_finding_code code,
                              enum sw_severity severity, const struct sw_motion_event *event);
/** Put the kept findings into the verdict, by program and line. */
enum sw_status sw_judge_finish(struct sw_judge *judge);

/* How the machine is driven, event by event, after sim has made the step. */
enum sw_status sw_judge_drive(struct sw_judge *judge, const struct sw_motion_event *event);
enum sw_status sw_judge_program_end(struct sw_judge *judge, const struct sw_motion *motion);
/* A spindle switched by hand (hand.c). Before the first program: OUT are the programs with the
 * spindle in their states as the record has it, PROGRAM itself where words act on it. SW_INPUT with
 * diagnostics when the record is silent. */
enum sw_status sw_judge_by_hand(const struct sw_verify_program **out,
                                const struct sw_verify_program *program, size_t n_programs,
                                const struct sw_setup *setup, const struct sw_shop *shop,
                                struct sw_ctx *ctx);
/* At the begin of a program: what the record says of it. */
enum sw_status sw_judge_hands(struct sw_judge *judge);
/* Whether the record has hands at the spindle at this stop. */
bool sw_judge_is_switched_at(const struct sw_judge *judge, const struct sw_motion_event *event);
/* Spindle speed in force at a radius [rev/min]; 0 when it stands. */
double sw_judge_speed(const struct sw_judge *judge, const struct sw_motion_state *state, double r);

/* Feed a turn of a move, the edge standing at radius R [mm]; 0 when it is not known. */
double sw_judge_feed(const struct sw_judge *judge, const struct sw_sim_move *move, double r);

/* Short moves (stretch.c). Before a step: does the event go on with the stretch at hand? If not, it
 * is ended. After the step the move joins it, or begins one, or is none of it and judged alone. */
bool sw_judge_stretch_goes_on(const struct sw_judge *judge, const struct sw_motion_event *event);
enum sw_status sw_judge_stretch_add(struct sw_judge *judge, const struct sw_motion_event *event);
enum sw_status sw_judge_stretch_end(struct sw_judge *judge);
/* What a move is a part of, as one move so far; itself when it stands alone. */
const struct sw_sim_move *sw_judge_stretch_of(const struct sw_judge *judge,
                                              const struct sw_sim_move *move);

/* Forces, bending and stress of the move made last; PROFILE is what it took. */
enum sw_status sw_judge_load(struct sw_judge *judge, const struct sw_sim_move *move,
                             const struct sw_cut_profile *profile);
enum sw_status sw_judge_load_begin(struct sw_judge *judge);  /* once */
enum sw_status sw_judge_load_side(struct sw_judge *judge);   /* at the begin of a side */
void sw_judge_load_pause(struct sw_judge *judge);            /* at a pause */
enum sw_status sw_judge_load_finish(struct sw_judge *judge); /* before sizes are judged */
void sw_judge_load_end(struct sw_judge *judge);
/* How the work is held, at the begin and the end of a side. */
enum sw_status sw_judge_grip(struct sw_judge *judge);
/** Whether the guide bush still has enough of the bar where a move ends; nothing on a bench lathe.
 */
enum sw_status sw_judge_bush(struct sw_judge *judge, const struct sw_motion_event *event);
/** How far out the bar is held while the face of the bush stands at FACE on it: no further than it
 *  is whole (chucking frame). */
double sw_judge_bush_holds_to(const struct sw_judge *judge, double face);
/** A second spindle (second.c): what it takes, and what moves while both hold the work. After sim's
 *  step; N_LOOSE: pieces that had fallen before it. */
enum sw_status sw_judge_second(struct sw_judge *judge, const struct sw_motion_event *event,
                               size_t n_loose);
enum sw_status sw_judge_side_end(struct sw_judge *judge);

/** Is what fell a part of the staff, and not an end faced off? Without a shape every piece is. */
enum sw_status sw_judge_matters(bool *out, struct sw_judge *judge,
                                const struct sw_sim_loose *loose);

/* Watch the neck of this side, and the cuts made on the piece meanwhile. */
void sw_judge_watch_neck(struct sw_judge *judge, const struct sw_sim_move *move);

/* How far a control that blends may leave the path between the last two moves. */
enum sw_status sw_judge_blend(struct sw_judge *judge, const struct sw_sim_move *before,
                              const struct sw_sim_move *move);

/* What touched what; FIRST is the first contact not yet judged. */
enum sw_status sw_judge_contacts(struct sw_judge *judge, size_t first);
/* Depth and heel of the move made last. */
enum sw_status sw_judge_cut(struct sw_judge *judge, const struct sw_sim_move *move);

/* The tip that no program forms, by the record: how far beyond its finished end the piece may
 * stand. */
bool sw_judge_is_by_hand(const struct sw_judge *judge, bool is_upper);
/* The ceiling of the shape, run on at such a tip to where the piece is broken off. */
enum sw_status sw_judge_ceiling(struct sw_contour *out, const struct sw_judge *judge);

/* Whether what hangs on the neck of this side whirled while that was as thin as it is now. */
enum sw_status sw_judge_whirl(struct sw_judge *judge);

/* What is left against the shape. */
enum sw_status sw_judge_compare(struct sw_judge *judge);
/* The crossing of an outline with the level R that is nearest to Z; infinite without one. */
double sw_judge_crossing(const struct sw_rings *rings, double r, double z);
/* Limit of a deviation on the radius in a section [mm]: the staff stands in the middle of its
 * limits. */
double sw_judge_radial_limit(const struct sw_section *section, bool is_gouge);
/* Names, nominal sizes and limits of all sections; nothing measured yet. */
void sw_judge_sections(struct sw_judge *judge);
enum sw_status sw_judge_sizes(struct sw_judge *judge);

/* Outlines of what is left, to look for faces on. */
struct sw_judge_outlines {
    struct sw_rings rings[2];
    struct sw_box box[2];
};

/* Where the piece has the face that the turned shape has at Z; false: there is none, or the piece
 * has it elsewhere. */
bool sw_judge_face_at(struct sw_bounds *out, double *r, const struct sw_judge *judge,
                      const struct sw_judge_outlines *outlines, double z);
/* All faces a gauge may be put to, with the tools that made them. */
enum sw_status sw_judge_faces(struct sw_judge *judge, const struct sw_judge_outlines *outlines);

/* Where sizes may move (moves.c). After each move: where the cross slide really is, and with which
 * tool. At the begin of a side it stands as zeroing left it. */
void sw_judge_slide(struct sw_judge *judge, const struct sw_motion_event *event);
void sw_judge_slide_begin(struct sw_judge *judge);
/* How far the slide stays short where the nose centre stands at R, going along WAY [mm]. */
double sw_judge_lag(const struct sw_judge *judge, const struct sw_sim_move *move, double r,
                    struct sw_pt way);
/* Nothing known yet. */
struct sw_section_moves sw_judge_no_moves(void);
/* The moves of a section whose measuring place was made so, and the finding about its size. */
void sw_judge_moves_of(struct sw_section_verdict *verdict, const struct sw_judge *judge,
                       const struct sw_judge_made *made);
enum sw_status sw_judge_predicted(struct sw_judge *judge, size_t section);
/* Whether the control can set sizes at all as fine as they are wanted, and how true the second grip
 * runs. */
enum sw_status sw_judge_step(struct sw_judge *judge);
enum sw_status sw_judge_runout(struct sw_judge *judge);

/** Time of one event [s], counted in the program's verdict; SECONDS gets it as if the axes had no
 *  mass. What corners and ends of a path cost is added when the path ends (time.c). */
enum sw_status sw_judge_time(double *seconds, struct sw_judge *judge,
                             const struct sw_motion_event *event);
/** After the last event of a program. */
enum sw_status sw_judge_time_end(struct sw_judge *judge);

/** Clamp the piece that the record says stands already, when it does. */
enum sw_status sw_judge_piece(struct sw_judge *judge) SW_MUST_CHECK;

/** Material of the rod of the staff, or NULL. */
const struct sw_material *sw_judge_material(const struct sw_judge *judge);
/** z of the part frame for one of a side. */
double sw_judge_part_z(const struct sw_judge *judge, size_t side, double z);
double sw_judge_chucking_z(const struct sw_judge *judge, size_t side, double z_part);
/** The section that covers a z of the part frame, or NULL. */
const struct sw_section *sw_judge_section_at(const struct sw_judge *judge, double z_part);

/** Fill the verdict's outline from its rings. */
enum sw_status sw_judge_left(struct sw_judge *judge) SW_MUST_CHECK;

#endif
