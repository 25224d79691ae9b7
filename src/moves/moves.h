/* moves: a planned chucking to a neutral path: approaches, retreats, pauses, tool changes.
 *
 * X is always cleared first, then Z moves, then X comes down; critical diameters are approached
 * from outside only. Every pause is safe: retreat in X, then in Z to the hand distance, spindle
 * stop, message, stop; afterwards spindle start and a fresh approach from the same side. The nose
 * centre of the plan becomes the tool's declared point here.
 */
#ifndef SW_MOVES_MOVES_H
#define SW_MOVES_MOVES_H

#include "path/path.h"
#include "plan/plan.h"

/* What the setup record of a finish calls the staff file of its blank: it stands beside it. */
#define SW_MOVES_BLANK_FILE "blank.yaml"
#include "setup/setup.h"

/* Where tools are changed and where they wait at a pause: nose centre this far from axis and end
 * face [mm]. */
#define SW_MOVES_HAND_R SW_PLAN_HAND_R
#define SW_MOVES_HAND_Z SW_PLAN_HAND_Z

/** Make the path of chucking I (0 or 1). */
enum sw_status sw_moves_build(struct sw_path **out, const struct sw_plan *plan, size_t i,
                              struct sw_ctx *ctx) SW_MUST_CHECK;

/** Make the setup record of the plan; PROGRAMS[i] are the files of chucking i. SW_CANNOT with a
 *  diagnostic where the machine's travel is too short for them. */
enum sw_status sw_moves_setup(struct sw_setup **out, const struct sw_plan *plan,
                              const struct sw_post_programs *programs, const struct sw_post *post,
                              struct sw_ctx *ctx) SW_MUST_CHECK;

/** A piece of a run, planned as it would be alone; it is parted through. */
struct sw_moves_piece {
    const struct sw_plan *plan;
    const char *name; /* of its variant, for people */
};

/** Pieces of one bar, in the order they are cut; the file of a program. */
struct sw_moves_run {
    const struct sw_moves_piece *piece;
    size_t n;
    size_t first_number, n_all; /* of the bar: the number of the first piece here, from 1 */
    int stop;                   /* station of the stop */
    double nose_z;              /* sw_moves_run_nose of all pieces of the bar */
    double bar;                 /* its length [mm] */
    const char *called;         /* the batch and the bar, for people */
    const char *stem;           /* of the program's file */
};

/** Where the nose of the holder stands in the frame of a run: where the piece that stands out
 *  furthest has it, so that this piece's z is the run's [mm]. */
double sw_moves_run_nose(const struct sw_moves_piece *piece, size_t n);

/** Make the path of a run. SW_CANNOT with a diagnostic when the pieces do not go into one program. */
enum sw_status sw_moves_run(struct sw_path **out, const struct sw_moves_run *run,
                            struct sw_ctx *ctx) SW_MUST_CHECK;

/** The setup record of a run: its side, and where each piece stands in it. SETUP [n]: the records of
 *  the pieces as seen from this one. PATH: of its last program. */
enum sw_status sw_moves_run_setup(struct sw_setup **out, const struct sw_moves_run *run,
                                  const char *const *setup, const struct sw_path *path,
                                  const struct sw_post_programs *programs,
                                  const struct sw_post *post, struct sw_ctx *ctx) SW_MUST_CHECK;

/** Machine position of a tool at station offset 0 that stands at the chucking's zero. Zeroing finds
 *  the real one; this one leaves every station the travel it needs on the far side. */
struct sw_pt sw_moves_first_zero(const struct sw_shop *shop);

#endif
