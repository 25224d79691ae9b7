/* sim: cut the work by what a program text does, and note what touched what.
 *
 * Takes the setup record, the shop and the motions of the programs side by side; gives the work
 * that remains and a record of every move. It judges nothing: limits are verify's business.
 *
 * How a point is found. The motion gives machine positions of the controlled point. The setup says
 * for each station at which machine position the tool's declared point stands on the axis at
 * z = 0; the tool says how far its declared point is from the centre of its nose. So in the
 * chucking frame: nose centre = machine position - zero of the station - declared point. Neither
 * the coordinate systems in force nor anything the maker meant plays a part. On a gang slide all
 * other tools of the setup move along, each by its own zero; on a turret, or changed by hand, only
 * the tool in use is there.
 *
 * Which tool is in use: the T number in the state, where the control acts on tool words or a
 * program has one tool; otherwise the station whose coordinate system is in force, or the only one.
 *
 * A rapid that runs into the work is noted and cuts it all the same. Its axes may arrive at
 * different times, so both ways round its rectangle are tried too. Bodies and neighbours must touch
 * nothing that the edge has not taken before they come there (sim/ahead.h). A tool past the centre
 * line removes nothing on the far side (work.h). Work that is no longer joined to what the holder
 * grips (by the most that may be left) falls at the end of the move that freed it.
 *
 * Frames: chucking [mm] unless said. Ownership: a simulation is owned, freed with sw_sim_free;
 * records live in the context and stay. Statuses: SW_MEMORY, SW_INTERNAL.
 */
#ifndef SW_SIM_SIM_H
#define SW_SIM_SIM_H

#include "motion/motion.h"
#include "setup/setup.h"
#include "shop/shop.h"
#include "sim/work.h"

/** A tool of a side as it stands on the slide. */
struct sw_sim_tool {
    const struct sw_setup_station *station;
    const struct sw_station *place; /* of the machine; NULL when it has no such station */
    const struct sw_tool *tool;     /* NULL when the shop has no such tool */
    bool is_elsewhere;              /* the shop has it at another station */
    struct sw_pt zero;              /* machine position of the declared point at the origin */
    struct sw_pt declared;          /* from the nose centre */
    struct sw_outline *edge;
    struct sw_outline *body[SW_TOOL_BODIES];
    size_t n_bodies;
};

enum sw_sim_contact_kind {
    SW_SIM_RAPID,      /* the edge, in a rapid, meets the work */
    SW_SIM_RAPID_BEND, /* anything on the slide would, if one axis arrived before the other */
    SW_SIM_BODY,       /* body or holder block meets the work */
    SW_SIM_NEIGHBOUR,  /* another tool on the slide meets the work */
    SW_SIM_NOSE,       /* anything on the slide meets the nose of the holder */
    SW_SIM_SECOND,     /* or, while it holds the work, that of the second spindle */
    SW_SIM_LOOSE       /* the edge cuts where a piece was that has fallen */
};

struct sw_sim_contact {
    enum sw_sim_contact_kind kind;
    size_t move;     /* index in `moves` */
    size_t tool;     /* index among the side's tools: the one that touches */
    size_t loose;    /* LOOSE: index in `loose` */
    struct sw_pt at; /* where, as good as it is known */
};

/** One straight or circular move, or, as a move without length, a tool change or a second spindle
 *  that takes the work. */
struct sw_sim_move {
    const struct sw_motion_event *event;
    size_t program; /* as counted by sw_sim_run */
    size_t side;
    size_t tool;           /* index among the side's tools; SW_SIM_NO_TOOL */
    struct sw_sweep sweep; /* of the nose centre */
    double length;         /* mm */
    bool is_cut;           /* took something off */
    struct sw_removed removed;
    double heel_r; /* face-point cutting below a wall: radius of the wall there, else 0 */
};

#define SW_SIM_NO_TOOL ((size_t)-1)

struct sw_sim_loose {
    size_t side, move;
    struct sw_loose piece; /* regions valid until the next side begins */
};

struct sw_sim_side {
    const struct sw_setup_side *setup;
    const struct sw_holder *holder; /* NULL: not in the shop */
    struct sw_sim_tool *tool;
    size_t n_tools;
    size_t first_move, n_moves;
    bool had_work;    /* there was something to hold in the middle of the grip */
    double gripped_r; /* largest radius of the work there */
    double behind_r;  /* largest radius of the work behind the grip; 0: nothing there */
    bool in_bush;     /* the bar is fed out of a guide bush */
    int to_part_sign; /* z of the part frame = sign * z + shift */
    double to_part_shift;
};

struct sw_sim {
    struct sw_ctx *ctx;
    const struct sw_work_class *kernel;
    struct sw_work *work;
    const struct sw_setup *setup;
    const struct sw_shop *shop;
    double total;             /* finished length of the staff [mm] */
    bool is_total_guessed;    /* no staff: taken from the piece that fell */
    struct sw_sim_side *side; /* of all sides; filled as they begin */
    size_t n_sides;           /* begun */
    size_t n_programs;        /* run */
    struct sw_convex nose;    /* of this side; empty when the holder says nothing of it. Of a guide
                                 bush: z = 0 at its face, which the tools keep their z to */
    struct sw_convex second;  /* nose of the second spindle where it holds the work of this side;
                                 empty when none does */
    bool is_second_on;        /* it holds it now */
    SW_VEC(struct sw_sim_move) moves;
    SW_VEC(struct sw_sim_contact) contacts;
    SW_VEC(struct sw_sim_loose) loose;
    size_t first_loose;                 /* of this side */
    struct sw_region *left[2];          /* what the last side left, part frame */
    const struct sw_motion_event *last; /* last move of the program being run */
};

/** Start. TOTAL: finished length of the staff, NAN when there is none. */
enum sw_status sw_sim_new(struct sw_sim **out, const struct sw_setup *setup,
                          const struct sw_shop *shop, double total,
                          struct sw_ctx *ctx) SW_MUST_CHECK;
/** The same with a kernel of choice; sw_sim_new takes the chain. */
enum sw_status sw_sim_new_with(struct sw_sim **out, const struct sw_work_class *kernel,
                               const struct sw_setup *setup, const struct sw_shop *shop,
                               double total, struct sw_ctx *ctx) SW_MUST_CHECK;
void sw_sim_free(struct sw_sim *sim);

/** Before the first side: the work is a piece that stands already, part frame, by its bounds. Both
 *  regions belong to the simulation from now on, their kernel must outlive it. */
void sw_sim_take_piece(struct sw_sim *sim, struct sw_region *least, struct sw_region *most);

/** Begin the next side of the setup: clamp rod or piece, set the tools up. */
enum sw_status sw_sim_begin_side(struct sw_sim *sim) SW_MUST_CHECK;
/** Run one program of the side begun last. */
enum sw_status sw_sim_run(struct sw_sim *sim, const struct sw_motion *motion) SW_MUST_CHECK;
/** The same event by event, for those who want to look in between. */
void sw_sim_begin_program(struct sw_sim *sim);
enum sw_status sw_sim_step(struct sw_sim *sim, const struct sw_motion_event *event) SW_MUST_CHECK;
void sw_sim_end_program(struct sw_sim *sim);
/** Volume that is there now, of either work [mm3]. */
enum sw_status sw_sim_volume(double out[2], struct sw_sim *sim) SW_MUST_CHECK;
/** End the side: what goes on is the largest piece that fell, or what stands before the neck, or
 *  all that is in the holder. */
enum sw_status sw_sim_end_side(struct sw_sim *sim) SW_MUST_CHECK;

/** The remaining work in the part frame, after sw_sim_end_side. Borrowed until the next side. */
const struct sw_region *sw_sim_left(const struct sw_sim *sim, enum sw_work_which which);

/** The first cutting or colliding move of a side whose edge passed over P (chucking frame), else
 *  SW_SIM_NO_TOOL. */
size_t sw_sim_first_over(const struct sw_sim *sim, size_t side, struct sw_pt p,
                         struct sw_arena *scratch, bool *is_short_of_memory);
/** The cutting move whose edge came nearest to P. */
size_t sw_sim_nearest_to(const struct sw_sim *sim, size_t side, struct sw_pt p, double *distance,
                         struct sw_arena *scratch, bool *is_short_of_memory);

/** Least distance of any tool that is there from the work, the controlled point standing at AT
 *  (machine frame) with TOOL in use (SW_SIM_NO_TOOL: none). Never more than the true one. */
double sw_sim_clearance(const struct sw_sim *sim, struct sw_motion_pt at, size_t tool);
/** The tool in use in a state, SW_SIM_NO_TOOL when there is none. */
size_t sw_sim_tool_in_use(const struct sw_sim *sim, const struct sw_motion_state *state);
/** Where the front face of the guide bush stands on the work of this side at a machine Z, chucking
 *  frame [mm]: as the headstock slides, the bush goes along the work with the tools. */
double sw_sim_bush_z(const struct sw_sim *sim, double machine_z);
/** Nose centre of a tool for a machine position. */
struct sw_pt sw_sim_place(const struct sw_sim_tool *tool, struct sw_motion_pt at);

#endif
