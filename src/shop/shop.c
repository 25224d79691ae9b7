/* The shop file and all it names. Every named file is found and read even when others are faulty,
 * so that one run shows all there is to mend; a file that is named twice is read once. */
#include "shop/shop.h"

#include <math.h>
#include <string.h>

#include "geom/tol.h"
#include "shop/bench_int.h"
#include "shop/read_int.h"

/* clang-format off */
static const struct sw_field fitted_fields[] = {
    {.key = "station", .kind = SW_FIELD_INTEGER, .offset = offsetof(struct sw_fitted_tool, station),
     .is_required = true, .least = 1, .most = 99,
     .sentence = "Number of a station of the machine."},
    {.key = "tool", .kind = SW_FIELD_TEXT, .offset = offsetof(struct sw_fitted_tool, tool),
     .is_required = true, .sentence = "The tool that stands there: a file or a profile's name."},
};
static const struct sw_table fitted_table = {
    "fitted-tool", "A tool in its station.", sizeof(struct sw_fitted_tool), fitted_fields,
    sizeof fitted_fields / sizeof *fitted_fields};

#define STOCK(member) .offset = offsetof(struct sw_stock, member)
#define LENGTH .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_LENGTH

static const struct sw_field stock_fields[] = {
    {.key = "material", .kind = SW_FIELD_TEXT, STOCK(material), .is_required = true,
     .sentence = "What the rod is made of: a file or a profile's name."},
    {.key = "diameter", LENGTH, STOCK(diameter), .is_required = true, .least = 0.1, .most = 100,
     .sentence = "Nominal diameter of the rod."},
    {.key = "length", LENGTH, STOCK(length), .is_required = true, .least = 5, .most = 4000,
     .sentence = "Length of a whole rod."},
    {.key = "straightness", LENGTH, STOCK(straightness), .least = 0, .most = 50,
     .fallback = "0.5",
     .sentence = "How far the rod is bowed over a metre of its length; it counts where the rod is "
                 "fed out of a guide bush."},
    {.key = "under", LENGTH, STOCK(under), .least = 0, .most = 0.5, .fallback = "0.01",
     .sentence = "How much thinner than nominal the rod may turn out."},
};
static const struct sw_table stock_table = {
    "rod", "A rod the workshop has.", sizeof(struct sw_stock), stock_fields,
    sizeof stock_fields / sizeof *stock_fields};

#define LEAVE(member) .offset = offsetof(struct sw_leave, member)

static const struct sw_field leave_fields[] = {
    {.key = "stone", LENGTH, LEAVE(stone), .least = 0, .most = 0.2, .fallback = "0.008",
     .sentence = "Left on the diameter of a seat that is stoned to size."},
    {.key = "burnish", LENGTH, LEAVE(burnish), .least = 0, .most = 0.2, .fallback = "0.012",
     .sentence = "Left on the diameter of a pivot that is burnished to size."},
    {.key = "tip", LENGTH, LEAVE(tip), .least = 0, .most = 0.2, .fallback = "0.012",
     .sentence = "Left on the length at each tip that is rounded and polished by hand."},
};
static const struct sw_table leave_table = {
    "leave", "What is left on the machine for hand work.", sizeof(struct sw_leave), leave_fields,
    sizeof leave_fields / sizeof *leave_fields};

#define SHOP(member) .offset = offsetof(struct sw_shop, member)

static const struct sw_field shop_fields[] = {
    {.key = "name", .kind = SW_FIELD_TEXT, SHOP(name), SW_NAME_RANGE, .is_required = true,
     .sentence = "Name of the workshop; it stands on every sheet."},
    {.key = "machine", .kind = SW_FIELD_TEXT, SHOP(machine_name), .is_required = true,
     .sentence = "The lathe: a file or a profile's name."},
    {.key = "post", .kind = SW_FIELD_TEXT, SHOP(post), .is_required = true,
     .sentence = "The dialect its programs are written in, by name."},
    {.key = "tools", .kind = SW_FIELD_LIST, SHOP(tools), .is_required = true, .least = 1,
     .most = 99, .table = &fitted_table, .sentence = "The tools that are set up, by station."},
    {.key = "holders", .kind = SW_FIELD_TEXTS, SHOP(holder_names), .is_required = true, .least = 1,
     .most = 99, .sentence = "The holders it has: files or profiles' names."},
    {.key = "stock", .kind = SW_FIELD_LIST, SHOP(stock), .is_required = true, .least = 1,
     .most = 999, .table = &stock_table, .sentence = "The rods it has."},
    {.key = "leave", .kind = SW_FIELD_MAP, SHOP(leave), .table = &leave_table,
     .sentence = "What is left on the machine for stone and burnisher."},
    {.key = "safety", .kind = SW_FIELD_NUMBER, SHOP(safety), .least = 1, .most = 20,
     .fallback = "2",
     .sentence = "How many times the stress of a cut must go into the yield stress."},
    {.key = "clearance", LENGTH, SHOP(clearance), .least = 0.02, .most = 20, .fallback = "0.2",
     .sentence = "Distance kept from the work in rapid moves."},
    {.key = "tail_free", LENGTH, SHOP(tail_free), .least = 0, .most = 2000, .fallback = "60",
     .sentence = "Longest tail of a rod that may stand free behind the spindle."},
    {.key = "centre_height", LENGTH, SHOP(centre_height), .least = 0, .most = 1,
     .fallback = "0.01",
     .sentence = "How near to the axis tool points are set in height; 0.01 is what a common height "
                 "gauge reads."},
    {.key = "measuring", .kind = SW_FIELD_TEXTS, SHOP(measuring),
     .sentence = "The gauges it owns; the sheet names them."},
    {.key = "zeroing", .kind = SW_FIELD_TEXTS, SHOP(zeroing),
     .sentence = "Its aids for finding zero; the sheet names them."},
    {.key = "bench", .kind = SW_FIELD_MAP, SHOP(bench), .table = &sw_bench_table,
     .sentence = "What it has for stone, burnisher and staking."},
};
const struct sw_table sw_shop_table = {
    "shop/1", "What a workshop owns: machine, tools, holders, stock, and its habits.",
    sizeof(struct sw_shop), shop_fields, sizeof shop_fields / sizeof *shop_fields};

/* clang-format on */

typedef enum sw_status (*load_function)(void **out, const char *path, struct sw_ctx *ctx);

/* A file that was read; `is` is NULL when it was faulty. */
struct loaded {
    const char *path;
    const void *is;
};

struct resolver {
    const char *shop_file;
    const struct sw_search *search;
    struct sw_sense *sense;
    enum sw_status status; /* the first fault of a named file */
    SW_VEC(struct loaded) files;
};

static enum sw_status load_machine(void **out, const char *path, struct sw_ctx *ctx)
{
    struct sw_machine *machine = NULL;
    SW_TRY(sw_machine_load(&machine, path, ctx));
    *out = machine;
    return SW_OK;
}

static enum sw_status load_tool(void **out, const char *path, struct sw_ctx *ctx)
{
    struct sw_tool *tool = NULL;
    SW_TRY(sw_tool_load(&tool, path, ctx));
    *out = tool;
    return SW_OK;
}

static enum sw_status load_holder(void **out, const char *path, struct sw_ctx *ctx)
{
    struct sw_holder *holder = NULL;
    SW_TRY(sw_holder_load(&holder, path, ctx));
    *out = holder;
    return SW_OK;
}

static enum sw_status load_material(void **out, const char *path, struct sw_ctx *ctx)
{
    struct sw_material *material = NULL;
    SW_TRY(sw_material_load(&material, path, ctx));
    *out = material;
    return SW_OK;
}

/* Finds and reads what NAME names. *IS stays NULL when it is missing or faulty, which is remembered
 * in the resolver; only what ends the whole run is returned. */
static enum sw_status resolve(const void **is, struct resolver *resolver,
                              const struct sw_text *name, const char *kind, load_function load)
{
    struct sw_ctx *ctx = resolver->sense->ctx;
    *is = NULL;
    if (!name->value)
        return SW_OK;
    const char *path = NULL;
    void *thing = NULL;
    enum sw_status status = sw_shop_find(&path, name->value, kind, resolver->shop_file,
                                         resolver->search, name->at, ctx);
    for (size_t i = 0; status == SW_OK && i < resolver->files.n; i++) {
        if (strcmp(resolver->files.at[i].path, path) == 0) {
            *is = resolver->files.at[i].is;
            return SW_OK;
        }
    }
    if (status == SW_OK)
        status = load(&thing, path, ctx);
    if (status != SW_OK && status != SW_INPUT && status != SW_UNREADABLE)
        return status;
    if (status != SW_OK && resolver->status == SW_OK)
        resolver->status = status;
    const struct loaded file = {path, thing};
    if (path && !SW_VEC_PUSH(ctx->arena, &resolver->files, file))
        return SW_MEMORY;
    *is = thing;
    return SW_OK;
}

static enum sw_status resolve_all(struct sw_shop *shop, struct resolver *resolver)
{
    struct sw_ctx *ctx = resolver->sense->ctx;
    const void *is;
    SW_TRY(resolve(&is, resolver, &shop->machine_name, "machines", load_machine));
    shop->machine = is;
    struct sw_fitted_tool *fitted = shop->tools.at;
    for (size_t i = 0; i < shop->tools.n; i++) {
        SW_TRY(resolve(&is, resolver, &fitted[i].tool, "tools", load_tool));
        fitted[i].is = is;
    }
    const struct sw_holder **holders =
        SW_NEW(ctx->arena, const struct sw_holder *, shop->holder_names.n);
    if (!holders)
        return SW_MEMORY;
    for (size_t i = 0; i < shop->holder_names.n; i++) {
        SW_TRY(
            resolve(&is, resolver, sw_shop_text(&shop->holder_names, i), "holders", load_holder));
        if (is)
            holders[shop->n_holders++] = is;
    }
    shop->holders = holders;
    struct sw_stock *rod = shop->stock.at;
    for (size_t i = 0; i < shop->stock.n; i++) {
        SW_TRY(resolve(&is, resolver, &rod[i].material, "materials", load_material));
        rod[i].is = is;
    }
    return SW_OK;
}

const struct sw_tool *sw_shop_tool(const struct sw_shop *shop, int station)
{
    const struct sw_fitted_tool *fitted = shop->tools.at;
    for (size_t i = 0; i < shop->tools.n; i++) {
        if ((int)lround(fitted[i].station.value) == station)
            return fitted[i].is;
    }
    return NULL;
}

/* "1, 2, 4" in the context; NULL when out of memory. */
static const char *station_list(const struct sw_machine *machine, struct sw_ctx *ctx)
{
    const struct sw_station *station = machine->stations.at;
    struct sw_buf text = {0};
    for (size_t i = 0; i < machine->stations.n; i++)
        sw_buf_printf(&text, "%s%g", i ? ", " : "the machine has stations ",
                      station[i].number.value);
    const char *kept = text.failed ? NULL : sw_arena_copy(ctx->arena, sw_buf_text(&text), text.n);
    sw_buf_done(&text);
    return kept;
}

/* Coordinate systems G54 to G59.3 (NISTIR 6556 table 4). */
enum { MOST_SYSTEMS = 9 };

static enum sw_status check_stations(struct sw_sense *sense, const struct sw_shop *shop)
{
    const struct sw_fitted_tool *fitted = shop->tools.at;
    for (size_t i = 0; i < shop->tools.n; i++) {
        const struct sw_number *station = &fitted[i].station;
        if (!sw_shop_is_written(station))
            continue;
        if (shop->machine && !sw_machine_station(shop->machine, (int)lround(station->value))) {
            const char *hint = station_list(shop->machine, sense->ctx);
            if (!hint)
                return SW_MEMORY;
            SW_FAULT(sense, "shop.no-station", station->at, hint, "the machine has no station %g",
                     station->value);
        }
        for (size_t j = 0; j < i; j++) {
            if (lround(fitted[j].station.value) == lround(station->value)) {
                SW_FAULT(sense, "shop.station-twice", station->at, NULL,
                         "station %g has two tools, the first in line %u", station->value,
                         (unsigned)fitted[j].station.at.line);
                break;
            }
        }
    }
    if (shop->machine && shop->machine->control.tool_offsets.value == SW_OFFSET_BY_SYSTEM &&
        shop->tools.n > MOST_SYSTEMS)
        SW_FAULT(sense, "shop.systems", shop->tools.span, NULL,
                 "%zu tools need a coordinate system each, but a control has %d", shop->tools.n,
                 MOST_SYSTEMS);
    return SW_OK;
}

static void check_stock(struct sw_sense *sense, const struct sw_shop *shop)
{
    const struct sw_stock *rod = shop->stock.at;
    for (size_t i = 0; i < shop->stock.n; i++) {
        const double diameter = rod[i].diameter.value;
        if (!sw_shop_is_written(&rod[i].diameter))
            continue;
        if (rod[i].under.value >= diameter)
            SW_FAULT(sense, "shop.under", rod[i].under.at, NULL,
                     "a rod of %g mm cannot be %g mm too thin", diameter, rod[i].under.value);
        if (shop->machine && diameter > shop->machine->spindle.bore.value)
            SW_FAULT(sense, "shop.rod-too-thick", rod[i].diameter.at, NULL,
                     "a rod of %g mm does not pass the spindle, whose bore is %g mm", diameter,
                     shop->machine->spindle.bore.value);
        /* a holder that is faulty or left out by mistake might take it */
        bool is_taken = shop->n_holders < shop->holder_names.n || shop->holder_names.n == 0;
        for (size_t k = 0; k < shop->n_holders && !is_taken; k++)
            is_taken = shop->holders[k]->kind.value != SW_HOLDER_CEMENT &&
                       sw_holder_size_for(shop->holders[k], diameter) > 0;
        if (!is_taken)
            SW_ODD(sense, "shop.rod-not-held", rod[i].diameter.at, NULL,
                   "no holder of this shop takes a rod of %g mm", diameter);
    }
}

/* A finishing cut thinner than the least chip rubs instead of cutting, in the material that needs
 * the thickest chip. */
static void check_least_chip(struct sw_sense *sense, const struct sw_shop *shop)
{
    const struct sw_stock *rod = shop->stock.at;
    const struct sw_material *material = NULL;
    for (size_t i = 0; i < shop->stock.n; i++) {
        if (rod[i].is && (!material || rod[i].is->least_chip.value > material->least_chip.value))
            material = rod[i].is;
    }
    const struct sw_fitted_tool *fitted = shop->tools.at;
    for (size_t i = 0; material && i < shop->tools.n; i++) {
        if (!fitted[i].is)
            continue;
        const double chip = material->least_chip.value * fitted[i].is->edge_radius.value;
        const struct sw_number *finish[] = {&fitted[i].is->finish_depth,
                                            &fitted[i].is->finish_feed};
        static const char *const keys[] = {"finish_depth", "finish_feed"};
        for (size_t k = 0; k < 2; k++) {
            if (sw_shop_is_written(finish[k]) && finish[k]->value < chip)
                SW_FAULT(sense, "shop.least-chip", finish[k]->at,
                         "a keener edge or a deeper cut is needed",
                         "`%s` is %g mm, under the least chip of %g mm in %s", keys[k],
                         finish[k]->value, chip, material->name.value);
        }
    }
}

enum sw_status sw_shop_load(struct sw_shop **out, const char *path, const struct sw_search *search,
                            struct sw_ctx *ctx)
{
    struct sw_sense sense = {ctx, false};
    void *thing = NULL;
    SW_TRY(sw_shop_read_root(&thing, &sw_shop_table, path, &sense));
    struct sw_shop *shop = thing;
    struct resolver resolver = {.shop_file = path, .search = search, .sense = &sense};
    SW_TRY(resolve_all(shop, &resolver));
    SW_TRY(check_stations(&sense, shop));
    check_stock(&sense, shop);
    check_least_chip(&sense, shop);
    sw_bench_check(&sense, &shop->bench);
    SW_TRY(sw_shop_finish(&sense));
    SW_TRY(resolver.status);
    *out = shop;
    return SW_OK;
}
