/* The model. A pivot is measured every n pieces and the offset corrected by what was read, so the
 * pieces until then carry the error of that reading and the chance of that one piece, and grow by
 * wear. Centre height off by h makes a radius r sqrt(r^2 + h^2), whatever its sign. Bending grows
 * the diameter in step with the force, which varies with the material; its middle is drawn in by
 * the path. A staff whose halves are off by e leans by e / span in its holes, and a pivot that
 * leans needs thickness * e / span more room. */
#include "batch/forecast.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

static const double pi = 3.14159265358979323846;

const char *sw_cause_says(enum sw_cause cause)
{
    static const char *const says[] = {
#define X(word, text) text,
        SW_CAUSE_LIST(X)
#undef X
    };
    return says[cause];
}

/* Two rounds of the finaliser of splitmix64 (Steele, Lea, Flood, OOPSLA 2014). */
static uint64_t mix(uint64_t x)
{
    x ^= x >> 30;
    x *= UINT64_C(0xbf58476d1ce4e5b9);
    x ^= x >> 27;
    x *= UINT64_C(0x94d049bb133111eb);
    return x ^ x >> 31;
}

/* Evenly in (0, 1), by what it is for alone. */
static double even(uint64_t seed, uint64_t number, uint64_t use)
{
    const uint64_t step = UINT64_C(0x9e3779b97f4a7c15);
    const uint64_t bits = mix(mix(seed + step * (number + 1)) + step * (use + 1));
    return ((double)(bits >> 11) + 0.5) * 0x1p-53;
}

/* Normal, deviation 1 (Box and Muller 1958). */
static double normal(uint64_t seed, uint64_t number, uint64_t use)
{
    const double a = even(seed, number, 2 * use), b = even(seed, number, 2 * use + 1);
    return sqrt(-2 * log(a)) * cos(2 * pi * b);
}

/* What a number is drawn for; the pivot's number is added. */
enum {
    USE_REPEAT = 0,
    USE_FORCE = 2,
    USE_HAND = 4,
    USE_READ = 6,
    USE_READ_PIECE = 8,
    USE_HEIGHT = 10,
    USE_RUNOUT = 12
};

/* What all staffs of one group have in common. Drawn again only where another begins. */
struct shared {
    bool is_drawn;
    uint64_t number;
    double value[2][SW_FORECAST_PIVOTS]; /* of two uses */
};

static void draw_shared(struct shared *shared, uint64_t seed, uint64_t number, uint64_t first,
                        uint64_t second)
{
    if (shared->is_drawn && shared->number == number)
        return;
    shared->is_drawn = true;
    shared->number = number;
    for (size_t p = 0; p < SW_FORECAST_PIVOTS; p++) {
        shared->value[0][p] = normal(seed, number, first + p);
        shared->value[1][p] = first == second ? 0 : normal(seed, number, second + p);
    }
}

/* What one staff has for itself. */
struct own {
    double repeat[SW_FORECAST_PIVOTS], force[SW_FORECAST_PIVOTS], hand[SW_FORECAST_PIVOTS];
    double runout; /* total [mm] */
};

static void draw_own(struct own *own, const struct sw_forecast *f, size_t number)
{
    for (size_t p = 0; p < SW_FORECAST_PIVOTS; p++) {
        own->repeat[p] = normal(f->seed, number, USE_REPEAT + p);
        own->force[p] = normal(f->seed, number, USE_FORCE + p);
        own->hand[p] = normal(f->seed, number, USE_HAND + p);
    }
    /* Two normal deviations across make a Rayleigh length; its mean square is the figure's. */
    const double u = even(f->seed, number, 2 * USE_RUNOUT);
    own->runout = f->figures.runout * sqrt(-log(u));
}

/* The drawing of staffs one after the other. */
struct series {
    const struct sw_forecast *f;
    size_t every;
    struct shared setup, group;
};

/* The parts of one pivot's departure, cause by cause. */
static void draw_parts(double part[SW_N_CAUSES], const struct series *series, size_t staff,
                       const struct own *own, size_t pivot)
{
    const struct sw_forecast *f = series->f;
    const struct sw_forecast_figures *is = &f->figures;
    const double h = is->height * series->setup.value[0][pivot];
    const double r = f->pivot[pivot].diameter / 2;
    /* A set-up moves all its pieces alike, and the first reading takes that out: only the piece cut
     * before it carries the height. */
    const double raised = 2 * (sqrt(r * r + h * h) - r);
    part[SW_CAUSE_REPEAT] = 2 * is->repeat * (own->repeat[pivot] - series->group.value[1][pivot]);
    part[SW_CAUSE_WEAR] = is->wear * (double)(staff % series->every);
    part[SW_CAUSE_HEIGHT] = staff % f->setup_every == 0 ? raised : 0;
    part[SW_CAUSE_RUNOUT] = 0;
    part[SW_CAUSE_FORCE] = is->bending * is->force_spread * own->force[pivot];
    part[SW_CAUSE_MEASURE] = -is->measure * series->group.value[0][pivot];
    part[SW_CAUSE_HAND] = is->hand * own->hand[pivot];
}

struct staff {
    double part[SW_FORECAST_PIVOTS][SW_N_CAUSES];
    double total[SW_FORECAST_PIVOTS];
    double runout; /* total [mm] */
};

static void draw_staff(struct staff *out, struct series *series, size_t number,
                       const struct own *own)
{
    const struct sw_forecast *f = series->f;
    draw_shared(&series->setup, f->seed, number / f->setup_every, USE_HEIGHT, USE_HEIGHT);
    draw_shared(&series->group, f->seed, number / series->every, USE_READ, USE_READ_PIECE);
    out->runout = own->runout;
    for (size_t p = 0; p < SW_FORECAST_PIVOTS; p++) {
        draw_parts(out->part[p], series, number, own, p);
        out->part[p][SW_CAUSE_RUNOUT] =
            f->span > 0 ? f->pivot[p].thickness * (out->runout / 2) / f->span : 0;
        out->total[p] = 0;
        for (size_t c = 0; c < SW_N_CAUSES; c++)
            out->total[p] += out->part[p][c];
    }
}

/* Does it fit with cause WITHOUT taken away, and the runout multiplied by TRUER? */
static int fits(const struct staff *staff, const struct sw_forecast *f, size_t without,
                double truer)
{
    const double runout = without == SW_CAUSE_RUNOUT ? 0 : staff->runout * truer;
    if (f->most_runout > 0 && runout > f->most_runout)
        return 0;
    for (size_t p = 0; p < SW_FORECAST_PIVOTS; p++) {
        double d = f->pivot[p].diameter + staff->total[p];
        if (without < SW_N_CAUSES)
            d -= staff->part[p][without];
        d -= without == SW_CAUSE_RUNOUT ? 0 : staff->part[p][SW_CAUSE_RUNOUT] * (1 - truer);
        if (d < f->pivot[p].least || d > f->pivot[p].most)
            return 0;
    }
    return 1;
}

struct sw_forecast_bins sw_forecast_bins_of(const struct sw_forecast *forecast, double width)
{
    const double middle = floor(forecast->pivot[0].diameter / width + 0.5) * width;
    return (struct sw_forecast_bins){middle - width * SW_FORECAST_BINS / 2, width};
}

void sw_forecast_draw(struct sw_forecast_sums *out, const struct sw_forecast *f,
                      const struct sw_forecast_bins *bins, size_t first, size_t n)
{
    memset(out, 0, sizeof *out);
    out->n = n;
    struct series usual = {.f = f, .every = f->every};
    struct series closer = {.f = f, .every = f->every > 1 ? f->every / 2 : 1};
    for (size_t i = first; i < first + n; i++) {
        struct staff staff, often;
        struct own own;
        draw_own(&own, f, i);
        draw_staff(&staff, &usual, i, &own);
        draw_staff(&often, &closer, i, &own);
        const int fit = fits(&staff, f, SW_N_CAUSES, 1);
        out->fit += (size_t)fit;
        out->fit_closer += (size_t)fits(&often, f, SW_N_CAUSES, 1);
        out->fit_truer += (size_t)fits(&staff, f, SW_N_CAUSES, 0.5);
        for (size_t c = 0; c < SW_N_CAUSES; c++)
            out->fit_without[c] += (size_t)fits(&staff, f, c, 1);
        out->untrue += f->most_runout > 0 && staff.runout > f->most_runout;
        for (size_t p = 0; p < SW_FORECAST_PIVOTS; p++) {
            out->sum += staff.total[p];
            out->square += staff.total[p] * staff.total[p];
            for (size_t c = 0; c < SW_N_CAUSES; c++) {
                out->part_sum[c] += staff.part[p][c];
                out->part_square[c] += staff.part[p][c] * staff.part[p][c];
            }
            const double at =
                floor((f->pivot[p].diameter + staff.total[p] - bins->from) / bins->width);
            const double most = SW_FORECAST_BINS - 1;
            out->bin[(size_t)fmin(fmax(at, 0), most)]++;
        }
    }
}

void sw_forecast_add(struct sw_forecast_sums *to, const struct sw_forecast_sums *more)
{
    to->n += more->n;
    to->fit += more->fit;
    to->fit_closer += more->fit_closer;
    to->fit_truer += more->fit_truer;
    to->untrue += more->untrue;
    to->sum += more->sum;
    to->square += more->square;
    for (size_t c = 0; c < SW_N_CAUSES; c++) {
        to->fit_without[c] += more->fit_without[c];
        to->part_sum[c] += more->part_sum[c];
        to->part_square[c] += more->part_square[c];
    }
    for (size_t b = 0; b < SW_FORECAST_BINS; b++)
        to->bin[b] += more->bin[b];
}

void sw_forecast_run(struct sw_forecast_sums *out, const struct sw_forecast *forecast,
                     const struct sw_forecast_bins *bins, size_t n)
{
    memset(out, 0, sizeof *out);
    for (size_t first = 0; first < n; first += SW_FORECAST_CHUNK) {
        const size_t left = n - first;
        struct sw_forecast_sums chunk;
        sw_forecast_draw(&chunk, forecast, bins, first,
                         left < SW_FORECAST_CHUNK ? left : SW_FORECAST_CHUNK);
        sw_forecast_add(out, &chunk);
    }
}

static double variance(double sum, double square, double n)
{
    return fmax(square / n - sum / n * (sum / n), 0);
}

double sw_forecast_share(const struct sw_forecast_sums *sums)
{
    return (double)sums->fit / (double)sums->n;
}

double sw_forecast_mean(const struct sw_forecast_sums *sums)
{
    return sums->sum / (double)(SW_FORECAST_PIVOTS * sums->n);
}

double sw_forecast_deviation(const struct sw_forecast_sums *sums)
{
    return sqrt(variance(sums->sum, sums->square, (double)(SW_FORECAST_PIVOTS * sums->n)));
}

double sw_forecast_part(const struct sw_forecast_sums *sums, enum sw_cause cause)
{
    const double n = (double)(SW_FORECAST_PIVOTS * sums->n);
    double all = 0;
    for (size_t c = 0; c < SW_N_CAUSES; c++)
        all += variance(sums->part_sum[c], sums->part_square[c], n);
    return all > 0 ? variance(sums->part_sum[cause], sums->part_square[cause], n) / all : 0;
}
