/* sheet_int: what the files of the sheet share; nobody else includes it. Lengths in mm; places Z of
 * a side in its chucking frame, as its programs have them. */
#ifndef SW_REPORT_SHEET_INT_H
#define SW_REPORT_SHEET_INT_H

#include "fit/staking.h"
#include "report/doc.h"
#include "report/sheet.h"

/* sheet.c */

/** Everything there is to say, for both readers. */
void sw_sheet_say_all(struct sw_doc *out, const struct sw_sheet *sheet, struct sw_ctx *ctx);

void sw_sheet_cautions(struct sw_doc *out, const struct sw_sheet *sheet);

/* sheet_blank.c */

/** Whether what is cut is a blank to be hardened, or one that was. */
bool sw_sheet_is_blank(const struct sw_sheet *sheet);
bool sw_sheet_is_hardened(const struct sw_sheet *sheet);

/** What stands before the first side: "rod", "blank". */
const char *sw_sheet_work_word(const struct sw_sheet *sheet);

void sw_sheet_heat_cautions(struct sw_doc *out);

/** What is done with a blank after turning, and what it has to be before it is finished. */
void sw_sheet_hardening(struct sw_doc *out, const struct sw_sheet *sheet);
void sw_sheet_comes_back(struct sw_doc *out, const struct sw_sheet *sheet);

/* sheet_pages.c */

/** DOC on pages, called WHAT, with the figures of the sheet. */
enum sw_status sw_sheet_set_pages(struct sw_drawing **out, const struct sw_doc *doc,
                                  const char *what, const struct sw_sheet *sheet,
                                  struct sw_ctx *ctx) SW_MUST_CHECK;

/* sheet_side.c */

/** Everything about chucking I: holding, tools and zeroing, order of work, pauses, afterwards. */
void sw_sheet_side(struct sw_doc *out, const struct sw_sheet *sheet, size_t i, struct sw_ctx *ctx);

/** What holds of all sides alike is told on the pages of the first one that they show. */
bool sw_sheet_is_first(const struct sw_sheet *sheet, size_t side);

const struct sw_setup_side *sw_sheet_setup_side(const struct sw_sheet *sheet, size_t i);

/** The station NUMBER of a side, or NULL. */
const struct sw_setup_station *sw_sheet_station(const struct sw_setup_side *side, int number);

/** A number typed in or shown on the control: X as it reads X. */
double sw_sheet_shown_x(const struct sw_sheet *sheet, double radius);

/** One program file of a side: the operations FIRST to END - 1 are cut or wait in it. */
struct sw_sheet_file {
    const struct sw_post_program *program;
    size_t first, end;
};

struct sw_sheet_file sw_sheet_file(const struct sw_sheet *sheet, size_t side, size_t index);

/** The line of its program at which operation OP, one that cuts, begins; 0: unknown. */
size_t sw_sheet_line(const struct sw_sheet *sheet, size_t side, size_t op);

/* sheet_zero.c */

/** How to zero the tools of file INDEX of chucking SIDE, with blanks to fill in. ORDER: on the
 * pages a row of this table; NULL: they have it in a place of its own. */
void sw_sheet_zeroing(struct sw_doc *out, const struct sw_sheet *sheet, size_t side, size_t index,
                      struct sw_doc_table *order);

/** Where the offset of a station lives: "coordinate system G54", "the offset of T3"... */
void sw_sheet_offset_place(struct sw_buf *out, const struct sw_sheet *sheet,
                           const struct sw_setup_station *station);

/** How a tool finds its zero in one axis: what is touched, where the number goes, what is typed. */
struct sw_sheet_zero {
    struct sw_buf way, place, typed;
};
void sw_sheet_zero_x(struct sw_sheet_zero *zero, const struct sw_sheet *sheet, size_t side,
                     size_t n_ops, const struct sw_setup_station *station);
void sw_sheet_zero_z(struct sw_sheet_zero *zero, const struct sw_sheet *sheet, size_t side,
                     size_t n_ops, const struct sw_setup_station *station);
void sw_sheet_zero_done(struct sw_doc *out, struct sw_sheet_zero *zero);

/** Where the first move of a program goes in rapid, the place for hands: "X 14.9 Z 29.9", in the
 *  numbers of the station given back; 0, and nothing said: it cuts nothing. */
int sw_sheet_start_place(struct sw_buf *out, const struct sw_sheet *sheet, size_t side,
                         const struct sw_sheet_file *file);

/** "pointed tool, right hand, nose radius 0.100" */
void sw_sheet_tool_words(struct sw_buf *what, const struct sw_tool *tool);

bool sw_sheet_cuts_in(const struct sw_plan_chucking *chucking, size_t first, size_t end,
                      int station);

/** Whether a tool cuts on a later SIDE and not on the first, so that its X is found there early. */
bool sw_sheet_is_early(const struct sw_sheet *sheet, size_t side, int station);

/** Whether X is found anew on a side, or kept from the first. */
bool sw_sheet_finds_x(const struct sw_sheet *sheet, size_t side);

/* sheet_zero_table.c */

/** The same for the pages, as a table; false, and nothing said, when FILE has one tool only. */
bool sw_sheet_zero_table(struct sw_doc *out, const struct sw_sheet *sheet, size_t side,
                         const struct sw_sheet_file *file);

/** The same where each program of a side has its own tool: what they have in common, and a row for
 *  each in the table of the order of work. */
void sw_sheet_zero_rows(struct sw_doc *out, const struct sw_sheet *sheet, size_t side);
void sw_sheet_zero_row(struct sw_doc *out, struct sw_doc_table *order, const struct sw_sheet *sheet,
                       size_t side, size_t index);

/* sheet_pause.c */

/** A pause to measure or to try: operation I of chucking SIDE. */
void sw_sheet_measure(struct sw_doc *out, const struct sw_sheet *sheet, size_t side, size_t i,
                      const char *lead, struct sw_ctx *ctx);
void sw_sheet_try(struct sw_doc *out, const struct sw_sheet *sheet, size_t side, size_t i,
                  const char *lead, struct sw_ctx *ctx);

/** What is true of all pauses of a side. */
void sw_sheet_pauses(struct sw_doc *out, const struct sw_sheet *sheet, size_t side);

/** What bending may do to a section of a chucking, or (SIZE_MAX) to its sizing length; NULL: no
 *  more than its share. */
const struct sw_plan_bend *sw_sheet_bend(const struct sw_plan_chucking *chucking, size_t section);

/* sheet_sizes.c */

/** Tables of diameters and lengths, off the machine beside finished. */
void sw_sheet_sizes(struct sw_doc *out, const struct sw_sheet *sheet);

/** What can be gauged: of cones and slopes only where they end. */
bool sw_sheet_is_gauged(const struct sw_section *section);

/* moves.c */

/** How far each diameter may come out from that, and by what. */
void sw_sheet_moves(struct sw_doc *out, const struct sw_sheet *sheet);

/** The diameter as the drawing has it, to which the tolerance belongs: the shape aims at the middle
 *  of the limits. */
double sw_sheet_drawn_diameter(const struct sw_shape *shape, size_t section);

/** How much longer a tip stands off the machine than finished: 0 upper, 1 lower. */
double sw_sheet_tip_stands(const struct sw_sheet *sheet, int tip);

/* sheet_hand.c */

/** Stone and burnish: what, when, and how it is held. */
void sw_sheet_hand_work(struct sw_doc *out, const struct sw_sheet *sheet);

/* sheet_by_hand.c */

/** Whether a person switches the spindle. */
bool sw_sheet_is_by_hand(const struct sw_sheet *sheet);

/** What is to be done each time; nothing where the program switches the spindle. */
void sw_sheet_by_hand_rules(struct sw_doc *out, const struct sw_sheet *sheet, size_t side);

/** How the spindle is set for program INDEX of a side, and in which lines it is switched; false, and
 *  nothing added, where the program does it. */
bool sw_sheet_by_hand(struct sw_buf *out, const struct sw_sheet *sheet, size_t side, size_t index);

/* sheet_steps.c */

/** The diameter that a gauge finds off the machine, for stone and burnisher. */
double sw_sheet_turned(const struct sw_sheet *sheet, size_t section);

/** The bed in which a pivot is burnished to size. */
struct sw_sheet_bed {
    double size;
    bool is_owned;               /* false: the shop has none that fits */
    struct sw_bed_window window; /* sizes that would do */
    double before;               /* to begin in when it rocks there as turned; 0: none */
};
struct sw_sheet_bed sw_sheet_bed(const struct sw_sheet *sheet, size_t section);

/** Jewel holes in which a pivot is tried as turned, and finished. */
struct sw_sheet_holes {
    double turned_goes, turned_stops;
    double goes, stops;
    double wanted;  /* the smallest hole, by half hundredths, that takes it at its upper limit */
    bool is_coarse; /* `goes` lets one pass that is too thick */
};
struct sw_sheet_holes sw_sheet_holes(const struct sw_sheet *sheet, size_t section);

/** What stone or burnisher take off a diameter at most. */
extern const double sw_sheet_most_by_hand;

/** All about one section's hand work. */
void sw_sheet_step(struct sw_doc *out, const struct sw_sheet *sheet, size_t section);
void sw_sheet_hand_rules(struct sw_doc *out);

/* sheet_bench.c */

/** What stake and punches must be, and the holes the shop has for it (0: none). */
struct sw_sheet_staking {
    struct sw_staking is;
    double stake, rounded, flat, roller;
};
struct sw_sheet_staking sw_sheet_staking(const struct sw_sheet *sheet);

/** "0.562 to 0.984", or "just over 0.562" where there is hardly room. */
void sw_sheet_hole_words(struct sw_buf *out, const struct sw_hole *hole);

/** Rod, holders, tools, beds and gauges chosen from the shop, and what it lacks. */
void sw_sheet_bench(struct sw_doc *out, const struct sw_sheet *sheet);

/* sheet_after.c */

/** From the finished staff to a running balance. */
void sw_sheet_after(struct sw_doc *out, const struct sw_sheet *sheet);

/* sheet_stands.c: what stands after the first N_OPS operations of a chucking */

/** Radius that stands at Z; 0: nothing. */
double sw_sheet_stands(const struct sw_sheet *sheet, size_t side, size_t n_ops, double z);

/** Where the rod or what is left of it ends. */
double sw_sheet_end_z(const struct sw_sheet *sheet, size_t side, size_t n_ops);

/** A stretch to find X on. */
struct sw_sheet_place {
    double z_out, z_in;
    double radius;    /* about */
    bool may_skim;    /* it is cut away later */
    const char *name; /* of a section that is finished; NULL: none */
};

struct sw_sheet_place sw_sheet_x_place(const struct sw_sheet *sheet, size_t side, size_t n_ops,
                                       const struct sw_tool *tool);

/** A face cut square, looking away from the headstock. */
struct sw_sheet_face {
    double z;
    double low, high; /* radii between which it shows */
    bool is_end;
    size_t section;
    int station; /* that cut it */
};

/** Of the faces that show enough the one nearest to the next cut; false when there is none worth
 * touching. */
bool sw_sheet_z_face(struct sw_sheet_face *face, const struct sw_sheet *sheet, size_t side,
                     size_t n_ops);

/** The section whose outer end a face is, NULL when it is none's. */
const char *sw_sheet_face_of(const struct sw_sheet *sheet, size_t side, double z);

/** The diameter a gauge finds off the machine: by the path, and what the usual force bends it. */
struct sw_bounds sw_sheet_off_machine(const struct sw_section_verdict *size);

#endif
