/* Program texts and a setup record to a verdict. Of the maker nothing is used here. */
#include "app/app.h"

#include <ctype.h>
#include <string.h>

#include "ncread/ncread.h"

/* The number written in digits at TEXT; *AFTER is where they end. 0 when there are none. */
static int read_count(const char *text, const char **after)
{
    enum { MOST = 1000 };
    int number = 0;
    for (; isdigit((unsigned char)*text) && number < MOST; text++)
        number = 10 * number + (*text - '0');
    *after = text;
    return number;
}

/* With one file a tool the record says which tool it is for, or its name: "side-1-t3.nc" is for
 * station 3, and "side-1-t3-2.nc" is its second turn. A side with one tool needs no such word. 0:
 * not known. */
static int station_of_file(const struct sw_setup_program *program, const struct sw_setup_side *side)
{
    const struct sw_setup_station *station = side->stations.at;
    const char *file = program->file.value;
    if (program->tool.given)
        return (int)program->tool.value;
    if (side->stations.n == 1)
        return (int)station[0].station.value;
    int found = 0;
    for (const char *at = strstr(file, "-t"); at; at = strstr(at + 1, "-t")) {
        const char *after;
        const int number = read_count(at + 2, &after);
        if (number && *after == '-')
            read_count(after + 1, &after);
        if (number && (*after == '.' || !*after))
            found = number;
    }
    return found;
}

/* What stands in the control when a program starts, by the record. */
static void fill_start(struct sw_ncread_start *start, const struct sw_setup_program *program,
                       const struct sw_setup_side *side, const struct sw_machine *machine)
{
    memset(start, 0, sizeof *start);
    start->at = (struct sw_motion_pt){side->park_x.value, side->park_z.value};
    start->home[0] = start->home[1] = start->at;
    const struct sw_station *fitted = machine->stations.at;
    for (size_t i = 0; i < machine->stations.n; i++)
        if (fitted[i].number.value > start->n_tools && fitted[i].number.value < SW_NCREAD_TOOLS)
            start->n_tools = (int)fitted[i].number.value;

    const enum sw_tool_offset_kind kind =
        (enum sw_tool_offset_kind)machine->control.tool_offsets.value;
    const int alone = kind == SW_OFFSET_NONE ? station_of_file(program, side) : 0;
    const struct sw_setup_station *station = side->stations.at;
    for (size_t i = 0; i < side->stations.n; i++) {
        const struct sw_motion_pt zero = {station[i].zero_x.value, station[i].zero_z.value};
        const int number = (int)station[i].station.value;
        const int system = (int)station[i].system.value;
        if (kind == SW_OFFSET_WITH_TOOL && number > 0 && number < SW_NCREAD_TOOLS)
            start->tool_offset[number] = zero;
        else if (kind == SW_OFFSET_BY_SYSTEM && system >= 1 && system <= SW_NCREAD_SYSTEMS)
            start->origin[system - 1] = zero;
        else if (kind == SW_OFFSET_NONE && number == alone)
            start->origin[0] = zero;
    }
    start->is_tool_loaded = alone > 0;
    start->tool = alone;
}

/* The side a program runs on, and what the record says of it: by its place in the order of work. */
static const struct sw_setup_side *side_of(const struct sw_setup_program **out,
                                           const struct sw_setup *setup, size_t program)
{
    const struct sw_setup_side *side = setup->sides.at;
    for (size_t i = 0; i < setup->sides.n; i++) {
        const struct sw_setup_program *at = side[i].programs.at;
        if (program < side[i].programs.n) {
            *out = &at[program];
            return &side[i];
        }
        program -= side[i].programs.n;
    }
    return NULL;
}

enum sw_status sw_app_read_program(struct sw_verify_program *out, const struct sw_app_text *text,
                                   size_t program, const struct sw_setup *setup,
                                   const struct sw_shop *shop, struct sw_ctx *ctx)
{
    struct sw_ncread_start *start = SW_NEW(ctx->arena, struct sw_ncread_start, 1);
    struct sw_motion *motion = SW_NEW(ctx->arena, struct sw_motion, 1);
    const struct sw_setup_program *of = NULL;
    const struct sw_setup_side *side = side_of(&of, setup, program);
    if (!start || !motion)
        return SW_MEMORY;
    if (!side)
        return SW_INTERNAL;
    fill_start(start, of, side, shop->machine);
    const enum sw_status status = sw_ncread_text(motion, text->name, text->text, text->size,
                                                 &shop->machine->control, start, ctx);
    if (status != SW_OK && status != SW_FOUND)
        return status;
    *out = (struct sw_verify_program){text->name, motion, status == SW_FOUND};
    return SW_OK;
}

enum sw_status sw_app_judge(struct sw_verdict **out, const struct sw_app_text *text, size_t n,
                            const struct sw_setup *setup, const struct sw_shop *shop,
                            const struct sw_shape *shape, enum sw_app_judging how,
                            struct sw_ctx *ctx)
{
    struct sw_verify_program *program = SW_NEW(ctx->arena, struct sw_verify_program, n);
    if (!program)
        return SW_MEMORY;
    for (size_t i = 0; i < n; i++)
        SW_TRY(sw_app_read_program(&program[i], &text[i], i, setup, shop, ctx));
    if (how == SW_APP_JUDGE_BY_REFEREE)
        return sw_verify_by_referee(out, program, n, setup, shop, shape, ctx);
    if (how == SW_APP_JUDGE_BY_LINE)
        return sw_verify_by_line(out, program, n, setup, shop, shape, ctx);
    return sw_verify_run(out, program, n, setup, shop, shape, ctx);
}
