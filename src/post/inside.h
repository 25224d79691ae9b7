/* inside: what the files of post share; nobody else includes it (its tests do).
 *
 * Program numbers are counts of the dialect's grid (grid.h); lengths in mm, radius inside.
 */
#ifndef SW_POST_INSIDE_H
#define SW_POST_INSIDE_H

#include "base/buf.h"
#include "post/post.h"

enum sw_post_x { SW_POST_X_RADIUS, SW_POST_X_DIAMETER };
enum sw_post_arcs { SW_POST_ARCS_CENTRE, SW_POST_ARCS_RADIUS, SW_POST_ARCS_NONE };
enum sw_post_feed { SW_POST_FEED_PER_MINUTE, SW_POST_FEED_PER_TURN };
enum sw_post_tools {
    SW_POST_TOOLS_SYSTEM_PER_TOOL,
    SW_POST_TOOLS_WITH_TOOL,
    SW_POST_TOOLS_FILE_PER_TOOL
};

enum sw_post_spindle { SW_POST_SPINDLE_WORDS, SW_POST_SPINDLE_BY_HAND };

struct sw_post_decimals {
    struct sw_number x, z, centre, feed, speed, seconds;
};

struct sw_post_numbers {
    struct sw_number from, step;
};

struct sw_post_comments {
    struct sw_text open, close, message;
};

struct sw_post_words {
    struct sw_text rapid, line, arc_cw, arc_ccw; /* motion */
    struct sw_text x, z, i, k, r, feed;          /* letters before numbers */
};

struct sw_post_corrections {
    struct sw_text called; /* empty: the dialect has none */
    struct sw_text x;      /* an X number while a correction is on */
    struct sw_number from;
    struct sw_number most;
    struct sw_list head, on, off; /* struct sw_text: template lines */
};

struct sw_post_lines { /* struct sw_text: template lines */
    struct sw_list head, tool_change, section, spindle_cw, spindle_ccw, surface_cw, surface_ccw,
        stop, dwell, pause, second_takes, second_leaves, tail;
};

struct sw_post {
    const char *file;
    const char *name;
    struct sw_text says, extends, suffix, units;
    struct sw_choice x, i; /* enum sw_post_x */
    struct sw_choice arcs, feed, tools, spindle;
    struct sw_choice surface_speed, repeat_words; /* truth */
    struct sw_number sweep;                       /* rad */
    struct sw_number chord_error;                 /* mm; 0: arcs are refused where there are none */
    struct sw_number line_length;
    struct sw_post_decimals decimals;
    struct sw_post_numbers line_numbers;
    struct sw_post_comments comments;
    struct sw_post_words words;
    struct sw_list systems, needs; /* struct sw_text */
    struct sw_post_corrections corrections;
    struct sw_post_lines lines;
};

/** Of the standard's words for coordinate systems, G54 to G59.3; the index is the system's number
 *  less one. NULL-ended. */
extern const char *const sw_post_systems[];

/** Words a dialect may state under `needs`, NULL-ended. */
extern const char *const sw_post_needs[];

bool sw_post_states_need(const struct sw_post *post, const char *need);

/** The i-th text of a list of texts. */
const struct sw_text *sw_post_item(const struct sw_list *list, size_t i);

/* Where template lines stand; bits, because a placeholder may be known at several places. */
enum sw_post_place {
    SW_POST_AT_HEAD = 1,
    SW_POST_AT_TOOL = 2,
    SW_POST_AT_SECTION = 4,
    SW_POST_AT_SPINDLE = 8,
    SW_POST_AT_SURFACE = 16,
    SW_POST_AT_STOP = 32,
    SW_POST_AT_DWELL = 64,
    SW_POST_AT_PAUSE = 128,
    SW_POST_AT_TAIL = 256,
    SW_POST_AT_CORRECTION = 512,
    SW_POST_AT_SECOND = 1024,
    SW_POST_AT_NUMBER = 2048, /* corrections.x and corrections.called: part of a line */
    SW_POST_AT_LINES = 2047   /* all but the last */
};

/* What a template line is made into. */
enum sw_post_verb { SW_POST_BLOCK, SW_POST_COMMENT, SW_POST_MESSAGE, SW_POST_NOTES, SW_POST_LIST };

struct sw_post_placeholder {
    const char *name;
    unsigned places;
    bool is_text; /* written by people: allowed in comments and messages only */
    bool is_verb; /* begins a line and says what becomes of it */
    const char *sentence;
};

/** All placeholders; a NULL name ends them. */
extern const struct sw_post_placeholder sw_post_placeholders[];

/** What the placeholders stand for at one moment. */
struct sw_post_values {
    const char *name, *text, *correction_name, *units, *system, *x;
    int tool, system_index, correction, correction_index;
    double speed, surface, clamp, wait_s, seconds;
};

/** Report every fault of every template. False: there was one. */
bool sw_post_check_templates(const struct sw_post *post, struct sw_ctx *ctx);

/** Give the verb a checked template line begins with, and what follows it. */
enum sw_post_verb sw_post_verb_of(const char **rest, const char *line);

/** Append a checked template (behind its verb) with its placeholders filled in. */
void sw_post_fill(struct sw_buf *out, const char *text, const struct sw_post *post,
                  const struct sw_post_values *values);

/* Files of a path (files.c). */

/** The station of the first tool that comes into use from event FROM on; 0: none does. */
int sw_post_first_station(const struct sw_path *path, size_t from);

/** Where the next file begins when each tool has its own: before the comments and the section that
 *  announce the tool. */
size_t sw_post_end_of_file(const struct sw_path *path, size_t first);

/** Whether a program from index BEFORE on has that file name. */
bool sw_post_is_taken(const struct sw_post_programs *out, size_t before, const char *name);

/* Lines of a program (lines.c). */

struct sw_post_text {
    const struct sw_post *post;
    struct sw_buf buf;
    double number; /* next line number */
};

/** Append one block, numbered where the dialect numbers. SW_CANNOT when it is too long. */
enum sw_status sw_post_put_block(struct sw_post_text *to, const char *block, struct sw_span at,
                                 struct sw_ctx *ctx) SW_MUST_CHECK;

/** Append a comment or an operator's message in as many lines as it takes; nothing when the text
 *  is empty or the dialect has no comments. Characters a control may not know are replaced. */
enum sw_status sw_post_put_comment(struct sw_post_text *to, const char *text, bool is_message,
                                   struct sw_ctx *ctx) SW_MUST_CHECK;

/** Append TEXT in printable ASCII without the signs that open or close comments. */
void sw_post_plain_text(struct sw_buf *out, const char *text);

#endif
