/* What a blank keeps and leaves, and its staff file. Wanted figures are worked out by hand from the
 * samples' own. */
#include <math.h>

#include "part/blank.h"
#include "test_part_fixture.h"

static const struct sw_blank_how usual = {.material = "carbon-steel-annealed",
                                          .grown_least = 0.0002,
                                          .grown_most = 0.0012,
                                          .allowance = 0.04};

/* "L" where a section is left thick, "." where it is kept. */
static const char *form_text(const struct sw_blank_form *form, size_t n, struct sw_ctx *ctx)
{
    char *text = sw_arena_alloc(ctx->arena, n + 1, 1);
    assert_non_null(text);
    for (size_t i = 0; i < n; i++)
        text[i] = form->leaves[i] ? 'L' : '.';
    text[n] = '\0';
    return text;
}

static struct sw_blank_form form_of(const struct sw_staff *staff, const struct sw_blank_how *how,
                                    struct sw_ctx *ctx)
{
    struct sw_blank_form form;
    if (sw_blank_form(&form, staff, how, ctx) != SW_OK)
        fail_msg("%s", sw_test_diagnostics(ctx));
    return form;
}

static struct sw_staff *blank_of(const struct sw_staff *staff, const struct sw_blank_how *how,
                                 struct sw_ctx *ctx)
{
    const struct sw_blank_form form = form_of(staff, how, ctx);
    struct sw_buf text = {0};
    struct sw_staff *blank = NULL;
    assert_int_equal(sw_blank_write(&text, staff, &form, how, ctx), SW_OK);
    if (sw_staff_parse(&blank, "blank.yaml", sw_buf_text(&text), text.n, ctx) != SW_OK)
        fail_msg("%s\n%s", sw_buf_text(&text), sw_test_diagnostics(ctx));
    sw_buf_done(&text);
    return blank;
}

static void ends_and_what_follows_the_roller_or_the_underside_are_left_thick(void **state)
{
    (void)state;
    static const struct {
        const char *staff, *form;
        bool datum_is_lower, core_is_cut;
    } wanted[] = {
        /* pivot cone slope collet rivet balance hub roller slope cone pivot */
        {"fenmoor-43", "LLL....LLLL", false, true},
        {"wren-8", "LLL....LLLL", false, true},
        /* its collet seat ends too far from the hub for its face to be known */
        {"tollgate", "LLLL...LLLLL", false, true},
        /* pivot cone slope shank hub | balance rivet collet roller slope cone pivot: the land and
         * the balance are below, the underside above */
        {"millrace", "LLLL....LLLL", true, true},
        /* no hub: the friction seat is the core, the roller's side is cut */
        {"harrow-2p", "LLL..LLLLLL", false, true},
    };
    for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++) {
        struct sw_ctx ctx = sw_test_ctx();
        const struct sw_staff *staff = load_sample(wanted[i].staff, &ctx);
        const struct sw_blank_form form = form_of(staff, &usual, &ctx);
        assert_string_equal(form_text(&form, staff->n, &ctx), wanted[i].form);
        assert_int_equal(form.datum_is_lower, wanted[i].datum_is_lower);
        assert_int_equal(form.core_is_cut, wanted[i].core_is_cut);
        sw_test_ctx_free(&ctx);
    }
}

static void what_is_left_thick_never_falls_inwards_nor_is_thinner_than_the_allowance(void **state)
{
    (void)state;
    for (size_t s = 0; s < N_SAMPLE_STAFFS; s++) {
        struct sw_ctx ctx = sw_test_ctx();
        const struct sw_staff *staff = load_sample(sample_staffs[s], &ctx);
        const struct sw_blank_form form = form_of(staff, &usual, &ctx);
        for (size_t i = 0; i < staff->n; i++) {
            const struct sw_section *is = &staff->section[i];
            if (!form.leaves[i])
                continue;
            assert_true(form.diameter[i] >= 2 * fmax(is->r0, is->r1) + usual.allowance - 1e-9);
            const size_t inner = is->is_lower_half ? i - 1 : i + 1;
            if (form.leaves[inner])
                assert_true(form.diameter[inner] >= form.diameter[i] - 1e-9);
        }
        for (size_t i = 0; i < staff->n; i++)
            assert_true(form.z[i + 1] > form.z[i]);
        assert_near(form.z[0], -usual.allowance, 1e-9);
        assert_near(form.z[staff->n], staff->total + usual.allowance, 1e-9);
        sw_test_ctx_free(&ctx);
    }
}

static void a_blank_is_smaller_by_the_middle_of_the_growth(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_staff *staff = load_sample("fenmoor-43", &ctx);
    const struct sw_staff *blank = blank_of(staff, &usual, &ctx);
    assert_true(blank->is_blank);
    assert_string_equal(blank->name, "Fenmoor 43, blank");
    assert_string_equal(blank->material, "carbon-steel-annealed");
    /* 1.16 / 1.0007, and its limits less what half a per mille of it takes on either side */
    const struct sw_section *seat = sw_staff_section(blank, "balance seat");
    assert_near(2 * seat->r0, 1.159189, 1e-6);
    assert_near(seat->diameter_tolerance.lower, (-0.005 + 0.00058) / 1.0007, 1e-6);
    assert_near(seat->diameter_tolerance.upper, -0.00058 / 1.0007, 1e-6);
    assert_int_equal(seat->takes, SW_TAKES_BALANCE);
    /* 0.28 / 1.0007, on the grid of a text */
    assert_near(seat->z1 - seat->z0, 0.2798, 1e-4);
    /* left thick: 0.54 and 0.04; hub without an underside, longer by a fifth of 0.04 */
    assert_near(2 * sw_staff_section(blank, "roller seat")->r0, 0.58 / 1.0007, 1e-6);
    const struct sw_section *hub = sw_staff_section(blank, "hub");
    assert_near(hub->hub_underside, 0, 0);
    assert_near(hub->z1 - hub->z0, (0.52 + 0.008) / 1.0007, 1e-4);
    assert_false(sw_staff_section(blank, "rivet")->has_recess);
    assert_near(2 * sw_staff_section(blank, SW_BLANK_UPPER_END)->r0, 0.40 / 1.0007, 1e-6);
    assert_near(blank->total, (4.55 + 0.08) / 1.0007, 2e-4);
    sw_test_ctx_free(&ctx);
}

static void the_datum_lies_as_far_from_every_kept_face_as_it_will(void **state)
{
    (void)state;
    for (size_t s = 0; s < N_SAMPLE_STAFFS; s++) {
        struct sw_ctx ctx = sw_test_ctx();
        const struct sw_staff *staff = load_sample(sample_staffs[s], &ctx);
        const struct sw_blank_form form = form_of(staff, &usual, &ctx);
        const struct sw_staff *blank = blank_of(staff, &usual, &ctx);
        const double datum = sw_blank_datum(staff, form.datum_is_lower);
        const double soft = sw_blank_datum(blank, form.datum_is_lower);
        for (size_t i = 0; i < staff->n; i++) {
            const struct sw_section *was = &staff->section[i];
            const struct sw_section *is = sw_staff_section(blank, was->name);
            if (form.leaves[i] || i == staff->core)
                continue;
            assert_non_null(is);
            assert_near(1.0007 * (is->z0 - soft), was->z0 - datum, 1.1e-4);
            assert_near(1.0007 * (is->z1 - soft), was->z1 - datum, 1.1e-4);
            assert_near(1.0007 * is->r0, was->r0, 1e-6);
            assert_near(1.0007 * is->r1, was->r1, 1e-6);
        }
        sw_test_ctx_free(&ctx);
    }
}

static void growth_that_is_known_too_badly_is_refused_with_what_would_do(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_staff *staff = load_sample("fenmoor-43", &ctx);
    struct sw_blank_how how = usual;
    struct sw_blank_form form;
    how.grown_most = 0.0062; /* 0.6 %: the collet seat's face is 1.63 off, hub and all */
    assert_int_equal(sw_blank_form(&form, staff, &how, &ctx), SW_CANNOT);
    assert_non_null(strstr(sw_test_diagnostics(&ctx), "growth is known no better than 0.600 %"));
    assert_non_null(strstr(sw_test_diagnostics(&ctx), "narrow `growth`: 0.155 %"));
    sw_test_ctx_free(&ctx);
}

static void growth_is_refused_where_a_diameter_that_stays_would_leave_its_limits(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_staff *staff = load_sample("fenmoor-43", &ctx);
    struct sw_blank_how how = usual;
    struct sw_section *hub = &staff->section[staff->hub];
    hub->diameter_tolerance = (struct sw_band){.lower = -0.001, .upper = 0.001};
    /* half a per mille of 0.83 is 0.415 um, of the 0.5 um either way half is for growth */
    const struct sw_blank_form form = form_of(staff, &how, &ctx);
    assert_int_equal(sw_blank_check(staff, &form, &how, &ctx), SW_CANNOT);
    assert_non_null(strstr(sw_test_diagnostics(&ctx), "the radius of the hub may come out 0.4"));
    how.grown_least = 0.0005;
    how.grown_most = 0.0009;
    assert_int_equal(sw_blank_check(staff, &form, &how, &ctx), SW_OK);
    sw_test_ctx_free(&ctx);
}

static void an_end_too_thick_for_the_seat_behind_it_takes_the_seat_along(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_staff *staff = load_sample("harrow-2p", &ctx);
    struct sw_blank_how how = usual;
    how.grown_least = how.grown_most = 0.0007;
    how.allowance = 0.3; /* 0.66 leaves no face of the collet seat, 0.78 less its bevel */
    struct sw_blank_form form;
    /* with it 1.08 would be left in front of a friction seat of 0.90 */
    assert_int_equal(sw_blank_form(&form, staff, &how, &ctx), SW_CANNOT);
    assert_non_null(strstr(sw_test_diagnostics(&ctx), "the friction seat cannot be finished"));
    assert_null(strstr(sw_test_diagnostics(&ctx), "growth is known"));
    sw_test_ctx_free(&ctx);
}

static void a_corner_that_a_recess_takes_away_later_may_be_round(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_staff *staff = load_sample("fenmoor-43", &ctx);
    struct sw_section *collet = &staff->section[3], *balance = &staff->section[5];
    collet->corner = balance->corner = 0.005;
    assert_near(sw_blank_corner(staff, collet), SW_BLANK_CORNER, 0);
    assert_near(sw_blank_corner(staff, balance), 0.005, 0);
    /* but no rounder than a holder bears that closes on it up to the hub */
    balance->corner = 0.1;
    assert_near(sw_blank_corner(staff, balance), SW_BLANK_CORNER, 0);
    sw_test_ctx_free(&ctx);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ends_and_what_follows_the_roller_or_the_underside_are_left_thick),
        cmocka_unit_test(what_is_left_thick_never_falls_inwards_nor_is_thinner_than_the_allowance),
        cmocka_unit_test(a_blank_is_smaller_by_the_middle_of_the_growth),
        cmocka_unit_test(the_datum_lies_as_far_from_every_kept_face_as_it_will),
        cmocka_unit_test(growth_that_is_known_too_badly_is_refused_with_what_would_do),
        cmocka_unit_test(growth_is_refused_where_a_diameter_that_stays_would_leave_its_limits),
        cmocka_unit_test(an_end_too_thick_for_the_seat_behind_it_takes_the_seat_along),
        cmocka_unit_test(a_corner_that_a_recess_takes_away_later_may_be_round),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
