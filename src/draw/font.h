/* font: a single-line alphabet made for this program, in the proportions of drawing lettering.
 *
 * Every sign is a few strokes of a pen on a grid: capitals and figures 10 high, small letters 7,
 * descenders to -3. Figures are equally wide. Printable ASCII, Latin letters with accents (built
 * from letter and mark), degree, plus-minus, times, micro, minus, dashes and the diameter sign.
 * What it does not know is drawn as an empty box. Bytes that are no UTF-8 count one box each.
 * Source: proportions of lettering ISO 3098 (height 10, small letters 7, pen 1, gap 2); the shapes
 * are our own.
 */
#ifndef SW_DRAW_FONT_H
#define SW_DRAW_FONT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum {
    SW_FONT_HEIGHT = 10,
    SW_FONT_ACCENT = 3,  /* an accent reaches this much above the capitals */
    SW_FONT_DESCENT = 3, /* and a tail this much below the base line */
    SW_FONT_PEN = 1,
    SW_FONT_GAP = 2 /* between two signs */
};

struct sw_font_sign {
    int width;           /* grid units, without the gap behind it */
    const char *strokes; /* see font.c */
    const char *mark;    /* strokes of an accent, or "" */
    int mark_x, mark_y;  /* where its origin goes */
};

/** The sign at the head of TEXT; *TEXT moves behind it. TEXT must not be at its end. */
struct sw_font_sign sw_font_next(const char **text);

/** The sign of one code point; 0 and what is unknown: the box. */
struct sw_font_sign sw_font_sign_of(uint32_t code);

/** The code point at the head of TEXT, 0 when its bytes are no UTF-8; *TEXT moves behind it. */
uint32_t sw_font_code(const char **text);

/** One step along the strokes of a sign. */
struct sw_font_step {
    bool is_move;  /* pen up */
    bool is_curve; /* with the control point (cx, cy) */
    int x, y, cx, cy;
};

/** The next step; false at the end. Start with *STROKES = sign.strokes and *IS_FRESH = true. */
bool sw_font_step(struct sw_font_step *step, const char **strokes, bool *is_fresh);

/** Width of a line of text, in grid units. */
int sw_font_width(const char *text);

#endif
