/* picture_int: what the pages of a drawing share; nobody else includes it. */
#ifndef SW_REPORT_PICTURE_INT_H
#define SW_REPORT_PICTURE_INT_H

#include "report/picture.h"

/* Widths of lines [mm]: line group 0.5 of ISO 128-2. */
#define SW_PIC_THICK 0.5
#define SW_PIC_THIN 0.25
#define SW_PIC_FINE 0.18 /* hatching and tool paths */

/* Heights of lettering [mm] (ISO 3098: 1.8, 2.5, 3.5, 5). */
#define SW_PIC_SMALL 1.8
#define SW_PIC_TEXT 2.5
#define SW_PIC_HEAD 3.5

/* The page: A4 lying, with the wider margin on the left for filing. Below the field for the
 * picture a strip says what it is. */
#define SW_PIC_WIDTH 297.0
#define SW_PIC_HEIGHT 210.0
#define SW_PIC_LEFT 20.0
#define SW_PIC_RIGHT 287.0
#define SW_PIC_TOP 10.0
#define SW_PIC_STRIP 176.0 /* its upper edge */
#define SW_PIC_BOTTOM 200.0

#define SW_PIC_BLACK 0x000000u
#define SW_PIC_WHITE 0xffffffu
#define SW_PIC_METAL 0xcfcfcfu /* what is left standing */
#define SW_PIC_TAKEN 0xf7f2dfu /* what a pass takes */

struct sw_pic_stock;
struct sw_pic {
    const struct sw_picture *from;
    struct sw_drawing *to;
    struct sw_ctx *ctx;
    const struct sw_pic_stock *state[2]; /* of each chucking, once they were asked for */
    size_t n_pages;                      /* 0: as many as a staff's drawings have */
};

/** Text from parts; "" when out of memory, which the drawing then remembers. */
#define sw_pic_print(pic, ...) sw_pic_kept((pic), sw_arena_printf((pic)->ctx->arena, __VA_ARGS__))
const char *sw_pic_kept(struct sw_pic *pic, const char *text);
/** A length with as many places as it needs, 2 at least and DECIMALS at most. */
const char *sw_pic_mm(struct sw_pic *pic, double value, int decimals);
/** "0.06 x 0.03 deep": the size of a section's relief groove. */
const char *sw_pic_relief(struct sw_pic *pic, const struct sw_section *section);
/** "diameter sign" and size. */
const char *sw_pic_diameter(struct sw_pic *pic, double diameter, int decimals);
/** One number without trailing zeroes ("17.5"). */
const char *sw_pic_plain(struct sw_pic *pic, double value, int decimals);

/** Upper and lower limit as they are shown; both NULL: no band, upper alone: plus and minus. */
struct sw_pic_limits {
    const char *upper;
    const char *lower;
};
struct sw_pic_limits sw_pic_limits(struct sw_pic *pic, const struct sw_band *band);

void sw_pic_text(struct sw_pic *pic, double x, double y, double height, enum sw_align along,
                 const char *text);
void sw_pic_bold(struct sw_pic *pic, double x, double y, double height, enum sw_align along,
                 const char *text);
/** Lines of text, 1.6 heights apart; gives the base line after the last. */
double sw_pic_lines(struct sw_pic *pic, double x, double y, double height, const char *const *line,
                    size_t n);

/** TEXT, cut with two dots where it would be wider than WIDTH. */
const char *sw_pic_fitted(struct sw_pic *pic, const char *text, double height, double width);

/* From a (z, r) half-plane to the page. */
struct sw_view {
    struct sw_draw_pt origin; /* of z_sign * z + z_shift = 0 on the axis */
    double scale;
    double z_sign, z_shift;
    bool is_standing; /* z runs down the page and r to the right; else z right, r up */
};

/** A point; r < 0 lies on the other side of the axis. */
struct sw_draw_pt sw_view_pt(const struct sw_view *view, double z, double r);
/** The largest scale of 1, 1.5, 2, 2.5, 3, 4, 5, 6, 8 times a power of ten at which Z by R [mm] fit
 *  into a field of WIDTH by HEIGHT. */
double sw_view_scale(double z, double r, double width, double height);

/** Append a chain to a path: on the side SIDE (+1, -1) of the axis; begins with a move. */
void sw_pic_trace(struct sw_pic *pic, struct sw_draw_path *path, const struct sw_view *view,
                  const struct sw_contour *contour, int side);
/** Both halves, closed along the axis: a closed area even where the chain does not begin or end on
 *  the axis. */
void sw_pic_body(struct sw_pic *pic, struct sw_draw_path *path, const struct sw_view *view,
                 const struct sw_contour *contour);
/** Both halves as thick lines, and the edges seen between them. */
void sw_pic_outline(struct sw_pic *pic, const struct sw_view *view,
                    const struct sw_contour *contour, struct sw_pen pen);
/** The axis, a chain line a little longer than from Z0 to Z1. */
void sw_pic_axis(struct sw_pic *pic, const struct sw_view *view, double z0, double z1);
/** A free-hand line across the part where it is broken off at Z. */
void sw_pic_break(struct sw_pic *pic, const struct sw_view *view, double z, double r);

/** The part of a chain between two z. */
enum sw_status sw_pic_clip(struct sw_contour *out, const struct sw_contour *in, double z0,
                           double z1, struct sw_ctx *ctx) SW_MUST_CHECK;

/** A filled arrow head with its point at TIP, flying from FROM. */
void sw_pic_arrow(struct sw_pic *pic, struct sw_draw_pt tip, struct sw_draw_pt from);

/* What stands in a row above a view. */
struct sw_pic_label {
    double z, r;      /* what it speaks of; r is of the outline there */
    bool is_diameter; /* the line runs through to the other side of the axis */
    const char *main;
    struct sw_pic_limits limits;
    const char *under; /* smaller, on the other side of its line; may be NULL */
};

/** Draw labels read from the right in a row whose lower ends lie at Y, pushed apart between X0 and
 *  X1. Sorts LABEL. */
enum sw_status sw_pic_label_row(struct sw_pic *pic, const struct sw_view *view,
                                struct sw_pic_label *label, size_t n, double y, double x0,
                                double x1) SW_MUST_CHECK;
/** How high such a row must be [mm]. */
double sw_pic_label_height(const struct sw_pic_label *label, size_t n);

/* A length along the axis, below a view or beside a standing one. */
struct sw_pic_length {
    double z0, z1;
    double r0, r1; /* of the outline, where the extension lines begin */
    const char *main;
    struct sw_pic_limits limits;
};

/** Draw lengths on lanes, the first at DISTANCE [mm] from the axis; *END gets how far the last
 *  one reaches. */
enum sw_status sw_pic_lengths(double *end, struct sw_pic *pic, const struct sw_view *view,
                              const struct sw_pic_length *length, size_t n,
                              double distance) SW_MUST_CHECK;

/** Begin a page with frame and strip. NOTE lines stand at the left of the strip; SCALE 0: none. */
void sw_pic_page(struct sw_pic *pic, const char *name, const char *headline, double scale,
                 const char *const *note, size_t n_notes);

enum { SW_PIC_MOST_TOOLS = 32 };
/** The stations that cut in a chucking, in the order of their first cut; their number. */
size_t sw_pic_side_stations(int station[SW_PIC_MOST_TOOLS], const struct sw_plan *plan,
                            size_t chucking);
/** How a tool of the plan is drawn, the same on all pages: by line style, then by colour. */
struct sw_pen sw_pic_tool_pen(const struct sw_plan *plan, int station);

/* What stands of the work while it is cut, as the radius over z in a chucking's frame, in columns
 * as wide as a line: for pictures only, the judge reckons otherwise. Recesses cut into a face are
 * left out: there the radius is not single. */
struct sw_pic_stock {
    double z0, step;
    size_t n;
    double *r;
};
/** The work of chucking I before its first operation (the rod, what the chucking before left,
 *  turned round, or the turned piece that is cut once more) and after each: n_ops + 1 states on the same columns. */
/** Does a line through columns FROM up to, and not with, TO bend at column I, one of them? Only there
 *  it needs a point. */
bool sw_pic_bends_at(const double *r, size_t i, size_t from, size_t to);
enum sw_status sw_pic_stock_states(const struct sw_pic_stock **out, struct sw_pic *pic,
                                   size_t i) SW_MUST_CHECK;

/** z of a chucking's frame from one of the part: sign and shift of a view. */
void sw_pic_chucking_view(struct sw_view *view, const struct sw_plan *plan, size_t chucking);

/* Smaller pictures for the pages of a sheet, each into its box; *HIGH gets how much of its height
 * is needed, to be drawn into a box so high and look the same. */

/** The staff with its sections numbered from the upper tip, heights and total length. */
enum sw_status sw_pic_staff_figure(double *high, struct sw_pic *pic,
                                   struct sw_draw_box box) SW_MUST_CHECK;
/** How chucking I is held, and where its tools reach deepest: these fill the box. */
enum sw_status sw_pic_side_figure(double *high, struct sw_pic *pic, size_t i,
                                  struct sw_draw_box box) SW_MUST_CHECK;

/* Pages. */
enum sw_status sw_pic_staff(struct sw_pic *pic) SW_MUST_CHECK;
enum sw_status sw_pic_details(struct sw_pic *pic) SW_MUST_CHECK;
enum sw_status sw_pic_fit(struct sw_pic *pic) SW_MUST_CHECK;
enum sw_status sw_pic_setup(struct sw_pic *pic, size_t chucking) SW_MUST_CHECK;
enum sw_status sw_pic_cuts(struct sw_pic *pic, size_t chucking) SW_MUST_CHECK;

#endif
