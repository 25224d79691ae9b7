/* A piece that came out too thick: planned, written and judged once more from the stock that is
 * really there. */
#include "app/app.h"

#include <math.h>

#include "app/make_int.h"
#include "report/again.h"

enum { SECOND = 1 };

/* The piece to be saved, section by section; arrays of staff->n. */
struct piece {
    double number;
    struct sw_report_again_section *thick; /* with what is cut along */
    struct sw_plan_over *over;
    size_t n, n_gauged;
    const struct sw_gauge_cut *first_side, *lost; /* NULL: none */
};

static bool has(const struct piece *piece, size_t section)
{
    for (size_t i = 0; i < piece->n; i++)
        if (piece->thick[i].section == section)
            return true;
    return false;
}

static void add(struct piece *piece, size_t section, double found, double over, bool is_gauged)
{
    if (has(piece, section))
        return;
    piece->thick[piece->n] = (struct sw_report_again_section){section, found, is_gauged};
    piece->over[piece->n++] = (struct sw_plan_over){section, over};
}

static const struct sw_gauge_cut *gauged(const struct sw_correction *correction, double piece,
                                         size_t section)
{
    for (size_t i = 0; i < correction->n_cuts; i++)
        if ((int)correction->cut[i].reading->piece.value == (int)piece &&
            correction->cut[i].section == section &&
            correction->cut[i].reading->stage.value == SW_STAGE_TURNED)
            return &correction->cut[i];
    return NULL;
}

/* What runs on from a section towards the hub and was cut by the same runs: the cone and the slope
 * of a pivot. What was gauged speaks for itself. */
static void add_cut_along(struct piece *piece, const struct sw_app_correct *found, size_t section,
                          double over)
{
    const struct sw_staff *staff = found->work.staff;
    const int step = staff->section[section].is_lower_half ? -1 : 1;
    if (staff->section[section].kind != SW_SECTION_PIVOT)
        return;
    for (size_t i = section; i > 0 && i + 1 < staff->n + (step < 0);) {
        i = step < 0 ? i - 1 : i + 1;
        const enum sw_section_kind kind = staff->section[i].kind;
        if (kind != SW_SECTION_CONE && kind != SW_SECTION_BACK_SLOPE)
            return;
        if (!gauged(&found->correction, piece->number, i))
            add(piece, i, found->work.shape->section[i].turned_diameter + 2 * over, over, false);
    }
}

static bool is_of_piece(const struct piece *piece, const struct sw_gauge_cut *cut)
{
    return (int)cut->reading->piece.value == (int)piece->number &&
           cut->reading->stage.value == SW_STAGE_TURNED;
}

static bool is_thick(const struct sw_gauge_cut *cut)
{
    return sw_gauged_diameter(cut->reading) > cut->upper;
}

static enum sw_status look_at_piece(struct piece *piece, const struct sw_app_correct *found,
                                    struct sw_ctx *ctx)
{
    const struct sw_correction *correction = &found->correction;
    const size_t n = found->work.staff->n;
    *piece = (struct piece){.thick = SW_NEW(ctx->arena, struct sw_report_again_section, n),
                            .over = SW_NEW(ctx->arena, struct sw_plan_over, n)};
    if (!piece->thick || !piece->over)
        return SW_MEMORY;
    for (size_t i = 0; i < correction->n_cuts; i++)
        if (correction->cut[i].reading->stage.value == SW_STAGE_TURNED)
            piece->number = fmax(piece->number, correction->cut[i].reading->piece.value);
    for (size_t i = 0; i < correction->n_cuts; i++) {
        const struct sw_gauge_cut *cut = &correction->cut[i];
        const double size = sw_gauged_diameter(cut->reading);
        if (!is_of_piece(piece, cut))
            continue;
        if (size < cut->finished_lower)
            piece->lost = cut;
        if (!is_thick(cut))
            continue;
        if (cut->side == SECOND + 1)
            add(piece, cut->section, size,
                (size - found->work.shape->section[cut->section].turned_diameter) / 2, true);
        else
            piece->first_side = cut;
    }
    piece->n_gauged = piece->n;
    for (size_t i = 0; i < piece->n_gauged; i++)
        add_cut_along(piece, found, piece->thick[i].section, piece->over[i].over);
    return SW_OK;
}

static enum sw_status refuse(const char *hint, struct sw_ctx *ctx, const char *message)
{
    sw_diag_add(ctx->diag, SW_ERROR, "again.cannot", (struct sw_span){0}, hint, "%s", message);
    return message && hint ? SW_CANNOT : SW_MEMORY;
}

static enum sw_status refuse_lost(const struct piece *piece, const struct sw_app_correct *found,
                                  struct sw_ctx *ctx)
{
    return refuse(
        "metal cannot be put back; `correct` says which jewel hole it would still suit", ctx,
        sw_arena_printf(ctx->arena,
                        "piece %.0f cannot be saved: its %s is %.4f, below the finished "
                        "lower limit %.4f",
                        piece->number, found->work.staff->section[piece->lost->section].name,
                        sw_gauged_diameter(piece->lost->reading), piece->lost->finished_lower));
}

static enum sw_status refuse_first_side(const struct piece *piece,
                                        const struct sw_app_correct *found, struct sw_ctx *ctx)
{
    const struct sw_gauge_cut *cut = piece->first_side;
    const double size = sw_gauged_diameter(cut->reading);
    const double middle = (cut->finished_lower + cut->finished_upper) / 2;
    const double planned = found->work.shape->section[cut->section].turned_diameter - middle;
    return refuse(
        sw_arena_printf(ctx->arena,
                        "stone or burnish %.4f off its diameter where %.4f were planned, or gauge "
                        "at the pauses of side 1, while the piece still is a part of its rod",
                        size - middle, planned),
        ctx,
        sw_arena_printf(ctx->arena,
                        "piece %.0f cannot be cut once more at its %s, %.4f: that was cut on side "
                        "1, from the rod, and nothing holds the parted piece so that it runs true "
                        "there",
                        piece->number, found->work.staff->section[cut->section].name, size));
}

struct again {
    struct sw_plan *plan;
    struct sw_post_programs programs[SW_APP_SIDES];
    struct sw_setup *both; /* sides as of the job, the second one anew */
    struct sw_verdict *verdict;
    struct sw_make_texts files;
};

static enum sw_status write_programs(struct again *again, const struct sw_work *work,
                                     const char *folder, const struct sw_app *app,
                                     struct sw_ctx *ctx)
{
    struct sw_path *path = NULL;
    again->programs[0] = work->programs[0];
    SW_TRY(sw_moves_build(&path, again->plan, SECOND, ctx));
    SW_TRY(sw_app_digest_note(path, work->post, ctx));
    SW_TRY(sw_post_write(&again->programs[SECOND], work->post, path, work->shop->machine, ctx));
    SW_TRY(sw_app_digest_fill(&again->programs[SECOND], ctx));
    SW_TRY(sw_moves_setup(&again->both, again->plan, again->programs, work->post, ctx));
    SW_TRY(sw_app_name_setup(again->both, work, folder, app, ctx));
    for (size_t i = 0; i < again->programs[SECOND].n; i++) {
        const struct sw_post_program *program = &again->programs[SECOND].at[i];
        const struct sw_app_text text = {program->file, program->text, program->size};
        if (!SW_VEC_PUSH(ctx->arena, &again->files, text))
            return SW_MEMORY;
    }
    return SW_OK;
}

/* The record of the one side, as a stranger would read it. */
static enum sw_status write_record(struct sw_setup **out, struct again *again,
                                   const struct piece *piece, const struct sw_work *work,
                                   struct sw_ctx *ctx)
{
    struct sw_setup one = *again->both;
    struct sw_setup_side *side = SW_NEW(ctx->arena, struct sw_setup_side, 1);
    struct sw_setup_stand *stand = SW_NEW(ctx->arena, struct sw_setup_stand, piece->n);
    if (!side || !stand)
        return SW_MEMORY;
    *side = ((const struct sw_setup_side *)again->both->sides.at)[SECOND];
    for (size_t i = 0; i < piece->n; i++) {
        const struct sw_shape_section *is = &work->shape->section[piece->over[i].section];
        stand[i] = (struct sw_setup_stand){
            .section = {.value = work->staff->section[piece->over[i].section].name, .given = true},
            .diameter = {.value = is->turned_diameter + 2 * piece->over[i].over, .given = true}};
    }
    side->stands = (struct sw_list){.at = stand, .n = piece->n, .given = true};
    one.sides = (struct sw_list){.at = side, .n = 1, .given = true};
    struct sw_buf text = {0};
    sw_setup_write(&one, &text);
    SW_TRY(sw_make_keep(&again->files, sw_make_setup_file, &text, ctx));
    const struct sw_app_text *record = &again->files.at[again->files.n - 1];
    return sw_setup_parse(out, record->name, record->text, record->size, ctx);
}

static enum sw_status refuse_failed(const struct sw_verdict *verdict, struct sw_ctx *ctx)
{
    for (size_t i = 0; i < verdict->findings.n; i++)
        if (verdict->findings.at[i].severity == SW_ERROR)
            return refuse("cut it by hand, or put a new piece in its place", ctx,
                          sw_arena_printf(ctx->arena,
                                          "a finishing program fails its dry run, and none was "
                                          "written: %s",
                                          verdict->findings.at[i].message));
    return SW_INTERNAL;
}

/* In the sheet it is the second side that is told of, behind the programs of the first. */
static enum sw_status count_as_second(struct sw_verdict *verdict, const struct sw_work *work,
                                      struct sw_ctx *ctx)
{
    const size_t before = work->programs[0].n, n = verdict->n_programs;
    struct sw_program_verdict *all = SW_NEW(ctx->arena, struct sw_program_verdict, before + n);
    if (!all)
        return SW_MEMORY;
    for (size_t i = 0; i < before; i++)
        all[i] = work->verdict->program[i];
    for (size_t i = 0; i < n; i++) {
        all[before + i] = verdict->program[i];
        all[before + i].chucking = SECOND + 1;
    }
    verdict->program = all;
    verdict->n_programs = before + n;
    for (size_t i = 0; i < verdict->n_sections; i++)
        if (verdict->section[i].made_chucking > 0)
            verdict->section[i].made_chucking = SECOND + 1;
    return SW_OK;
}

static enum sw_status add_sheet(struct again *again, const struct piece *piece,
                                const struct sw_work *work, const struct sw_app *app,
                                struct sw_ctx *ctx)
{
    const struct sw_report_again what = {piece->number, piece->thick, piece->n};
    const struct sw_sheet sheet = {.version = app->version,
                                   .plan = again->plan,
                                   .post = work->post,
                                   .programs = again->programs,
                                   .setup = again->both,
                                   .verdict = again->verdict};
    struct sw_buf text = {0};
    SW_TRY(count_as_second(again->verdict, work, ctx));
    const enum sw_status status = sw_report_again_sheet(&text, &sheet, &what, ctx);
    if (status != SW_OK) {
        sw_buf_done(&text);
        return status;
    }
    SW_TRY(sw_make_keep(&again->files, sw_make_sheet_file, &text, ctx));
    struct sw_drawing *pages = NULL;
    SW_TRY(sw_report_again_pages(&pages, &sheet, &what, ctx));
    return sw_make_keep_pdf(&again->files, sw_make_pages_file, pages, ctx);
}

static enum sw_status make(const struct piece *piece, const struct sw_app_correct *found,
                           const char *folder, bool force, const struct sw_app *app,
                           struct sw_ctx *ctx)
{
    const struct sw_work *work = &found->work;
    struct again again = {0};
    struct sw_make_texts inputs = {0};
    struct sw_setup *setup = NULL;
    struct sw_report_hash *hash;
    SW_TRY(sw_plan_again(&again.plan, work->plan, piece->over, piece->n, work->post, ctx));
    SW_TRY(sw_make_inputs(&inputs, folder, app, ctx));
    SW_TRY(write_programs(&again, work, folder, app, ctx));
    const size_t n = again.files.n;
    SW_TRY(write_record(&setup, &again, piece, work, ctx));
    if (work->blank) {
        SW_TRY(sw_app_resolve_blank(setup, &work->hardening->text, ".", work->staff, app, ctx));
        if (!SW_VEC_PUSH(ctx->arena, &again.files, work->hardening->text))
            return SW_MEMORY;
    }
    SW_TRY(sw_app_judge(&again.verdict, again.files.at, n, setup, work->shop, work->shape,
                        SW_APP_JUDGE, ctx));
    if (!again.verdict->passes)
        return refuse_failed(again.verdict, ctx);
    SW_TRY(sw_app_hash_texts(&hash, again.files.at, n, ctx));
    SW_TRY(sw_make_verdict(&again.files, again.verdict, hash, app, ctx));
    SW_TRY(add_sheet(&again, piece, work, app, ctx));
    SW_TRY(sw_make_record(&again.files, &inputs, app, ctx));
    return sw_make_folder(&again.files, folder, force, ctx);
}

enum sw_status sw_app_again(struct sw_buf *says, bool *is_written,
                            const struct sw_app_correct *found, const char *folder, bool force,
                            const struct sw_app *app, struct sw_ctx *ctx)
{
    struct piece piece;
    *is_written = false;
    if (found->correction.n_cuts && found->correction.cut[0].variant)
        return refuse("give the job of that variant", ctx,
                      "a finishing program is for one piece of a job, not for a batch");
    if (found->work.hardening && !found->work.blank)
        return refuse("what is left thick is cut when it is hard; for pieces that are hard give "
                      "--hardened, too",
                      ctx, "a blank to be hardened is not cut once more");
    SW_TRY(look_at_piece(&piece, found, ctx));
    if (piece.lost)
        return refuse_lost(&piece, found, ctx);
    if (piece.n == 0 && piece.first_side)
        return refuse_first_side(&piece, found, ctx);
    if (piece.n == 0) {
        sw_buf_printf(says,
                      "piece %.0f stands over none of its limits: nothing is to be cut once "
                      "more\n",
                      piece.number);
        return SW_OK;
    }
    SW_TRY(make(&piece, found, folder, force, app, ctx));
    *is_written = true;
    sw_buf_printf(says,
                  "a finishing program for piece %.0f is written to %s; read %s/sheet.txt before "
                  "the spindle starts\n",
                  piece.number, folder, folder);
    for (size_t i = 0; i < found->correction.n_cuts; i++) {
        const struct sw_gauge_cut *cut = &found->correction.cut[i];
        if (is_of_piece(&piece, cut) && is_thick(cut) && cut->side != SECOND + 1)
            sw_buf_printf(says, "its %s, from side 1, stays for the stone: %.4f\n",
                          found->work.staff->section[cut->section].name,
                          sw_gauged_diameter(cut->reading));
    }
    return SW_OK;
}
