/* Control charts: the error of a section, piece after piece, between control limits and limits of
 * its size. Lines are told apart by style, values by form; colour adds nothing. */
#include <math.h>
#include <string.h>

#include "draw/lanes.h"
#include "report/correct_int.h"
#include "report/picture_int.h"
#include "report/text.h"

enum { PANELS = 2, MOST_LINES = 7, MOST_CHANGES = 16 };

static const struct sw_pen frame_pen = {SW_PIC_THIN, SW_DASH_CONTINUOUS, SW_PIC_BLACK};
static const struct sw_pen fine = {SW_PIC_FINE, SW_DASH_CONTINUOUS, SW_PIC_BLACK};
static const struct sw_pen limit_pen = {SW_PIC_THICK, SW_DASH_CONTINUOUS, SW_PIC_BLACK};
static const struct sw_pen control_pen = {SW_PIC_THIN, SW_DASH_DASHED, SW_PIC_BLACK};
static const struct sw_pen warning_pen = {SW_PIC_THIN, SW_DASH_DOTTED, SW_PIC_BLACK};
static const struct sw_pen mean_pen = {SW_PIC_THIN, SW_DASH_CHAIN, SW_PIC_BLACK};
static const struct sw_pen change_pen = {SW_PIC_THIN, SW_DASH_SHORT, SW_PIC_BLACK};
static const struct sw_paint no_fill = {0}, black = {true, SW_PIC_BLACK};

/* One chart: the field of its values on the page, and what they stretch over. */
struct panel {
    const struct sw_gauge_series *series;
    struct sw_draw_box plot;
    double least, most;   /* um */
    double first, beyond; /* pieces */
};

static double x_of(const struct panel *p, double piece)
{
    return p->plot.x0 + (piece - p->first) / (p->beyond - p->first) * (p->plot.x1 - p->plot.x0);
}

static double y_of(const struct panel *p, double um)
{
    return p->plot.y1 - (um - p->least) / (p->most - p->least) * (p->plot.y1 - p->plot.y0);
}

/* The step of 1, 2, 5 times a power of ten that gives at most MOST of them over SPAN. */
static double step_for(double span, double most)
{
    const double raw = span / most, ten = pow(10, floor(log10(raw)));
    return raw <= ten ? ten : raw <= 2 * ten ? 2 * ten : raw <= 5 * ten ? 5 * ten : 10 * ten;
}

/* A line across the field, named at its right. */
struct line {
    double um;
    struct sw_pen pen;
    const char *says;
};

static size_t lines_of(struct line line[MOST_LINES], const struct sw_gauge_series *series)
{
    const struct sw_gauge_mark *last = &series->at[series->n - 1];
    const struct sw_gauge_chart *chart = &series->chart;
    size_t n = 0;
    line[n++] = (struct line){1000 * last->upper, limit_pen, "largest size"};
    line[n++] = (struct line){1000 * last->lower, limit_pen, "smallest size"};
    line[n++] = (struct line){1000 * chart->centre, mean_pen, "mean"};
    if (series->has_limits) {
        line[n++] = (struct line){1000 * chart->upper, control_pen, "control limit"};
        line[n++] = (struct line){1000 * chart->lower, control_pen, "control limit"};
        line[n++] =
            (struct line){1000 * (chart->centre + 2 * chart->sigma), warning_pen, "2 deviations"};
        line[n++] =
            (struct line){1000 * (chart->centre - 2 * chart->sigma), warning_pen, "2 deviations"};
    }
    for (size_t i = 1; i < n; i++) { /* from the top of the page down */
        const struct line one = line[i];
        size_t to = i;
        for (; to && line[to - 1].um < one.um; to--)
            line[to] = line[to - 1];
        line[to] = one;
    }
    return n;
}

static void measure(struct panel *p, const struct line *line, size_t n)
{
    static const double room = 0.06;
    const struct sw_gauge_series *series = p->series;
    p->least = p->most = 0;
    for (size_t i = 0; i < n; i++) {
        p->least = fmin(p->least, line[i].um);
        p->most = fmax(p->most, line[i].um);
    }
    for (size_t i = 0; i < series->n; i++) {
        p->least = fmin(p->least, 1000 * series->at[i].error);
        p->most = fmax(p->most, 1000 * series->at[i].error);
    }
    const double span = p->most - p->least;
    p->least -= room * span;
    p->most += room * span;
    const double pieces = series->at[series->n - 1].piece - series->at[0].piece;
    p->first = series->at[0].piece - fmax(0.5, room * pieces / 2);
    p->beyond = series->at[series->n - 1].piece + fmax(0.5, room * pieces / 2);
}

static void scales(struct sw_pic *pic, const struct panel *p)
{
    enum { MOST_HIGH = 7, MOST_WIDE = 20 };
    static const double tick = 1.2, gap = 2;
    const double high = step_for(p->most - p->least, MOST_HIGH);
    const double wide = fmax(1, step_for(p->beyond - p->first, MOST_WIDE));
    for (double um = ceil(p->least / high) * high; um <= p->most; um += high) {
        const double y = y_of(p, um);
        sw_draw_line(pic->to, (struct sw_draw_pt){p->plot.x0 - tick, y},
                     (struct sw_draw_pt){p->plot.x0, y}, frame_pen);
        sw_pic_text(pic, p->plot.x0 - gap, y + SW_PIC_TEXT / 2, SW_PIC_TEXT, SW_ALIGN_END,
                    sw_pic_print(pic, um > high / 2 ? "+%s" : "%s", sw_pic_plain(pic, um, 2)));
    }
    for (double piece = ceil(p->first / wide) * wide; piece <= p->beyond; piece += wide) {
        const double x = x_of(p, piece);
        sw_draw_line(pic->to, (struct sw_draw_pt){x, p->plot.y1},
                     (struct sw_draw_pt){x, p->plot.y1 + tick}, frame_pen);
        sw_pic_text(pic, x, p->plot.y1 + gap + SW_PIC_TEXT, SW_PIC_TEXT, SW_ALIGN_MIDDLE,
                    sw_pic_plain(pic, piece, 0));
    }
    sw_pic_text(pic, p->plot.x1 + gap, p->plot.y1 + gap + SW_PIC_TEXT, SW_PIC_TEXT, SW_ALIGN_START,
                "piece");
}

static void named_lines(struct sw_pic *pic, const struct panel *p, const struct line *line,
                        size_t n)
{
    static const double knee = 4, gap = 1, pitch = 3.6;
    double at[MOST_LINES], want[MOST_LINES], width[MOST_LINES], scratch[2 * MOST_LINES];
    for (size_t i = 0; i < n; i++) {
        want[i] = y_of(p, line[i].um);
        width[i] = pitch;
    }
    sw_lanes_spread(at, want, width, n, p->plot.y0 - pitch / 2, p->plot.y1 + pitch / 2, scratch);
    for (size_t i = 0; i < n; i++) {
        const struct sw_draw_pt end = {p->plot.x1, want[i]};
        sw_draw_line(pic->to, (struct sw_draw_pt){p->plot.x0, want[i]}, end, line[i].pen);
        sw_draw_line(pic->to, end, (struct sw_draw_pt){p->plot.x1 + knee, at[i]}, fine);
        sw_pic_text(pic, p->plot.x1 + knee + gap, at[i] + SW_PIC_TEXT / 2, SW_PIC_TEXT,
                    SW_ALIGN_START,
                    sw_pic_print(pic, "%s %+.1f", line[i].says, sw_text_round(line[i].um, 1)));
    }
}

/* Corrections that were made between the pieces shown. */
static void changes(struct sw_pic *pic, const struct panel *p,
                    const struct sw_correction *correction)
{
    static const double above = 1.2, wide = 20;
    const struct sw_gauge_change *change = correction->measured->changes.at;
    double at[MOST_CHANGES], want[MOST_CHANGES], width[MOST_CHANGES], scratch[2 * MOST_CHANGES];
    double x_added[MOST_CHANGES];
    size_t n = 0;
    for (size_t i = 0; i < correction->measured->changes.n && n < MOST_CHANGES; i++) {
        const double piece = change[i].after.value + 0.5;
        if ((int)change[i].side.value != p->series->side ||
            (int)change[i].station.value != p->series->station || piece < p->first ||
            piece > p->beyond)
            continue;
        size_t to = n++;
        for (; to && want[to - 1] > x_of(p, piece); to--) {
            want[to] = want[to - 1];
            x_added[to] = x_added[to - 1];
        }
        want[to] = x_of(p, piece);
        x_added[to] = change[i].x.value;
        width[n - 1] = wide;
    }
    sw_lanes_spread(at, want, width, n, p->plot.x0, p->plot.x1, scratch);
    for (size_t i = 0; i < n; i++) {
        sw_draw_line(pic->to, (struct sw_draw_pt){want[i], p->plot.y0},
                     (struct sw_draw_pt){want[i], p->plot.y1}, change_pen);
        sw_pic_text(pic, at[i], p->plot.y0 - above, SW_PIC_SMALL, SW_ALIGN_MIDDLE,
                    sw_pic_print(pic, "X %+.4f", x_added[i]));
    }
}

static void values(struct sw_pic *pic, const struct panel *p)
{
    static const double dot = 0.8, box = 1.5;
    struct sw_draw_path chain = {0};
    for (size_t i = 0; i < p->series->n; i++) {
        const struct sw_gauge_mark *mark = &p->series->at[i];
        const struct sw_draw_pt at = {x_of(p, mark->piece), y_of(p, 1000 * mark->error)};
        if (i == 0)
            sw_draw_move(pic->to, &chain, at);
        else
            sw_draw_line_to(pic->to, &chain, at);
    }
    sw_draw_path(pic->to, &chain, fine, no_fill);
    for (size_t i = 0; i < p->series->n; i++) {
        const struct sw_gauge_mark *mark = &p->series->at[i];
        const struct sw_draw_pt at = {x_of(p, mark->piece), y_of(p, 1000 * mark->error)};
        struct sw_draw_path ring = {0};
        const struct sw_draw_pt begin = {at.x + dot, at.y};
        sw_draw_move(pic->to, &ring, begin);
        sw_draw_arc_to(pic->to, &ring, begin, at, 1);
        sw_draw_close(pic->to, &ring);
        sw_draw_path(pic->to, &ring, fine, black);
        if (mark->signal != SW_CHART_QUIET)
            sw_draw_box(pic->to,
                        (struct sw_draw_box){at.x - box, at.y - box, at.x + box, at.y + box},
                        frame_pen, no_fill);
    }
}

/* What the last value says. */
static const char *verdict_of(struct sw_pic *pic, const struct sw_gauge_series *series)
{
    const struct sw_gauge_mark *last = &series->at[series->n - 1];
    const char *signal = sw_chart_signal_says(series->signal);
    if (last->error < last->lower || last->error > last->upper)
        return sw_pic_print(pic, "the last is beyond the limits of its size; %s", signal);
    return series->is_close ? sw_pic_print(pic, "close to a limit: correct now; %s", signal)
                            : signal;
}

static void draw_panel(struct sw_pic *pic, const struct sw_correction *correction,
                       const struct sw_sheet *sheet, const struct sw_gauge_series *series,
                       struct sw_draw_box box)
{
    static const double left = 16, right = 42, head = 11, foot = 11;
    struct panel p = {.series = series,
                      .plot = {box.x0 + left, box.y0 + head, box.x1 - right, box.y1 - foot}};
    struct line line[MOST_LINES];
    const size_t n = lines_of(line, series);
    measure(&p, line, n);
    sw_pic_bold(pic, box.x0 + 2, box.y0 + SW_PIC_TEXT + 1.5, SW_PIC_TEXT, SW_ALIGN_START,
                sw_pic_print(pic, "%s: error of its diameter in \u00b5m; side %d, T%d %s",
                             sheet->plan->shape->staff->section[series->section].name, series->side,
                             series->station,
                             sw_correct_tool_name(sheet, series->side, series->station)));
    sw_pic_text(pic, box.x1 - 2, box.y0 + SW_PIC_TEXT + 1.5, SW_PIC_TEXT, SW_ALIGN_END,
                verdict_of(pic, series));
    scales(pic, &p);
    named_lines(pic, &p, line, n);
    changes(pic, &p, correction);
    sw_draw_box(pic->to, p.plot, frame_pen, no_fill);
    values(pic, &p);
}

static void begin_page(struct sw_pic *pic)
{
    static const char *const notes[] = {
        "Error: measured less expected, as it would be with the offsets as they are now; a column "
        "of short "
        "dashes is a correction (on radius).",
        "Thick lines: limits of the size. Dashes: control limits, mean +- 3 mean ranges / d2, d2 = "
        "1.128.",
        "Dots: 2 deviations. Chain: mean. A square: this value completes a rule; on the right, "
        "what "
        "the last one says.",
        "Constants and rules: NIST/SEMATECH e-Handbook of Statistical Methods 6.3.2.2 and 6.3.2.",
        "Control limits from fewer than 20 readings are provisional (common practice).",
    };
    const char *name = sw_pic_print(pic, "chart %zu", pic->to->n + 1);
    sw_pic_page(pic, name, "control charts", 0, notes, sizeof notes / sizeof *notes);
}

enum sw_status sw_report_charts(struct sw_drawing **out, const struct sw_correction *correction,
                                const struct sw_sheet *sheet, struct sw_ctx *ctx)
{
    const struct sw_picture picture = {sheet->plan->shape, sheet->plan, sheet->version};
    struct sw_pic pic = {.from = &picture, .ctx = ctx};
    static const double height = (SW_PIC_STRIP - SW_PIC_TOP) / PANELS;
    size_t n = 0, at = 0;
    for (size_t i = 0; i < correction->n_series; i++)
        n += correction->series[i].n >= 2;
    if (n == 0) {
        sw_diag_add(ctx->diag, SW_ERROR, "correct.chart", (struct sw_span){0},
                    "gauge the same section on two pieces at least",
                    "there is nothing to chart: no section was gauged as turned on two pieces");
        return SW_FOUND;
    }
    SW_TRY(sw_drawing_new(&pic.to, sheet->plan->shape->staff->name, ctx));
    pic.n_pages = (n + PANELS - 1) / PANELS;
    for (size_t i = 0; i < correction->n_series; i++) {
        if (correction->series[i].n < 2)
            continue;
        if (at % PANELS == 0)
            begin_page(&pic);
        const double y = SW_PIC_TOP + height * (double)(at++ % PANELS);
        draw_panel(&pic, correction, sheet, &correction->series[i],
                   (struct sw_draw_box){SW_PIC_LEFT, y, SW_PIC_RIGHT, y + height});
    }
    SW_TRY(sw_drawing_status(pic.to));
    *out = pic.to;
    return SW_OK;
}
