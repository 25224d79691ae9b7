/* What goes to the lathe and to the drawer with a batch: the run sheet, piece by piece in the order
 * of cutting, and a label for each piece. */
#include "app/batch_int.h"

#include <string.h>

#include "app/paths.h"
#include "base/file.h"

/* Fits two labels side by side on a line of a printed page. */
enum { LABEL_WIDTH = 44, LABEL_LINES = 4 };

/* The first of a variant has programs nobody has seen cut, the first of an edge an edge nobody has:
 * both are measured whole. The steel of another bar may push otherwise. Lengths hang on the zero of
 * each piece, whatever its variant. */
static const char *measures(const struct sw_batch *batch, const struct sw_batch_piece *is)
{
    if (is->of_variant == 0 || is->is_new_edge)
        return "everything";
    const bool pivots = is->is_new_bar || is->of_variant % (size_t)batch->measure_every.value == 0;
    const bool lengths = (is->number - 1) % (size_t)batch->sample_every.value == 0;
    return pivots && lengths ? "pivots, lengths" : pivots ? "pivots" : lengths ? "lengths" : "";
}

static enum sw_status say_piece(struct sw_buf *out, const struct sw_batch *batch,
                                const struct sw_batch_piece *is, const struct sw_batch_begin *begin,
                                struct sw_ctx *ctx)
{
    const char *name;
    SW_TRY(sw_batch_name(&name, batch, is->variant, ctx));
    sw_buf_printf(out, "%7zu  %s", is->number, name);
    sw_buf_pad(out, 42);
    sw_buf_add(out, is->is_new_edge ? "new edges" : "");
    sw_buf_pad(out, 53);
    sw_buf_add(out, measures(batch, is));
    sw_buf_pad(out, 70);
    sw_buf_add(out, "______  ______");
    if (begin && begin->program)
        sw_buf_printf(out, "  line %zu", begin->line);
    sw_buf_add(out, "\n");
    return SW_OK;
}

static size_t walk_length(const struct sw_batch_bars *bars)
{
    size_t n = 0;
    for (size_t w = 0; w < bars->n_wants; w++)
        n += bars->want[w].n;
    return n;
}

static void say_head(struct sw_buf *out, const struct sw_batch_run *run,
                     const struct sw_batch_bars *bars, const char *job)
{
    static const char text[] =
        "Judged by calculation, not run on a machine. The machine's manual, the rules of the shop "
        "and local\nregulations come first; the operator decides. Glasses on, guard shut, sleeves "
        "and hair out of the way.\n\n"
        "Each piece: open the holder with the spindle stopped, draw the rod out to the stick-out "
        "of the sheet in\nthe variant's folder, close. Opening the holder loses Z: touch the end "
        "face anew, every time; side 1 faces\nit. Lay the parted pieces into a tray in the order "
        "of their numbers. Side 2 is loaded by hand, one piece at\na time in the same order; never "
        "push a piece home by its other pivot.\n"
        "New edges: zero those tools anew, and cut the first piece in single block. A row that "
        "measures everything\nis filled into the table of the variant's sheet before the next "
        "piece is cut; pivots are written here, as\nturned. When their mean has moved by a third "
        "of the tolerance, or one jumps, stop: `correct` tells a worn\nedge from a wrong zero.\n";
    static const char runs[] = "\nA bar with a program of its own: all tools of its setup.yaml "
                               "stand zeroed before it, the stop "
                               "by the\nmiddle of its face. At each pause with the stop in front "
                               "of the spindle: open the holder, "
                               "push the bar\nhard against the stop, close, go on; nobody's hand "
                               "is between bar and stop. Each "
                               "piece is faced by more\nthan closing can lose. The bar behind the "
                               "spindle is supported so that no "
                               "more hangs free than setup.yaml\nsays. Work is taken up at the "
                               "line of any row, the holder empty in "
                               "front of its nose but for the bar.\n";
    const struct sw_batch *batch = run->batch;
    sw_buf_printf(out, "Run sheet of %s: %zu variants, %.0f pieces of each, %.0f in all\n\n", job,
                  bars->n_variants, batch->quantity.value,
                  batch->quantity.value * (double)bars->n_variants);
    sw_buf_add(out, text);
    for (size_t i = 0; bars->begin && i < walk_length(bars); i++)
        if (bars->begin[i].program) {
            sw_buf_add(out, runs);
            break;
        }
}

static void say_bar(struct sw_buf *out, const struct sw_batch_bars *bars, size_t b)
{
    const struct sw_bar_plan *plan = &bars->plan;
    if (plan->n)
        sw_buf_printf(out,
                      "\nBar %zu of %zu, %.1f mm long, %.2f mm left with what the holder keeps\n",
                      b + 1, plan->n, bars->kind[plan->bar[b].kind].length, plan->bar[b].left);
    else
        sw_buf_add(out, "\nNo bars are named.\n");
    sw_buf_add(out, "  piece  variant                          before it  measure          upper   "
                    "lower\n");
}

/* The program of the pieces that follow, where it is another than before. */
static void say_program(struct sw_buf *out, const struct sw_batch_begin *begin,
                        const char **program)
{
    if (!begin || !begin->program || strcmp(begin->program, *program) == 0)
        return;
    *program = begin->program;
    sw_buf_printf(out,
                  "  %s makes them one after the other; setup.yaml beside it says what stands "
                  "where.\n",
                  *program);
}

static enum sw_status say_sheet(struct sw_buf *out, const struct sw_batch_run *run,
                                const struct sw_batch_bars *bars, const char *job,
                                struct sw_ctx *ctx)
{
    struct sw_batch_walk walk;
    struct sw_batch_piece is;
    SW_TRY(sw_batch_walk_begin(&walk, run, bars, ctx));
    const char *program = "";
    say_head(out, run, bars, job);
    for (size_t bar = SIZE_MAX; sw_batch_walk_next(&is, &walk); bar = is.bar) {
        if (is.bar != bar)
            say_bar(out, bars, is.bar);
        const struct sw_batch_begin *begin = bars->begin ? &bars->begin[is.number - 1] : NULL;
        say_program(out, begin, &program);
        SW_TRY(say_piece(out, run->batch, &is, begin, ctx));
    }
    return SW_OK;
}

static void say_pivot(struct sw_buf *out, const char *which, const struct sw_forecast_pivot *is)
{
    sw_buf_printf(out, "%s %.4f to %.4f  got ______", which, is->least, is->most);
}

static enum sw_status label_line(struct sw_buf *out, const struct sw_batch_run *run,
                                 const struct sw_batch_piece *is, int line, const char *job,
                                 struct sw_ctx *ctx)
{
    const struct sw_batch_result *result = &run->result[is->variant];
    const char *name;
    SW_TRY(sw_batch_name(&name, run->batch, is->variant, ctx));
    if (line == 0)
        sw_buf_printf(out, "%s  no. %zu", job, is->number);
    else if (line == 1)
        sw_buf_printf(out, "%s, %.3f mm long", name, result->length);
    else
        say_pivot(out, line == 2 ? "upper" : "lower", &result->pivot[line - 2]);
    return SW_OK;
}

static enum sw_status say_labels(struct sw_buf *out, const struct sw_batch_run *run,
                                 const struct sw_batch_bars *bars, const char *job,
                                 struct sw_ctx *ctx)
{
    struct sw_batch_walk walk;
    struct sw_batch_piece left, right;
    SW_TRY(sw_batch_walk_begin(&walk, run, bars, ctx));
    while (sw_batch_walk_next(&left, &walk)) {
        const bool has_right = sw_batch_walk_next(&right, &walk);
        for (int line = 0; line < LABEL_LINES; line++) {
            SW_TRY(label_line(out, run, &left, line, job, ctx));
            if (has_right) {
                sw_buf_pad(out, LABEL_WIDTH);
                sw_buf_add(out, "| ");
                SW_TRY(label_line(out, run, &right, line, job, ctx));
            }
            sw_buf_add(out, "\n");
        }
        sw_buf_add(out, "\n");
    }
    return SW_OK;
}

static enum sw_status write_out(struct sw_buf *text, const char *name,
                                const struct sw_batch_run *run, struct sw_ctx *ctx)
{
    if (text->failed)
        return SW_MEMORY;
    const char *path = sw_path_join(ctx->arena, run->what->folder, name);
    return path ? sw_file_write_buf(path, text, ctx) : SW_MEMORY;
}

enum sw_status sw_batch_write_sheets(const struct sw_batch_run *run,
                                     const struct sw_batch_bars *bars, const char *job,
                                     struct sw_ctx *ctx)
{
    struct sw_buf sheet = {0}, labels = {0};
    enum sw_status status = say_sheet(&sheet, run, bars, job, ctx);
    if (status == SW_OK)
        status = say_labels(&labels, run, bars, job, ctx);
    if (status == SW_OK)
        status = write_out(&sheet, "run-sheet.txt", run, ctx);
    if (status == SW_OK)
        status = write_out(&labels, "labels.txt", run, ctx);
    sw_buf_done(&sheet);
    sw_buf_done(&labels);
    return status;
}
