/* post: a dialect as data, and a path written in it.
 *
 * A dialect is one YAML file (format post/1) in postprocessors/ or beside the job: words, number
 * formats, arcs, modes, templates of head, tail, tool change, pauses, comments, line numbers;
 * `extends:` another and change a few lines. Placeholders and verbs are a closed set; there are no
 * expressions and no loops beyond one event kind. A path that needs more than the dialect or the
 * control can do is refused, never approximated in silence.
 * Rounding to the control's grid happens in one function here (post/grid.c); every arc is
 * re-checked after rounding: its radii at start and end may differ by 0.2 um at most.
 */
#ifndef SW_POST_POST_H
#define SW_POST_POST_H

#include <stdint.h>

#include "path/path.h"
#include "shop/shop.h"

struct sw_post; /* opaque: lives in the context that loaded it */

extern const struct sw_table sw_post_table;

/** Read a dialect by name or file: beside NEAR_FILE, then in the roots' postprocessors folder (the
 *  roots here are those of profiles; the folder stands beside each of them and inside). */
enum sw_status sw_post_load(const struct sw_post **out, const char *name, const char *near_file,
                            const struct sw_search *search, struct sw_span at,
                            struct sw_ctx *ctx) SW_MUST_CHECK;

/** Refuse (SW_INPUT with diagnostics) a dialect that asks for what a control cannot do: words it
 *  does not know, radius against diameter, decimals beyond its format... It may refuse by the
 *  control's facts, never take a value from them. */
enum sw_status sw_post_check(const struct sw_post *post, const struct sw_machine *machine,
                             struct sw_ctx *ctx) SW_MUST_CHECK;

const char *sw_post_name(const struct sw_post *post);
/** The file it was read from. */
const char *sw_post_file(const struct sw_post *post);
/** One line about it, for `list posts`. */
const char *sw_post_says(const struct sw_post *post);
const char *sw_post_suffix(const struct sw_post *post); /* of program files: ".nc" */
bool sw_post_has_surface_speed(const struct sw_post *post);
/** Characters of a comment that go on one line; 0: the dialect has no comments. */
size_t sw_post_comment_room(const struct sw_post *post);
/** Numbered corrections in the head. Without them a path must hold no CORRECT events (they are
 *  refused): the operator corrects by the tool's offset. A correction is a number on radius. */
bool sw_post_has_corrections(const struct sw_post *post);
/** What a dialect can write and how finely, for whoever reads its texts back. */
struct sw_post_abilities {
    bool has_arcs;      /* as arcs, or as chords when chord_error is above 0 */
    double chord_error; /* 0: arcs are arcs [mm] */
    bool has_pauses;
    bool has_second; /* words that move a second spindle */
    bool is_feed_per_turn;
    double feed_step;    /* mm/min or mm per turn */
    double speed_step;   /* rev/min or m/min */
    double seconds_step; /* s */
};
struct sw_post_abilities sw_post_abilities(const struct sw_post *post);
/** The coarsest step of the coordinates it writes, on radius and along Z [mm]. */
double sw_post_step(const struct sw_post *post);
/** The operator switches the spindle: while the program waits in the last line of what a SPINDLE
 *  or a PAUSE event writes. */
bool sw_post_is_spindle_by_hand(const struct sw_post *post);
bool sw_post_is_file_per_tool(const struct sw_post *post);
/** The coordinate system [1..9] the dialect uses for a station; 0: offsets come with the tool, or
 *  each tool has a file of its own. SW_CANNOT when it has too few. */
enum sw_status sw_post_system_of(int *system, const struct sw_post *post, int station,
                                 struct sw_ctx *ctx) SW_MUST_CHECK;
/** How the dialect names correction I (1..) to the operator: "#101"; NULL: it has none. */
const char *sw_post_correction_name(const struct sw_post *post, int i, struct sw_ctx *ctx);

struct sw_post_program {
    const char *file; /* "side-1.nc", or "side-1-t2.nc" for one file a tool */
    const char *text;
    size_t size;
    /* The line each SECTION event begins at, 1 is the first: a place to start again from, since
     * the block there states all modes anew. In order; the n-th section of a path over all files
     * together. */
    const size_t *section_line;
    size_t n_sections;
    /* The line each event that begins a pass begins at, likewise. */
    const size_t *pass_line;
    size_t n_passes;
    /* The line what each event writes begins at, whether it writes anything or not: of N_EVENTS
     * from FIRST_EVENT of the path. What follows the last begins at TAIL_LINE. */
    const size_t *event_line;
    size_t first_event, n_events;
    size_t tail_line;
};
struct sw_post_programs {
    struct sw_post_program *at;
    size_t n;
    size_t cap;
};

/** Write a path; appends to OUT, in the order the programs run, all or nothing. Of the machine only
 *  the spindle's start_time and most_speed are used, for waits; bytes depend on POST, PATH and
 *  these alone. SW_CANNOT with a diagnostic when it needs what the dialect lacks; SW_INTERNAL for
 *  numbers that are not finite and for a path that breaks the rules of path.h. */
enum sw_status sw_post_write(struct sw_post_programs *out, const struct sw_post *post,
                             const struct sw_path *path, const struct sw_machine *machine,
                             struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
