/* machine: what a lathe can do, and how its control reads a program.
 *
 * `control` holds facts copied by the owner from his own manual; a program is read by them and by
 * nothing else. Machine frame: X radial (as radius) and Z along the spindle [mm], + away from the
 * work and the headstock (ISO 841); zero wherever the machine homes.
 * Ownership: lives in the context that loaded it. Members are as written (spec/table.h), units
 * there: mm, rev/min, mm/min, mm/s2, N, seconds.
 * Statuses: SW_INPUT with every fault as a diagnostic at its place, SW_UNREADABLE, SW_READ,
 * SW_MEMORY. Warnings leave SW_OK.
 * Sources: kinds of facts a control may differ in: comparison of public texts about RS-274; the
 * standard's readings: NISTIR 6556.
 */
#ifndef SW_SHOP_MACHINE_H
#define SW_SHOP_MACHINE_H

#include "spec/table.h"

enum sw_machine_kind { SW_MACHINE_BENCH, SW_MACHINE_SLIDING };
enum sw_change_kind { SW_CHANGE_GANG, SW_CHANGE_TURRET, SW_CHANGE_BY_HAND };
enum sw_spindle_sense { SW_SENSE_CW /* M3 */, SW_SENSE_CCW /* M4 */ };
enum sw_x_reading { SW_X_RADIUS, SW_X_DIAMETER };
enum sw_tool_offset_kind {
    SW_OFFSET_BY_SYSTEM, /* each tool has a coordinate system G54.. of its own */
    SW_OFFSET_WITH_TOOL, /* the tool change brings the tool's X and Z offset */
    SW_OFFSET_NONE       /* one tool a program, zeroed before it */
};
enum sw_clamp_kind { SW_CLAMP_NONE, SW_CLAMP_G50, SW_CLAMP_G92 };
enum sw_dwell_kind {
    SW_DWELL_P_SECONDS,
    SW_DWELL_P_MILLISECONDS,
    SW_DWELL_X_SECONDS,
    SW_DWELL_U_SECONDS,
    SW_DWELL_F_SECONDS
};
enum sw_tool_call_kind {
    SW_CALL_T_M6,        /* T selects, M6 changes */
    SW_CALL_WITH_OFFSET, /* T0102 brings tool 1 with offset 2 at once, without M6 */
    SW_CALL_THEN_D       /* T selects, M6 changes, D2 brings offset 2 */
};
enum sw_unit_words { SW_UNITS_G20_G21, SW_UNITS_G70_G71 };
enum sw_feed_words { SW_FEED_G94_G95, SW_FEED_G98_G99 };

struct sw_axis_pair {
    struct sw_number x; /* radial, as radius */
    struct sw_number z;
};

/** How this control reads a text. Defaults are the standard's (NISTIR 6556). */
struct sw_control {
    struct sw_choice x;             /* enum sw_x_reading: X words are radius or diameter */
    struct sw_choice i;             /* enum sw_x_reading: I words of arcs */
    struct sw_choice units;         /* enum sw_unit_words */
    struct sw_choice feed_words;    /* enum sw_feed_words; G98/G99 always with feed_per_turn */
    struct sw_choice feed_per_turn; /* truth: feed per turn is known */
    struct sw_choice surface_speed; /* truth: G96/G97 are known */
    struct sw_choice speed_clamp;   /* enum sw_clamp_kind */
    struct sw_choice dwell;         /* enum sw_dwell_kind */
    struct sw_choice tool_offsets;  /* enum sw_tool_offset_kind */
    struct sw_choice arcs;          /* truth: G2/G3 are known */
    struct sw_choice spindle_words; /* truth: S, M3, M4, M5 act on the spindle */
    struct sw_choice tool_words;    /* truth: T and M6 act */
    struct sw_choice tool_call;     /* enum sw_tool_call_kind */
    struct sw_choice incremental_u_w; /* truth: U and W are incremental X and Z */
    struct sw_choice threading;     /* truth: G33 is known, K its lead along Z */
    struct sw_number second_takes;  /* number of the M word at which the second spindle comes up and
                                       takes the work, turning with it */
    struct sw_number second_leaves; /* and of that at which it goes away, with what is parted; both
                                       not given: no word acts on one */
    struct sw_choice comments;      /* truth: ( ) comments are known */
    struct sw_choice parameters;    /* truth: # parameters and [ ] expressions are known */
    struct sw_number line_length;   /* most characters a line */
    struct sw_number decimals;      /* most decimals of a coordinate */
    struct sw_number blend;         /* largest path deviation under G64 [mm]; 0: none */
    struct sw_list proved;          /* struct sw_text: keys of facts proved by an air-cut program */
};

struct sw_station {
    struct sw_number number;       /* T word */
    struct sw_axis_pair at;        /* where on the slide, seen from the first station of the list
                                      [mm]; all (0, 0) unless a gang plate carries them */
    struct sw_choice spindle;      /* enum sw_spindle_sense that makes a tool here cut */
};

struct sw_machine_spindle {
    struct sw_number least_speed;  /* rev/min */
    struct sw_number most_speed;
    struct sw_number bore;         /* diameter a bar can pass [mm] */
    struct sw_number length;       /* nose face to rear end of the bore [mm] */
    struct sw_number runout;       /* total, at the nose, without holder [mm] */
    struct sw_number torque;       /* N m */
    struct sw_number power;        /* W */
    struct sw_list speeds;         /* struct sw_number, rising: the only ones it can be set to, by
                                      belt or dial [rev/min]; none: any between the two */
    struct sw_number start_time;   /* standstill to most_speed [s] */
};

/** The guide bush of a sliding headstock: it stands still on the bed, the bar is fed out of it. A
 *  bench lathe has none: `land` is not given. */
struct sw_machine_bush {
    struct sw_number land;         /* length over which it fits the bar, from its front face [mm] */
    struct sw_number play;         /* clearance between bar and bush, on the diameter [mm] */
    struct sw_number give;         /* bush and tool post together, sideways [um/N] */
    struct sw_number nose_diameter; /* of its front face [mm] */
    struct sw_number nose_angle;   /* half-angle of the cone behind it, from the axis */
    struct sw_number nose_length;  /* of that cone [mm] */
    struct sw_number collet_gap;   /* nearest that the collet comes to the back of the bush [mm] */
    struct sw_choice comes_out;    /* truth: can be taken out, so that a holder takes a piece */
    struct sw_choice catcher;      /* truth: what is parted is caught */
};

/** A second spindle that faces the first: it comes up along the axis, takes the work by what is
 *  turned, and carries the piece away when it is parted. None: `grip` is not given. */
struct sw_machine_second {
    struct sw_number grip;          /* shortest length it holds by [mm] */
    struct sw_number least, most;   /* diameters it takes [mm] */
    struct sw_number depth;         /* how far the work may reach into it, the grip included [mm] */
    struct sw_number nose_diameter; /* of its front face [mm] */
    struct sw_number nose_angle;    /* half-angle of the cone behind it, from the axis */
    struct sw_number nose_length;   /* of that cone [mm] */
};

struct sw_machine {
    const char *file;
    struct sw_text name;
    struct sw_choice kind;         /* enum sw_machine_kind */
    struct sw_list travel_x;       /* two struct sw_number: least < most, machine frame, radius */
    struct sw_list travel_z;
    struct sw_axis_pair rapid;     /* mm/min */
    struct sw_axis_pair acceleration;
    struct sw_axis_pair step;      /* least increment; X as radius */
    struct sw_axis_pair backlash;
    struct sw_number repeatability; /* of a position, one direction of approach [mm] */
    struct sw_number compliance;   /* spindle, holder seat and tool post together [um/N] */
    struct sw_machine_spindle spindle;
    struct sw_machine_bush bush;
    struct sw_machine_second second_spindle;
    struct sw_number remnant;      /* what its holder and bush keep at the end of a bar [mm]; not
                                      given: whoever plans bars says it */
    struct sw_choice change;       /* enum sw_change_kind */
    struct sw_number change_repeat; /* how well a tool comes back [mm] */
    struct sw_number change_time;  /* s */
    struct sw_list stations;       /* struct sw_station; numbers differ */
    struct sw_control control;
};

extern const struct sw_table sw_machine_table, sw_control_table;

/** Read a machine/1 file. SW_INPUT with diagnostics when it does not hold together. */
enum sw_status sw_machine_load(struct sw_machine **out, const char *path,
                               struct sw_ctx *ctx) SW_MUST_CHECK;

/** Give the station with a number, or NULL. */
const struct sw_station *sw_machine_station(const struct sw_machine *machine, int number);

#endif
