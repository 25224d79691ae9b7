#include "support/near.h"

#include <dirent.h>
#include <string.h>

#include "shop/job.h"
#include "shop/shop.h"

#define PROFILES SW_SOURCE_DIR "/profiles"

static const char *const roots[] = {PROFILES, NULL};
static const struct sw_search search = {roots};

static void assert_clean(struct sw_ctx *ctx, const char *path)
{
    if (sw_diag_n(ctx->diag) > 0)
        print_error("%s:\n%s", path, sw_test_diagnostics(ctx));
    assert_int_equal(sw_diag_n(ctx->diag), 0);
}

static const struct sw_shop *load_shop(const char *name, struct sw_ctx *ctx)
{
    const char *path = sw_arena_printf(ctx->arena, PROFILES "/shops/%s.yaml", name);
    struct sw_shop *shop = NULL;
    const enum sw_status status = sw_shop_load(&shop, path, &search, ctx);
    assert_clean(ctx, path);
    assert_int_equal(status, SW_OK);
    return shop;
}

/* Loads one file; gives the name it goes by. */
typedef const char *(*loader)(const char *path, struct sw_ctx *ctx);

#define LOADER(kind)                                                                               \
    static const char *load_##kind(const char *path, struct sw_ctx *ctx)                           \
    {                                                                                              \
        struct sw_##kind *thing = NULL;                                                            \
        if (sw_##kind##_load(&thing, path, ctx) != SW_OK)                                          \
            return NULL;                                                                           \
        assert_string_equal(thing->file, path);                                                    \
        return thing->name.value;                                                                  \
    }
LOADER(machine)
LOADER(tool)
LOADER(material)
LOADER(holder)

static const char *load_any_shop(const char *path, struct sw_ctx *ctx)
{
    struct sw_shop *shop = NULL;
    return sw_shop_load(&shop, path, &search, ctx) == SW_OK ? shop->name.value : NULL;
}

static void every_profile_loads_without_a_word(void **state)
{
    (void)state;
    static const struct {
        const char *folder;
        loader load;
        size_t least; /* files that must be there */
    } kinds[] = {{"machines", load_machine, 3},
                 {"tools", load_tool, 6},
                 {"materials", load_material, 4},
                 {"holders", load_holder, 3},
                 {"shops", load_any_shop, 3}};
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
        struct sw_ctx ctx = sw_test_ctx();
        const char *folder = sw_arena_printf(ctx.arena, PROFILES "/%s", kinds[i].folder);
        DIR *dir = opendir(folder);
        assert_non_null(dir);
        size_t n = 0;
        for (const struct dirent *entry; (entry = readdir(dir)) != NULL;) {
            if (entry->d_name[0] == '.')
                continue;
            const char *path = sw_arena_printf(ctx.arena, "%s/%s", folder, entry->d_name);
            const char *name = kinds[i].load(path, &ctx);
            assert_clean(&ctx, path);
            assert_non_null(name);
            n++;
        }
        closedir(dir);
        assert_true(n >= kinds[i].least);
        sw_test_ctx_free(&ctx);
    }
}

static void a_shop_finds_all_it_names(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_shop *shop = load_shop("bench-gang", &ctx);
    assert_string_equal(shop->machine->name.value, "bench lathe with gang plate");
    assert_int_equal(shop->tools.n, 5);
    assert_int_equal(shop->n_holders, 3);
    assert_int_equal(shop->stock.n, 4);
    const struct sw_stock *rod = shop->stock.at;
    for (size_t i = 0; i < shop->stock.n; i++)
        assert_ptr_equal(rod[i].is, rod[0].is); /* read once */
    assert_string_equal(rod[0].is->name.value, "carbon steel, blue");
    assert_string_equal(sw_shop_tool(shop, 2)->name.value, "copying point 35");
    assert_null(sw_shop_tool(shop, 6));
    assert_near(shop->leave.burnish.value, 0.012, 0);
    sw_test_ctx_free(&ctx);
}

static void a_machine_tells_its_stations_and_its_control(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_machine *machine = load_shop("bench-gang", &ctx)->machine;
    const struct sw_station *third = sw_machine_station(machine, 3);
    assert_near(third->at.x.value, 40, 0);
    assert_near(third->at.z.value, -30, 0);
    assert_int_equal(third->spindle.value, SW_SENSE_CW);
    assert_null(sw_machine_station(machine, 9));
    assert_near(machine->compliance.value, 0.5, 0);
    sw_test_ctx_free(&ctx);
}

/* What is not written is read as NISTIR 6556 has it: G20/G21, G94 alone, P in seconds, no U and W,
 * no surface speed, 256 characters a line. */
static void the_standard_stands_in_for_what_a_control_does_not_say(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_control *control = &load_shop("bench-gang", &ctx)->machine->control;
    assert_int_equal(control->units.value, SW_UNITS_G20_G21);
    assert_int_equal(control->feed_words.value, SW_FEED_G94_G95);
    assert_int_equal(control->feed_per_turn.value, 0);
    assert_int_equal(control->surface_speed.value, 0);
    assert_int_equal(control->speed_clamp.value, SW_CLAMP_NONE);
    assert_int_equal(control->dwell.value, SW_DWELL_P_SECONDS);
    assert_int_equal(control->tool_offsets.value, SW_OFFSET_BY_SYSTEM);
    assert_int_equal(control->arcs.value, 1);
    assert_int_equal(control->spindle_words.value, 1);
    assert_int_equal(control->tool_words.value, 1);
    assert_int_equal(control->incremental_u_w.value, 0);
    assert_int_equal(control->comments.value, 1);
    assert_int_equal(control->parameters.value, 1);
    assert_near(control->line_length.value, 256, 0);
    assert_near(control->blend.value, 0, 0);
    assert_false(control->units.given);
    assert_int_equal(control->proved.n, 0);
    control = &load_shop("bench-turning", &ctx)->machine->control;
    assert_int_equal(control->x.value, SW_X_DIAMETER);
    assert_int_equal(control->i.value, SW_X_RADIUS);
    assert_int_equal(control->feed_per_turn.value, 1);
    assert_int_equal(control->speed_clamp.value, SW_CLAMP_G50);
    assert_int_equal(control->tool_offsets.value, SW_OFFSET_WITH_TOOL);
    sw_test_ctx_free(&ctx);
}

static void a_collet_takes_what_lies_within_its_grip(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_holder *set = NULL, *bored = NULL, *cement = NULL;
    assert_int_equal(sw_holder_load(&set, PROFILES "/holders/collet-8mm-set.yaml", &ctx), SW_OK);
    assert_int_equal(sw_holder_load(&bored, PROFILES "/holders/bored-in-place.yaml", &ctx), SW_OK);
    assert_int_equal(sw_holder_load(&cement, PROFILES "/holders/cement-chuck.yaml", &ctx), SW_OK);
    assert_near(sw_holder_size_for(set, 2.0), 2.0, 0);
    assert_near(sw_holder_size_for(set, 1.99), 2.0, 0);
    assert_near(sw_holder_size_for(set, 1.97), 2.0, 0); /* just gripped */
    assert_near(sw_holder_size_for(set, 1.9699), 0, 0);
    assert_near(sw_holder_size_for(set, 1.91), 1.9, 0); /* just not forced */
    assert_near(sw_holder_size_for(set, 1.9101), 0, 0);
    assert_near(sw_holder_size_for(set, 1.16), 0, 0); /* between sizes */
    assert_near(sw_holder_size_for(set, 0.27), 0.3, 0);
    assert_near(sw_holder_size_for(set, 5.02), 0, 0);
    assert_near(sw_holder_size_for(bored, 1.16), 1.16, 0);
    assert_near(sw_holder_size_for(bored, 0.3), 0.3, 0);
    assert_near(sw_holder_size_for(bored, 0.29), 0, 0);
    assert_near(sw_holder_size_for(bored, 4.01), 0, 0);
    assert_near(sw_holder_size_for(cement, 0.1), 0.1, 0);
    sw_test_ctx_free(&ctx);
}

static void of_two_collets_the_nearer_holds_and_of_equals_the_larger(void **state)
{
    (void)state;
    struct sw_number size[] = {{.value = 1.0, .given = true}, {.value = 1.1, .given = true}};
    struct sw_holder set = {.kind = {.value = SW_HOLDER_COLLET}, .sizes = {.at = size, .n = 2}};
    set.under.value = 0.1;
    set.over.value = 0.1;
    assert_near(sw_holder_size_for(&set, 1.04), 1.0, 0);
    assert_near(sw_holder_size_for(&set, 1.06), 1.1, 0);
    assert_near(sw_holder_size_for(&set, 1.05), 1.1, 0);
    assert_near(sw_holder_size_for(&set, 0.9), 1.0, 0);
    assert_near(sw_holder_size_for(&set, 0.89), 0, 0);
}

/* The sheet would name a tool that rubs: every profile tool's finishing cut is above the least chip
 * of every profile material. */
static void no_profile_tool_finishes_below_the_least_chip(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_shop *shop = load_shop("bench-turning", &ctx);
    for (int station = 1; station <= 5; station++) {
        const struct sw_tool *tool = sw_shop_tool(shop, station);
        assert_true(tool->finish_feed.value > 0.3 * tool->edge_radius.value);
    }
    sw_test_ctx_free(&ctx);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_profile_loads_without_a_word),
        cmocka_unit_test(a_shop_finds_all_it_names),
        cmocka_unit_test(a_machine_tells_its_stations_and_its_control),
        cmocka_unit_test(the_standard_stands_in_for_what_a_control_does_not_say),
        cmocka_unit_test(a_collet_takes_what_lies_within_its_grip),
        cmocka_unit_test(of_two_collets_the_nearer_holds_and_of_equals_the_larger),
        cmocka_unit_test(no_profile_tool_finishes_below_the_least_chip),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
