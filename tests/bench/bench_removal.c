/* bench_removal: the chain kernel beside what a user would write with an overlay library.
 *
 * A finishing program of a staff in straight moves, its points rounded to four decimals as in a
 * text, on a rod that has been turned to within 0.03 of the staff. The path is corrected point by
 * point for what bends and for the screws' errors, a wave of half a micrometre, so that no two
 * moves run alike and each leaves an edge of its own: the outline grows with the program. The
 * same path without the wave runs mostly along the axis and merges into few edges; its figures are
 * printed as `smooth`. Prints "name: value unit"; medians of RUNS in this one run, all with the
 * same moves and the same tool, which the loops get in chords of SW_TOL_CHORD: a nose of 0.05, a
 * circle of 112 chords. A kernel reports area, depth and box of every cut and gives the profile
 * that loads are worked out from; the loops cut only, on all that is left of the work.
 *
 * usage: bench_removal [RUNS]
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "bench/polyclipping.h"
#include "geom/tol.h"
#include "support/near.h"
#include "support/plain.h"

#define NOSE 0.05
#define LEFT_ON 0.03
#define ROD_RADIUS 1.2
#define ROD_BACK (-6.0)
/* The wave of a corrected path [mm]. */
#define WAVE 0.0005
#define WAVE_LENGTH 0.02
enum { N_MOVES = 10000, N_ROUGH = 400, MOST_RUNS = 31, N_PASSES = 10 };

static const double pi = 3.14159265358979323846;
static const struct sw_box rod = {ROD_BACK, 0, 0.05, ROD_RADIUS};

struct path {
    struct sw_pt *at;
    size_t n; /* moves; one point more */
};

static void must(enum sw_status status)
{
    if (status != SW_OK) {
        fprintf(stderr, "status %d\n", (int)status);
        exit(70);
    }
}

/* From the hub to the tip, material on the right. */
static struct sw_contour staff(struct sw_ctx *ctx)
{
    static const struct sw_pt p[] = {{-2.6, 1.05},   {-1.8, 0.83},  {-1.62, 0.83}, {-1.62, 0.58},
                                     {-1.34, 0.58},  {-1.34, 0.41}, {-0.64, 0.41}, {-0.64, 0.30},
                                     {-0.26, 0.055}, {0.1, 0.055}};
    struct sw_contour contour = {0};
    const size_t n = sizeof p / sizeof *p;
    for (size_t i = 0; i + 1 < n; i++) {
        struct sw_seg seg = sw_seg_line(p[i], p[i + 1], SW_TAG_NONE);
        if (i + 3 == n) { /* the cone: an arc tangent to the pivot */
            const double dz = p[i + 1].z - p[i].z, dr = p[i].r - p[i + 1].r;
            const double radius = (dz * dz + dr * dr) / (2 * dr);
            const struct sw_pt c = {p[i + 1].z, p[i + 1].r + radius};
            seg = sw_seg_arc(p[i], p[i + 1], c, 1, SW_TAG_NONE);
        }
        if (!sw_contour_add(ctx->arena, &contour, seg))
            must(SW_MEMORY);
    }
    return contour;
}

static double rounded(double x)
{
    return floor(x * 1e4 + 0.5) / 1e4;
}

/* N moves of equal length from tip to hub, the nose's centre ABOVE the staff's surface and WAVE
 * about that. */
static struct path path_above(double above, double wave, size_t n, struct sw_ctx *ctx)
{
    const struct sw_contour contour = staff(ctx);
    struct sw_contour way = {0};
    must(sw_contour_offset(&way, &contour, above, ctx));
    struct path path = {SW_NEW(ctx->arena, struct sw_pt, n + 1), n};
    if (path.at == NULL)
        must(SW_MEMORY);
    const double step = sw_contour_length(&way) / (double)n;
    size_t seg = way.n - 1;
    double gone = 0; /* of the segments behind */
    for (size_t i = 0; i <= n; i++) {
        while (seg > 0 && gone + sw_seg_length(&way.at[seg]) < (double)i * step)
            gone += sw_seg_length(&way.at[seg--]);
        const double share = ((double)i * step - gone) / sw_seg_length(&way.at[seg]);
        const struct sw_pt p = sw_seg_at(&way.at[seg], 1 - share);
        const double turn = 2 * pi * (double)i * step / WAVE_LENGTH;
        path.at[i] =
            (struct sw_pt){rounded(p.z + wave * cos(turn)), rounded(p.r + wave * sin(turn))};
    }
    return path;
}

/* Flanks at 60 and 100 degrees. */
static struct sw_contour tool(struct sw_ctx *ctx)
{
    const double low = pi / 3, high = low + 40 * pi / 180, length = 1.5;
    const struct sw_pt c = {0, 0};
    const struct sw_pt a = {NOSE * cos(high + pi / 2), NOSE * sin(high + pi / 2)};
    const struct sw_pt b = {NOSE * cos(low - pi / 2), NOSE * sin(low - pi / 2)};
    const struct sw_pt d = {b.z + length * cos(low), b.r + length * sin(low)};
    const struct sw_pt e = {a.z + length * cos(high), a.r + length * sin(high)};
    const struct sw_seg seg[] = {sw_seg_arc(a, b, c, 1, SW_TAG_NONE),
                                 sw_seg_line(b, d, SW_TAG_NONE), sw_seg_line(d, e, SW_TAG_NONE),
                                 sw_seg_line(e, a, SW_TAG_NONE)};
    struct sw_contour contour = {0};
    for (size_t i = 0; i < 4; i++)
        if (!sw_contour_add(ctx->arena, &contour, seg[i]))
            must(SW_MEMORY);
    return contour;
}

static double seconds(void)
{
    struct timespec now;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static struct sw_sweep move(const struct path *path, size_t i)
{
    return (struct sw_sweep){.from = path->at[i], .to = path->at[i + 1]};
}

static void cut_with(const struct sw_work_class *kernel, struct sw_work *work,
                     const struct sw_outline *outline, const struct path *path, double *area)
{
    for (size_t i = 0; i < path->n; i++) {
        struct sw_removed removed;
        const struct sw_sweep sweep = move(path, i);
        must(kernel->remove(&removed, work, outline, &sweep));
        *area += removed.area_most;
        if (removed.area_most > 0)
            (void)kernel->profile(work);
    }
}

/* Seconds of the finishing alone; the area it took goes to *AREA. */
static double time_chain(const struct path *rough, const struct path *fine, size_t n_passes,
                         double *area)
{
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_work_class *kernel = &sw_work_chain;
    struct sw_work *work = NULL;
    struct sw_outline *outline = NULL;
    const struct sw_contour drawn = tool(&ctx);
    double of_rough = 0;
    must(kernel->make(&work, &ctx));
    must(kernel->outline(&outline, work, &drawn));
    must(kernel->fill_rod(work, rod.z0, rod.z1, rod.r1, rod.z0));
    cut_with(kernel, work, outline, rough, &of_rough);
    const double begin = seconds();
    *area = 0;
    for (size_t i = 0; i < n_passes; i++)
        cut_with(kernel, work, outline, &fine[i], area);
    const double took = seconds() - begin;
    kernel->free(work);
    sw_test_ctx_free(&ctx);
    return took;
}

static double time_geos(const struct path *rough, const struct path *fine, double *area)
{
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_contour drawn = tool(&ctx);
    struct sw_plain plain;
    must(sw_plain_init(&plain, &drawn, rod, SW_TOL_CHORD, SW_TOL_CHORD, 1, &ctx));
    for (size_t i = 0; i < rough->n; i++) {
        const struct sw_sweep sweep = move(rough, i);
        must(sw_plain_cut(&plain, &sweep));
    }
    const double before = sw_region_area(plain.left), begin = seconds();
    for (size_t i = 0; i < fine->n; i++) {
        const struct sw_sweep sweep = move(fine, i);
        must(sw_plain_cut(&plain, &sweep));
    }
    const double took = seconds() - begin;
    *area = before - sw_region_area(plain.left);
    sw_plain_done(&plain);
    sw_test_ctx_free(&ctx);
    return took;
}

static double time_polyclipping(const struct path *rough, const struct path *fine, double *area,
                                size_t *vertices)
{
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_contour drawn = tool(&ctx);
    struct sw_pt *points = NULL;
    size_t n = 0;
    must(sw_contour_flatten(&points, &n, &drawn, SW_TOL_CHORD, 1, &ctx));
    struct sw_convex hull = {0};
    if (!sw_convex_hull(&hull, points, n, ctx.arena))
        must(SW_MEMORY);
    struct sw_pt *swept = SW_NEW(ctx.arena, struct sw_pt, sw_convex_sweep_room(&hull));
    if (swept == NULL)
        must(SW_MEMORY);
    void *left = sw_polyclipping_begin(rod);
    double begin = 0, before = 0;
    const struct path *path[2] = {rough, fine};
    for (int k = 0; k < 2; k++) {
        begin = seconds();
        before = sw_polyclipping_area(left);
        for (size_t i = 0; i < path[k]->n; i++) {
            const struct sw_convex one =
                sw_convex_sweep(swept, &hull, path[k]->at[i], path[k]->at[i + 1]);
            sw_polyclipping_cut(left, one.at, one.n);
        }
    }
    const double took = seconds() - begin;
    *area = before - sw_polyclipping_area(left);
    *vertices = sw_polyclipping_n(left);
    sw_polyclipping_end(left);
    sw_test_ctx_free(&ctx);
    return took;
}

static int by_size(const void *left, const void *right)
{
    const double a = *(const double *)left, b = *(const double *)right;
    return a < b ? -1 : a > b;
}

static double median(double *x, size_t n)
{
    qsort(x, n, sizeof *x, by_size);
    return x[n / 2];
}

/* Three ways of taking the same program off, RUNS times, and what they took. */
struct figures {
    double us[3], area[3]; /* chain, GEOS, polyclipping; a move */
    size_t vertices;       /* of what polyclipping has left */
};

static struct figures measure(const struct path *rough, const struct path *fine, size_t runs)
{
    double took[3][MOST_RUNS];
    struct figures out = {0};
    for (size_t i = 0; i < runs; i++) {
        took[0][i] = time_chain(rough, fine, 1, &out.area[0]);
        took[1][i] = time_geos(rough, fine, &out.area[1]);
        took[2][i] =
            SW_HAS_POLYCLIPPING ? time_polyclipping(rough, fine, &out.area[2], &out.vertices) : 0;
    }
    for (int k = 0; k < 3; k++)
        out.us[k] = 1e6 * median(took[k], runs) / (double)fine->n;
    return out;
}

/* All took the same, but for the chords of the loops' tools. */
static void say(const struct figures *is, const char *what)
{
    printf("removal.us_per_move%s: %.2f us\n", what, is->us[0]);
    printf("removal.geos_loop_us_per_move%s: %.1f us\n", what, is->us[1]);
    printf("removal.chain_vs_geos_loop%s: %.0f times\n", what, is->us[1] / is->us[0]);
    printf("removal.area_chain%s: %.7f mm2\n", what, is->area[0]);
    printf("removal.area_geos_loop%s: %.7f mm2\n", what, is->area[1]);
    if (!SW_HAS_POLYCLIPPING)
        return;
    printf("removal.polyclipping_loop_us_per_move%s: %.1f us\n", what, is->us[2]);
    printf("removal.chain_vs_polyclipping_loop%s: %.0f times\n", what, is->us[2] / is->us[0]);
    printf("removal.area_polyclipping_loop%s: %.7f mm2\n", what, is->area[2]);
    printf("removal.vertices_left%s: %zu\n", what, is->vertices);
}

int main(int argc, char **argv)
{
    const long asked = argc > 1 ? strtol(argv[1], NULL, 10) : 7;
    const size_t runs = asked < 1 ? 1 : asked > MOST_RUNS ? MOST_RUNS : (size_t)asked;
    struct sw_ctx ctx = sw_test_ctx();
    const struct path rough = path_above(NOSE + LEFT_ON, 0, N_ROUGH, &ctx);
    const struct path fine = path_above(NOSE, WAVE, N_MOVES, &ctx);
    const struct path smooth = path_above(NOSE, 0, N_MOVES, &ctx);
    const struct path finer = path_above(NOSE, WAVE, 10 * N_MOVES, &ctx);
    struct path passes[N_PASSES];
    for (size_t i = 0; i < N_PASSES; i++)
        passes[i] =
            path_above(NOSE + LEFT_ON * (double)(N_PASSES - 1 - i) / N_PASSES, WAVE, N_MOVES, &ctx);
    double longer[MOST_RUNS], fines[MOST_RUNS], area = 0;
    const struct figures of_fine = measure(&rough, &fine, runs);
    const struct figures of_smooth = measure(&rough, &smooth, runs);
    for (size_t i = 0; i < runs; i++) {
        longer[i] = time_chain(&rough, passes, N_PASSES, &area);
        fines[i] = time_chain(&rough, &finer, 1, &area);
    }
    const double base = 1e-6 * of_fine.us[0] * N_MOVES;
    say(&of_fine, "");
    printf("removal.growth_10x_longer: %.1f times\n", median(longer, runs) / base);
    printf("removal.growth_10x_finer: %.1f times\n", median(fines, runs) / base);
    say(&of_smooth, "_smooth");
    sw_test_ctx_free(&ctx);
    return 0;
}
