/* Chosen from the shop: what the job needs, what of it the shop has, and the size to get of what it
 * has not. */
#include <math.h>

#include "report/sheet_int.h"
#include "report/tables.h"
#include "report/text.h"

struct sw_sheet_staking sw_sheet_staking(const struct sw_sheet *sheet)
{
    const struct sw_shop_bench *bench = &sheet->plan->shop->bench;
    const struct sw_staking is = sw_staking_of(sheet->plan->shape->staff);
    return (struct sw_sheet_staking){
        .is = is,
        .stake = sw_bench_smallest(&bench->stakes, is.stake.least, is.stake.most),
        .rounded = is.fixing == SW_FIX_RIVETED
                       ? sw_bench_punch(bench, SW_PUNCH_ROUNDED, is.punch.least, is.punch.most)
                       : 0,
        .flat = sw_bench_punch(bench, SW_PUNCH_FLAT, is.punch.least, is.punch.most),
        .roller = is.has_roller
                      ? sw_bench_punch(bench, SW_PUNCH_FLAT, is.roller.least, is.roller.most)
                      : 0};
}

/* What is chosen, and what is missing: two lists of words that grow side by side. */
struct lists {
    struct sw_buf has, lacks;
};

static void add_window(struct sw_buf *out, double least, double most)
{
    sw_text_number(out, least, 3);
    sw_buf_add(out, " to ");
    sw_text_number(out, most, 3);
}

void sw_sheet_hole_words(struct sw_buf *out, const struct sw_hole *hole)
{
    if (hole->most > hole->least) {
        add_window(out, hole->least, hole->most);
        return;
    }
    sw_buf_add(out, "just over ");
    sw_text_number(out, hole->least, 3);
}

static void say_has(struct sw_doc *out, struct lists *lists, const char *what)
{
    if (lists->has.n)
        sw_doc_say(out, 2, "", "%s: %s.", what, sw_buf_text(&lists->has));
    out->failed = out->failed || lists->has.failed;
    lists->has.n = 0;
}

static void lack(struct lists *lists)
{
    sw_buf_add(&lists->lacks, lists->lacks.n ? "; " : "");
}

static void rod_and_holders(struct sw_doc *out, const struct sw_sheet *sheet, struct lists *lists)
{
    const struct sw_plan *plan = sheet->plan;
    struct sw_buf *has = &lists->has;
    for (size_t i = 0; i < plan->n_chuckings; i++) {
        const struct sw_plan_chucking *it = &plan->chucking[i];
        if (it->is_from_rod) {
            sw_buf_printf(has, "rod of %s, ", it->stock->material.value);
            sw_text_number(has, it->stock->diameter.value, 2);
            sw_buf_add(has, ", at least ");
            sw_text_number(has, it->rod_length, 1);
            sw_buf_add(has, " long");
        }
        if (i == 0 && plan->blank)
            sw_buf_add(has, "the hardened blank");
        sw_buf_printf(has, "; %s in %s", it->name, it->holder->name.value);
        if (it->holder_size > 0) {
            sw_buf_add(has, ", size ");
            sw_text_gauge(has, it->holder_size);
        }
    }
    say_has(out, lists, plan->blank ? "Holders" : "Rod and holders");
}

/* Scheme `auto`: what was compared, and why this was taken. */
static void ways(struct sw_doc *out, const struct sw_plan *plan)
{
    if (!plan->n_ways)
        return;
    sw_doc_say(out, 2, "", "Scheme %s.", plan->way_why);
    for (size_t i = 0; i < plan->n_ways; i++) {
        struct sw_buf words = {0};
        sw_report_way(&words, &plan->way[i]);
        sw_doc_say(out, 2, "", "Compared, as reckoned in planning: %s.", sw_buf_text(&words));
        out->failed = out->failed || words.failed;
        sw_buf_done(&words);
    }
}

static bool cuts(const struct sw_plan *plan, int station)
{
    for (size_t i = 0; i < plan->n_chuckings; i++)
        for (size_t k = 0; k < plan->chucking[i].n_ops; k++)
            if (plan->chucking[i].op[k].n_passes && plan->chucking[i].op[k].station == station)
                return true;
    return false;
}

static void tools(struct sw_doc *out, const struct sw_sheet *sheet, struct lists *lists)
{
    const struct sw_shop *shop = sheet->plan->shop;
    const struct sw_fitted_tool *fitted = shop->tools.at;
    struct sw_buf idle = {0};
    for (size_t i = 0; i < shop->tools.n; i++) {
        const int station = (int)lround(fitted[i].station.value);
        struct sw_buf *to = cuts(sheet->plan, station) ? &lists->has : &idle;
        sw_buf_printf(to, "%sT%d %s", to->n ? ", " : "", station, fitted[i].is->name.value);
    }
    if (idle.n)
        sw_buf_printf(&lists->has, "; not needed: %s", sw_buf_text(&idle));
    say_has(out, lists, "Tools");
    out->failed = out->failed || idle.failed;
    sw_buf_done(&idle);
}

/* A pivot that is burnished. */
static bool is_burnished(const struct sw_sheet *sheet, size_t i)
{
    const struct sw_section *section = &sheet->plan->shape->staff->section[i];
    return section->kind == SW_SECTION_PIVOT && section->finish == SW_FINISH_BURNISHED &&
           sheet->plan->shape->section[i].take > 0 && i < sheet->verdict->n_sections;
}

static void beds(struct sw_doc *out, const struct sw_sheet *sheet, struct lists *lists)
{
    const struct sw_staff *staff = sheet->plan->shape->staff;
    for (size_t i = 0; i < staff->n; i++) {
        if (!is_burnished(sheet, i))
            continue;
        const struct sw_sheet_bed bed = sw_sheet_bed(sheet, i);
        struct sw_buf *to = bed.is_owned ? &lists->has : &lists->lacks;
        if (bed.is_owned) {
            sw_buf_add(to, to->n ? ", " : "");
        } else {
            lack(lists);
            sw_buf_add(to, "a burnishing bed of ");
        }
        sw_text_gauge(to, bed.size);
        if (!bed.is_owned) {
            sw_buf_add(to, " (");
            add_window(to, bed.window.least, bed.window.most);
            sw_buf_add(to, " does)");
        }
        sw_buf_printf(to, " for the %s", staff->section[i].name);
    }
    say_has(out, lists, "Burnishing beds");
}

/* A gauge of SIZE: owned or lacking. */
static void add_hole(struct lists *lists, bool is_owned, double size, size_t *n)
{
    if (!is_owned) {
        lack(lists);
        sw_buf_add(&lists->lacks, "a jewel hole of ");
        sw_text_gauge(&lists->lacks, size);
        sw_buf_add(&lists->lacks, " to try a pivot in");
        return;
    }
    sw_buf_add(&lists->has, (*n)++ ? ", " : "");
    sw_text_gauge(&lists->has, size);
}

static void holes(struct sw_doc *out, const struct sw_sheet *sheet, struct lists *lists)
{
    enum { MOST = 16 };
    const struct sw_list *owned = &sheet->plan->shop->bench.jewels;
    double told[MOST];
    size_t n = 0, n_has = 0;
    for (size_t i = 0; i < sheet->plan->shape->staff->n; i++) {
        if (!is_burnished(sheet, i))
            continue;
        const struct sw_sheet_holes need = sw_sheet_holes(sheet, i);
        const double size[] = {need.turned_goes, need.turned_stops, need.goes, need.stops,
                               need.is_coarse ? need.wanted : need.goes};
        for (size_t k = 0; k < sizeof size / sizeof *size; k++) {
            bool is_told = false;
            for (size_t j = 0; j < n; j++)
                is_told = is_told || fabs(told[j] - size[k]) < 1e-6;
            if (is_told || n == MOST)
                continue;
            told[n++] = size[k];
            add_hole(lists, fabs(sw_gauge_below(owned, size[k]) - size[k]) < 1e-6, size[k], &n_has);
        }
    }
    say_has(out, lists, "Jewel holes to try the pivots in");
}

/* A hole of the movement or a part is gauged again by two pins: one goes, the next does not. */
static void add_pins(struct sw_doc *out, const struct sw_sheet *sheet, struct lists *lists,
                     const char *what, double size)
{
    const struct sw_list *owned = &sheet->plan->shop->bench.pins;
    double goes = sw_gauge_below(owned, size), stops = sw_gauge_above(owned, size);
    /* Pins that lie far off tell nothing [mm]. */
    static const double near = 0.02;
    if (goes <= 0 || size - goes > near || stops <= 0 || stops - size > near) {
        lack(lists);
        sw_buf_printf(&lists->lacks, "pins about ");
        sw_text_gauge(&lists->lacks, size);
        sw_buf_printf(&lists->lacks, " for the %s", what);
        return;
    }
    sw_buf_printf(&lists->has, "%s%s, ", lists->has.n ? "; " : "", what);
    sw_text_gauge(&lists->has, goes);
    sw_buf_add(&lists->has, " goes, ");
    sw_text_gauge(&lists->has, stops);
    sw_buf_add(&lists->has, " does not");
    out->failed = out->failed || lists->has.failed;
}

static void pins(struct sw_doc *out, const struct sw_sheet *sheet, struct lists *lists)
{
    const struct sw_staff *staff = sheet->plan->shape->staff;
    if (staff->jewel[0].given)
        add_pins(out, sheet, lists, "upper jewel", staff->jewel[0].hole);
    if (staff->jewel[1].given)
        add_pins(out, sheet, lists, "lower jewel", staff->jewel[1].hole);
    const struct sw_section *balance = sw_staff_seat(staff, SW_TAKES_BALANCE);
    if (balance)
        add_pins(out, sheet, lists, "balance's bore",
                 2 * balance->r0 + balance->diameter_tolerance.upper);
    say_has(out, lists, "Pins to gauge holes again");
}

static void add_staking(struct lists *lists, const char *what, double size,
                        const struct sw_hole *hole)
{
    struct sw_buf *to = size > 0 ? &lists->has : &lists->lacks;
    if (size > 0)
        sw_buf_add(to, to->n ? "; " : "");
    else
        lack(lists);
    sw_buf_printf(to, "%s with a hole of ", what);
    if (size > 0)
        sw_text_gauge(to, size);
    else
        sw_sheet_hole_words(to, hole);
    if (hole->depth > 0) {
        sw_buf_add(to, ", ");
        sw_text_number(to, hole->depth, 1);
        sw_buf_add(to, " deep");
    }
}

static void staking(struct sw_doc *out, const struct sw_sheet *sheet, struct lists *lists)
{
    const struct sw_sheet_staking tools = sw_sheet_staking(sheet);
    add_staking(lists, "stake", tools.stake, &tools.is.stake);
    if (tools.is.fixing == SW_FIX_RIVETED)
        add_staking(lists, "rounded punch", tools.rounded, &tools.is.punch);
    add_staking(lists, "flat punch", tools.flat, &tools.is.punch);
    if (tools.is.has_roller)
        add_staking(lists, "flat punch for the roller", tools.roller, &tools.is.roller);
    say_has(out, lists, "For staking");
}

static void texts(struct sw_doc *out, const char *what, const struct sw_list *list,
                  struct lists *lists)
{
    const struct sw_text *text = list->at;
    for (size_t i = 0; i < list->n; i++)
        sw_buf_printf(&lists->has, "%s%s", i ? ", " : "", text[i].value);
    say_has(out, lists, what);
}

static void burnishers(struct sw_doc *out, const struct sw_shop_bench *bench, struct lists *lists)
{
    static const char *const edge[] = {"square", "rounded"};
    for (int k = 0; k < 2; k++) {
        const struct sw_burnisher *it = sw_bench_burnisher(bench, (enum sw_burnisher_edge)k);
        if (it) {
            sw_buf_printf(&lists->has, "%s%s", lists->has.n ? ", " : "", it->name.value);
        } else {
            lack(lists);
            sw_buf_printf(&lists->lacks, "a burnisher with a %s edge", edge[k]);
        }
    }
    say_has(out, lists, "Burnishers");
}

void sw_sheet_bench(struct sw_doc *out, const struct sw_sheet *sheet)
{
    const struct sw_shop *shop = sheet->plan->shop;
    struct lists lists = {0};
    sw_doc_headline(out, "Chosen from the shop");
    rod_and_holders(out, sheet, &lists);
    ways(out, sheet->plan);
    tools(out, sheet, &lists);
    texts(out, "Gauges", &shop->measuring, &lists);
    texts(out, "For zeroing", &shop->zeroing, &lists);
    if (!sw_sheet_is_blank(sheet)) {
        texts(out, "Stones", &shop->bench.stones, &lists);
        burnishers(out, &shop->bench, &lists);
        beds(out, sheet, &lists);
        holes(out, sheet, &lists);
        pins(out, sheet, &lists);
        staking(out, sheet, &lists);
    }
    if (lists.lacks.n)
        sw_doc_say(out, 2, "", "The shop file names none of these; get before the work: %s.",
                   sw_buf_text(&lists.lacks));
    else
        sw_doc_say(out, 2, "", "Nothing that this job needs is missing.");
    out->failed = out->failed || lists.has.failed || lists.lacks.failed;
    sw_buf_done(&lists.has);
    sw_buf_done(&lists.lacks);
}
