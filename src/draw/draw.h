/* draw: a display list: pages of lines, arcs, filled areas, hatch and text, before any file form.
 *
 * Knows nothing of what it draws. Frame: page, mm, x to the right, y down, origin at the upper
 * left corner. An arc's turn is +1 when its angle grows from +x towards +y, that is clockwise as
 * seen on the paper.
 * Text is drawn in a single-line alphabet of our own (font.h), so that pages look the same, and
 * have the same bytes, whatever is installed.
 * Failure sticks: after a failed allocation all later calls do nothing and `failed` stays set;
 * ask once (sw_drawing_status), before writing.
 * Ownership: a drawing and all in it live in the context's arena; texts are copied.
 * Sources: line widths and dash lengths by ISO 128-2 (dash 12, gap 3, long dash 24, dot 0.5 times
 * the width).
 */
#ifndef SW_DRAW_DRAW_H
#define SW_DRAW_DRAW_H

#include <stdbool.h>
#include <stdint.h>

#include "base/ctx.h"

struct sw_draw_pt {
    double x, y; /* mm */
};

struct sw_draw_box {
    double x0, y0, x1, y1; /* x0 <= x1, y0 <= y1 */
};

enum sw_dash {
    SW_DASH_CONTINUOUS,
    SW_DASH_DASHED,
    SW_DASH_CHAIN,       /* long dash, dot */
    SW_DASH_CLOSE_CHAIN, /* the same for short lines */
    SW_DASH_DOTTED,
    SW_DASH_DOUBLE_CHAIN, /* long dash, dot, dot */
    SW_DASH_SHORT,        /* short dashes, wide gaps */
    SW_N_DASHES
};

struct sw_pen {
    double width; /* mm; 0: no line at all */
    enum sw_dash dash;
    uint32_t colour; /* 0xRRGGBB */
};

struct sw_paint {
    bool on;
    uint32_t colour;
};

enum sw_draw_step_kind {
    SW_STEP_MOVE,
    SW_STEP_LINE,
    SW_STEP_ARC,   /* circular, about `via` */
    SW_STEP_CURVE, /* parabola with the control point `via` */
    SW_STEP_CLOSE
};

struct sw_draw_step {
    enum sw_draw_step_kind kind;
    struct sw_draw_pt to;
    struct sw_draw_pt via;
    int turn; /* arc */
};

struct sw_draw_path {
    struct sw_draw_step *at;
    size_t n;
    size_t cap;
};

/* A bold pen against the usual one. */
#define SW_DRAW_BOLD 1.5

enum sw_align { SW_ALIGN_START, SW_ALIGN_MIDDLE, SW_ALIGN_END };

struct sw_text_style {
    double height;        /* of capitals and figures [mm] */
    enum sw_align along;  /* which part of the line stands at the place given */
    enum sw_align across; /* START: the base line, MIDDLE: half the height, END: the top */
    bool is_upright;      /* read from the right-hand side of the page */
    bool is_bold;
    uint32_t colour;
};

enum sw_draw_item_kind { SW_ITEM_PATH, SW_ITEM_TEXT };

struct sw_draw_item {
    enum sw_draw_item_kind kind;
    struct sw_draw_path path; /* a text's strokes too */
    struct sw_pen pen;
    struct sw_paint fill;
    const char *text;        /* text only */
    struct sw_draw_box box;  /* text only: what it covers, descenders and accents too */
    struct sw_draw_pt start; /* text only: its beginning on the base line */
    double height;           /* text only */
    bool is_upright, is_bold;
    bool is_clipped;
    struct sw_draw_box clip; /* nothing outside it is shown */
};

struct sw_draw_page {
    struct sw_draw_item *at; /* first, so that SW_VEC_PUSH takes a page */
    size_t n;
    size_t cap;
    const char *name;
    double width, height; /* mm */
};

struct sw_drawing {
    struct sw_draw_page **at; /* pages */
    size_t n;
    size_t cap;
    const char *title;
    struct sw_arena *arena;
    bool is_clipping; /* by sw_draw_clip */
    struct sw_draw_box clip;
    bool failed;
    bool has_no_place; /* a step went to a place that is no number */
};

/** Begin a drawing without pages. */
enum sw_status sw_drawing_new(struct sw_drawing **out, const char *title,
                              struct sw_ctx *ctx) SW_MUST_CHECK;

/** SW_MEMORY when anything failed on the way; SW_INTERNAL when something was put at a place that is
 *  no number. */
enum sw_status sw_drawing_status(const struct sw_drawing *drawing) SW_MUST_CHECK;

/** Add a page; what is drawn from now on goes there. */
void sw_draw_page(struct sw_drawing *drawing, const char *name, double width, double height);

/** From now on show only what lies in BOX; NULL: all of the page again. */
void sw_draw_clip(struct sw_drawing *drawing, const struct sw_draw_box *box);

/** Build a path; an empty struct is an empty path. A line or arc starts where the last step ended.
 *  sw_draw_arc_to runs from there to TO about CENTRE; TO equal to the start is a full circle. */
void sw_draw_move(struct sw_drawing *drawing, struct sw_draw_path *path, struct sw_draw_pt to);
void sw_draw_line_to(struct sw_drawing *drawing, struct sw_draw_path *path, struct sw_draw_pt to);
void sw_draw_arc_to(struct sw_drawing *drawing, struct sw_draw_path *path, struct sw_draw_pt to,
                    struct sw_draw_pt centre, int turn);
void sw_draw_curve_to(struct sw_drawing *drawing, struct sw_draw_path *path, struct sw_draw_pt to,
                      struct sw_draw_pt control);
void sw_draw_close(struct sw_drawing *drawing, struct sw_draw_path *path);

/** Put a path on the page: filled (even-odd) first when FILL is on, then drawn with PEN. The path
 *  must not be changed afterwards. */
void sw_draw_path(struct sw_drawing *drawing, const struct sw_draw_path *path, struct sw_pen pen,
                  struct sw_paint fill);
void sw_draw_line(struct sw_drawing *drawing, struct sw_draw_pt from, struct sw_draw_pt to,
                  struct sw_pen pen);
void sw_draw_box(struct sw_drawing *drawing, struct sw_draw_box box, struct sw_pen pen,
                 struct sw_paint fill);

/** Fill the inside of closed rings (even-odd) with parallel lines SPACING [mm] apart, at ANGLE
 *  [rad] as seen on the paper, 0 along x, growing counter-clockwise. Arcs count as chords. */
void sw_draw_hatch(struct sw_drawing *drawing, const struct sw_draw_path *rings, double angle,
                   double spacing, struct sw_pen pen);

/** Put one line of UTF-8 text on the page. */
void sw_draw_text(struct sw_drawing *drawing, struct sw_draw_pt at,
                  const struct sw_text_style *style, const char *text);

/** What sw_draw_text would cover. */
struct sw_draw_box sw_draw_text_box(struct sw_draw_pt at, const struct sw_text_style *style,
                                    const char *text);

/** True when the insides overlap by more than SLACK [mm] both ways. */
bool sw_draw_boxes_meet(const struct sw_draw_box *a, const struct sw_draw_box *b, double slack);

/** Dash lengths of a line style, on and off by turns, in widths of the line; *N is 0 for a
 *  continuous line. */
const double *sw_dash_lengths(size_t *n, enum sw_dash dash);

#endif
