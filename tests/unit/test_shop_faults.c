#include "unit/shop_faults.h"

static void the_unspoilt_texts_are_clean(void **state)
{
    (void)state;
    for (enum kind kind = MACHINE; kind <= JOB; kind++) {
        struct sw_ctx ctx = sw_test_ctx();
        assert_int_equal(load(kind, &ctx), SW_OK);
        assert_records(&ctx, "");
        sw_test_ctx_free(&ctx);
    }
}

static void faults_of_a_point_are_named_at_their_place(void **state)
{
    (void)state;
    static const struct fault faults[] = {
        {POINT, POINT, "cutting_angle: 93\n", "",
         "point.yaml:3:7 error tool.needs: a point needs `cutting_angle`\n"},
        {POINT, POINT, "cutting_angle: 93",
         "cutting_angle: 100\n"
         "width: 0.5",
         "point.yaml:7:8 error tool.foreign: a point has no `width`\n"},
        {POINT, POINT, "cutting_angle: 93", "cutting_angle: 145",
         "point.yaml:7:14 error tool.no-back-clearance: `cutting_angle` 145 and `point_angle` "
         "35 leave nothing free behind the point: their sum must stay under 180 degrees\n"},
        {POINT, POINT, "hand: right", "hand: neutral",
         "point.yaml:11:10 warning tool.touched: the headstock side of the nose cannot touch a "
         "face: the flank there stands out by 17.5 degrees\n"
         "point.yaml:6:16 error tool.neutral-angles: a neutral point of 35 degrees has a "
         "cutting angle of 72.5 degrees on both sides, not 93\n"},
        {POINT, POINT, "touched: headstock-side", "touched: free-side",
         "point.yaml:11:10 warning tool.touched: the free side of the nose cannot touch a face: "
         "the flank there stands out by 38.0 degrees\n"},
        {POINT, POINT, "clear: 3.5", "clear: 1.2",
         "point.yaml:18:17 error tool.clear: the holder begins 1.2 mm behind the nose, but the "
         "edges reach 1.499 mm\n"},
        {POINT, POINT, "ahead: 1, behind: 8", "ahead: 0, behind: 0",
         "point.yaml:18:29 error tool.no-block: a holder that reaches 0 mm ahead and 0 mm "
         "behind is none\n"},
        {POINT, POINT, "rough_depth: 0.02", "rough_depth: 0.06",
         "point.yaml:13:14 error tool.order: `rough_depth` is 0.06 mm, more than `most_depth`, "
         "0.05 mm\n"},
        {POINT, POINT, "finish_depth: 0.005", "finish_depth: 0.06",
         "point.yaml:14:15 error tool.order: `finish_depth` is 0.06 mm, more than `most_depth`, "
         "0.05 mm\n"},
        {POINT, POINT, "edge_radius: 0.002", "edge_radius: 0.03",
         "point.yaml:9:14 error tool.order: `edge_radius` is 0.03 mm, more than `nose_radius`, "
         "0.02 mm\n"},
        {POINT, POINT, "nose_radius: 0.02", "nose_radius: 0.001",
         "point.yaml:5:14 error spec.range: `nose_radius` is 0.001 mm; allowed: 0.002 to 2 mm\n"
         "point.yaml:9:14 error tool.order: `edge_radius` is 0.002 mm, more than `nose_radius`, "
         "0.001 mm\n"},
        {POINT, POINT, "nose_radius: 0.02", "nose_radius: small",
         "point.yaml:5:14 error spec.not-a-number: `nose_radius` is `small`, which is not a "
         "number\n"},
        {POINT, POINT, "most_depth: 0.05\n", "",
         "point.yaml:3:7 error tool.needs: a point needs `most_depth`\n"},
        {POINT, POINT, "touched:", "tuched:",
         "point.yaml:11:1 error spec.unknown-key: `tuched` is not a key of tool/1\n"},
        {POINT, POINT, "format: tool/1", "format: holder/1",
         "point.yaml:1:9 error spec.format: this is a file of the kind `holder`; one of the "
         "kind `tool` is wanted here\n"},
    };
    CHECK_ALL(faults);
}

static void faults_of_blades_and_face_points_are_named_at_their_place(void **state)
{
    (void)state;
    static const struct fault faults[] = {
        {BLADE, BLADE, "width: 0.5",
         "width: 0.5\n"
         "point_angle: 35",
         "blade.yaml:6:14 error tool.foreign: a blade has no `point_angle`\n"},
        {BLADE, BLADE, "width: 0.5", "width: 0.05",
         "blade.yaml:6:12 error tool.clearance: sides that lean by 1 degrees meet before the "
         "reach of 3 mm\n"},
        {BLADE, BLADE, "nose_radius: 0.02", "nose_radius: 0.25",
         "blade.yaml:5:8 error tool.width: a blade 0.5 mm wide has no room for two corners of "
         "0.25 mm: it needs more than 0.5 mm\n"},
        {BLADE, BLADE, "clearance: 1", "clearance: 5",
         "blade.yaml:6:12 error tool.clearance: sides that lean by 5 degrees meet before the "
         "reach of 3 mm\n"},
        {BLADE, BLADE, "reach: 3", "reach: 4",
         "blade.yaml:13:17 error tool.clear: the holder begins 3.5 mm behind the nose, but the "
         "edges reach 3.98 mm\n"},
        {FACE, FACE, "point_angle: 20", "point_angle: 87",
         "face.yaml:6:14 error tool.face-angles: `clearance` 3 and `point_angle` 87 make 90 "
         "degrees; a face-point needs less than 90\n"},
        {FACE, FACE, "point: theoretical-tip",
         "point: theoretical-tip\n"
         "touched: free-side",
         "face.yaml:12:10 warning tool.touched: the free side of the nose cannot touch a face: "
         "the flank there stands out by 87.0 degrees\n"},
        {FACE, FACE, "relief: 12\n", "",
         "face.yaml:3:7 error tool.needs: a face-point needs `relief`\n"},
        {FACE, FACE, "clear: 6", "clear: 0.4",
         "face.yaml:15:17 error tool.clear: the holder begins 0.4 mm behind the nose, but the "
         "edges reach 0.488 mm\n"},
    };
    CHECK_ALL(faults);
}

/* A stop has no edge: what belongs to one is foreign to it. */
static void a_stop_has_a_face_a_pin_and_a_block_only(void **state)
{
    (void)state;
    static const char text[] = "format: tool/1\nname: trial stop\nkind: stop\nwidth: 4\nreach: 8\n"
                               "holder: {clear: 8, ahead: 6, behind: 6}\n";
    static const char *const foreign[][2] = {
        {"nose_radius: 0.02\n", "nose_radius"},   {"edge_radius: 0.002\n", "edge_radius"},
        {"point: nose-centre\n", "point"},        {"rough_feed: 0.01\n", "rough_feed"},
        {"finish_feed: 0.01\n", "finish_feed"},   {"surface_speed: 20\n", "surface_speed"},
        {"most_depth: 0.1\n", "most_depth"},      {"relief: 7\n", "relief"},
        {"touched: headstock-side\n", "touched"}, {"point_angle: 35\n", "point_angle"},
        {"edge_length: 1\n", "edge_length"},      {"clearance: 1\n", "clearance"},
        {"cutting_angle: 93\n", "cutting_angle"}, {"heel_height: 0.1\n", "heel_height"},
    };
    for (size_t i = 0; i <= sizeof foreign / sizeof *foreign; i++) {
        struct sw_ctx ctx = sw_test_ctx();
        struct sw_tool *tool = NULL;
        const bool is_sound = i == sizeof foreign / sizeof *foreign;
        write_file(&ctx, "stop.yaml",
                   sw_arena_printf(ctx.arena, "%s%s", text, is_sound ? "" : foreign[i][0]));
        assert_int_equal(sw_tool_load(&tool, path_of(&ctx, "stop.yaml"), &ctx),
                         is_sound ? SW_OK : SW_INPUT);
        if (!is_sound)
            assert_non_null(strstr(
                records(&ctx), sw_arena_printf(ctx.arena, "a stop has no `%s`", foreign[i][1])));
        sw_test_ctx_free(&ctx);
    }
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_tool *tool = NULL;
    write_file(&ctx, "stop.yaml", changed(&ctx, text, "width: 4\n", ""));
    assert_int_equal(sw_tool_load(&tool, path_of(&ctx, "stop.yaml"), &ctx), SW_INPUT);
    assert_records(&ctx, "stop.yaml:3:7 error tool.needs: a stop needs `width`\n");
    unlink(path_of(&ctx, "stop.yaml"));
    sw_test_ctx_free(&ctx);
}

static void faults_of_materials_and_holders_are_named_at_their_place(void **state)
{
    (void)state;
    static const struct fault faults[] = {
        {MATERIAL, MATERIAL, "yield: 1500", "yield: 1800",
         "steel.yaml:7:8 error material.yield: `yield` is 1800 MPa, more than `tensile`, 1700 "
         "MPa\n"},
        {MATERIAL, MATERIAL, "state: tempered", "state: temperd",
         "steel.yaml:4:8 error spec.word: `state` is `temperd`, which is not a known word\n"},
        {MATERIAL, MATERIAL, "density: 7.85", "density: 7850",
         "steel.yaml:6:10 error spec.range: `density` is 7850 g/cm3; allowed: 0.5 to 25 g/cm3\n"},
        {HOLDER, HOLDER, "sizes: [1.0, 2.0, 3.0]", "sizes: [1.0, 3.0, 2.0]",
         "collets.yaml:4:19 error holder.sizes: size 2 mm comes after 3 mm\n"},
        {HOLDER, HOLDER, "sizes: [1.0, 2.0, 3.0]", "sizes: []",
         "collets.yaml:4:8 error holder.sizes: `sizes` is empty\n"},
        {HOLDER, HOLDER, "sizes: [1.0, 2.0, 3.0]\n", "",
         "collets.yaml:3:7 error holder.needs: a collet needs `sizes`\n"},
        {HOLDER, HOLDER, "over: 0.01",
         "over: 0.01\n"
         "most: 3",
         "collets.yaml:7:7 error holder.foreign: a collet has no `most`\n"},
        {HOLDER, HOLDER,
         "kind: collet\n"
         "sizes: [1.0, 2.0, 3.0]\n"
         "under: 0.03\n"
         "over: 0.01\n",
         "kind: cement\n"
         "least: 3\n"
         "most: 2\n",
         "collets.yaml:4:8 error holder.range: `least` is 3 mm, more than `most`, 2 mm\n"},
        {HOLDER, HOLDER, "nose_diameter: 6", "nose_diameter: 3",
         "collets.yaml:11:16 error holder.nose: a nose of 3 mm has no room for a bore of 3 mm\n"},
        {HOLDER, HOLDER, "least_grip: 3", "least_grip: 13",
         "collets.yaml:8:13 error holder.grip: `least_grip` is 13 mm, longer than the bore, "
         "`most_grip` 12 mm\n"},
    };
    CHECK_ALL(faults);
}

static void faults_of_a_shop_and_of_what_it_names_are_named_at_their_place(void **state)
{
    (void)state;
    static const struct fault faults[] = {
        {SHOP, SHOP, "{station: 2,", "{station: 3,",
         "shop.yaml:7:15 error shop.no-station: the machine has no station 3\n"},
        {SHOP, SHOP, "{station: 2,", "{station: 1,",
         "shop.yaml:7:15 error shop.station-twice: station 1 has two tools, the first in line "
         "6\n"},
        {SHOP, SHOP, "diameter: 3.0", "diameter: 9.0",
         "shop.yaml:11:33 error shop.rod-too-thick: a rod of 9 mm does not pass the spindle, "
         "whose bore is 8 mm\n"
         "shop.yaml:11:33 warning shop.rod-not-held: no holder of this shop takes a rod of 9 "
         "mm\n"},
        {SHOP, SHOP, "diameter: 3.0", "diameter: 2.5",
         "shop.yaml:11:33 warning shop.rod-not-held: no holder of this shop takes a rod of 2.5 "
         "mm\n"},
        {SHOP, SHOP, "diameter: 3.0", "diameter: 0.3, under: 0.4",
         "shop.yaml:11:45 error shop.under: a rod of 0.3 mm cannot be 0.4 mm too thin\n"
         "shop.yaml:11:33 warning shop.rod-not-held: no holder of this shop takes a rod of 0.3 "
         "mm\n"},
        {SHOP, POINT, "edge_radius: 0.002", "edge_radius: 0.018",
         "point.yaml:14:15 error shop.least-chip: `finish_depth` is 0.005 mm, under the least "
         "chip of 0.0054 mm in trial steel\n"
         "point.yaml:16:14 error shop.least-chip: `finish_feed` is 0.002 mm, under the least "
         "chip of 0.0054 mm in trial steel\n"},
        {SHOP, POINT, "rough_depth: 0.02", "rough_depth: 0.06",
         "point.yaml:13:14 error tool.order: `rough_depth` is 0.06 mm, more than `most_depth`, "
         "0.05 mm\n"},
        {SHOP, MATERIAL, "yield: 1500", "yield: 1800",
         "steel.yaml:7:8 error material.yield: `yield` is 1800 MPa, more than `tensile`, 1700 "
         "MPa\n"},
        {SHOP, MACHINE, "change: gang", "change: gun",
         "lathe.yaml:12:9 error spec.word: `change` is `gun`, which is not a known word\n"},
        {SHOP, SHOP, "holders: [collets]",
         "holders: [collets]\nbench:\n  pins: [{from: 0.2, to: 0.1}, {from: 1, to: 20, step: "
         "0.001}]\n  beds: [0.10, 9]",
         "shop.yaml:11:16 error spec.range: an item of `beds` is 9 mm; allowed: 0.02 to 5 mm\n"
         "shop.yaml:10:26 error shop.gauges: the largest gauge, 0.1 mm, is thinner than the "
         "smallest, 0.2 mm\n"
         "shop.yaml:10:56 error shop.gauges: 1 to 20 mm by 0.001 mm are more than 1000 gauges\n"},
        {SHOP, SHOP, "holders: [collets]", "holders: []",
         "shop.yaml:8:1 error spec.range: `holders` has 0 entries; allowed: 1 to 99\n"},
        {SHOP, SHOP, "holders: [collets]", "holder: [collets]",
         "shop.yaml:8:1 error spec.unknown-key: `holder` is not a key of shop/1\n"
         "shop.yaml:1:1 error spec.missing-key: the key `holders` of shop/1 is missing\n"},
    };
    CHECK_ALL(faults);
}

static void faults_of_a_job_are_named_at_their_place(void **state)
{
    (void)state;
    static const struct fault faults[] = {
        {JOB, JOB, "parting: to-neck", "parting: through",
         "job.yaml:5:7 error job.neck: parting through leaves no neck\n"},
        {JOB, JOB, "neck: 0.25", "neck: 0",
         "job.yaml:5:7 error spec.range: `neck` is 0 mm; allowed: 0.05 to 3 mm\n"},
        {JOB, JOB, "staff: fenmoor.yaml\n", "",
         "job.yaml:1:1 error spec.missing-key: the key `staff` of job/1 is missing\n"},
        {JOB, JOB, "neck: 0.25", "first_side: both",
         "job.yaml:5:13 error spec.word: `first_side` is `both`, which is not a known word\n"},
    };
    CHECK_ALL(faults);
}

/* Faults of shape and of sense in one file, and in several files of one shop, in one run. */
static void all_faults_are_reported_at_once(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const char *text = changed(&ctx, machine_text, "compliance: 0.5\n", "");
    text = changed(&ctx, text, "least_speed: 200", "least_speed: 9000");
    write_file(&ctx, "lathe.yaml", text);
    write_file(&ctx, "point.yaml",
               changed(&ctx, point_text, "rough_depth: 0.02", "rough_depth: 1"));
    write_file(&ctx, "shop.yaml", changed(&ctx, shop_text, "tool: blade", "tool: blode"));
    assert_int_equal(load(SHOP, &ctx), SW_INPUT);
    assert_records(&ctx, "lathe.yaml:1:1 error spec.missing-key: the key `compliance` of "
                         "machine/1 is missing\n"
                         "lathe.yaml:10:24 error machine.speeds: `least_speed` is 9000 rev/min, "
                         "which is not below `most_speed`, 8000 rev/min\n"
                         "point.yaml:13:14 error tool.order: `rough_depth` is 1 mm, more than "
                         "`most_depth`, 0.05 mm\n"
                         "shop.yaml:7:24 error shop.not-found: there is no file `blode` or "
                         "`blode.yaml` among the tools\n");
    for (size_t i = 0; i < sizeof files / sizeof *files; i++)
        write_file(&ctx, files[i].file, files[i].text);
    sw_test_ctx_free(&ctx);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_unspoilt_texts_are_clean),
        cmocka_unit_test(faults_of_a_point_are_named_at_their_place),
        cmocka_unit_test(faults_of_blades_and_face_points_are_named_at_their_place),
        cmocka_unit_test(a_stop_has_a_face_a_pin_and_a_block_only),
        cmocka_unit_test(faults_of_materials_and_holders_are_named_at_their_place),
        cmocka_unit_test(faults_of_a_shop_and_of_what_it_names_are_named_at_their_place),
        cmocka_unit_test(faults_of_a_job_are_named_at_their_place),
        cmocka_unit_test(all_faults_are_reported_at_once),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
