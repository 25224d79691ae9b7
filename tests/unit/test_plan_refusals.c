/* What a shop cannot make is refused with section, reason and what would help. */
#include "support/bench.h"

#include <string.h>

/* Keep only the fitted tools that KEEP says yes to. */
static void keep_tools(struct sw_bench *bench, bool (*keep)(const struct sw_tool *))
{
    struct sw_fitted_tool *tools = bench->shop->tools.at;
    size_t n = 0;
    for (size_t i = 0; i < bench->shop->tools.n; i++)
        if (keep(tools[i].is))
            tools[n++] = tools[i];
    bench->shop->tools.n = n;
}

static bool is_no_blade(const struct sw_tool *tool)
{
    return tool->kind.value != SW_TOOL_BLADE;
}

static bool is_no_face_point(const struct sw_tool *tool)
{
    return tool->kind.value != SW_TOOL_FACE_POINT;
}

static bool is_no_point(const struct sw_tool *tool)
{
    return tool->kind.value != SW_TOOL_POINT;
}

static bool is_coarse(const struct sw_tool *tool)
{
    return tool->kind.value != SW_TOOL_POINT || tool->nose_radius.value > 0.03;
}

static void refused(struct sw_bench *bench, const char *code, const char *words)
{
    assert_int_equal(sw_bench_plan(bench), SW_CANNOT);
    const struct sw_diag_record *record =
        sw_diag_at(bench->ctx.diag, sw_diag_n(bench->ctx.diag) - 1);
    assert_string_equal(record->code, code);
    if (!strstr(record->message, words))
        print_error("%s\n", record->message);
    assert_non_null(strstr(record->message, words));
    assert_non_null(record->hint);
    assert_true(record->at.line > 0);
    sw_bench_free(bench);
}

static void without_a_blade_nothing_is_parted(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load(&bench, "fenmoor-43");
    keep_tools(&bench, is_no_blade);
    refused(&bench, "plan.no-parting-tool", "no parting blade");
}

static void a_recess_wants_a_point_along_the_axis(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load(&bench, "fenmoor-43");
    keep_tools(&bench, is_no_face_point);
    refused(&bench, "plan.recess", "the recess of rivet cannot be cut");
}

static void a_blunt_recess_point_is_refused_by_its_nose(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load(&bench, "fenmoor-43");
    struct sw_fitted_tool *tools = bench.shop->tools.at;
    for (size_t i = 0; i < bench.shop->tools.n; i++)
        if (tools[i].is->kind.value == SW_TOOL_FACE_POINT)
            ((struct sw_tool *)tools[i].is)->nose_radius.value = 0.06;
    refused(&bench, "plan.recess", "stops");
}

static void a_high_heel_is_refused_by_the_wall_it_would_rub(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load(&bench, "fenmoor-43");
    struct sw_fitted_tool *tools = bench.shop->tools.at;
    for (size_t i = 0; i < bench.shop->tools.n; i++)
        if (tools[i].is->kind.value == SW_TOOL_FACE_POINT)
            ((struct sw_tool *)tools[i].is)->heel_height.value = 0.6;
    refused(&bench, "plan.recess", "heel");
}

static void without_a_turning_tool_there_is_nothing_to_turn_with(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load(&bench, "fenmoor-43");
    keep_tools(&bench, is_no_point);
    refused(&bench, "plan.no-turning-tool", "no pointed tool");
}

static void a_nose_rounder_than_the_corners_names_the_section(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load(&bench, "fenmoor-43");
    keep_tools(&bench, is_coarse);
    refused(&bench, "plan.out-of-reach", "no turning tool of the shop reaches all of");
}

/* Its nose of 0.020 and a last cut of 0.005 stand in every corner. */
static void a_point_that_may_cut_less_than_its_nose_takes_in_a_corner_is_refused(void **state)
{
    (void)state;
    static const struct {
        double most;
        enum sw_status wanted;
    } row[] = {{0.024, SW_CANNOT}, {0.05, SW_OK}};
    for (size_t k = 0; k < sizeof row / sizeof *row; k++) {
        struct sw_bench bench;
        sw_bench_load(&bench, "fenmoor-43");
        struct sw_fitted_tool *tools = bench.shop->tools.at;
        for (size_t i = 0; i < bench.shop->tools.n; i++)
            if (tools[i].is->kind.value == SW_TOOL_POINT && tools[i].is->nose_radius.value == 0.02)
                ((struct sw_tool *)tools[i].is)->most_depth.value = row[k].most;
        if (row[k].wanted == SW_CANNOT) {
            refused(&bench, "plan.shallow-tool", "finishes no corner: it cuts at most 0.024 mm");
            continue;
        }
        assert_int_equal(sw_bench_plan(&bench), SW_OK);
        sw_bench_free(&bench);
    }
}

static void a_material_the_shop_lacks_is_named(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load(&bench, "fenmoor-43");
    bench.staff->material = "moon-steel";
    refused(&bench, "plan.no-material", "no rod of moon-steel");
}

static void thin_rods_are_refused_with_the_size_needed(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load(&bench, "tollgate");
    struct sw_stock *stock = bench.shop->stock.at;
    for (size_t i = 0; i < bench.shop->stock.n; i++)
        stock[i].diameter.value = 1.5;
    refused(&bench, "plan.no-rod", "thick enough");
}

static void a_seat_no_holder_takes_is_refused_with_its_size(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load(&bench, "fenmoor-43");
    struct sw_holder *const *holders = (struct sw_holder *const *)bench.shop->holders;
    for (size_t i = 0; i < bench.shop->n_holders; i++)
        if (holders[i]->kind.value != SW_HOLDER_COLLET)
            bench.shop->n_holders = i;
    holders[0]->least_grip.value = 2.0;
    refused(&bench, "plan.no-holder", "no holder of the shop takes the balance seat");
}

static void a_short_blade_is_refused_with_the_reach_needed(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load(&bench, "fenmoor-43");
    struct sw_fitted_tool *tools = bench.shop->tools.at;
    for (size_t i = 0; i < bench.shop->tools.n; i++)
        if (tools[i].is->kind.value == SW_TOOL_BLADE)
            ((struct sw_tool *)tools[i].is)->reach.value = 0.1;
    refused(&bench, "plan.blade-too-short", "does not part");
}

static void an_unknown_grip_is_refused_where_it_is_named(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load(&bench, "fenmoor-43");
    bench.job->second_grip.value = "elbow";
    bench.job->second_grip.at = (struct sw_span){1, 1, 1, 1};
    refused(&bench, "plan.no-second-grip", "elbow");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(without_a_blade_nothing_is_parted),
        cmocka_unit_test(a_recess_wants_a_point_along_the_axis),
        cmocka_unit_test(a_blunt_recess_point_is_refused_by_its_nose),
        cmocka_unit_test(a_high_heel_is_refused_by_the_wall_it_would_rub),
        cmocka_unit_test(without_a_turning_tool_there_is_nothing_to_turn_with),
        cmocka_unit_test(a_nose_rounder_than_the_corners_names_the_section),
        cmocka_unit_test(a_point_that_may_cut_less_than_its_nose_takes_in_a_corner_is_refused),
        cmocka_unit_test(a_material_the_shop_lacks_is_named),
        cmocka_unit_test(thin_rods_are_refused_with_the_size_needed),
        cmocka_unit_test(a_seat_no_holder_takes_is_refused_with_its_size),
        cmocka_unit_test(a_short_blade_is_refused_with_the_reach_needed),
        cmocka_unit_test(an_unknown_grip_is_refused_where_it_is_named),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
