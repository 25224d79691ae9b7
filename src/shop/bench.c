#include "shop/bench.h"

#include <math.h>

#include "shop/bench_int.h"

static const char *const edge_words[] = {"square", "rounded", NULL};
static const char *const face_words[] = {"flat", "rounded", NULL};

/* A set of gauges has no more than this many pieces. */
enum { MOST_GAUGES = 1000, MOST_PIECES = 200 };

static const struct sw_field burnisher_fields[] = {
    {SW_F_TEXT(struct sw_burnisher, name), SW_NAME_RANGE, SW_REQUIRED,
     SW_MEANS("What it is called on the sheet.")},
    {SW_F_WORD(struct sw_burnisher, edge, edge_words), SW_DEFAULT("square"),
     SW_MEANS("Its edge: `square` for straight pivots, `rounded` for cones.")},
};
static const struct sw_table burnisher_table = {.name = "burnisher",
                                                .sentence = "A burnisher for pivots.",
                                                .size = sizeof(struct sw_burnisher),
                                                SW_FIELDS(burnisher_fields)};

static const struct sw_field gauges_fields[] = {
    {SW_F_NUMBER(struct sw_gauges, from, LENGTH), SW_RANGE(0.01, 20), SW_REQUIRED,
     SW_MEANS("Diameter of the smallest.")},
    {SW_F_NUMBER(struct sw_gauges, to, LENGTH), SW_RANGE(0.01, 20), SW_REQUIRED,
     SW_MEANS("Diameter of the largest.")},
    {SW_F_NUMBER(struct sw_gauges, step, LENGTH), SW_RANGE(0.0005, 1), SW_DEFAULT("0.01"),
     SW_MEANS("Step from one to the next.")},
};
static const struct sw_table gauges_table = {.name = "gauges",
                                             .sentence = "A set of gauges that follow each other.",
                                             .size = sizeof(struct sw_gauges),
                                             SW_FIELDS(gauges_fields)};

static const struct sw_field punch_fields[] = {
    {SW_F_WORD(struct sw_punch, face, face_words), SW_REQUIRED,
     SW_MEANS("Its face: `rounded` opens a rivet, `flat` lays it down and pushes parts home.")},
    {SW_F_NUMBERS(struct sw_punch, holes, LENGTH), SW_RANGE(0.05, 20), SW_REQUIRED,
     SW_MEANS("Diameters of the holes, one a punch.")},
};
static const struct sw_table punch_table = {.name = "punches",
                                            .sentence = "Hollow punches with one form of face.",
                                            .size = sizeof(struct sw_punch),
                                            SW_FIELDS(punch_fields)};

static const struct sw_field bench_fields[] = {
    {SW_F_TEXTS(struct sw_shop_bench, stones), SW_MEANS("The stones and slips for seats.")},
    {SW_F_LIST(struct sw_shop_bench, burnishers, &burnisher_table), SW_RANGE(0, MOST_PIECES),
     SW_MEANS("The burnishers.")},
    {SW_F_NUMBERS(struct sw_shop_bench, beds, LENGTH), SW_RANGE(0.02, 5),
     SW_MEANS("The grooves of the burnishing beds, each by the pivot that lies flush in it.")},
    {SW_F_LIST(struct sw_shop_bench, pins, &gauges_table), SW_RANGE(0, MOST_PIECES),
     SW_MEANS("Sets of pin gauges, for holes.")},
    {SW_F_LIST(struct sw_shop_bench, jewels, &gauges_table), SW_RANGE(0, MOST_PIECES),
     SW_MEANS("Jewelled plates or loose hole jewels in which pivots are tried.")},
    {SW_F_NUMBERS(struct sw_shop_bench, stakes, LENGTH), SW_RANGE(0.05, 20),
     SW_MEANS("The holes of the staking plate.")},
    {SW_F_LIST(struct sw_shop_bench, punches, &punch_table), SW_RANGE(0, MOST_PIECES),
     SW_MEANS("The hollow punches.")},
};
const struct sw_table sw_bench_table = {
    .name = "bench",
    .sentence = "What there is for the work by hand; the sheet chooses from it and names what is "
                "missing.",
    .size = sizeof(struct sw_shop_bench),
    SW_FIELDS(bench_fields),
};

void sw_bench_check(struct sw_sense *sense, const struct sw_shop_bench *bench)
{
    const struct sw_list *const sets[] = {&bench->pins, &bench->jewels};
    for (size_t k = 0; k < sizeof sets / sizeof *sets; k++) {
        const struct sw_gauges *set = sets[k]->at;
        for (size_t i = 0; i < sets[k]->n; i++) {
            if (!sw_shop_is_written(&set[i].from) || !sw_shop_is_written(&set[i].to))
                continue;
            if (set[i].to.value < set[i].from.value)
                SW_FAULT(sense, "shop.gauges", set[i].to.at, NULL,
                         "the largest gauge, %g mm, is thinner than the smallest, %g mm",
                         set[i].to.value, set[i].from.value);
            else if (set[i].step.value > 0 &&
                     (set[i].to.value - set[i].from.value) / set[i].step.value > MOST_GAUGES)
                SW_FAULT(sense, "shop.gauges", set[i].step.at, NULL,
                         "%g to %g mm by %g mm are more than %d gauges", set[i].from.value,
                         set[i].to.value, set[i].step.value, MOST_GAUGES);
        }
    }
}

struct sw_bed_window sw_bed_window(double finished)
{
    /* A thin pivot stands at least this much proud, one of 0.25 by 0.03. */
    static const double thin = 0.135, stout = 0.25, least_thin = 0.005, least_stout = 0.03;
    /* Beds go by hundredths: of such a step one always holds it. A stouter one has more. */
    static const double room_thin = 0.01, room_stout = 0.02;
    const double share = fmax(0, (finished - thin) / (stout - thin));
    const double most = finished - (least_thin + share * (least_stout - least_thin));
    return (struct sw_bed_window){most - (room_thin + share * (room_stout - room_thin)), most};
}

/* Sizes in files have decimals that binary numbers only come near to [mm]. */
static const double same = 1e-6;

double sw_bench_largest(const struct sw_list *numbers, double least, double most)
{
    const struct sw_number *number = numbers->at;
    double best = 0;
    for (size_t i = 0; i < numbers->n; i++)
        if (number[i].value >= least - same && number[i].value <= most + same)
            best = fmax(best, number[i].value);
    return best;
}

double sw_bench_smallest(const struct sw_list *numbers, double least, double most)
{
    const struct sw_number *number = numbers->at;
    double best = 0;
    for (size_t i = 0; i < numbers->n; i++)
        if (number[i].value >= least - same && number[i].value <= most + same &&
            (best <= 0 || number[i].value < best))
            best = number[i].value;
    return best;
}

static double last_of(const struct sw_gauges *set)
{
    return set->from.value +
           floor((set->to.value - set->from.value + same) / set->step.value) * set->step.value;
}

double sw_gauge_below(const struct sw_list *sets, double size)
{
    const struct sw_gauges *set = sets->at;
    double best = 0;
    for (size_t i = 0; i < sets->n; i++) {
        if (size < set[i].from.value - same)
            continue;
        const double steps = floor((size - set[i].from.value + same) / set[i].step.value);
        best = fmax(best, fmin(set[i].from.value + steps * set[i].step.value, last_of(&set[i])));
    }
    return best;
}

double sw_gauge_above(const struct sw_list *sets, double size)
{
    const struct sw_gauges *set = sets->at;
    double best = 0;
    for (size_t i = 0; i < sets->n; i++) {
        const double steps =
            fmax(0, floor((size - set[i].from.value + same) / set[i].step.value) + 1);
        const double next = size < set[i].from.value - same
                                ? set[i].from.value
                                : set[i].from.value + steps * set[i].step.value;
        if (next <= last_of(&set[i]) + same && (best <= 0 || next < best))
            best = next;
    }
    return best;
}

double sw_bench_punch(const struct sw_shop_bench *bench, enum sw_punch_face face, double least,
                      double most)
{
    const struct sw_punch *punch = bench->punches.at;
    double best = 0;
    for (size_t i = 0; i < bench->punches.n; i++) {
        if (punch[i].face.value != (int)face)
            continue;
        const double hole = sw_bench_smallest(&punch[i].holes, least, most);
        if (hole > 0 && (best <= 0 || hole < best))
            best = hole;
    }
    return best;
}

const struct sw_burnisher *sw_bench_burnisher(const struct sw_shop_bench *bench,
                                              enum sw_burnisher_edge edge)
{
    const struct sw_burnisher *burnisher = bench->burnishers.at;
    for (size_t i = 0; i < bench->burnishers.n; i++)
        if (burnisher[i].edge.value == (int)edge)
            return &burnisher[i];
    return NULL;
}
