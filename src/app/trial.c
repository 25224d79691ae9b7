/* A dialect's trial from file to result: the path, its texts, two readings. */
#include "app/trial.h"

#include <ctype.h>
#include <math.h>
#include <string.h>

#include "app/app.h"
#include "base/num.h"

/* Put into the corrections, or onto the tools' zeroes, for the second reading [mm on radius]: of
 * unequal size and sign, and no multiple of one another. */
static const double second_value[SW_TRIAL_CORRECTIONS + 1] = {0, -0.0125, 0.0171};

/* Zeroes that no other number of the trial comes near: each axis and station its own. */
static void place_zeroes(struct sw_trial_run *run)
{
    for (int i = 1; i < SW_NCREAD_TOOLS; i++)
        run->zero[i] = (struct sw_motion_pt){-31.71519 - 3.12347 * i, -58.40231 - 5.71361 * i};
}

static enum sw_status choose_stations(struct sw_trial_run *run)
{
    const struct sw_station *station = run->machine->stations.at;
    const size_t n = run->machine->stations.n;
    for (size_t i = 0; i < 2; i++)
        run->station[i] = n ? (int)station[i < n ? i : n - 1].number.value : 1 + (int)i;
    for (size_t i = 0; i < 2; i++)
        if (run->station[i] < 1 || run->station[i] >= SW_NCREAD_TOOLS)
            return SW_INPUT; /* the machine's table keeps numbers within */
    return SW_OK;
}

/* Of the program that is the I-th of its kind. */
static enum sw_status fill_start(struct sw_ncread_start *start, const struct sw_trial_run *run,
                                 size_t program)
{
    memset(start, 0, sizeof *start);
    start->n_tools = SW_NCREAD_TOOLS - 1;
    const bool is_alone = sw_post_is_file_per_tool(run->post);
    const int first = run->station[program < 2 ? program : 1];
    const struct sw_motion_pt zero = run->zero[first];
    start->at = (struct sw_motion_pt){zero.x + run->path.park.r, zero.z + run->path.park.z};
    start->home[0] = start->home[1] = start->at;
    if (is_alone) {
        start->origin[0] = zero;
        start->is_tool_loaded = true;
        start->tool = first;
        return SW_OK;
    }
    for (int i = 0; i < 2; i++) {
        int system;
        SW_TRY(sw_post_system_of(&system, run->post, run->station[i], run->ctx));
        if (system)
            start->origin[system - 1] = run->zero[run->station[i]];
        else
            start->tool_offset[run->station[i]] = run->zero[run->station[i]];
    }
    return SW_OK;
}

/* TEXT with VALUE written over the number behind "NAME=", as the operator does. *OUT is NULL when
 * there is none. */
static enum sw_status set_correction(const char **out, const char *text, const char *name,
                                     double value, struct sw_ctx *ctx)
{
    const size_t size = strlen(name);
    *out = NULL;
    for (const char *at = strstr(text, name); at; at = strstr(at + 1, name)) {
        const bool begins = at == text || at[-1] == '\n' || at[-1] == ' ';
        if (!begins || at[size] != '=')
            continue;
        const char *number = at + size + 1, *end = number;
        while (*end == '-' || *end == '+' || *end == '.' || isdigit((unsigned char)*end))
            end++;
        if (end == number)
            continue;
        const char *front = sw_arena_copy(ctx->arena, text, (size_t)(number - text));
        *out = front ? sw_arena_printf(ctx->arena, "%s%.4f%s", front, value, end) : NULL;
        return *out ? SW_OK : SW_MEMORY;
    }
    return SW_OK;
}

/* With all corrections set; *SET counts those the text has a line for. */
static enum sw_status text_of(const char **out, int *set, const struct sw_trial_run *run,
                              size_t program)
{
    *out = run->programs.at[program].text;
    for (int i = 1; i <= SW_TRIAL_CORRECTIONS; i++) {
        if (!sw_post_has_corrections(run->post) || run->correction[i] == 0)
            continue;
        const char *name = sw_post_correction_name(run->post, i, run->ctx), *changed;
        if (!name)
            return SW_MEMORY;
        SW_TRY(set_correction(&changed, *out, name, run->correction[i], run->ctx));
        *set += changed != NULL;
        *out = changed ? changed : *out;
    }
    return SW_OK;
}

static enum sw_status read_all(struct sw_trial_run *run, int *set)
{
    struct sw_ncread_start *start = SW_NEW(run->ctx->arena, struct sw_ncread_start, 1);
    if (!start)
        return SW_MEMORY;
    if (run->programs.n > SW_TRIAL_PROGRAMS)
        return SW_INTERNAL;
    run->found->n_programs = run->programs.n;
    run->found->n_blocks = 0;
    for (size_t i = 0; i < run->programs.n; i++) {
        const char *text;
        SW_TRY(text_of(&text, set, run, i));
        SW_TRY(fill_start(start, run, i));
        run->motion[i] = (struct sw_motion){0};
        const size_t before = sw_diag_n_errors(run->ctx->diag);
        const enum sw_status status =
            sw_ncread_text(&run->motion[i], run->programs.at[i].file, text, strlen(text),
                           &run->machine->control, start, run->ctx);
        if (status != SW_OK && status != SW_FOUND)
            return status;
        run->found->n_faults += sw_diag_n_errors(run->ctx->diag) - before;
        run->found->n_blocks += run->motion[i].n_blocks;
    }
    return SW_OK;
}

/* Once more with the corrections, or where the dialect has none the zeroes, moved: what cuts by
 * them must move along, with their sign, on radius. */
static enum sw_status read_again(struct sw_trial_run *run)
{
    struct sw_ctx *ctx = run->ctx;
    int set = 0;
    if (sw_post_has_corrections(run->post)) {
        memcpy(run->correction, second_value, sizeof second_value);
        const char *first = sw_post_correction_name(run->post, 1, ctx);
        run->second =
            first ? sw_arena_printf(ctx->arena, "%s=%.4f and its like", first, second_value[1])
                  : NULL;
    } else {
        for (int i = 0; i < 2; i++)
            run->zero[run->station[i]].x += second_value[i + 1];
        run->second =
            sw_arena_printf(ctx->arena, "X of the tools' zeroes moved by %.4f", second_value[1]);
    }
    if (!run->second)
        return SW_MEMORY;
    SW_TRY(read_all(run, &set));
    run->found->has_second_read = true;
    run->found->second = run->second;
    if (sw_post_has_corrections(run->post) && set < SW_TRIAL_CORRECTIONS) {
        const struct sw_trial_difference none = {
            .event = 1,
            .kind = "correction",
            .program = run->programs.at[0].file,
            .asked = "a line that sets each correction",
            .read = "no such line",
            .likely = "`corrections.head` or `called`: the operator finds no number to write over"};
        return SW_VEC_PUSH(ctx->arena, &run->found->differences, none) ? SW_OK : SW_MEMORY;
    }
    return sw_trial_compare(run);
}

static enum sw_status load_machine(struct sw_machine **machine, const char *name,
                                   const struct sw_app *app, struct sw_ctx *ctx)
{
    const char *path;
    SW_TRY(sw_shop_find(&path, name, "machines", "./-", &app->search, (struct sw_span){0}, ctx));
    return sw_machine_load(machine, path, ctx);
}

enum sw_status sw_app_try_post(struct sw_trial **out, const struct sw_post *post,
                               const char *machine, const struct sw_app *app, struct sw_ctx *ctx)
{
    struct sw_trial_run *run = SW_NEW(ctx->arena, struct sw_trial_run, 1);
    struct sw_trial *found = SW_NEW(ctx->arena, struct sw_trial, 1);
    struct sw_machine *lathe = NULL;
    if (!run || !found)
        return SW_MEMORY;
    SW_TRY(load_machine(&lathe, machine, app, ctx));
    *run = (struct sw_trial_run){
        .post = post, .machine = lathe, .can = sw_post_abilities(post), .found = found, .ctx = ctx};
    *found = (struct sw_trial){.dialect = sw_post_file(post), .machine = lathe->file};
    /* Both are sound by themselves; that they do not go together is no fault of either. */
    const enum sw_status goes = sw_post_check(post, lathe, ctx);
    if (goes != SW_OK)
        return goes == SW_INPUT ? SW_CANNOT : goes;
    SW_TRY(choose_stations(run));
    place_zeroes(run);
    SW_TRY(sw_trial_make_path(run));
    SW_TRY(sw_post_write(&run->programs, post, &run->path, lathe, ctx));
    int set = 0;
    SW_TRY(read_all(run, &set));
    SW_TRY(sw_trial_compare(run));
    if (found->n_faults == 0 && found->differences.n == 0)
        SW_TRY(read_again(run));
    *out = found;
    if (sw_diag_failed(ctx->diag))
        return SW_MEMORY;
    return found->n_faults || found->differences.n ? SW_FOUND : SW_OK;
}
