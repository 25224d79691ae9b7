/* Arcs in the XZ plane. Sections are those of NISTIR 6556. */
#include "test_ncread_program.h"

#include <math.h>
#include <stdio.h>

/* Sweep from the two ends and the centre, with the sign of the sense: angle from +z towards +x
 * (4.3.6.1). In degrees. */
static double sweep_of(const struct sw_motion_event *arc)
{
    const double pi = acos(-1);
    const double a = atan2(arc->from.x - arc->centre.x, arc->from.z - arc->centre.z);
    const double b = atan2(arc->to.x - arc->centre.x, arc->to.z - arc->centre.z);
    double turn = (b - a) * 180 / pi;
    if (arc->turn > 0 && turn < 0)
        turn += 360;
    if (arc->turn < 0 && turn > 0)
        turn -= 360;
    return turn;
}

static struct program arc_from(double x, double z, const char *block)
{
    struct program p = program_new();
    char text[256];
    snprintf(text, sizeof text, "G21 G18 G90 G94 F100\nG0 X%.4f Z%.4f\n%s\nM2\n", x, z, block);
    program_read_clean(&p, text);
    assert_int_equal(program_count(&p, SW_MOTION_ARC), 1);
    return p;
}

static void arcs_turn_as_the_plane_of_z_and_x_says(void **state)
{
    (void)state;
    /* derived from 4.3.6.1 (first axis Z, second X, seen from +Y): material-convex towards the
     * headstock and outwards is G3, concave is G2 */
    static const struct {
        double x, z;
        const char *block;
        double to_x, to_z, centre_x, centre_z, sweep;
    } fact[] = {
        {0, 0, "G3 X1 Z-1 I0 K-1", 1, -1, 0, -1, 90},
        {1, -4, "G2 X2 Z-5 I1 K0", 2, -5, 2, -4, -90},
        {1, 0, "G3 X2 Z-1 I0 K-1", 2, -1, 1, -1, 90},
        {0, 0, "G3 X1 Z-1 R1", 1, -1, 0, -1, 90},
        {0, 0, "G2 X1 Z-1 R1", 1, -1, 1, 0, -90},
        {0, 0, "G3 X1 Z-1 R-1", 1, -1, 1, 0, 270},
        {0, 0, "G2 X1 Z-1 R-1", 1, -1, 0, -1, -270},
        {0, 0, "G2 X1 Z-1 K-1", 1, -1, 0, -1, -270},
        {0, 0, "G3 X0 Z-2 R1", 0, -2, 0, -1, 180},
        /* 3.5.3.2: X7 Y7 to X10 Y16 with I3 J4, in G17; here Y is Z and the sense mirrored */
        {7, 7, "G3 X10 Z16 I3 K4", 10, 16, 10, 11, 0},
    };
    for (size_t i = 0; i < sizeof fact / sizeof *fact; i++) {
        struct program p = arc_from(fact[i].x, fact[i].z, fact[i].block);
        const struct sw_motion_event *arc = program_nth(&p, SW_MOTION_ARC, 0);
        assert_near(arc->from.x, fact[i].x, 0);
        assert_near(arc->from.z, fact[i].z, 0);
        assert_near(arc->to.x, fact[i].to_x, 0);
        assert_near(arc->to.z, fact[i].to_z, 0);
        assert_near(arc->centre.x, fact[i].centre_x, 1e-12);
        assert_near(arc->centre.z, fact[i].centre_z, 1e-12);
        assert_near(arc->radius_from, arc->radius_to, 1e-12);
        assert_false(arc->is_full_turn);
        if (fact[i].sweep != 0)
            assert_near(sweep_of(arc), fact[i].sweep, 1e-9);
        program_free(&p);
    }
}

static void the_printed_radius_arc_has_its_printed_centre(void **state)
{
    (void)state;
    /* Table 10: G2 from (3, 1) to (0, 1) with R7.01 in XY has centre (1.5, 7.8476). In G18 the
     * plane is (Z, X), so X of the print is Z here and Y is X. */
    struct program p = arc_from(1, 3, "G2 Z[6-[4*3/2]] R7.01");
    const struct sw_motion_event *arc = program_nth(&p, SW_MOTION_ARC, 0);
    assert_near(arc->centre.z, 1.5, 1e-12);
    assert_near(arc->centre.x, 7.8476, 5e-5);
    assert_near(arc->to.z, 0, 0);
    assert_int_equal(arc->turn, -1);
    program_free(&p);
}

static void an_arc_that_ends_at_its_start_is_a_full_turn(void **state)
{
    (void)state;
    /* 3.5.3.2, 4.3.6.1: as the Hello world program's full circles (C.1), J only, X repeated */
    struct program p = arc_from(2.5, 30, "G2 Z30 I2.5");
    const struct sw_motion_event *arc = program_nth(&p, SW_MOTION_ARC, 0);
    assert_true(arc->is_full_turn);
    assert_near(arc->centre.x, 5, 0);
    assert_near(arc->radius_from, 2.5, 0);
    program_free(&p);
}

static void centres_are_increments_in_every_distance_mode(void **state)
{
    (void)state;
    /* 3.5.17 */
    struct program p = arc_from(1, -4, "G91 G2 X1 Z-1 I1");
    const struct sw_motion_event *arc = program_nth(&p, SW_MOTION_ARC, 0);
    assert_near(arc->to.x, 2, 0);
    assert_near(arc->to.z, -5, 0);
    assert_near(arc->centre.x, 2, 0);
    assert_near(arc->centre.z, -4, 0);
    program_free(&p);
}

static void both_radii_of_a_mismatched_arc_are_kept(void **state)
{
    (void)state;
    /* 3.5.3: up to 0.002 mm may lie between them */
    struct program p = arc_from(0, 0, "G3 X1.0019 Z-1 I0 K-1");
    const struct sw_motion_event *arc = program_nth(&p, SW_MOTION_ARC, 0);
    assert_near(arc->radius_from, 1, 0);
    assert_near(arc->radius_to, 1.0019, 1e-15);
    program_free(&p);
    p = arc_from(0, 0, "G3 X1.002 Z-1 I0 K-1");
    program_free(&p);
    p = program_new();
    program_read(&p, "G18 F100\nG3 X1.0021 Z-1 I0 K-1\nM2\n");
    assert_int_equal(p.status, SW_FOUND);
    assert_int_equal(program_count(&p, SW_MOTION_ARC), 0);
    assert_string_equal(sw_diag_at(p.ctx.diag, 0)->code, "block.arc-radii");
    program_free(&p);
    /* 0.0002 inch = 0.00508 mm under G20 */
    p = program_new();
    program_read_clean(&p, "G18 G20 F4\nG3 X1.0002 Z-1 K-1\nM2\n");
    assert_near(program_nth(&p, SW_MOTION_ARC, 0)->radius_to, 25.4 + 0.00508, 1e-12);
    program_free(&p);
    p = program_new();
    program_read(&p, "G18 G20 F4\nG3 X1.00021 Z-1 K-1\nM2\n");
    assert_int_equal(p.status, SW_FOUND);
    assert_non_null(strstr(sw_diag_at(p.ctx.diag, 0)->message, "0.0002 inch"));
    program_free(&p);
}

static void arcs_go_on_without_their_code(void **state)
{
    (void)state;
    /* 3.5.3: G2 and G3 may be left out while in force; R and centre are for their own line */
    struct program p = program_new();
    program_read_clean(&p, "G18 F100 G3 X1 Z-1 K-1\nX2 Z-2 K-1\nX3 Z-3 R1\nM2\n");
    assert_int_equal(program_count(&p, SW_MOTION_ARC), 3);
    assert_near(program_nth(&p, SW_MOTION_ARC, 1)->centre.x, 1, 0);
    assert_near(program_nth(&p, SW_MOTION_ARC, 1)->centre.z, -2, 0);
    assert_near(program_nth(&p, SW_MOTION_ARC, 2)->centre.x, 2, 1e-12);
    program_free(&p);
    p = program_new();
    program_read(&p, "G18 F100 G3 X1 Z-1 R1\nX2 Z-2\nM2\n");
    assert_int_equal(p.status, SW_FOUND);
    assert_string_equal(sw_diag_at(p.ctx.diag, 0)->code, "block.arc-centre");
    program_free(&p);
}

static void a_diameter_reading_doubles_x_and_i_apart(void **state)
{
    (void)state;
    struct program p = program_new();
    p.control.x = program_fact(SW_X_DIAMETER);
    program_read_clean(&p, "G18 F100\nG0 X2 Z-4\nG2 X4 Z-5 I1\nM2\n");
    const struct sw_motion_event *arc = program_nth(&p, SW_MOTION_ARC, 0);
    assert_near(arc->from.x, 1, 0);
    assert_near(arc->to.x, 2, 0);
    assert_near(arc->centre.x, 2, 0);
    program_free(&p);
    p = program_new();
    p.control.x = program_fact(SW_X_DIAMETER);
    p.control.i = program_fact(SW_X_DIAMETER);
    program_read_clean(&p, "G18 F100\nG0 X2 Z-4\nG2 X4 Z-5 I2\nG3 X2 Z-6 R1\nM2\n");
    assert_near(program_nth(&p, SW_MOTION_ARC, 0)->centre.x, 2, 0);
    /* R is a radius whatever X is: 2 to 1 in x and -5 to -6 in z, centre below */
    assert_near(program_nth(&p, SW_MOTION_ARC, 1)->centre.x, 1, 1e-12);
    assert_near(program_nth(&p, SW_MOTION_ARC, 1)->centre.z, -5, 1e-12);
    program_free(&p);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(arcs_turn_as_the_plane_of_z_and_x_says),
        cmocka_unit_test(the_printed_radius_arc_has_its_printed_centre),
        cmocka_unit_test(an_arc_that_ends_at_its_start_is_a_full_turn),
        cmocka_unit_test(centres_are_increments_in_every_distance_mode),
        cmocka_unit_test(both_radii_of_a_mismatched_arc_are_kept),
        cmocka_unit_test(arcs_go_on_without_their_code),
        cmocka_unit_test(a_diameter_reading_doubles_x_and_i_apart),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
