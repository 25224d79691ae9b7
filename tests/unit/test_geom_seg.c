/* Lines and arcs, and where they meet. Numbers without a source named are derived by hand from the
 * circle equations. */
#include "geom/seg.h"

#include "test_geom_shapes.h"

static const double pi = 3.14159265358979323846;

static void an_arc_knows_its_radius_sweep_and_length(void **state)
{
    (void)state;
    const struct sw_seg arc = sw_seg_arc(pt(1, 0), pt(0, 1), pt(0, 0), 1, 3);
    assert_near(sw_seg_radius(&arc), 1, 1e-15);
    assert_near(sw_seg_sweep(&arc), pi / 2, 1e-15);
    assert_near(sw_seg_length(&arc), pi / 2, 1e-15);
    const struct sw_seg other = sw_seg_arc(pt(1, 0), pt(0, 1), pt(0, 0), -1, 3);
    assert_near(sw_seg_sweep(&other), -1.5 * pi, 1e-15);
    const struct sw_seg circle = sw_seg_arc(pt(1, 0), pt(1, 0), pt(0, 0), -1, 3);
    assert_near(sw_seg_sweep(&circle), -2 * pi, 1e-15);
    const struct sw_seg line = sw_seg_line(pt(0, 0), pt(3, 4), 0);
    assert_near(sw_seg_length(&line), 5, 1e-15);
    assert_near(sw_seg_radius(&line), 0, 0);
    assert_near(sw_seg_sweep(&line), 0, 0);
}

static void shares_run_from_start_to_end(void **state)
{
    (void)state;
    const struct sw_seg arc = sw_seg_arc(pt(1, 0), pt(-1, 0), pt(0, 0), -1, 0);
    const struct sw_pt mid = sw_seg_at(&arc, 0.5);
    assert_near(mid.z, 0, 1e-15);
    assert_near(mid.r, -1, 1e-15);
    const struct sw_pt way = sw_seg_direction(&arc, 0.5);
    assert_near(way.z, -1, 1e-15);
    assert_near(way.r, 0, 1e-15);
    const struct sw_seg back = sw_seg_reverse(arc);
    const struct sw_pt same = sw_seg_at(&back, 0.5);
    assert_near(sw_pt_distance(mid, same), 0, 1e-15);
    const struct sw_seg part = sw_seg_part(&arc, 0.25, 0.75);
    assert_near(sw_seg_length(&part), pi / 2, 1e-14);
    assert_near(sw_pt_distance(part.a, pt(sqrt(0.5), -sqrt(0.5))), 0, 1e-15);
}

static void a_tiny_part_of_an_arc_is_no_circle(void **state)
{
    (void)state;
    const struct sw_seg arc = sw_seg_arc(pt(1, 0), pt(-1, 0), pt(0, 0), 1, 0);
    const struct sw_seg part = sw_seg_part(&arc, 0.5, 0.5 + 1e-11);
    assert_true(sw_seg_length(&part) < 1e-9);
}

static void a_segment_without_length_points_along_z(void **state)
{
    (void)state;
    const struct sw_seg dot = sw_seg_line(pt(2, 2), pt(2, 2), 0);
    const struct sw_pt way = sw_seg_direction(&dot, 0.3);
    assert_near(way.z, 1, 0);
    assert_near(way.r, 0, 0);
    double d;
    assert_near(sw_seg_nearest(&dot, pt(5, 6), &d), 0, 0);
    assert_near(d, 5, 1e-15);
}

static void the_nearest_point_is_inside_or_an_end(void **state)
{
    (void)state;
    double d;
    const struct sw_seg arc = sw_seg_arc(pt(1, 0), pt(0, 1), pt(0, 0), 1, 0);
    assert_near(sw_seg_nearest(&arc, pt(3, 3), &d), 0.5, 1e-15);
    assert_near(d, sqrt(18) - 1, 1e-14);
    assert_near(sw_seg_nearest(&arc, pt(2, -1), &d), 0, 0);
    assert_near(d, sqrt(2), 1e-15);
    assert_near(sw_seg_nearest(&arc, pt(-1, 2), &d), 1, 0);
    sw_seg_nearest(&arc, pt(0, 0), &d);
    assert_near(d, 1, 1e-15);
    const struct sw_seg line = sw_seg_line(pt(0, 0), pt(4, 0), 0);
    assert_near(sw_seg_nearest(&line, pt(1, -2), &d), 0.25, 1e-15);
    assert_near(d, 2, 1e-15);
}

static void the_box_of_an_arc_holds_its_extremes(void **state)
{
    (void)state;
    const double s = sqrt(0.5);
    const struct sw_seg top = sw_seg_arc(pt(s, s), pt(-s, s), pt(0, 0), 1, 0);
    const struct sw_box box = sw_seg_box(&top);
    assert_near(box.z0, -s, 1e-15);
    assert_near(box.z1, s, 1e-15);
    assert_near(box.r0, s, 1e-15);
    assert_near(box.r1, 1, 1e-15);
    const struct sw_seg rest = sw_seg_reverse(top);
    const struct sw_seg around = sw_seg_arc(rest.a, rest.b, rest.c, 1, 0);
    const struct sw_box all = sw_seg_box(&around);
    assert_near(all.r0, -1, 1e-15);
    assert_near(all.z0, -1, 1e-15);
    assert_near(all.z1, 1, 1e-15);
    assert_near(all.r1, s, 1e-15);
}

static void two_lines_cross_once_or_never(void **state)
{
    (void)state;
    double s[2], t[2];
    bool overlap;
    const struct sw_seg a = sw_seg_line(pt(0, 0), pt(4, 4), 0);
    const struct sw_seg b = sw_seg_line(pt(0, 2), pt(2, 0), 0);
    assert_int_equal(sw_seg_meet(&a, &b, s, t, &overlap), 1);
    assert_near(s[0], 0.25, 1e-15);
    assert_near(t[0], 0.5, 1e-15);
    assert_false(overlap);
    const struct sw_seg c = sw_seg_line(pt(0, 2), pt(0.9, 1.1), 0);
    assert_int_equal(sw_seg_meet(&a, &c, s, t, &overlap), 0);
    const struct sw_seg d = sw_seg_line(pt(0, 1), pt(4, 5), 0);
    assert_int_equal(sw_seg_meet(&a, &d, s, t, &overlap), 0);
}

static void an_end_on_the_other_segment_is_a_meeting(void **state)
{
    (void)state;
    double s[2], t[2];
    bool overlap;
    const struct sw_seg a = sw_seg_line(pt(0, 0), pt(4, 0), 0);
    const struct sw_seg b = sw_seg_line(pt(3, 0.9e-9), pt(5, 7), 0);
    assert_int_equal(sw_seg_meet(&a, &b, s, t, &overlap), 1);
    assert_near(s[0], 0.75, 1e-9);
    assert_near(t[0], 0, 1e-9);
    const struct sw_seg c = sw_seg_line(pt(3, 3e-9), pt(5, 7), 0);
    assert_int_equal(sw_seg_meet(&a, &c, s, t, &overlap), 0);
    /* So shallow that the lines cross far from the end: still one meeting, the end. */
    const struct sw_seg d = sw_seg_line(pt(1, 0.9e-9), pt(3, 0.9e-9 - 2e-5), 0);
    assert_int_equal(sw_seg_meet(&a, &d, s, t, &overlap), 1);
    assert_near(t[0], 0, 0);
}

static void overlapping_lines_give_the_ends_of_the_overlap(void **state)
{
    (void)state;
    double s[2], t[2];
    bool overlap;
    const struct sw_seg a = sw_seg_line(pt(0, 0), pt(4, 0), 0);
    const struct sw_seg b = sw_seg_line(pt(6, 0), pt(1, 0), 0);
    assert_int_equal(sw_seg_meet(&a, &b, s, t, &overlap), 2);
    assert_true(overlap);
    assert_near(s[0], 0.25, 1e-15);
    assert_near(t[0], 1, 1e-15);
    assert_near(s[1], 1, 1e-15);
    assert_near(t[1], 0.4, 1e-15);
}

static void overlapping_arcs_give_the_ends_of_the_overlap(void **state)
{
    (void)state;
    double s[2], t[2];
    bool overlap;
    const struct sw_seg a = sw_seg_arc(pt(1, 0), pt(-1, 0), pt(0, 0), 1, 0);
    const struct sw_seg b = sw_seg_arc(pt(0, 1), pt(0, -1), pt(0, 0), 1, 0);
    assert_int_equal(sw_seg_meet(&a, &b, s, t, &overlap), 2);
    assert_true(overlap);
    assert_near(s[0], 0.5, 1e-15);
    assert_near(s[1], 1, 1e-15);
    assert_near(t[0], 0, 1e-15);
    assert_near(t[1], 0.5, 1e-15);
    const struct sw_seg circle = sw_seg_arc(pt(1, 0), pt(1, 0), pt(0, 0), 1, 0);
    assert_true(sw_seg_meet(&circle, &circle, s, t, &overlap) >= 1);
    assert_true(overlap);
}

static void a_line_cuts_touches_or_misses_an_arc(void **state)
{
    (void)state;
    double s[2], t[2];
    bool overlap;
    const struct sw_seg arc = sw_seg_arc(pt(1, 0), pt(-1, 0), pt(0, 0), 1, 0);
    const struct sw_seg cut = sw_seg_line(pt(-2, 0.6), pt(2, 0.6), 0);
    assert_int_equal(sw_seg_meet(&cut, &arc, s, t, &overlap), 2);
    assert_near(sw_seg_at(&cut, s[0]).z, -0.8, 1e-15);
    assert_near(sw_seg_at(&cut, s[1]).z, 0.8, 1e-15);
    assert_false(overlap);
    const struct sw_seg touch = sw_seg_line(pt(-2, 1), pt(2, 1), 0);
    assert_int_equal(sw_seg_meet(&touch, &arc, s, t, &overlap), 1);
    assert_near(t[0], 0.5, 1e-12);
    const struct sw_seg miss = sw_seg_line(pt(-2, 1.001), pt(2, 1.001), 0);
    assert_int_equal(sw_seg_meet(&miss, &arc, s, t, &overlap), 0);
    const struct sw_seg below = sw_seg_line(pt(-2, -0.6), pt(2, -0.6), 0);
    assert_int_equal(sw_seg_meet(&below, &arc, s, t, &overlap), 0);
}

static void a_tangent_joint_is_one_meeting(void **state)
{
    (void)state;
    double s[2], t[2];
    bool overlap;
    const double f = pi / 7, c = cos(f), k = sin(f);
    const struct sw_pt joint = pt(c * 0.3, k * 0.3);
    const struct sw_seg line = sw_seg_line(pt(joint.z - k, joint.r + c), joint, 0);
    const struct sw_seg arc = sw_seg_arc(joint, pt(0.3, 0), pt(0, 0), -1, 0);
    assert_int_equal(sw_seg_meet(&line, &arc, s, t, &overlap), 1);
    assert_near(s[0], 1, 1e-8);
    assert_near(t[0], 0, 1e-8);
    assert_false(overlap);
}

static void arcs_cross_touch_or_miss(void **state)
{
    (void)state;
    double s[2], t[2];
    bool overlap;
    const struct sw_seg a = sw_seg_arc(pt(5, 0), pt(5, 0), pt(0, 0), 1, 0);
    const struct sw_seg b = sw_seg_arc(pt(11, 0), pt(11, 0), pt(6, 0), 1, 0);
    assert_int_equal(sw_seg_meet(&a, &b, s, t, &overlap), 2);
    for (int i = 0; i < 2; i++) { /* the 3-4-5 triangle */
        assert_near(sw_seg_at(&a, s[i]).z, 3, 1e-14);
        assert_near(fabs(sw_seg_at(&a, s[i]).r), 4, 1e-14);
        assert_near(sw_pt_distance(sw_seg_at(&a, s[i]), sw_seg_at(&b, t[i])), 0, 1e-14);
    }
    const struct sw_seg outside = sw_seg_arc(pt(8, 0), pt(8, 0), pt(6.5, 0), 1, 0);
    assert_int_equal(sw_seg_meet(&a, &outside, s, t, &overlap), 1);
    const struct sw_seg inside = sw_seg_arc(pt(3, 0), pt(3, 0), pt(4, 0), 1, 0);
    assert_int_equal(sw_seg_meet(&a, &inside, s, t, &overlap), 1);
    assert_near(sw_pt_distance(sw_seg_at(&inside, t[0]), pt(5, 0)), 0, 1e-12);
    const struct sw_seg far = sw_seg_arc(pt(20, 0), pt(20, 0), pt(18, 0), 1, 0);
    assert_int_equal(sw_seg_meet(&a, &far, s, t, &overlap), 0);
}

static struct sw_seg random_seg(uint64_t *seed)
{
    const struct sw_pt a = pt(random_between(seed, 0, 1), random_between(seed, 0, 1));
    const struct sw_pt b = pt(random_between(seed, 0, 1), random_between(seed, 0, 1));
    if (random_below(seed, 2))
        return sw_seg_line(a, b, 0);
    const double radius = sw_pt_distance(a, b) * random_between(seed, 0.5, 4);
    struct sw_seg seg = arc_by_radius(a, b, radius, random_below(seed, 2) ? 1 : -1, 0);
    if (random_below(seed, 3) == 0)
        seg.turn = -seg.turn; /* the long way round */
    return seg;
}

static double side_of(const struct sw_seg *seg, struct sw_pt p)
{
    if (seg->kind == SW_SEG_ARC)
        return sw_pt_distance(p, seg->c) - sw_seg_radius(seg);
    return (seg->b.z - seg->a.z) * (p.r - seg->a.r) - (seg->b.r - seg->a.r) * (p.z - seg->a.z);
}

static void meetings_lie_on_both_and_none_is_missed(void **state)
{
    (void)state;
    uint64_t seed = 20240117;
    print_message("seed %llu\n", (unsigned long long)seed);
    int n_crossings = 0;
    for (int round = 0; round < 3000; round++) {
        const struct sw_seg a = random_seg(&seed), b = random_seg(&seed);
        double s[2], t[2];
        bool overlap;
        const int n = sw_seg_meet(&a, &b, s, t, &overlap);
        for (int i = 0; i < n; i++)
            assert_near(sw_pt_distance(sw_seg_at(&a, s[i]), sw_seg_at(&b, t[i])), 0, 1e-8);
        double s2[2], t2[2];
        assert_int_equal(sw_seg_meet(&b, &a, t2, s2, &overlap), n);
        /* Where A changes the side of B's curve well inside B there must be a meeting. */
        enum { STEPS = 400 };
        for (int k = 0; k < STEPS; k++) {
            const struct sw_pt p = sw_seg_at(&a, (double)k / STEPS);
            const struct sw_pt q = sw_seg_at(&a, (double)(k + 1) / STEPS);
            const struct sw_pt mid = pt((p.z + q.z) / 2, (p.r + q.r) / 2);
            double d;
            const double share = sw_seg_nearest(&b, mid, &d);
            if (side_of(&b, p) * side_of(&b, q) >= 0 || share < 0.02 || share > 0.98 ||
                d > sw_pt_distance(p, q))
                continue;
            n_crossings++;
            double nearest = HUGE_VAL;
            for (int i = 0; i < n; i++)
                nearest = fmin(nearest, sw_pt_distance(sw_seg_at(&a, s[i]), mid));
            assert_true(nearest <= sw_pt_distance(p, q));
        }
    }
    assert_true(n_crossings > 500);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_arc_knows_its_radius_sweep_and_length),
        cmocka_unit_test(shares_run_from_start_to_end),
        cmocka_unit_test(a_tiny_part_of_an_arc_is_no_circle),
        cmocka_unit_test(a_segment_without_length_points_along_z),
        cmocka_unit_test(the_nearest_point_is_inside_or_an_end),
        cmocka_unit_test(the_box_of_an_arc_holds_its_extremes),
        cmocka_unit_test(two_lines_cross_once_or_never),
        cmocka_unit_test(an_end_on_the_other_segment_is_a_meeting),
        cmocka_unit_test(overlapping_lines_give_the_ends_of_the_overlap),
        cmocka_unit_test(overlapping_arcs_give_the_ends_of_the_overlap),
        cmocka_unit_test(a_line_cuts_touches_or_misses_an_arc),
        cmocka_unit_test(a_tangent_joint_is_one_meeting),
        cmocka_unit_test(arcs_cross_touch_or_miss),
        cmocka_unit_test(meetings_lie_on_both_and_none_is_missed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
