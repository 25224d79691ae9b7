/* Arcs written as chords: held against the circle itself, from the numbers of the text. */
#include "test_post_sample.h"

/* Numbers of four decimals lie this far off at most: half a count in X and in Z [mm]. */
#define ROUNDING 7.2e-5
#define CHORD_ERROR 2e-4

static double share_of_distance(double z0, double x0, double z1, double x1)
{
    /* the foot of the perpendicular from the origin, kept within the chord */
    const double dz = z1 - z0, dx = x1 - x0, n = dz * dz + dx * dx;
    return n > 0 ? fmin(1, fmax(0, -(z0 * dz + x0 * dx) / n)) : 0;
}

static const char *next_line(const char *at)
{
    const char *end = strchr(at, '\n');
    return end ? end + 1 : NULL;
}

/* Turn SWEEP degrees about (0, RC) from ANGLE at RADIUS, and hold each chord of the text against
 * the circle: within the error, and never nearer the axis than the arc. */
static void turn_and_compare(double angle, double sweep, double radius, double rc)
{
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_machine machine = sample_machine();
    struct sw_path path = {.stem = "arc"};
    sample_text(&path, &ctx, SW_PATH_SECTION, "Arc");
    sample_tool(&path, &ctx, 1);
    sample_spindle(&path, &ctx, 1000, false);
    const double a = angle * sample_pi / 180;
    sample_rapid(&path, &ctx, radius * cos(a), rc + radius * sin(a));
    sample_arc(&path, &ctx, 0, rc, sweep, 0.01);
    sample_add(&path, &ctx, SW_PATH_STOP);
    sample_add(&path, &ctx, SW_PATH_END);
    struct sw_post_programs out = {0};
    assert_int_equal(sw_post_write(&out, sample_dialect("chords", &ctx), &path, &machine, &ctx),
                     SW_OK);
    assert_null(strstr(out.at[0].text, "G2 "));
    assert_null(strstr(out.at[0].text, "G3 "));
    double z0 = 0, x0 = 0;
    int n = 0;
    for (const char *at = out.at[0].text; at; at = next_line(at)) {
        const bool is_rapid = strncmp(at, "G0 ", 3) == 0, is_line = strncmp(at, "G1 ", 3) == 0;
        if (!is_rapid && !is_line)
            continue;
        const char *end = strchr(at, '\n');
        const char *x = strchr(at, 'X'), *z = strchr(at, 'Z');
        const double x1 = x && x < end ? strtod(x + 1, NULL) - rc : x0;
        const double z1 = z && z < end ? strtod(z + 1, NULL) : z0;
        if (is_line) {
            const double t = share_of_distance(z0, x0, z1, x1);
            const double near = hypot(z0 + t * (z1 - z0), x0 + t * (x1 - x0));
            const double far = fmax(hypot(z0, x0), hypot(z1, x1));
            const double error = CHORD_ERROR + ROUNDING;
            /* above the centre outside, below it inside */
            const bool is_bulge = x0 + x1 > 0;
            assert_true(near >= radius - (is_bulge ? ROUNDING : error));
            assert_true(far <= radius + (is_bulge ? error : ROUNDING));
            n++;
        }
        z0 = z1;
        x0 = x1;
    }
    assert_true(n > 3);
    const double b = a + sweep * sample_pi / 180;
    assert_near(z0, radius * cos(b), ROUNDING);
    assert_near(x0, radius * sin(b), ROUNDING);
    sw_test_ctx_free(&ctx);
}

static void a_bulge_is_drawn_by_tangents_and_a_hollow_by_chords(void **state)
{
    (void)state;
    static const double radii[] = {0.03, 0.25, 2};
    for (size_t i = 0; i < sizeof radii / sizeof *radii; i++) {
        turn_and_compare(10, 80, radii[i], 3);
        turn_and_compare(170, -90, radii[i], 3);
        turn_and_compare(-170, 80, radii[i], 3);
        turn_and_compare(-10, -150, radii[i], 3);
    }
}

static void an_arc_past_the_height_of_its_centre_changes_from_one_to_the_other(void **state)
{
    (void)state;
    turn_and_compare(60, -170, 0.3, 3);
    turn_and_compare(120, 140, 0.3, 3);
    turn_and_compare(0, 270, 0.3, 3);
    turn_and_compare(180, 90, 0.3, 3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_bulge_is_drawn_by_tangents_and_a_hollow_by_chords),
        cmocka_unit_test(an_arc_past_the_height_of_its_centre_changes_from_one_to_the_other),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
