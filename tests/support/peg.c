#include "support/peg.h"

#include "support/near.h"

static void add_line(struct sw_contour *to, struct sw_pt a, struct sw_pt b, int tag,
                     struct sw_ctx *ctx)
{
    assert_true(sw_contour_add(ctx->arena, to, sw_seg_line(a, b, tag)));
}

static void draw(struct sw_contour *out, struct sw_ctx *ctx)
{
    const struct sw_pt p[] = {{0, 0}, {0, 0.5}, {1.5, 0.5}, {1.5, 0.8}, {3, 0.8}, {3, 0}};
    const int tag[] = {0, 0, 1, 1, 1};
    for (size_t i = 0; i < 5; i++)
        add_line(out, p[i], p[i + 1], tag[i], ctx);
}

void sw_peg_init(struct sw_peg *peg, struct sw_ctx *ctx)
{
    *peg = (struct sw_peg){0};
    const struct sw_band diameter = {-0.005, 0.005, true, {0}}, length = {-0.01, 0.01, true, {0}};
    for (size_t i = 0; i < 2; i++) {
        peg->section[i] = (struct sw_section){.kind = i == 0 ? SW_SECTION_SEAT : SW_SECTION_HUB,
                                              .name = i == 0 ? "seat" : "hub",
                                              .index = i,
                                              .z0 = 1.5 * (double)i,
                                              .z1 = 1.5 * (double)(i + 1),
                                              .r0 = i == 0 ? 0.5 : 0.8,
                                              .r1 = i == 0 ? 0.5 : 0.8,
                                              .diameter_tolerance = diameter,
                                              .length_tolerance = length,
                                              .corner = 0.06};
        const double d = 2 * peg->section[i].r0;
        peg->place[i] = (struct sw_shape_section){.z0 = peg->section[i].z0,
                                                  .z1 = peg->section[i].z1,
                                                  .measure_z = peg->section[i].z0 + 0.75,
                                                  .finished_diameter = d,
                                                  .turned_diameter = d};
    }
    peg->height = (struct sw_height){.name = "shoulder",
                                     .from_lower_tip = 1.5,
                                     .tolerance = {-0.004, 0.004, true, {0}},
                                     .z = 1.5,
                                     .section = 1};
    peg->staff = (struct sw_staff){.file = "staff.yaml",
                                   .name = "peg",
                                   .total = 3,
                                   .total_tolerance = {-0.005, 0.005, true, {0}},
                                   .height = &peg->height,
                                   .n_heights = 1,
                                   .section = peg->section,
                                   .n = 2,
                                   .hub = 1};
    peg->shape =
        (struct sw_shape){.staff = &peg->staff, .z_upper = 0, .z_lower = 3, .section = peg->place};
    draw(&peg->shape.finished, ctx);
    draw(&peg->shape.turned, ctx);
    draw(&peg->shape.ceiling, ctx);
    assert_int_equal(sw_contour_round(&peg->shape.ceiling, 1, 0.06, 0, ctx), SW_OK);
}

void sw_peg_turn(struct sw_lathe *lathe, struct sw_peg_slips slips)
{
    const double nose = 0.05, hub = 0.8 + nose + slips.hub_r, seat = 0.5 + nose + slips.seat_r;
    const double shoulder = -1.5 + nose + slips.shoulder_z;
    sw_lathe_use(lathe, 1);
    sw_lathe_spindle(lathe, SW_MOTION_CW, 3000);
    sw_lathe_rapid(lathe, 1, 2);
    sw_lathe_rapid(lathe, nose, 1.5);
    sw_lathe_cut(lathe, nose, -0.02);
    sw_lathe_rapid(lathe, 0.5, -0.02);
    sw_lathe_rapid(lathe, 0.5, 2);
    sw_lathe_rapid(lathe, 0.5, hub);
    sw_lathe_cut(lathe, -3.5, hub);
    sw_lathe_cut(lathe, -3.4, 1.5);
    sw_lathe_rapid(lathe, 0.5, 1.5);
    sw_lathe_rapid(lathe, 0.5, seat);
    sw_lathe_cut(lathe, shoulder, seat);
    sw_lathe_cut(lathe, shoulder, 0.95);
    sw_lathe_rapid(lathe, shoulder, 8);
    sw_lathe_rapid(lathe, 12, 8);
}

void sw_peg_part(struct sw_lathe *lathe)
{
    const double edge = -3.0 - 0.38; /* its free side at the lower end */
    sw_lathe_use(lathe, 2);
    sw_lathe_rapid(lathe, 12, 8);
    sw_lathe_rapid(lathe, edge, 8);
    sw_lathe_rapid(lathe, edge, 1.5);
    sw_lathe_cut(lathe, edge, -0.03);
    sw_lathe_rapid(lathe, edge, 8);
    sw_lathe_rapid(lathe, 12, 8);
}

void sw_peg_program(struct sw_lathe *lathe, struct sw_peg_slips slips)
{
    sw_peg_turn(lathe, slips);
    sw_peg_part(lathe);
    sw_lathe_end(lathe);
}

struct sw_verdict *sw_peg_judge(struct sw_lathe *lathe, const struct sw_shape *shape)
{
    struct sw_verify_program program[SW_LATHE_SIDES];
    const size_t n = lathe->setup.sides.n;
    for (size_t i = 0; i < n; i++)
        program[i] = (struct sw_verify_program){lathe->motion[i].name, &lathe->motion[i], false};
    struct sw_verdict *verdict = NULL;
    const enum sw_status status =
        sw_verify_run(&verdict, program, n, &lathe->setup, &lathe->shop, shape, &lathe->ctx);
    if (status != SW_OK)
        print_error("%s", sw_test_diagnostics(&lathe->ctx));
    assert_int_equal(status, SW_OK);
    return verdict;
}

const struct sw_finding *sw_peg_finding(const struct sw_verdict *verdict, enum sw_finding_code code)
{
    for (size_t i = 0; i < verdict->findings.n; i++)
        if (verdict->findings.at[i].code == code)
            return &verdict->findings.at[i];
    return NULL;
}

void sw_peg_print(const struct sw_verdict *verdict)
{
    for (size_t i = 0; i < verdict->findings.n; i++) {
        const struct sw_finding *finding = &verdict->findings.at[i];
        print_error("%s:%u: %s: %s\n", finding->program != NULL ? finding->program : "-",
                    (unsigned)finding->line, sw_finding_word(finding->code), finding->message);
    }
}

void sw_peg_expect_clean_without_shape(const struct sw_verdict *verdict)
{
    if (verdict->findings.n != 1)
        sw_peg_print(verdict);
    assert_int_equal(verdict->findings.n, 1);
    assert_int_equal(verdict->findings.at[0].code, SW_FINDING_SIZE);
    assert_int_equal(verdict->findings.at[0].severity, SW_WARNING);
    assert_true(verdict->passes);
}

void sw_peg_expect_clean(const struct sw_verdict *verdict)
{
    if (verdict->findings.n > 0)
        sw_peg_print(verdict);
    assert_int_equal(verdict->findings.n, 0);
    assert_true(verdict->passes);
}
