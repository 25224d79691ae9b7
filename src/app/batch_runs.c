/* Programs of a batch that cut one piece after the other from a bar: a folder a bar, judged as it
 * stands, with the variants' own records and second sides beside it. */
#include "app/batch_int.h"

#include <math.h>
#include <pthread.h>
#include <string.h>

#include "app/make_int.h"
#include "app/paths.h"
#include "base/file.h"
#include "geom/tol.h"
#include "moves/moves.h"
#include "report/json.h"

/* Of one program, so that it stays well below what the reader takes: events of the path. Most are
 * one block, arcs in chords some more. */
enum { MOST_EVENTS = 50000 };

/* A bar of the plan. */
struct bar {
    struct sw_ctx *ctx;
    const struct sw_batch_run *run;
    const char *name, *folder; /* "bar-1" */
    struct sw_moves_run moves; /* of all its pieces */
    struct sw_moves_piece *piece;
    const char **record; /* of each piece, seen from the bar's folder */
    const struct sw_work *work;
    size_t n; /* pieces */
    struct sw_batch_begin *begin;
};

static int stop_of(const struct sw_shop *shop)
{
    const struct sw_fitted_tool *fitted = shop->tools.at;
    for (size_t i = 0; i < shop->tools.n; i++)
        if (fitted[i].is && !sw_tool_cuts(fitted[i].is))
            return (int)fitted[i].station.value;
    return 0;
}

/* Why there is no run, though there is a stop; NULL: there may be one. */
static const char *why_not(const struct sw_work *work)
{
    if (work->job->parting.value != SW_PART_THROUGH)
        return "a piece broken off at a neck leaves a stub on the bar; the job says `parting: "
               "through` for that";
    if (sw_post_is_spindle_by_hand(work->post))
        return "the spindle is switched by hand";
    if (sw_post_is_file_per_tool(work->post))
        return "the dialect writes one file a tool";
    if (!sw_post_abilities(work->post).has_pauses)
        return "the dialect has no pauses";
    return NULL;
}

/* The work of a variant, planned as it was for its own folder. */
static enum sw_status plan_variant(struct sw_work **out, const struct bar *bar, size_t variant,
                                   const char *name)
{
    struct sw_ctx *ctx = bar->ctx;
    const struct sw_batch_run *run = bar->run;
    struct sw_work *work = SW_NEW(ctx->arena, struct sw_work, 1);
    const char *folder = sw_path_join(ctx->arena, run->what->folder, name);
    const char *path = folder ? sw_path_join(ctx->arena, folder, "staff.yaml") : NULL;
    struct sw_buf staff = {0};
    if (!work || !path)
        return SW_MEMORY;
    enum sw_status status = sw_batch_staff(&staff, run->batch, variant, run->staff_name, run->staff,
                                           run->staff_size, ctx);
    const char *text =
        status == SW_OK ? sw_arena_copy(ctx->arena, sw_buf_text(&staff), staff.n) : NULL;
    const size_t size = staff.n;
    sw_buf_done(&staff);
    if (status == SW_OK && !text)
        status = SW_MEMORY;
    if (status == SW_OK)
        status = sw_app_load_job_of(work, run->batch->job.value, path, text, size, ".", run->app, ctx);
    if (status == SW_OK)
        status = sw_app_plan_job(work, NULL, run->app, ctx);
    *out = work;
    return status;
}

/* The record of a variant, seen from a bar's folder. */
static const char *record_of(const char *name, struct sw_ctx *ctx)
{
    return sw_arena_printf(ctx->arena, "../%s/%s", name, sw_make_setup_file);
}

/* Plan the pieces of the bar, each variant once. */
static enum sw_status gather(struct bar *bar, const size_t *variant)
{
    struct sw_ctx *ctx = bar->ctx;
    bar->piece = SW_NEW(ctx->arena, struct sw_moves_piece, bar->n);
    bar->record = SW_NEW(ctx->arena, const char *, bar->n);
    if (!bar->piece || !bar->record)
        return SW_MEMORY;
    for (size_t i = 0; i < bar->n; i++) {
        if (i > 0 && variant[i] == variant[i - 1]) {
            bar->piece[i] = bar->piece[i - 1];
            bar->record[i] = bar->record[i - 1];
            continue;
        }
        const char *name;
        struct sw_work *work = NULL;
        SW_TRY(sw_batch_name(&name, bar->run->batch, variant[i], ctx));
        SW_TRY(plan_variant(&work, bar, variant[i], name));
        bar->work = bar->work ? bar->work : work;
        bar->piece[i] = (struct sw_moves_piece){work->plan, name};
        bar->record[i] = record_of(name, ctx);
        if (!bar->record[i])
            return SW_MEMORY;
    }
    return SW_OK;
}

/* What a piece takes of the bar: from its end before the first cut to the wall that parting leaves.
 */
static double taken(const struct sw_plan_chucking *c)
{
    double wall = c->neck_z;
    for (size_t k = 0; k < c->n_ops; k++)
        if (c->op[k].kind == SW_OP_PART)
            wall = c->neck_z - c->op[k].tool->width.value / 2;
    return c->rod_end_z - wall;
}

static enum sw_status refuse(const struct bar *bar, const char *code, const char *hint,
                             const char *says)
{
    if (!hint || !says)
        return SW_MEMORY;
    sw_diag_add(bar->ctx->diag, SW_ERROR, code, (struct sw_span){0}, hint, "%s: %s", bar->name,
                says);
    return SW_CANNOT;
}

/* Does what is faced off piece I cover what closing loses, and is its rod the bar? */
static enum sw_status check_piece(const struct bar *bar, size_t i)
{
    struct sw_arena *arena = bar->ctx->arena;
    const struct sw_plan *plan = bar->piece[i].plan;
    const struct sw_plan_chucking *c = &plan->chucking[0];
    const double rod = bar->piece[0].plan->chucking[0].rod_diameter;
    const double loses = c->holder->closing_loses.value;
    const double faced = c->rod_end_z - plan->shop->leave.tip.value;
    if (fabs(c->rod_diameter - rod) > SW_TOL_SLIVER)
        return refuse(bar, "batch.bar-rods", "make them in batches of their own",
                      sw_arena_printf(arena,
                                      "%s is cut from a rod of %.2f mm, the first piece of the bar "
                                      "from one of %.2f mm",
                                      bar->piece[i].name, c->rod_diameter, rod));
    if (c->second.section)
        return refuse(bar, "batch.second-spindle", "make the pieces singly: no `stop`",
                      sw_arena_printf(arena,
                                      "%s is taken by the second spindle, and no program for a run "
                                      "of pieces does that",
                                      bar->piece[i].name));
    if (loses > faced)
        return refuse(bar, "batch.closing", "a holder that closes nearer to where it was",
                      sw_arena_printf(arena,
                                      "%s may leave the end of a bar %.3f mm behind the stop; %.3f "
                                      "mm are faced off each piece",
                                      c->holder->name.value, loses, faced));
    return SW_OK;
}

/* Is there bar enough for each piece? */
static enum sw_status check(const struct bar *bar)
{
    struct sw_arena *arena = bar->ctx->arena;
    double left = bar->moves.bar;
    for (size_t i = 0; i < bar->n; i++) {
        const struct sw_plan *plan = bar->piece[i].plan;
        const struct sw_plan_chucking *c = &plan->chucking[0];
        const double need = c->stick_out + c->grip_length, piece = taken(c);
        SW_TRY(check_piece(bar, i));
        if (left < need - SW_TOL_SLIVER)
            return refuse(bar, "batch.bar-short",
                          sw_arena_printf(arena,
                                          "write a `facing` and a `parting` that make %.2f mm "
                                          "together, and `remnant: %.1f` or more",
                                          ceil(100 * (piece - plan->shape->staff->total)) / 100,
                                          ceil(10 * (need - piece)) / 10),
                          sw_arena_printf(arena,
                                          "piece %zu of %zu stands out %.2f mm and is gripped on "
                                          "%.2f mm, and %.2f mm of the bar are left",
                                          i + 1, bar->n, c->stick_out, c->grip_length, left));
        left -= piece;
    }
    return SW_OK;
}

/* Write pieces FROM .. TO as one program. */
static enum sw_status write_part(struct sw_post_programs *programs, struct sw_path **path,
                                 const struct bar *bar, size_t from, size_t to)
{
    struct sw_ctx *ctx = bar->ctx;
    struct sw_moves_run part = bar->moves;
    part.piece += from;
    part.n = to - from;
    part.first_number = from + 1;
    part.stem =
        from == 0 ? bar->name : sw_arena_printf(ctx->arena, "%s-%zu", bar->name, programs->n + 1);
    if (!part.stem)
        return SW_MEMORY;
    SW_TRY(sw_moves_run(path, &part, ctx));
    SW_TRY(sw_app_digest_note(*path, bar->work->post, ctx));
    return sw_post_write(programs, bar->work->post, *path, bar->work->shop->machine, ctx);
}

static enum sw_status write_programs(struct sw_post_programs *programs, struct sw_setup **setup,
                                     struct bar *bar)
{
    struct sw_ctx *ctx = bar->ctx;
    struct sw_path *path = NULL;
    for (size_t from = 0, to = 0; from < bar->n; from = to) {
        size_t events = 0;
        for (; to < bar->n && events < MOST_EVENTS; to++) {
            const struct sw_plan_chucking *c = &bar->piece[to].plan->chucking[0];
            for (size_t k = 0; k < c->n_ops; k++)
                for (size_t p = 0; p < c->op[k].n_passes; p++)
                    events += c->op[k].pass[p].run.n;
        }
        SW_TRY(write_part(programs, &path, bar, from, to));
        /* each part's path has to fit the travel; the last record names them all */
        SW_TRY(sw_moves_run_setup(setup, &bar->moves, bar->record, path, programs, bar->work->post,
                                  ctx));
    }
    SW_TRY(sw_app_digest_fill(programs, ctx));
    return sw_app_name_setup(*setup, bar->work, bar->folder, bar->run->app, ctx);
}

static enum sw_status failed(const struct bar *bar, const struct sw_verdict *verdict)
{
    const struct sw_finding *first = NULL;
    for (size_t i = 0; i < verdict->findings.n && !first; i++)
        if (verdict->findings.at[i].severity == SW_ERROR)
            first = &verdict->findings.at[i];
    sw_diag_add(bar->ctx->diag, SW_ERROR, "app.own-dryrun", (struct sw_span){0},
                "please report it together with the batch's files",
                "the program of %s fails its own dry run and was not written: line %u: %s",
                bar->name, first ? first->line : 0, first ? first->message : "");
    return SW_INTERNAL;
}

/* Take from the bar's dryrun.json where its pieces begin, and say what there is to say. */
static enum sw_status take(struct sw_buf *out, const struct bar *bar, const char *text, size_t size)
{
    struct sw_ctx *ctx = bar->ctx;
    struct sw_verdict *verdict = NULL;
    SW_TRY(sw_report_run_read(&verdict, text, size, ctx));
    const struct sw_piece_verdict *piece = verdict->piece.at;
    if (verdict->piece.n != bar->n)
        return SW_INPUT;
    double seconds = 0;
    size_t differ = 0;
    for (size_t i = 0; i < verdict->n_programs; i++)
        seconds += verdict->program[i].seconds;
    for (size_t i = 0; i < bar->n; i++) {
        const char *file = sw_arena_printf(ctx->arena, "%s/%s", bar->name, piece[i].program);
        if (!file)
            return SW_MEMORY;
        bar->begin[i] = (struct sw_batch_begin){file, piece[i].line};
        differ += piece[i].as == i;
    }
    sw_buf_printf(out, "  %s: %zu piece%s, all pass", bar->begin[0].program, bar->n,
                  bar->n == 1 ? "" : "s");
    if (differ < bar->n)
        sw_buf_printf(out, " (%zu judged move by move, the others cut by the same moves)", differ);
    sw_buf_printf(out, "; %.1f min without pauses; the last is held on %.2f mm\n", seconds / 60,
                  piece[bar->n - 1].gripped_mm);
    return SW_OK;
}

/* What the plans were made from, and the variants' own folders, which their records stand for. */
static enum sw_status list_inputs(struct sw_make_texts *inputs, const struct bar *bar)
{
    struct sw_ctx *ctx = bar->ctx;
    SW_TRY(sw_make_inputs(inputs, bar->folder, bar->run->app, ctx));
    for (size_t i = 0; i < bar->n; i++) {
        const char *name = bar->piece[i].name;
        if (i > 0 && bar->piece[i - 1].name == name)
            continue;
        const char *beside = sw_path_join(ctx->arena, bar->run->what->folder, name);
        const char *path = beside ? sw_path_join(ctx->arena, beside, sw_make_record_file) : NULL;
        struct sw_app_text input = {
            .name = sw_arena_printf(ctx->arena, "../%s/%s", name, sw_make_record_file)};
        if (!path || !input.name)
            return SW_MEMORY;
        SW_TRY(sw_file_read(&input.text, &input.size, path, SW_FILE_MOST_PROGRAM, ctx));
        if (!SW_VEC_PUSH(ctx->arena, inputs, input))
            return SW_MEMORY;
    }
    return SW_OK;
}

static enum sw_status make_bar(struct sw_buf *out, struct bar *bar, const size_t *variant)
{
    struct sw_ctx *ctx = bar->ctx;
    const struct sw_app *app = bar->run->app;
    struct sw_post_programs programs = {0};
    struct sw_make_texts files = {0}, inputs = {0};
    struct sw_setup *setup = NULL, *read = NULL;
    struct sw_verdict *verdict = NULL;
    struct sw_report_hash *hash;
    struct sw_buf text = {0};
    SW_TRY(gather(bar, variant));
    bar->moves.piece = bar->piece;
    bar->moves.n = bar->moves.n_all = bar->n;
    bar->moves.first_number = 1;
    bar->moves.stop = stop_of(bar->work->shop);
    bar->moves.nose_z = sw_moves_run_nose(bar->piece, bar->n);
    bar->moves.called =
        sw_arena_printf(ctx->arena, "%s, %s", bar->work->job->name.value, bar->name);
    if (!bar->moves.called)
        return SW_MEMORY;
    SW_TRY(check(bar));
    SW_TRY(list_inputs(&inputs, bar));
    SW_TRY(write_programs(&programs, &setup, bar));
    for (size_t i = 0; i < programs.n; i++) {
        const struct sw_app_text file = {programs.at[i].file, programs.at[i].text,
                                         programs.at[i].size};
        if (!SW_VEC_PUSH(ctx->arena, &files, file))
            return SW_MEMORY;
    }
    const struct sw_make_texts texts = files;
    sw_setup_write(setup, &text);
    SW_TRY(sw_make_keep(&files, sw_make_setup_file, &text, ctx));
    const struct sw_app_text *record = &files.at[files.n - 1];
    SW_TRY(sw_setup_parse(&read, sw_make_setup_file, record->text, record->size, ctx));
    SW_TRY(sw_app_judge_run(&verdict, texts.at, texts.n, read, bar->folder, bar->work->shop, false,
                            ctx));
    if (!verdict->passes)
        return failed(bar, verdict);
    SW_TRY(sw_app_hash_texts(&hash, texts.at, texts.n, ctx));
    SW_TRY(sw_make_verdict(&files, verdict, hash, app, ctx));
    const struct sw_app_text written = files.at[files.n - 1];
    SW_TRY(sw_make_record(&files, &inputs, app, ctx));
    SW_TRY(sw_make_folder(&files, bar->folder, bar->run->what->force, ctx));
    return take(out, bar, written.text, written.size);
}

/* Does what stands in the bar's folder come from the same files, for the same pieces off the same
 * bar? Then it is kept. ASIDE: what proving reads. */
static bool keep_bar(struct sw_buf *out, struct bar *bar, const size_t *variant,
                     struct sw_ctx *aside)
{
    struct sw_setup *setup = NULL;
    const char *path = sw_path_join(aside->arena, bar->folder, sw_make_setup_file), *text;
    size_t size;
    if (!sw_batch_is_proved(bar->run, bar->folder, NULL, aside) || !path ||
        sw_setup_load(&setup, path, aside) != SW_OK || setup->sides.n != 1)
        return false;
    const struct sw_setup_run *made = &((struct sw_setup_side *)setup->sides.at)->run;
    const struct sw_setup_piece *piece = made->pieces.at;
    if (made->pieces.n != bar->n || fabs(made->bar_length.value - bar->moves.bar) > SW_TOL_SLIVER)
        return false;
    for (size_t i = 0; i < bar->n; i++) {
        const char *name = NULL, *record;
        if (sw_batch_name(&name, bar->run->batch, variant[i], aside) != SW_OK ||
            (record = record_of(name, aside)) == NULL || strcmp(record, piece[i].setup.value) != 0)
            return false;
    }
    path = sw_path_join(aside->arena, bar->folder, sw_make_verdict_file);
    return path && sw_file_read(&text, &size, path, SW_FILE_MOST_PROGRAM, aside) == SW_OK &&
           take(out, bar, text, size) == SW_OK;
}

/* Of a bar all that outlives its context. */
struct item {
    size_t first, n; /* of the pieces */
    size_t number;   /* of the bar, from 1 */
    double length;
    enum sw_status status;
    struct sw_buf talk;
};

struct runs {
    const struct sw_batch_run *run;
    const struct sw_batch_bars *bars;
    const size_t *variant; /* by piece */
    struct item *item;
    struct sw_ctx *kept;
    pthread_mutex_t lock; /* of KEPT */
};

/* Where pieces begin goes on in the batch's context. */
static enum sw_status keep_begins(struct runs *runs, struct sw_batch_begin *begin, size_t n)
{
    const char *file = NULL, *copy = NULL;
    enum sw_status status = SW_OK;
    pthread_mutex_lock(&runs->lock);
    for (size_t i = 0; i < n; i++) {
        if (!file || strcmp(begin[i].program, file) != 0) {
            file = begin[i].program;
            copy = sw_arena_copy(runs->kept->arena, file, strlen(file));
            status = copy ? status : SW_MEMORY;
        }
        begin[i].program = copy;
    }
    pthread_mutex_unlock(&runs->lock);
    return status;
}

static enum sw_status run_bar(struct runs *runs, struct item *item, struct sw_ctx *ctx)
{
    struct sw_ctx aside = {ctx->arena, sw_diag_new()};
    struct bar bar = {.ctx = ctx,
                      .run = runs->run,
                      .n = item->n,
                      .begin = &runs->bars->begin[item->first],
                      .moves = {.bar = item->length}};
    const size_t *variant = &runs->variant[item->first];
    bar.name = sw_arena_printf(ctx->arena, SW_BATCH_BAR_FOLDER, item->number);
    bar.folder = bar.name ? sw_path_join(ctx->arena, runs->run->what->folder, bar.name) : NULL;
    if (!bar.folder || !aside.diag) {
        sw_diag_free(aside.diag);
        return SW_MEMORY;
    }
    /* What is kept is not written again, and would keep a killed run's lock. */
    const enum sw_status status = sw_outdir_clear(bar.folder, sw_make_record_file, ctx);
    const bool is_kept = status == SW_OK && keep_bar(&item->talk, &bar, variant, &aside);
    sw_diag_free(aside.diag);
    SW_TRY(status);
    if (!is_kept)
        SW_TRY(make_bar(&item->talk, &bar, variant));
    return keep_begins(runs, bar.begin, bar.n);
}

static void run_item(void *user, size_t i, struct sw_ctx *ctx)
{
    struct runs *runs = user;
    struct item *item = &runs->item[i];
    item->status = ctx ? run_bar(runs, item, ctx) : SW_MEMORY;
    if (item->status == SW_OK)
        return;
    memset(&runs->bars->begin[item->first], 0, item->n * sizeof *runs->bars->begin);
    sw_buf_printf(&item->talk, "  " SW_BATCH_BAR_FOLDER ": no program, %s\n", item->number,
                  sw_status_text(item->status));
    if (ctx)
        sw_diag_write(ctx->diag, &item->talk);
}

/* The bars of the plan and the variant of each piece, in the order of work. */
static enum sw_status list_items(struct item **out, size_t *n_items, size_t *variant,
                                 const struct sw_batch_run *run, const struct sw_batch_bars *bars,
                                 struct sw_ctx *ctx)
{
    struct sw_batch_walk walk;
    struct sw_batch_piece is;
    struct item *item = SW_NEW(ctx->arena, struct item, bars->plan.n);
    size_t n = 0;
    if (!item)
        return SW_MEMORY;
    SW_TRY(sw_batch_walk_begin(&walk, run, bars, ctx));
    for (size_t at = 0; sw_batch_walk_next(&is, &walk); at++) {
        if (n == 0 || item[n - 1].number != is.bar + 1)
            item[n++] = (struct item){.first = at,
                                      .number = is.bar + 1,
                                      .length = bars->kind[bars->plan.bar[is.bar].kind].length};
        item[n - 1].n++;
        variant[at] = is.variant;
    }
    *out = item;
    *n_items = n;
    return SW_OK;
}

/* A variant that may well be made the next time: without it the bars would get other pieces. */
static bool is_cut_short(const struct sw_batch_run *run)
{
    bool is_short = false;
    for (size_t i = 0; i < run->n; i++)
        is_short = is_short || sw_status_exit_code(run->result[i].status) == 5;
    return is_short;
}

enum sw_status sw_batch_make_runs(struct sw_buf *out, struct sw_batch_bars *bars,
                                  const struct sw_batch_run *run, const struct sw_work *work,
                                  struct sw_ctx *ctx)
{
    size_t n = 0, n_items = 0;
    if (!bars->plan.n || !stop_of(work->shop))
        return SW_OK;
    const char *why = why_not(work);
    if (why) {
        sw_buf_printf(out, "Runs: none, though the shop has a stop: %s\n", why);
        return SW_OK;
    }
    if (is_cut_short(run)) {
        sw_buf_add(out, "Runs: left as they are, since not every variant could be tried\n");
        return SW_OK;
    }
    for (size_t w = 0; w < bars->n_wants; w++)
        n += bars->want[w].n;
    size_t *variant = SW_NEW(ctx->arena, size_t, n);
    bars->begin = SW_NEW(ctx->arena, struct sw_batch_begin, n);
    if (!variant || !bars->begin)
        return SW_MEMORY;
    struct runs runs = {.run = run, .bars = bars, .variant = variant, .kept = ctx};
    SW_TRY(list_items(&runs.item, &n_items, variant, run, bars, ctx));
    if (pthread_mutex_init(&runs.lock, NULL) != 0)
        return SW_MEMORY;
    enum sw_status worst = sw_batch_each(run->what, n_items, "bars", run_item, &runs);
    pthread_mutex_destroy(&runs.lock);
    sw_buf_add(out, "Runs: the pieces of a bar one after the other\n");
    for (size_t i = 0; i < n_items; i++) {
        worst = sw_batch_worse(worst, runs.item[i].status);
        out->failed = out->failed || runs.item[i].talk.failed;
        sw_buf_add(out, sw_buf_text(&runs.item[i].talk));
        sw_buf_done(&runs.item[i].talk);
    }
    return worst;
}
