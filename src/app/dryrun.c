/* Judging programs given as files: with a job (which is planned to get its setup record), with a
 * setup record, or as a folder that make wrote. */
#include "app/app.h"

#include <math.h>
#include <string.h>

#include "app/bare.h"
#include "app/paths.h"
#include "base/file.h"

/* What a judgement needs besides the texts. */
struct basis {
    const struct sw_setup *setup;
    const char *folder; /* where the record stands */
    const struct sw_shop *shop;
    const struct sw_shape *shape;
};

/* Files that are not what they were when make judged them. */
struct changes {
    const char **at; /* as the record names them */
    size_t n, cap;
};

static enum sw_status refuse(enum sw_status status, const char *hint, const char *message,
                             const char *what, struct sw_ctx *ctx)
{
    sw_diag_add(ctx->diag, SW_ERROR, "app.dryrun", (struct sw_span){0}, hint, message, what);
    return status;
}

static enum sw_status basis_of_job(struct basis *basis, const char *path, const struct sw_app *app,
                                   struct sw_ctx *ctx)
{
    struct sw_work *work = SW_NEW(ctx->arena, struct sw_work, 1);
    if (!work)
        return SW_MEMORY;
    SW_TRY(sw_app_load_job(work, path, app, ctx));
    SW_TRY(sw_app_plan_job(work, NULL, app, ctx));
    SW_TRY(sw_app_write_job(work, ".", app, ctx));
    if (work->blank)
        SW_TRY(
            sw_app_resolve_blank(work->setup, &work->hardening->text, ".", work->staff, app, ctx));
    *basis = (struct basis){work->setup, ".", work->shop, work->shape};
    return SW_OK;
}

/* Staff and shop are named as seen from the record. */
static enum sw_status basis_of_setup(struct basis *basis, const char *path,
                                     const struct sw_app *app, struct sw_ctx *ctx)
{
    struct sw_setup *setup = NULL;
    SW_TRY(sw_setup_load(&setup, path, ctx));
    const char *folder = sw_path_folder(ctx->arena, path);
    const char *staff_path = folder ? sw_path_join(ctx->arena, folder, setup->staff.value) : NULL;
    if (!staff_path)
        return SW_MEMORY;
    struct sw_staff *staff = NULL;
    const enum sw_status status = sw_staff_load(&staff, staff_path, ctx);
    if (status == SW_UNREADABLE)
        sw_diag_add(ctx->diag, SW_ERROR, "app.dryrun", setup->staff.at,
                    "was the folder moved? Name the job with --job, or correct the record",
                    "the staff named here, as seen from this record, cannot be read");
    SW_TRY(status);
    const char *shop_path;
    SW_TRY(sw_shop_find(&shop_path, setup->shop.value, "shops", path, &app->search, setup->shop.at,
                        ctx));
    struct sw_shop *shop = NULL;
    SW_TRY(sw_shop_load(&shop, shop_path, &app->search, ctx));
    const struct sw_leave leave = {setup->stone, setup->burnish, setup->tip};
    const struct sw_shape_extra extra = {setup->upper_long.value, setup->lower_long.value};
    struct sw_shape *shape = NULL;
    SW_TRY(sw_shape_build(&shape, staff, &leave, &extra, ctx));
    if (sw_setup_has_blank(setup))
        SW_TRY(sw_app_resolve_blank(setup, NULL, folder, staff, app, ctx));
    *basis = (struct basis){setup, folder, shop, shape};
    return SW_OK;
}

static size_t n_programs_of(const struct sw_setup *setup)
{
    const struct sw_setup_side *side = setup->sides.at;
    size_t n = 0;
    for (size_t i = 0; i < setup->sides.n; i++)
        n += side[i].programs.n;
    return n;
}

/* The name the record gives to program I. */
static const char *program_of(const struct sw_setup *setup, size_t program)
{
    const struct sw_setup_side *side = setup->sides.at;
    for (size_t i = 0; i < setup->sides.n; program -= side[i].programs.n, i++)
        if (program < side[i].programs.n)
            return ((const struct sw_setup_program *)side[i].programs.at)[program].file.value;
    return NULL;
}

static size_t place_by_name(const struct sw_app_dryrun *dryrun, const char *name)
{
    for (size_t i = 0; i < dryrun->n; i++)
        if (strcmp(sw_app_base_name(dryrun->path[i]), name) == 0)
            return i;
    return dryrun->n;
}

/* Put the paths in the order in which the record runs them: by name when all names are the
 * record's, as given otherwise. */
static enum sw_status order_paths(const char ***out, const struct sw_app_dryrun *dryrun,
                                  const struct sw_setup *setup, struct sw_ctx *ctx)
{
    const size_t n = n_programs_of(setup);
    if (n != dryrun->n) {
        struct sw_buf names = {0};
        for (size_t i = 0; i < n; i++)
            sw_buf_printf(&names, "%s%s", i ? ", " : "", program_of(setup, i));
        sw_diag_add(ctx->diag, SW_ERROR, "app.dryrun", (struct sw_span){0},
                    "give all of them: a later side starts from what an earlier one left",
                    "the setup runs %zu program%s (%s), %zu %s given", n, n == 1 ? "" : "s",
                    sw_buf_text(&names), dryrun->n, dryrun->n == 1 ? "was" : "were");
        const bool failed = names.failed;
        sw_buf_done(&names);
        return failed ? SW_MEMORY : SW_USAGE;
    }
    const char **path = SW_NEW(ctx->arena, const char *, n);
    if (!path)
        return SW_MEMORY;
    bool all_named = true;
    for (size_t i = 0; i < n; i++)
        all_named = all_named && place_by_name(dryrun, program_of(setup, i)) < n;
    for (size_t i = 0; i < n; i++)
        path[i] = dryrun->path[all_named ? place_by_name(dryrun, program_of(setup, i)) : i];
    *out = path;
    return SW_OK;
}

static enum sw_status read_texts(struct sw_app_text **out, const char *const *path, size_t n,
                                 struct sw_ctx *ctx)
{
    struct sw_app_text *text = SW_NEW(ctx->arena, struct sw_app_text, n);
    if (!text)
        return SW_MEMORY;
    for (size_t i = 0; i < n; i++) {
        text[i].name = path[i];
        SW_TRY(sw_file_read(&text[i].text, &text[i].size, path[i], SW_FILE_MOST_PROGRAM, ctx));
    }
    *out = text;
    return SW_OK;
}

/* Worth a word, whatever the verdict. */
static enum sw_status add_changes(struct sw_verdict *verdict, const struct changes *changes,
                                  struct sw_ctx *ctx)
{
    for (size_t i = 0; i < changes->n; i++) {
        const char *message = sw_arena_printf(
            ctx->arena,
            "%s was changed since make judged it; this verdict is about it as it is now",
            changes->at[i]);
        const struct sw_finding finding = {.code = SW_FINDING_CHANGED_SINCE,
                                           .severity = SW_WARNING,
                                           .message = message,
                                           .value = (double)NAN,
                                           .limit = (double)NAN,
                                           .unit = "",
                                           .z = (double)NAN};
        if (!message)
            return SW_MEMORY;
        SW_TRY(sw_verdict_add(verdict, finding, ctx));
    }
    return SW_OK;
}

/* Programs whose head says another digest than theirs, but for those already known as changed. */
static enum sw_status add_edited(struct changes *changes, const struct sw_app_text *text, size_t n,
                                 struct sw_ctx *ctx)
{
    for (size_t i = 0; i < n; i++) {
        const char *name = sw_app_base_name(text[i].name);
        bool is_new;
        SW_TRY(sw_app_digest_differs(&is_new, &text[i], ctx));
        for (size_t k = 0; k < changes->n && is_new; k++)
            is_new = strcmp(changes->at[k], name) != 0;
        if (is_new && !SW_VEC_PUSH(ctx->arena, changes, name))
            return SW_MEMORY;
    }
    return SW_OK;
}

static enum sw_status judge(struct sw_verdict **out, struct sw_buf *json,
                            const struct sw_app_text *text, size_t n, const struct basis *basis,
                            struct changes *changes, const struct sw_app *app, struct sw_ctx *ctx)
{
    SW_TRY(add_edited(changes, text, n, ctx));
    const struct sw_setup_side *side = basis->setup->sides.at;
    SW_TRY(side->run.pieces.given
               ? sw_app_judge_run(out, text, n, basis->setup, basis->folder, basis->shop,
                                  app->by_referee, ctx)
               : sw_app_judge(out, text, n, basis->setup, basis->shop, basis->shape,
                              app->by_referee ? SW_APP_JUDGE_BY_REFEREE : SW_APP_JUDGE, ctx));
    SW_TRY(add_changes(*out, changes, ctx));
    if (json) {
        struct sw_report_hash *hash;
        SW_TRY(sw_app_hash_texts(&hash, text, n, ctx));
        SW_TRY(sw_report_dryrun_json(json, *out, hash, app->version));
    }
    return (*out)->passes ? SW_OK : SW_FOUND;
}

static enum sw_status find_changes(struct changes *changes, const struct sw_report_hash *hash,
                                   size_t n, const char *folder, bool is_input,
                                   const struct sw_app *app, struct sw_ctx *ctx)
{
    for (size_t i = 0; i < n; i++) {
        const char *path = sw_path_join(ctx->arena, folder, hash[i].file);
        if (!path)
            return SW_MEMORY;
        static const char profiles[] = "profiles/";
        if (is_input && strncmp(hash[i].file, profiles, sizeof profiles - 1) == 0) {
            path =
                sw_path_join(ctx->arena, app->search.roots[0], hash[i].file + sizeof profiles - 1);
            if (!path)
                return SW_MEMORY;
        } else if (is_input && strncmp(hash[i].file, "postprocessors/", 15) == 0) {
            path = sw_arena_printf(ctx->arena, "%s/../%s", app->search.roots[0], hash[i].file);
            if (!path)
                return SW_MEMORY;
        }
        /* A missing file is nobody's fault here: what the judgement needs it will ask for. */
        struct sw_diag *quiet = sw_diag_new();
        struct sw_ctx aside = {ctx->arena, quiet};
        const char *text, *sha256;
        size_t size;
        if (!quiet)
            return SW_MEMORY;
        const enum sw_status status =
            sw_file_read(&text, &size, path, SW_FILE_MOST_PROGRAM, &aside);
        sw_diag_free(quiet);
        if (status == SW_MEMORY)
            return status;
        if (status == SW_READ) /* once more, so that it is said */
            SW_TRY(sw_file_read(&text, &size, path, SW_FILE_MOST_PROGRAM, ctx));
        else if (status != SW_OK)
            continue;
        SW_TRY(sw_app_sha256(&sha256, text, size, ctx));
        if (strcmp(sha256, hash[i].sha256) != 0 && !SW_VEC_PUSH(ctx->arena, changes, hash[i].file))
            return SW_MEMORY;
    }
    return SW_OK;
}

static enum sw_status judge_folder(struct sw_verdict **out, struct sw_buf *json, const char *folder,
                                   const struct sw_app *app, struct sw_ctx *ctx)
{
    const char *record_path = sw_path_join(ctx->arena, folder, "record.json");
    if (!record_path)
        return SW_MEMORY;
    const char *text;
    size_t size;
    SW_TRY(sw_file_read(&text, &size, record_path, SW_FILE_MOST_INPUT, ctx));
    struct sw_report_record *record = NULL;
    SW_TRY(sw_report_record_read(&record, record_path, text, size, ctx));
    struct changes changes = {0};
    SW_TRY(find_changes(&changes, record->file, record->n_files, folder, false, app, ctx));
    SW_TRY(find_changes(&changes, record->input, record->n_inputs, folder, true, app, ctx));

    struct basis basis;
    const char *setup_path = sw_path_join(ctx->arena, folder, record->setup);
    if (!setup_path)
        return SW_MEMORY;
    SW_TRY(basis_of_setup(&basis, setup_path, app, ctx));
    const size_t n = n_programs_of(basis.setup);
    const char **path = SW_NEW(ctx->arena, const char *, n);
    if (!path)
        return SW_MEMORY;
    for (size_t i = 0; i < n; i++) {
        path[i] = sw_path_join(ctx->arena, folder, program_of(basis.setup, i));
        if (!path[i])
            return SW_MEMORY;
    }
    struct sw_app_text *texts = NULL;
    SW_TRY(read_texts(&texts, path, n, ctx));
    for (size_t i = 0; i < n; i++)
        texts[i].name = sw_app_base_name(path[i]); /* as make calls them: same bytes of JSON */
    return judge(out, json, texts, n, &basis, &changes, app, ctx);
}

/* Programs in the order given, on one chucking, with nothing to compare with. */
static enum sw_status judge_bare(struct sw_verdict **out, struct sw_buf *json,
                                 const struct sw_app_dryrun *dryrun, const struct sw_app *app,
                                 struct sw_ctx *ctx)
{
    const char *shop_path;
    struct sw_shop *shop = NULL;
    struct sw_setup *setup = NULL;
    struct sw_app_text *texts = NULL;
    if (!dryrun->shop || !dryrun->stock)
        return refuse(SW_USAGE, "write --shop SHOP --stock 2,12: what is fitted, and the rod",
                      "%s: a shop and its rod go together",
                      dryrun->shop ? "--stock is missing" : "--shop is missing", ctx);
    SW_TRY(sw_shop_find(&shop_path, dryrun->shop, "shops", "./-", &app->search, (struct sw_span){0},
                        ctx));
    SW_TRY(sw_shop_load(&shop, shop_path, &app->search, ctx));
    SW_TRY(sw_app_bare_setup(&setup, dryrun, shop, app, ctx));
    SW_TRY(read_texts(&texts, dryrun->path, dryrun->n, ctx));
    struct changes none = {0};
    const struct basis basis = {setup, ".", shop, NULL};
    return judge(out, json, texts, dryrun->n, &basis, &none, app, ctx);
}

enum sw_status sw_app_dryrun(struct sw_verdict **out, struct sw_buf *json,
                             const struct sw_app_dryrun *dryrun, const struct sw_app *app,
                             struct sw_ctx *ctx)
{
    *out = NULL;
    if (dryrun->job && dryrun->setup)
        return refuse(SW_USAGE, NULL, "%s: give either a job or a setup record, not both", "dryrun",
                      ctx);
    const bool has_basis = dryrun->job || dryrun->setup;
    const bool is_bare =
        dryrun->shop || dryrun->stock || dryrun->holder || dryrun->tools || dryrun->spindle;
    if (has_basis && is_bare)
        return refuse(SW_USAGE, "leave --shop, --stock, --holder, --tool and --spindle out",
                      "%s names its own shop", dryrun->job ? "the job" : "the setup record", ctx);
    if (is_bare)
        return judge_bare(out, json, dryrun, app, ctx);
    if (!has_basis && dryrun->n == 1 && sw_app_is_folder(dryrun->path[0]))
        return judge_folder(out, json, dryrun->path[0], app, ctx);
    if (!has_basis)
        return refuse(
            SW_USAGE,
            "give --setup setup.yaml (as make writes it), --job job.yaml, --shop SHOP with "
            "--stock D,L, or a folder that make wrote",
            "%s cannot be judged without knowing what stands where on the machine", dryrun->path[0],
            ctx);
    struct basis basis;
    struct changes none = {0}; /* but what their heads say */
    SW_TRY(dryrun->job ? basis_of_job(&basis, dryrun->job, app, ctx)
                       : basis_of_setup(&basis, dryrun->setup, app, ctx));
    const char **path = NULL;
    struct sw_app_text *texts = NULL;
    SW_TRY(order_paths(&path, dryrun, basis.setup, ctx));
    SW_TRY(read_texts(&texts, path, dryrun->n, ctx));
    return judge(out, json, texts, dryrun->n, &basis, &none, app, ctx);
}
