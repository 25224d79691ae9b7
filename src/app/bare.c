/* Programs nobody planned: a setup record made from the shop and the rod alone. */
#include <math.h>
#include <string.h>

#include "app/bare.h"
#include "app/paths.h"
#include "base/num.h"

/* The longest rod and the thickest that are believed [mm]; beyond it is a slip of the hand. */
#define MOST_MM 500.0

static struct sw_number number(double value)
{
    return (struct sw_number){.value = value, .given = true};
}

static enum sw_status refuse(enum sw_status status, const char *hint, struct sw_ctx *ctx,
                             const char *message, const char *what)
{
    sw_diag_add(ctx->diag, SW_ERROR, "app.dryrun", (struct sw_span){0}, hint, message, what);
    return status;
}

/* "2,12": diameter, and what stands out of the holder. */
static enum sw_status read_stock(double *diameter, double *out, const char *text,
                                 struct sw_ctx *ctx)
{
    const char *comma = strchr(text, ',');
    const bool reads = comma && sw_num_parse(diameter, text, (size_t)(comma - text)) &&
                       sw_num_parse(out, comma + 1, strlen(comma + 1));
    if (reads && *diameter > 0 && *diameter <= MOST_MM && *out > 0 && *out <= MOST_MM)
        return SW_OK;
    return refuse(SW_USAGE,
                  "write --stock 2,12 for a rod of 2 mm that stands 12 mm out of the holder", ctx,
                  "`%s` is no rod: its diameter and the length that stands out, in mm", text);
}

static bool is_called(const struct sw_holder *holder, const char *listed, const char *name)
{
    return strcmp(holder->name.value, name) == 0 || (listed && strcmp(listed, name) == 0);
}

/* The holder asked for; else the first of the shop that takes the rod with what hangs behind. */
static enum sw_status choose_holder(const struct sw_holder **out, const struct sw_shop *shop,
                                    double diameter, const char *name, struct sw_ctx *ctx)
{
    const struct sw_text *listed = shop->holder_names.at;
    for (size_t i = 0; i < shop->n_holders; i++) {
        const struct sw_holder *holder = shop->holders[i];
        const bool takes =
            sw_holder_size_for(holder, diameter) > 0 && holder->bore_behind.value >= diameter;
        if (name ? is_called(holder, listed[i].value, name) : takes) {
            *out = holder;
            return SW_OK;
        }
    }
    if (name)
        return refuse(SW_INPUT, "name one of the shop's own `holders`", ctx,
                      "the shop has no holder called %s", name);
    const char *rod = sw_arena_printf(ctx->arena, "%.3f", diameter);
    if (!rod)
        return SW_MEMORY;
    return refuse(SW_CANNOT, "give one with --holder, or another --stock", ctx,
                  "no holder of the shop takes a rod of %s mm through its bore", rod);
}

/* "1,3": the station of each program, in order. */
static enum sw_status read_tools(struct sw_setup_program *program, size_t n, const char *text,
                                 const struct sw_shop *shop, struct sw_ctx *ctx)
{
    const char *at = text;
    for (size_t i = 0; i < n; i++) {
        const size_t size = strcspn(at, ",");
        double station;
        bool is_fitted = false;
        const bool reads = sw_num_parse(&station, at, size);
        const struct sw_fitted_tool *fitted = shop->tools.at;
        for (size_t k = 0; reads && k < shop->tools.n; k++)
            is_fitted = is_fitted || fitted[k].station.value == station;
        if (!is_fitted)
            return refuse(
                SW_USAGE,
                "name for each program, in their order, a station of the shop: --tool 1,3", ctx,
                "`%s` does not say which tool each program begins with", text);
        program[i].tool = number(station);
        at += size + (at[size] == ',' && i + 1 < n);
    }
    if (*at && strcspn(at, ",") < strlen(at))
        return refuse(SW_USAGE, "one station a program", ctx, "`%s` names more tools than programs",
                      text);
    return SW_OK;
}

/* "4000,M4": set before each program, and the same after each stop. */
static enum sw_status read_spindle(struct sw_setup_program *program, size_t n, const char *text,
                                   struct sw_ctx *ctx)
{
    struct sw_setup_switch *set = SW_NEW(ctx->arena, struct sw_setup_switch, 1);
    const size_t size = strcspn(text, ",");
    const char *sense = text[size] ? text + size + 1 : "M3";
    const bool is_m4 = strcmp(sense, "M4") == 0;
    double speed;
    if (!set)
        return SW_MEMORY;
    if (!sw_num_parse(&speed, text, size) || !(speed > 0) || (!is_m4 && strcmp(sense, "M3") != 0))
        return refuse(SW_USAGE, "write --spindle 4000, or --spindle 4000,M4", ctx,
                      "`%s` is no speed in rev/min with a sense, M3 or M4", text);
    *set = (struct sw_setup_switch){
        .turn = {.value = is_m4 ? SW_SETUP_M4 : SW_SETUP_M3, .given = true},
        .speed = number(speed)};
    for (size_t i = 0; i < n; i++)
        program[i].spindle = (struct sw_list){.at = set, .n = 1, .given = true};
    return SW_OK;
}

/* What the programs of this control cannot bring along themselves. */
static enum sw_status read_hands(struct sw_setup_program *program,
                                 const struct sw_app_dryrun *dryrun, const struct sw_shop *shop,
                                 struct sw_ctx *ctx)
{
    const struct sw_control *control = &shop->machine->control;
    if (dryrun->tools)
        SW_TRY(read_tools(program, dryrun->n, dryrun->tools, shop, ctx));
    else if (control->tool_words.value == 0 && shop->tools.n > 1)
        return refuse(SW_USAGE,
                      "name the station of each program's tool, in their order, as in --tool 1,3",
                      ctx, "the control of %s changes no tools, and nothing says which one is in",
                      shop->machine->name.value);
    if (dryrun->spindle && control->spindle_words.value == 1)
        return refuse(SW_USAGE, "leave --spindle out", ctx,
                      "on %s the programs switch the spindle themselves",
                      shop->machine->name.value);
    if (dryrun->spindle)
        return read_spindle(program, dryrun->n, dryrun->spindle, ctx);
    if (control->spindle_words.value == 0)
        return refuse(SW_USAGE, "say how it is set, as in --spindle 4000 or --spindle 4000,M4", ctx,
                      "the spindle of %s is switched by hand, and nothing says how it turns",
                      shop->machine->name.value);
    return SW_OK;
}

static enum sw_status stations_of(struct sw_setup_side *side, const struct sw_shop *shop,
                                  const struct sw_post *post, struct sw_ctx *ctx)
{
    const struct sw_fitted_tool *fitted = shop->tools.at;
    struct sw_setup_station *out = SW_NEW(ctx->arena, struct sw_setup_station, shop->tools.n);
    if (!out)
        return SW_MEMORY;
    const struct sw_pt zero = sw_moves_first_zero(shop);
    for (size_t i = 0; i < shop->tools.n; i++) {
        const int at = (int)fitted[i].station.value;
        const struct sw_station *station = sw_machine_station(shop->machine, at);
        int system = 0;
        SW_TRY(sw_post_system_of(&system, post, at, ctx));
        out[i] = (struct sw_setup_station){.station = number(at),
                                           .tool = fitted[i].tool,
                                           .zero_x = number(zero.r - station->at.x.value),
                                           .zero_z = number(zero.z - station->at.z.value),
                                           .system = number(system)};
    }
    side->stations = (struct sw_list){.at = out, .n = shop->tools.n, .given = true};
    if (shop->tools.n > 0) {
        side->park_x = number(out[0].zero_x.value + SW_MOVES_HAND_R);
        side->park_z = number(out[0].zero_z.value + SW_MOVES_HAND_Z);
    }
    return SW_OK;
}

enum sw_status sw_app_bare_setup(struct sw_setup **out, const struct sw_app_dryrun *dryrun,
                                 const struct sw_shop *shop, const struct sw_app *app,
                                 struct sw_ctx *ctx)
{
    double diameter, stick_out;
    SW_TRY(read_stock(&diameter, &stick_out, dryrun->stock, ctx));
    const struct sw_holder *holder = NULL;
    SW_TRY(choose_holder(&holder, shop, diameter, dryrun->holder, ctx));
    const struct sw_post *post = NULL;
    SW_TRY(sw_post_load(&post, shop->post.value, shop->file, &app->search, shop->post.at, ctx));
    struct sw_setup *setup = SW_NEW(ctx->arena, struct sw_setup, 1);
    struct sw_setup_side *side = SW_NEW(ctx->arena, struct sw_setup_side, 1);
    struct sw_setup_program *files = SW_NEW(ctx->arena, struct sw_setup_program, dryrun->n);
    if (!setup || !side || !files)
        return SW_MEMORY;
    for (size_t i = 0; i < dryrun->n; i++)
        files[i].file = (struct sw_text){.value = sw_app_base_name(dryrun->path[i]), .given = true};
    SW_TRY(read_hands(files, dryrun, shop, ctx));
    side->name = (struct sw_text){.value = "side 1", .given = true};
    side->programs = (struct sw_list){.at = files, .n = dryrun->n, .given = true};
    side->holder = holder->name;
    side->grips = (struct sw_text){.value = "rod", .given = true};
    side->grip_diameter = number(diameter);
    side->grip_length = number(holder->most_grip.value);
    side->nose_z = number(-stick_out);
    side->end = (struct sw_choice){.value = 0, .given = true};
    side->rod_diameter = number(diameter);
    side->rod_end_z = number(0);
    side->tail = number(0);
    SW_TRY(stations_of(side, shop, post, ctx));
    setup->file = dryrun->shop;
    setup->shop = (struct sw_text){.value = dryrun->shop, .given = true};
    setup->stone = setup->burnish = setup->tip = number(0);
    setup->upper_long = setup->lower_long = number(0);
    setup->sides = (struct sw_list){.at = side, .n = 1, .given = true};
    *out = setup;
    return SW_OK;
}
