/* What stands when a tool comes in, on passes simple enough to reckon by head (derived): a rod of
 * radius 1 is faced at z 0, roughed to radius 0.5, and a pivot of radius 0.06 finished on it down
 * to a shoulder at z -0.3. */
#include <math.h>

#include "report/sheet_int.h"
#include "support/near.h"

enum { FACED = 1, ROUGHED = 2, FINISHED = 3 };

struct scene {
    struct sw_seg face[1], rough[1], finish[2];
    struct sw_pass pass[3];
    struct sw_op op[3];
    struct sw_section section[3];
    struct sw_shape_section turned[3];
    struct sw_staff staff;
    struct sw_shape shape;
    struct sw_tool tool;
    struct sw_plan plan;
    struct sw_sheet sheet;
};

static struct sw_seg line(double z0, double r0, double z1, double r1)
{
    return sw_seg_line((struct sw_pt){z0, r0}, (struct sw_pt){z1, r1}, SW_TAG_NONE);
}

static void set_section(struct scene *s, size_t i, const char *name, enum sw_section_kind kind,
                        double z0, double z1, double r)
{
    s->section[i] = (struct sw_section){
        .kind = kind, .name = name, .index = i, .z0 = z0, .z1 = z1, .r0 = r, .r1 = r};
    s->turned[i] = (struct sw_shape_section){
        .z0 = z0, .z1 = z1, .measure_z = (z0 + z1) / 2, .turned_diameter = 2 * r};
}

static void set_scene(struct scene *s)
{
    *s = (struct scene){0};
    s->tool.nose_radius.value = 0.1;
    s->face[0] = line(0.1, 1.2, 0.1, 0);
    s->rough[0] = line(0.3, 0.6, -0.9, 0.6);
    s->finish[0] = line(0.3, 0.16, -0.2, 0.16);
    s->finish[1] = line(-0.2, 0.16, -0.2, 0.7);
    s->pass[0].run = (struct sw_contour){.at = s->face, .n = 1};
    s->pass[1].run = (struct sw_contour){.at = s->rough, .n = 1};
    s->pass[2].run = (struct sw_contour){.at = s->finish, .n = 2};
    const enum sw_op_kind kind[] = {SW_OP_FACE, SW_OP_ROUGH, SW_OP_FINISH};
    for (int i = 0; i < 3; i++)
        s->op[i] = (struct sw_op){
            .kind = kind[i], .station = 1, .tool = &s->tool, .pass = &s->pass[i], .n_passes = 1};
    set_section(s, 0, "upper pivot", SW_SECTION_PIVOT, 0, 0.3, 0.06);
    set_section(s, 1, "collet seat", SW_SECTION_SEAT, 0.3, 1.0, 0.4);
    set_section(s, 2, "hub", SW_SECTION_HUB, 1.0, 4.0, 0.8);
    s->staff = (struct sw_staff){.total = 4, .section = s->section, .n = 3};
    s->shape = (struct sw_shape){.staff = &s->staff, .section = s->turned};
    s->plan.shape = &s->shape;
    s->plan.n_chuckings = 2;
    s->plan.chucking[0] = (struct sw_plan_chucking){.end = SW_SIDE_UPPER,
                                                    .is_from_rod = true,
                                                    .rod_diameter = 2,
                                                    .rod_end_z = 0.25,
                                                    .stick_out = 3.25,
                                                    .nose_z = -3,
                                                    .face_z = -3,
                                                    .op = s->op,
                                                    .n_ops = 3,
                                                    .neck_z = -4.5};
    s->plan.chucking[1] =
        (struct sw_plan_chucking){.end = SW_SIDE_LOWER, .nose_z = -3, .face_z = -3};
    s->sheet.plan = &s->plan;
}

static void each_operation_takes_its_share(void **state)
{
    (void)state;
    struct scene s;
    set_scene(&s);
    assert_near(sw_sheet_stands(&s.sheet, 0, 0, 0.2), 1, 1e-9);
    assert_near(sw_sheet_stands(&s.sheet, 0, 0, 0.3), 0, 1e-9);
    assert_near(sw_sheet_stands(&s.sheet, 0, FACED, 0.05), 0, 1e-9);
    assert_near(sw_sheet_stands(&s.sheet, 0, FACED, -0.05), 1, 1e-9);
    assert_near(sw_sheet_stands(&s.sheet, 0, ROUGHED, -0.5), 0.5, 1e-9);
    /* The nose's round at the end of its run: 0.6 - sqrt(0.01 - 0.0036). */
    assert_near(sw_sheet_stands(&s.sheet, 0, ROUGHED, -0.96), 0.52, 1e-9);
    assert_near(sw_sheet_stands(&s.sheet, 0, ROUGHED, -1.1), 1, 1e-9);
    assert_near(sw_sheet_stands(&s.sheet, 0, FINISHED, -0.1), 0.06, 1e-9);
    assert_near(sw_sheet_stands(&s.sheet, 0, FINISHED, -0.35), 0.5, 1e-9);
}

static void the_end_is_where_facing_left_it(void **state)
{
    (void)state;
    struct scene s;
    set_scene(&s);
    assert_near(sw_sheet_end_z(&s.sheet, 0, 0), 0.25, 1e-6);
    assert_near(sw_sheet_end_z(&s.sheet, 0, FACED), 0, 1e-6);
    assert_near(sw_sheet_end_z(&s.sheet, 0, FINISHED), 0, 1e-6);
}

static void the_second_side_begins_with_what_the_first_left(void **state)
{
    (void)state;
    struct scene s;
    set_scene(&s);
    /* Part z 2 is chucking z -2 of both; the neck at -4.5 is 0.5 beyond the lower tip. */
    assert_near(sw_sheet_stands(&s.sheet, 1, 0, -2), 1, 1e-9);
    assert_near(sw_sheet_stands(&s.sheet, 1, 0, 0.45), 1, 1e-9);
    assert_near(sw_sheet_stands(&s.sheet, 1, 0, 0.55), 0, 1e-9);
    assert_near(sw_sheet_stands(&s.sheet, 1, 0, -3.9), 0.06, 1e-9);
}

static void only_what_is_cut_away_later_is_skimmed(void **state)
{
    (void)state;
    struct scene s;
    set_scene(&s);
    struct sw_sheet_place place = sw_sheet_x_place(&s.sheet, 0, ROUGHED, &s.tool);
    assert_true(place.may_skim);
    assert_near(place.radius, 0.5, 1e-9);
    assert_near(place.z_out, 0, 0.02);
    /* The pivot is finished and thin: the seat, 0.1 over its size, is the first that serves. */
    place = sw_sheet_x_place(&s.sheet, 0, FINISHED, &s.tool);
    assert_true(place.may_skim);
    assert_true(place.z_out <= -0.3);
    assert_near(place.radius, 0.5, 1e-9);
    /* A face point skims nothing; nothing plain is finished yet, so the thickest is measured. */
    s.tool.kind.value = SW_TOOL_FACE_POINT;
    place = sw_sheet_x_place(&s.sheet, 0, FINISHED, &s.tool);
    assert_false(place.may_skim);
    assert_null(place.name);
    assert_near(place.radius, 1, 1e-9);
    /* Finished to 0.4, the seat is measured and not skimmed. */
    s.rough[0] = line(0.3, 0.5, -0.9, 0.5);
    place = sw_sheet_x_place(&s.sheet, 0, FINISHED, &s.tool);
    assert_string_equal(place.name, "collet seat");
    assert_near(place.radius, 0.4, 1e-9);
}

static void a_face_is_touched_only_where_enough_of_it_shows(void **state)
{
    (void)state;
    struct scene s;
    set_scene(&s);
    struct sw_sheet_face face;
    assert_true(sw_sheet_z_face(&face, &s.sheet, 0, ROUGHED));
    assert_near(face.z, 0, 1e-9);
    assert_true(face.is_end);
    /* The end is a pivot's tip now: the shoulder behind it serves. */
    assert_true(sw_sheet_z_face(&face, &s.sheet, 0, FINISHED));
    assert_near(face.z, -0.3, 1e-9);
    assert_false(face.is_end);
    assert_near(face.low, 0.16, 1e-9);
    assert_near(face.high, 0.5, 1e-9);
    assert_string_equal(sw_sheet_face_of(&s.sheet, 0, face.z), "collet seat");
    assert_null(sw_sheet_face_of(&s.sheet, 0, -0.5));
    /* A shoulder that the finish cut has gone up only 0.05 is none. */
    s.finish[1] = line(-0.2, 0.16, -0.2, 0.21);
    assert_false(sw_sheet_z_face(&face, &s.sheet, 0, FINISHED));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_operation_takes_its_share),
        cmocka_unit_test(the_end_is_where_facing_left_it),
        cmocka_unit_test(the_second_side_begins_with_what_the_first_left),
        cmocka_unit_test(only_what_is_cut_away_later_is_skimmed),
        cmocka_unit_test(a_face_is_touched_only_where_enough_of_it_shows),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
