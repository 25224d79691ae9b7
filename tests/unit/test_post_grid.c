/* Arcs as written, judged from their own numbers with the rule of NISTIR 6556, 3.5.3.2: the radii
 * at both ends, computed from the text, may differ by 0.002 mm; we hold ourselves to a tenth. */
#include "test_post_sample.h"

#include <inttypes.h>

#include "base/num.h"
#include "post/grid.h"

/* xorshift64 (Marsaglia 2003): the same arcs everywhere. */
static uint64_t next_random(uint64_t *state)
{
    *state ^= *state << 13;
    *state ^= *state >> 7;
    *state ^= *state << 17;
    return *state;
}

static double between(uint64_t *state, double low, double high)
{
    return low + (high - low) * ((double)(next_random(state) >> 11) / 9007199254740992.0);
}

/* The number behind a letter of a block, as a control reads it. */
static bool word_of(double *value, const char *line, char letter)
{
    const char *at = line;
    while (*at && *at != '\n' && !(at[0] == ' ' && at[1] == letter))
        at++;
    if (*at != ' ')
        return false;
    return sw_num_parse(value, at + 2, strcspn(at + 2, " \n"));
}

static const char *next_line(const char *line)
{
    const char *end = strchr(line, '\n');
    return end ? end + 1 : line + strlen(line);
}

/* Give the written arc from (x, z) as a segment on radius. */
static struct sw_seg read_arc(const char *line, double x, double z, double x_factor)
{
    double to_x = 0, to_z = 0, i = 0, k = 0;
    assert_true(word_of(&to_x, line, 'X') && word_of(&to_z, line, 'Z'));
    assert_true(word_of(&i, line, 'I') && word_of(&k, line, 'K'));
    const struct sw_pt a = {z, x / x_factor}, b = {to_z, to_x / x_factor};
    return sw_seg_arc(a, b, (struct sw_pt){z + k, x / x_factor + i}, line[1] == '3' ? 1 : -1,
                      SW_TAG_NONE);
}

/* Random arcs through a dialect's text; gives the worst mismatch and counts what was written. */
static void write_random_arcs(const char *dialect, double x_factor, uint64_t seed,
                              struct sw_ctx *outer)
{
    enum { ROUNDS = 4000 };
    const struct sw_post *post = sample_dialect(dialect, outer);
    const struct sw_machine machine = sample_machine();
    uint64_t state = seed;
    size_t n_arcs = 0;
    for (int round = 0; round < ROUNDS; round++) {
        struct sw_ctx ctx = {sw_arena_new(), outer->diag};
        assert_non_null(ctx.arena);
        /* Radii from 0.01 to 2 mm, as many small ones as large ones; sweeps to 270 degrees. */
        const double radius = 0.01 * pow(200, between(&state, 0, 1));
        const double angle = between(&state, -sample_pi, sample_pi);
        const double sweep = between(&state, 0.01, 270) * (next_random(&state) & 1 ? 1 : -1);
        const struct sw_pt centre = {between(&state, -5, 1), between(&state, 0, 2)};
        struct sw_path path = {.stem = "arcs"};
        sample_tool(&path, &ctx, 1);
        sample_spindle(&path, &ctx, 3000, false);
        sample_rapid(&path, &ctx, centre.z + radius * cos(angle), centre.r + radius * sin(angle));
        sample_arc(&path, &ctx, centre.z, centre.r, sweep, 0.01);
        const struct sw_pt end = path.at[path.n - 1].to;
        sample_add(&path, &ctx, SW_PATH_END);
        struct sw_post_programs out = {0};
        if (sw_post_write(&out, post, &path, &machine, &ctx) != SW_OK)
            fail_msg("seed %" PRIu64 ", round %d: %s", seed, round, sw_test_diagnostics(outer));
        double x = 0, z = 0, swept = 0, worst = 0;
        int n_pieces = 0;
        for (const char *line = out.at[0].text; *line; line = next_line(line)) {
            if (line[0] == 'G' && (line[1] == '2' || line[1] == '3') && line[2] == ' ') {
                const struct sw_seg arc = read_arc(line, x, z, x_factor);
                worst =
                    fmax(worst, fabs(sw_pt_distance(arc.a, arc.c) - sw_pt_distance(arc.b, arc.c)));
                /* Every piece stays on the circle that was asked for: ends and middle are rounded
                 * by half a digit each, the centre by one. */
                assert_near(sw_pt_distance(sw_seg_at(&arc, 0.5), centre), radius, 2.8e-4);
                assert_int_equal(arc.turn, sweep > 0 ? 1 : -1);
                swept += fabs(sw_seg_sweep(&arc)) * 180 / sample_pi;
                n_pieces++;
            }
            if (line[0] == 'G' && line[1] <= '3' && line[2] == ' ') {
                word_of(&x, line, 'X');
                word_of(&z, line, 'Z');
            }
        }
        if (worst > SW_POST_MOST_MISMATCH + 1e-12)
            fail_msg("seed %" PRIu64 ", round %d: radii differ by %g mm", seed, round, worst);
        n_arcs += (size_t)n_pieces;
        assert_near(x / x_factor, end.r, 0.5e-4 + 1e-9);
        assert_near(z, end.z, 0.5e-4 + 1e-9);
        if (n_pieces == 0) { /* the chord stands for it, or it is shorter than a digit */
            assert_true(radius * (1 - cos(sweep * sample_pi / 360)) <= SW_POST_FLAT_ARC);
            sw_arena_free(ctx.arena);
            continue;
        }
        /* Of each piece rounding moves both ends by 0.71 of a digit and the centre by 1.42. */
        assert_near(swept, fabs(sweep), n_pieces * 2 * 2.13e-4 / radius * 180 / sample_pi);
        sw_arena_free(ctx.arena);
    }
    assert_true(n_arcs > ROUNDS);
}

static void radii_from_the_text_differ_by_a_fifth_of_a_micrometre_at_most(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    write_random_arcs("strict", 1, 20240607, &ctx);
    sw_test_ctx_free(&ctx);
}

static void diameters_hold_the_same_limit(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    write_random_arcs("turning", 2, 71, &ctx);
    sw_test_ctx_free(&ctx);
}

static const struct sw_post_grid plain_grid = {4, 4, 4, 1, 1};

static void the_centre_is_searched_where_plain_rounding_is_worse(void **state)
{
    (void)state;
    uint64_t seed = 5;
    int n_better = 0;
    for (int i = 0; i < 500; i++) {
        const double angle = between(&seed, 0, 6), radius = between(&seed, 0.02, 1);
        const struct sw_pt c = {between(&seed, -1, 1), between(&seed, 0, 1)};
        const struct sw_seg arc = sw_seg_arc(
            (struct sw_pt){c.z + radius * cos(angle), c.r + radius * sin(angle)},
            (struct sw_pt){c.z + radius * cos(angle + 1.5), c.r + radius * sin(angle + 1.5)}, c, 1,
            SW_TAG_NONE);
        const struct sw_post_pt from = sw_post_round(&plain_grid, arc.a);
        const struct sw_post_pt to = sw_post_round(&plain_grid, arc.b);
        const struct sw_post_arc best = sw_post_arc_by_centre(&plain_grid, &arc, from, to);
        const struct sw_pt a = sw_post_exact(&plain_grid, from), b = sw_post_exact(&plain_grid, to);
        const struct sw_pt plain = {a.z + sw_num_round(c.z - a.z, 4),
                                    a.r + sw_num_round(c.r - a.r, 4)};
        const double mismatch = fabs(sw_pt_distance(a, plain) - sw_pt_distance(b, plain));
        assert_int_equal(best.kind, SW_POST_ARC_WRITTEN);
        assert_true(best.mismatch <= mismatch + 1e-9);
        n_better += best.mismatch < mismatch - 1e-5;
    }
    assert_true(n_better > 100);
}

static void an_arc_that_ends_where_it_begins_is_dropped_only_when_flat(void **state)
{
    (void)state;
    const struct sw_post_pt at = {10000, 0};
    /* Sweep 0.1 urad on radius 0.1: nothing at all. */
    const struct sw_seg flat = sw_seg_arc((struct sw_pt){0, 1}, (struct sw_pt){-1e-8, 1},
                                          (struct sw_pt){0, 0.9}, 1, SW_TAG_NONE);
    assert_int_equal(sw_post_arc_by_centre(&plain_grid, &flat, at, at).kind, SW_POST_ARC_NOTHING);
    /* Nearly a full turn on radius 0.1: writing nothing would lose 0.2 mm of path, and I and K
     * with the same end would be a full turn. */
    const double most = 2 * sample_pi - 1e-7;
    const struct sw_seg round =
        sw_seg_arc((struct sw_pt){0, 1}, (struct sw_pt){-0.1 * sin(most), 0.9 + 0.1 * cos(most)},
                   (struct sw_pt){0, 0.9}, 1, SW_TAG_NONE);
    assert_int_equal(sw_post_arc_by_centre(&plain_grid, &round, at, at).kind, SW_POST_ARC_REFUSED);
    assert_int_equal(sw_post_arc_by_radius(&plain_grid, &round, at, at).kind, SW_POST_ARC_REFUSED);
}

static void a_coarse_grid_refuses_rather_than_writes_a_bad_arc(void **state)
{
    (void)state;
    const struct sw_post_grid coarse = {2, 2, 2, 1, 1};
    const struct sw_pt c = {0, 0};
    const struct sw_seg arc =
        sw_seg_arc((struct sw_pt){0.1234, 0}, (struct sw_pt){0.1234 * cos(1), 0.1234 * sin(1)}, c,
                   1, SW_TAG_NONE);
    const struct sw_post_arc best = sw_post_arc_by_centre(
        &coarse, &arc, sw_post_round(&coarse, arc.a), sw_post_round(&coarse, arc.b));
    assert_int_equal(best.kind, SW_POST_ARC_REFUSED);
    assert_true(best.mismatch > SW_POST_MOST_MISMATCH || best.off_path > SW_POST_MOST_OFF_PATH);
}

static void an_arc_by_radius_has_its_centre_on_the_asked_side(void **state)
{
    (void)state;
    /* Quarter turns of radius 1 in both senses; NISTIR 6556, 4.3.6.1: G3 turns +Z towards +X. */
    const struct sw_seg ccw = sw_seg_arc((struct sw_pt){0, 0}, (struct sw_pt){-1, 1},
                                         (struct sw_pt){-1, 0}, 1, SW_TAG_NONE);
    const struct sw_post_arc one = sw_post_arc_by_radius(
        &plain_grid, &ccw, (struct sw_post_pt){0, 0}, (struct sw_post_pt){10000, -10000});
    assert_int_equal(one.kind, SW_POST_ARC_WRITTEN);
    assert_int_equal(one.radius, 10000);
    assert_near(one.off_path, 0, 1e-12);
    const struct sw_seg cw = sw_seg_arc((struct sw_pt){-4, 1}, (struct sw_pt){-5, 2},
                                        (struct sw_pt){-4, 2}, -1, SW_TAG_NONE);
    const struct sw_post_arc other = sw_post_arc_by_radius(
        &plain_grid, &cw, (struct sw_post_pt){10000, -40000}, (struct sw_post_pt){20000, -50000});
    assert_int_equal(other.kind, SW_POST_ARC_WRITTEN);
    assert_int_equal(other.radius, 10000);
    assert_near(other.off_path, 0, 1e-12);
}

static void rounding_is_half_away_from_zero_in_counts(void **state)
{
    (void)state;
    const struct sw_post_grid diameter = {2, 2, 4, 2, 1};
    const struct sw_post_pt at = sw_post_round(&diameter, (struct sw_pt){-0.125, 0.1875});
    assert_int_equal(at.x, 38); /* 0.375 on diameter */
    assert_int_equal(at.z, -13);
    assert_near(sw_post_exact(&diameter, at).r, 0.19, 1e-15);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(radii_from_the_text_differ_by_a_fifth_of_a_micrometre_at_most),
        cmocka_unit_test(diameters_hold_the_same_limit),
        cmocka_unit_test(the_centre_is_searched_where_plain_rounding_is_worse),
        cmocka_unit_test(an_arc_that_ends_where_it_begins_is_dropped_only_when_flat),
        cmocka_unit_test(a_coarse_grid_refuses_rather_than_writes_a_bad_arc),
        cmocka_unit_test(an_arc_by_radius_has_its_centre_on_the_asked_side),
        cmocka_unit_test(rounding_is_half_away_from_zero_in_counts),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
