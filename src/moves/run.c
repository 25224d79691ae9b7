/* A run of pieces from one bar: their first sides one after the other, the bar brought to the stop
 * before each. Each piece is cut by the moves it would have alone; all are moved along z so that
 * the nose of the holder, which stays where it is, stands for each where its own plan has it. */
#include <math.h>
#include <string.h>

#include "geom/tol.h"
#include "moves/moves.h"

static enum sw_status emit(struct sw_path *path, struct sw_path_event event, struct sw_ctx *ctx)
{
    return SW_VEC_PUSH(ctx->arena, path, event) ? SW_OK : SW_MEMORY;
}

static enum sw_status rapid(struct sw_path *path, double z, double r, struct sw_ctx *ctx)
{
    return emit(path, (struct sw_path_event){.kind = SW_PATH_RAPID, .to = {z, r}}, ctx);
}

double sw_moves_run_nose(const struct sw_moves_piece *piece, size_t n)
{
    double nose = 0;
    for (size_t i = 0; i < n; i++)
        nose = fmin(nose, piece[i].plan->chucking[0].nose_z);
    return nose;
}

/* The stop goes along the axis in front of everything, waits there, and goes back the same way. */
static enum sw_status advance(struct sw_path *path, const struct sw_moves_run *run, size_t i,
                              double at_z, struct sw_ctx *ctx)
{
    const char *what = sw_arena_printf(ctx->arena, "piece %zu of %zu, %s: bar to the stop",
                                       run->first_number + i, run->n_all, run->piece[i].name);
    const char *text = sw_arena_printf(
        ctx->arena, "piece %zu: open the holder, push the bar hard against the stop, close",
        run->first_number + i);
    const char *tool = sw_shop_tool(run->piece[i].plan->shop, run->stop)->name.value;
    if (!what || !text)
        return SW_MEMORY;
    SW_TRY(emit(path,
                (struct sw_path_event){.kind = SW_PATH_TOOL, .station = run->stop, .text = tool},
                ctx));
    SW_TRY(emit(path,
                (struct sw_path_event){.kind = SW_PATH_SECTION, .station = run->stop, .text = what},
                ctx));
    SW_TRY(rapid(path, SW_MOVES_HAND_Z, SW_MOVES_HAND_R, ctx));
    SW_TRY(rapid(path, SW_MOVES_HAND_Z, 0, ctx));
    SW_TRY(rapid(path, run->piece[i].plan->chucking[0].rod_end_z + at_z, 0, ctx));
    SW_TRY(emit(path, (struct sw_path_event){.kind = SW_PATH_PAUSE, .text = text}, ctx));
    SW_TRY(rapid(path, SW_MOVES_HAND_Z, 0, ctx));
    return rapid(path, SW_MOVES_HAND_Z, SW_MOVES_HAND_R, ctx);
}

/* The corrections of the first piece serve all: what the operator found on one holds for the next.
 */
static enum sw_status corrections(struct sw_path *path, const struct sw_path *own, const char *name,
                                  struct sw_ctx *ctx)
{
    bool are_same = path->n_corrections == own->n_corrections;
    for (size_t k = 0; k < own->n_corrections && are_same; k++)
        are_same = strcmp(path->correction[k].name, own->correction[k].name) == 0;
    if (are_same)
        return SW_OK;
    sw_diag_add(ctx->diag, SW_ERROR, "moves.run-corrections", (struct sw_span){0},
                "put variants with other diameters to measure into a batch of their own",
                "%s has other corrections than the first piece of its bar: one program cannot hold "
                "both",
                name);
    return SW_CANNOT;
}

static enum sw_status piece(struct sw_path *path, const struct sw_path *own, double at_z,
                            struct sw_ctx *ctx)
{
    for (size_t k = 0; k < own->n; k++) {
        struct sw_path_event event = own->at[k];
        event.to.z += at_z;
        event.centre.z += at_z;
        if (event.kind != SW_PATH_END)
            SW_TRY(emit(path, event, ctx));
    }
    return SW_OK;
}

static enum sw_status head(struct sw_path *path, const struct sw_path *first,
                           const struct sw_moves_run *run, struct sw_ctx *ctx)
{
    const char **line = SW_NEW(ctx->arena, const char *, first->n_head + 2);
    if (!line)
        return SW_MEMORY;
    for (size_t i = 1; i < first->n_head; i++)
        line[i] = first->head[i];
    line[0] = sw_arena_printf(ctx->arena, "%s: pieces %zu to %zu of a bar of %.1f mm", run->called,
                              run->first_number, run->first_number + run->n - 1, run->bar);
    line[first->n_head] =
        sw_arena_printf(ctx->arena, "T%d %s, numbers mean the middle of its face", run->stop,
                        sw_shop_tool(run->piece[0].plan->shop, run->stop)->name.value);
    line[first->n_head + 1] =
        "before each piece the bar is pushed against the stop; go on at any such pause";
    if (!line[0] || !line[first->n_head])
        return SW_MEMORY;
    path->head = line;
    path->n_head = first->n_head + 2;
    return SW_OK;
}

enum sw_status sw_moves_run(struct sw_path **out, const struct sw_moves_run *run,
                            struct sw_ctx *ctx)
{
    struct sw_path *path = SW_NEW(ctx->arena, struct sw_path, 1);
    if (!path)
        return SW_MEMORY;
    path->stem = run->stem;
    path->park = (struct sw_pt){SW_MOVES_HAND_Z, SW_MOVES_HAND_R};
    const struct sw_path *own = NULL;
    const struct sw_plan *built = NULL;
    for (size_t i = 0; i < run->n; i++) {
        const struct sw_plan *plan = run->piece[i].plan;
        const double at_z = run->nose_z - plan->chucking[0].nose_z;
        struct sw_path *made = NULL;
        if (plan != built) {
            SW_TRY(sw_moves_build(&made, plan, 0, ctx));
            own = made;
            built = plan;
        }
        if (i == 0) {
            path->correction = own->correction;
            path->n_corrections = own->n_corrections;
            SW_TRY(head(path, own, run, ctx));
        }
        SW_TRY(corrections(path, own, run->piece[i].name, ctx));
        SW_TRY(advance(path, run, i, at_z, ctx));
        SW_TRY(piece(path, own, at_z, ctx));
    }
    SW_TRY(emit(path, (struct sw_path_event){.kind = SW_PATH_END}, ctx));
    *out = path;
    return SW_OK;
}
