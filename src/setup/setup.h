/* setup: the setup record: what stands where on the machine before each program runs.
 *
 * The neutral paper between the planner, the person at the lathe and the judge: written from a
 * plan, checked by a person, read by the simulator (setup.yaml, format setup/1, with comments). It
 * holds no cutting data. Chucking frame of a side: z = 0 at the finished end face of that side, +
 * away from the headstock; r from the axis. Machine frame: X as radius [mm].
 * Ownership: lives in the context.
 */
#ifndef SW_SETUP_SETUP_H
#define SW_SETUP_SETUP_H

#include "spec/emit.h"
#include "spec/table.h"

struct sw_contour;
struct sw_material;

struct sw_setup_station {
    struct sw_number station;
    struct sw_text tool;    /* by name or file */
    /* The machine position (controlled point) at which this tool's declared point stands on the
     * axis at z = 0 of the chucking: what zeroing finds. */
    struct sw_number zero_x;
    struct sw_number zero_z;
    struct sw_number system; /* coordinate system 1..9 set to that position; 0: the offset comes
                                with the tool, or the tool is alone in its program */
};

enum sw_setup_turn { SW_SETUP_STOP, SW_SETUP_M3, SW_SETUP_M4 };

/** What a person does to a spindle that no word of a program acts on. */
struct sw_setup_switch {
    struct sw_number line;  /* where the program waits for it; absent: before the program starts,
                               and off and on again at each stop that is not named */
    struct sw_choice turn;  /* enum sw_setup_turn */
    struct sw_number speed; /* rev/min; absent with SW_SETUP_STOP */
};

struct sw_setup_program {
    struct sw_text file;
    struct sw_number tool;  /* the station whose tool is in use from the start; absent: the text
                               brings its own, or the file's name says it */
    struct sw_list spindle; /* struct sw_setup_switch; none where the program switches it */
};

/** A section of a piece that came out thicker than it should be turned. */
struct sw_setup_stand {
    struct sw_text section;
    struct sw_number diameter; /* where it is gauged [mm] */
};

/** A piece of a run: cut from what the bar is advanced by before it. */
struct sw_setup_piece {
    struct sw_text setup;  /* the record of that piece made singly, relative to this one: its staff and
                              its later sides count */
    struct sw_number at_z; /* where its finished end face stands in the frame of the run's side */
};

/** Of a side that makes one piece after the other from a bar: at each pause with the stop in use the
 *  holder is opened by hand, the bar pushed against the stop's face, and the holder closed. */
struct sw_setup_run {
    struct sw_number stop;          /* its station */
    struct sw_number closing_loses; /* the end then stands so far behind the face, at most [mm] */
    struct sw_number bar_length;    /* before the first piece [mm] */
    struct sw_list pieces;          /* struct sw_setup_piece, in the order they are cut */
};

/** What a second spindle takes the piece by before it is parted. */
struct sw_setup_second {
    struct sw_text section;
    struct sw_number diameter; /* as it closes on it [mm] */
    struct sw_number length;   /* gripped [mm] */
    struct sw_number nose_z;   /* its front face while it holds, chucking frame */
};

/** One chucking. */
struct sw_setup_side {
    struct sw_text name;      /* "side 1" */
    struct sw_list programs;  /* struct sw_setup_program, in the order they run */
    struct sw_text holder;    /* by name or file */
    struct sw_text grips;     /* "rod", or the name of the section gripped */
    struct sw_number grip_diameter;
    struct sw_number grip_length;
    struct sw_number nose_z;  /* nose face of the holder, chucking frame (negative) */
    struct sw_choice end;     /* 0 upper, 1 lower: the tip that points away from the headstock */
    struct sw_number rod_diameter; /* side cut from the rod; absent when it is what the last left */
    struct sw_number rod_end_z;    /* its free end before the first cut, chucking frame (>= 0) */
    struct sw_list stands;    /* struct sw_setup_stand: of a first side without a rod: the work is a
                                 whole turned piece, but for these */
    struct sw_number tail;    /* rod behind the spindle [mm] */
    struct sw_setup_run run;  /* `run.pieces` not given: one piece is made */
    struct sw_number neck_z;  /* where the piece is broken off afterwards, chucking frame; absent:
                                 the program parts it through */
    struct sw_setup_second second; /* `section` not given: no second spindle comes up */
    struct sw_number bush_z;  /* machine Z at which the front face of the guide bush stands at z = 0;
                                 absent on a bench lathe */
    struct sw_number park_x;  /* where the controlled point stands before the program, machine frame */
    struct sw_number park_z;
    struct sw_list stations;  /* struct sw_setup_station */
};

/** A tip that no program forms. */
enum sw_setup_tip { SW_SETUP_NO_TIP, SW_SETUP_UPPER_TIP, SW_SETUP_LOWER_TIP };

/** What stood before the first side: a blank that was hardened. Of a piece that `stands` finished it
 *  says the material alone. */
struct sw_setup_blank {
    struct sw_text staff;        /* its staff file, relative to the record; none given: no blank */
    struct sw_text material;     /* what it is now, by name */
    struct sw_number grown_least, grown_most; /* by hardening, as a share of each size */
    /* Set by who reads those files, for who judges (app): its outlines as grown, part frame of the
     * hardened staff, N of each, and its material. */
    const struct sw_contour *least, *most;
    size_t n;
    const struct sw_material *is;
};

struct sw_setup {
    const char *file;
    struct sw_text staff;     /* file, relative to the record */
    struct sw_text shop;
    struct sw_number stone, burnish, tip;      /* what hand work was promised [mm], as in the shop */
    struct sw_number upper_long, lower_long;   /* left long beyond the tip allowance [mm] */
    struct sw_choice tip_by_hand; /* enum sw_setup_tip: it is broken off at the last side's neck, and
                                     length and form are given by hand */
    struct sw_setup_blank blank;
    struct sw_list sides;     /* struct sw_setup_side, in order of work */
};

extern const struct sw_table sw_setup_table;

/** Whether its first side begins with a hardened blank. */
static inline bool sw_setup_has_blank(const struct sw_setup *setup)
{
    return setup->blank.staff.value != NULL;
}

/** Read a setup/1 file and check that it holds together: stations once a side, one place a
 *  coordinate system, a rod to begin with, a nose behind the work. */
enum sw_status sw_setup_load(struct sw_setup **out, const char *path,
                             struct sw_ctx *ctx) SW_MUST_CHECK;
enum sw_status sw_setup_parse(struct sw_setup **out, const char *name, const char *text, size_t size,
                              struct sw_ctx *ctx) SW_MUST_CHECK;

/** Write the record as YAML with comments; what sw_setup_parse reads back. */
void sw_setup_write(const struct sw_setup *setup, struct sw_buf *out);

#endif
