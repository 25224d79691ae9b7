/* Time grows in line with the moves. */
#include <math.h>
#include <time.h>

#include "sim/sim.h"
#include "support/lathe.h"
#include "support/near.h"

/* Zones of 0.1 tip-first, each in N passes down to 0.3, every zone ending in an arc up to the
 * surface and a retract: what a slender part asks for. */
static void write_zones(struct sw_lathe *lathe, int n_zones, int n_passes)
{
    sw_lathe_use(lathe, 1);
    sw_lathe_spindle(lathe, SW_MOTION_CW, 3000);
    sw_lathe_rapid(lathe, 1, 2);
    sw_lathe_rapid(lathe, 0.05, 1.5);
    sw_lathe_cut(lathe, 0.05, -0.02);
    sw_lathe_rapid(lathe, 0.5, -0.02);
    sw_lathe_rapid(lathe, 0.5, 1.2);
    for (int i = 0; i < n_zones; i++) {
        const double z0 = 0.05 - 0.1 * i, z1 = z0 - 0.1;
        for (int k = 1; k <= n_passes; k++) {
            const double r = 1.05 - 0.7 * k / n_passes;
            sw_lathe_rapid(lathe, z0 + 0.1, r + 0.02);
            sw_lathe_cut(lathe, z0, r);
            sw_lathe_cut(lathe, z1 + 0.02, r);
            sw_lathe_arc(lathe, z1, r + 0.02, z1 + 0.02, r + 0.02, -1);
            sw_lathe_cut(lathe, z1, 1.1);
            sw_lathe_rapid(lathe, z0 + 0.1, 1.1);
        }
    }
    sw_lathe_rapid(lathe, 12, 8);
    sw_lathe_end(lathe);
}

/* Processor seconds of cutting both works; the moves made go to *N. */
static double run(int n_zones, int n_passes, size_t *n)
{
    struct sw_lathe lathe;
    sw_lathe_init(&lathe);
    write_zones(&lathe, n_zones, n_passes);
    struct sw_sim *sim = NULL;
    assert_int_equal(sw_sim_new(&sim, &lathe.setup, &lathe.shop, (double)NAN, &lathe.ctx), SW_OK);
    assert_int_equal(sw_sim_begin_side(sim), SW_OK);
    const clock_t begin = clock();
    assert_int_equal(sw_sim_run(sim, &lathe.motion[0]), SW_OK);
    const double seconds = (double)(clock() - begin) / CLOCKS_PER_SEC;
    *n = sim->moves.n;
    sw_sim_free(sim);
    sw_lathe_done(&lathe);
    return seconds;
}

static void ten_times_the_moves_take_about_ten_times_as_long(void **state)
{
    (void)state;
    size_t n_few = 0, n_many = 0;
    const double few = run(3, 8, &n_few), many = run(30, 8, &n_many);
    print_message("%zu moves in %.3f s, %zu moves in %.3f s\n", n_few, few, n_many, many);
    /* a longer path: linear but for the noise of a shared machine */
    assert_true(many / (double)n_many < 2.5 * few / (double)n_few);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ten_times_the_moves_take_about_ten_times_as_long),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
