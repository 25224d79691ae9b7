#include "fit/fit.h"

#include <math.h>
#include <string.h>

#include "fit/fit_items.h"
#include "stat/chance.h"
#include "stat/monte.h"
#include "stat/stack.h"

static const double sqrt3 = 1.73205080756887729353;
static const double usual_share = 0.95;
/* A collar that nobody measured is taken for this many bores (common practice). */
static const double usual_collar = 2.5, usual_hub = 1.6;
/* An endstone's stand-off that nobody measured (common practice). */
static const double usual_gap = 0.03, usual_gap_half = 0.02;
/* Tolerance of a size that the file gives none. */
static const double usual_tolerance = 0.01;
/* Two heights are one when they meet within this [mm]. */
static const double same_height = 1e-6;
/* Step for slopes: far above rounding, far below anything that matters [mm or ratio]. */
static const double slope_step = 1e-6;

struct fitting {
    struct sw_knowledge *know;
    struct fit_kind kind;
    struct sw_gum x[FIT_N_VARS];
    bool has[FIT_N_VARS];
    bool gap_is_assumed;
};

static void set_form(struct fitting *of, enum fit_var var, const struct sw_gum *form)
{
    of->x[var] = *form;
    of->has[var] = true;
}

static void set_known(struct fitting *of, enum fit_var var, const struct sw_known *known)
{
    if (known->origin != SW_ORIGIN_NONE)
        set_form(of, var, &known->is);
}

static void set_exact(struct fitting *of, enum fit_var var, double value)
{
    const struct sw_gum form = sw_gum_exact(value);
    set_form(of, var, &form);
}

/* A size anywhere between two limits. */
static void set_between(struct fitting *of, enum fit_var var, double least, double most,
                        const char *says)
{
    const double half = (most - least) / 2;
    const struct sw_gum form =
        sw_know_source(of->know, (least + most) / 2,
                       (struct sw_gum_source){half / sqrt3, (double)INFINITY, SW_SPREAD_EVEN},
                       &(struct sw_doubt){says, NULL, SW_N_READINGS, 0, 0, false});
    set_form(of, var, &form);
}

static void set_banded(struct fitting *of, enum fit_var var, double value,
                       const struct sw_band *band, const char *says)
{
    set_between(of, var, value + band->lower, value + band->upper, says);
}

static void set_parts(struct fitting *of)
{
    static const struct {
        enum fit_var var;
        enum sw_reading_kind kind;
    } pair[] = {
        {FIT_HOLE_UPPER, SW_READ_UPPER_HOLE},
        {FIT_HOLE_LOWER, SW_READ_LOWER_HOLE},
        {FIT_JEWEL_UPPER, SW_READ_UPPER_JEWEL},
        {FIT_JEWEL_LOWER, SW_READ_LOWER_JEWEL},
        {FIT_GAP_UPPER, SW_READ_UPPER_GAP},
        {FIT_GAP_LOWER, SW_READ_LOWER_GAP},
        {FIT_BALANCE_BORE, SW_READ_BALANCE_BORE},
        {FIT_ARM, SW_READ_ARM_THICKNESS},
        {FIT_ARM_BEVEL, SW_READ_ARM_BEVEL},
        {FIT_RIM_ABOVE, SW_READ_RIM_ABOVE},
        {FIT_RIM_BELOW, SW_READ_RIM_BELOW},
        {FIT_BRIDGE, SW_READ_BRIDGE_TOP},
        {FIT_CEILING, SW_READ_CEILING},
        {FIT_ROLLER_BORE, SW_READ_ROLLER_BORE},
        {FIT_ROLLER_THICK, SW_READ_ROLLER_THICKNESS},
        {FIT_ROLLER_OUTSIDE, SW_READ_ROLLER_OUTSIDE},
        {FIT_FORK, SW_READ_FORK_TOP},
        {FIT_FLOOR, SW_READ_ROLLER_FLOOR},
        {FIT_SAFETY_BORE, SW_READ_SAFETY_BORE},
        {FIT_SAFETY_THICK, SW_READ_SAFETY_THICKNESS},
        {FIT_COLLET_BORE, SW_READ_COLLET_BORE},
        {FIT_COLLET_HEIGHT, SW_READ_COLLET_HEIGHT},
        {FIT_COLLET_SPRING, SW_READ_COLLET_SPRING},
        {FIT_COCK, SW_READ_COCK_LEVEL},
        {FIT_HUB_BORE, SW_READ_HUB_BORE},
        {FIT_HUB_OUTSIDE, SW_READ_HUB_OUTSIDE},
    };
    for (size_t i = 0; i < sizeof pair / sizeof *pair; i++)
        set_known(of, pair[i].var, &of->know->of[pair[i].kind]);
    set_known(of, FIT_ENDSTONES, &of->know->endstones);
    set_known(of, FIT_SPRING_LEVEL, &of->know->spring_level);
    const struct sw_gum none = sw_gum_exact(0);
    if (!of->has[FIT_ROLLER_OUTSIDE] && of->has[FIT_ROLLER_BORE]) {
        const struct sw_gum form = sw_gum_sum(&of->x[FIT_ROLLER_BORE], usual_collar, &none, 0);
        set_form(of, FIT_ROLLER_OUTSIDE, &form);
    }
    if (!of->has[FIT_HUB_OUTSIDE] && of->has[FIT_HUB_BORE]) {
        const struct sw_gum form = sw_gum_sum(&of->x[FIT_HUB_BORE], usual_hub, &none, 0);
        set_form(of, FIT_HUB_OUTSIDE, &form);
    }
}

/* What `jewels` of the staff file say where no part was measured. */
static void set_jewels(struct fitting *of, const struct sw_staff *staff)
{
    static const enum fit_var hole[2] = {FIT_HOLE_UPPER, FIT_HOLE_LOWER};
    static const enum fit_var thick[2] = {FIT_JEWEL_UPPER, FIT_JEWEL_LOWER};
    static const enum fit_var gap[2] = {FIT_GAP_UPPER, FIT_GAP_LOWER};
    static const char *const gap_says[2] = {"the upper endstone's stand-off (common practice)",
                                            "the lower endstone's stand-off (common practice)"};
    for (int i = 0; i < 2; i++) {
        if (staff->jewel[i].given && !of->has[hole[i]])
            set_exact(of, hole[i], staff->jewel[i].hole);
        if (staff->jewel[i].given && !of->has[thick[i]])
            set_exact(of, thick[i], staff->jewel[i].thickness);
        if (of->has[thick[i]] && !of->has[gap[i]]) {
            set_between(of, gap[i], usual_gap - usual_gap_half, usual_gap + usual_gap_half,
                        gap_says[i]);
            of->gap_is_assumed = true;
        }
    }
    if (staff->between_endstones > 0 && !of->has[FIT_ENDSTONES])
        set_exact(of, FIT_ENDSTONES, staff->between_endstones);
}

/* A place along the axis as a height from the lower tip, with its own tolerance if it has one. */
static void set_height(struct fitting *of, enum fit_var var, const struct sw_staff *staff, double z,
                       const char *says)
{
    const struct sw_band usual = {.lower = -usual_tolerance, .upper = usual_tolerance};
    const struct sw_band *band = &usual;
    for (size_t i = 0; i < staff->n_heights; i++)
        if (fabs(staff->height[i].z - z) < same_height)
            band = &staff->height[i].tolerance;
    set_banded(of, var, staff->total - z, band, says);
}

static void set_pivots(struct fitting *of, const struct sw_staff *staff)
{
    const struct sw_section *upper = &staff->section[0];
    const struct sw_section *lower = &staff->section[staff->n - 1];
    set_banded(of, FIT_PIVOT_UPPER, 2 * upper->r0, &upper->diameter_tolerance,
               "the upper pivot's tolerance");
    set_banded(of, FIT_PIVOT_LOWER, 2 * lower->r0, &lower->diameter_tolerance,
               "the lower pivot's tolerance");
    set_banded(of, FIT_STRAIGHT_UPPER, upper->z1 - upper->z0, &upper->length_tolerance,
               "the upper pivot's length");
    set_banded(of, FIT_STRAIGHT_LOWER, lower->z1 - lower->z0, &lower->length_tolerance,
               "the lower pivot's length");
}

static void set_rivet(struct fitting *of, const struct sw_section *rivet)
{
    set_banded(of, FIT_RIVET, rivet->z1 - rivet->z0, &rivet->length_tolerance,
               "the rivet's height");
    if (!rivet->has_recess)
        return;
    set_exact(of, FIT_LIP, rivet->recess_lip);
    set_exact(of, FIT_RECESS, rivet->recess_depth);
    set_exact(of, FIT_WALL, rivet->recess_wall);
}

static void set_taper(struct fitting *of, const struct sw_section *seat, enum fit_var at,
                      enum fit_var length, enum fit_var taper, const char *says)
{
    const double thick = 2 * fmax(seat->r0, seat->r1);
    set_banded(of, at, thick, &seat->diameter_tolerance, says);
    set_exact(of, length, seat->z1 - seat->z0);
    if (seat->taper != 0)
        set_exact(of, taper, fabs(seat->taper));
}

static void set_seat(struct fitting *of, const struct sw_staff *staff,
                     const struct sw_section *seat)
{
    const double diameter = 2 * fmax(seat->r0, seat->r1);
    const double inner = seat->is_lower_half ? seat->z0 : seat->z1; /* towards the core */
    switch (seat->takes) {
    case SW_TAKES_COLLET:
        set_banded(of, FIT_COLLET_SEAT, diameter, &seat->diameter_tolerance,
                   "the collet seat's tolerance");
        of->kind.is_spring_below = seat->is_lower_half;
        set_exact(of, FIT_COLLET_LENGTH, seat->z1 - seat->z0);
        break;
    case SW_TAKES_BALANCE:
        set_banded(of, FIT_BALANCE_SEAT, diameter, &seat->diameter_tolerance,
                   "the balance seat's tolerance");
        set_height(of, FIT_HUB_FACE, staff, inner, "the hub face's height");
        break;
    case SW_TAKES_ROLLER:
        set_taper(of, seat, FIT_ROLLER_SEAT, FIT_ROLLER_LENGTH, FIT_ROLLER_TAPER,
                  "the roller seat's tolerance");
        set_height(of, FIT_SHOULDER, staff, inner, "the roller shoulder's height");
        break;
    case SW_TAKES_SAFETY_ROLLER:
        set_taper(of, seat, FIT_SAFETY_SEAT, FIT_SAFETY_LENGTH, FIT_SAFETY_TAPER,
                  "the safety roller seat's tolerance");
        break;
    case SW_TAKES_NOTHING:
        if (of->kind.fixing == SW_FIX_FRICTION && strstr(seat->name, "friction")) {
            set_banded(of, FIT_FRICTION_SEAT, diameter, &seat->diameter_tolerance,
                       "the friction seat's tolerance");
            set_exact(of, FIT_FRICTION_LENGTH, seat->z1 - seat->z0);
        }
        break;
    }
}

static void set_staff(struct fitting *of, const struct sw_staff *staff)
{
    set_banded(of, FIT_TOTAL, staff->total, &staff->total_tolerance, "the staff's length");
    set_pivots(of, staff);
    for (size_t i = 0; i < staff->n; i++) {
        if (staff->section[i].kind == SW_SECTION_SEAT)
            set_seat(of, staff, &staff->section[i]);
        else if (staff->section[i].kind == SW_SECTION_RIVET)
            set_rivet(of, &staff->section[i]);
    }
}

static bool is_asked(const struct fitting *of, enum fit_item_id id)
{
    const struct fit_law *law = fit_law(id);
    if (!fit_concerns(id, &of->kind))
        return false;
    for (size_t i = 0; i < sizeof law->needs / sizeof *law->needs && law->needs[i] != FIT_N_VARS;
         i++)
        if (!of->has[law->needs[i]])
            return false;
    return true;
}

/* How fast an item follows each source, through all sizes it needs. */
static void find_slopes(double *slope, const struct fitting *of, const struct fit_law *law,
                        const double *nominal)
{
    double x[FIT_N_VARS];
    memcpy(x, nominal, sizeof x);
    for (size_t i = 0; i < of->know->n; i++)
        slope[i] = 0;
    for (size_t k = 0; k < sizeof law->needs / sizeof *law->needs; k++) {
        const enum fit_var var = law->needs[k];
        if (var == FIT_N_VARS)
            break;
        x[var] = nominal[var] + slope_step;
        const double up = law->value(x, &of->kind);
        x[var] = nominal[var] - slope_step;
        const double down = law->value(x, &of->kind);
        x[var] = nominal[var];
        const double by = (up - down) / (2 * slope_step);
        for (size_t i = 0; i < of->know->n; i++)
            slope[i] += by * of->x[var].slope[i];
    }
}

/* All sources at the limits that push the item up (SIGN 1) or down (-1). */
static double at_corner(const struct fitting *of, const struct fit_law *law, const double *slope,
                        double sign)
{
    double x[FIT_N_VARS];
    for (int var = 0; var < FIT_N_VARS; var++) {
        x[var] = of->x[var].value;
        for (size_t i = 0; of->has[var] && i < of->know->n; i++)
            if (slope[i] != 0)
                x[var] +=
                    sign * (slope[i] > 0 ? 1 : -1) * of->x[var].slope[i] * of->know->doubt[i].half;
    }
    return law->value(x, &of->kind);
}

static enum sw_fit_verdict judge(const struct sw_fit_item *item, bool is_for_information)
{
    static const double rounding = 1e-9;
    /* A stop beyond the end and a grip of nothing are the same thing: on the limit is beyond it. */
    if (item->value <= item->never_under || item->value >= item->never_over)
        return SW_FIT_FAILS;
    if (is_for_information)
        return SW_FIT_FOR_INFORMATION;
    return item->value < item->least - rounding || item->value > item->most + rounding
               ? SW_FIT_OUTSIDE
               : SW_FIT_GOOD;
}

static void work_out(struct sw_fit_item *item, const struct fitting *of, enum fit_item_id id,
                     const double *nominal)
{
    const struct fit_law *law = fit_law(id);
    double slope[SW_GUM_MOST], half[SW_GUM_MOST];
    *item = (struct sw_fit_item){
        .name = law->name,
        .unit = law->unit,
        .decimals = law->decimals,
        .value = law->value(nominal, &of->kind),
        .least = law->least,
        .most = fmin(law->most, fit_yield(id, &of->kind)),
        .never_under = law->never_under,
        .never_over = law->never_over,
        .rule = law->rule,
    };
    if (id == FIT_ITEM_BALANCE && of->kind.fixing == SW_FIX_DRIVEN) {
        item->name = "balance seat, interference";
        item->least = 0.005;
        item->most = 0.015;
        item->never_under = 0;
    } else if (id == FIT_ITEM_BALANCE) {
        item->name = "balance seat, clearance";
    }
    find_slopes(slope, of, law, nominal);
    double most = 0;
    for (size_t i = 0; i < of->know->n; i++) {
        half[i] = of->know->doubt[i].half;
        if (fabs(slope[i]) * half[i] > most) {
            most = fabs(slope[i]) * half[i];
            item->most_doubt = of->know->doubt[i].says;
        }
    }
    item->worst_low = at_corner(of, law, slope, -1);
    item->worst_high = at_corner(of, law, slope, 1);
    item->rss = sw_stack_rss(slope, half, of->know->n);
    item->verdict = judge(item, law->is_for_information);
}

/* One drawn set of parts and staff. */
static void draw(double *x, const struct fitting *of, struct sw_chance *chance)
{
    double off[SW_GUM_MOST];
    for (size_t i = 0; i < of->know->n; i++)
        off[i] = sw_chance_deviation(chance, &of->know->source[i]);
    for (int var = 0; var < FIT_N_VARS; var++) {
        x[var] = of->x[var].value;
        if (!of->has[var])
            continue;
        for (size_t i = 0; i < of->know->n; i++)
            x[var] += of->x[var].slope[i] * off[i];
    }
}

static enum sw_status draw_all(struct sw_fit *fit, const struct fitting *of,
                               const enum fit_item_id *id, struct sw_ctx *ctx)
{
    double *y = SW_NEW(ctx->arena, double, fit->n * fit->trials);
    if (!y)
        return SW_MEMORY;
    struct sw_chance chance = sw_chance_from(fit->seed);
    size_t n_all = 0, n_together = 0;
    for (size_t t = 0; t < fit->trials; t++) {
        double x[FIT_N_VARS];
        bool all = true, together = true;
        draw(x, of, &chance);
        for (size_t i = 0; i < fit->n; i++) {
            struct sw_fit_item *item = &fit->item[i];
            const double value = fit_law(id[i])->value(x, &of->kind);
            y[i * fit->trials + t] = value;
            const bool is_within = value >= item->least && value <= item->most;
            const bool goes = value > item->never_under && value < item->never_over;
            item->chance += is_within && goes;
            all = all && goes && (is_within || fit_law(id[i])->is_for_information);
            together = together && goes;
        }
        n_all += all;
        n_together += together;
    }
    const double n = (double)fit->trials;
    fit->chance_all = (double)n_all / n;
    fit->chance_together = (double)n_together / n;
    for (size_t i = 0; i < fit->n; i++) {
        double *of_item = &y[i * fit->trials];
        sw_monte_sort(of_item, fit->trials);
        const size_t tail = (size_t)((1 - usual_share) / 2 * n);
        fit->item[i].low = of_item[tail];
        fit->item[i].high = of_item[fit->trials - 1 - tail];
        fit->item[i].chance /= n;
    }
    return SW_OK;
}

enum sw_status sw_fit_check(struct sw_fit **out, const struct sw_staff *staff, struct sw_ctx *ctx)
{
    static const struct sw_parts_read nothing = {SW_FIX_RIVETED, SW_METAL_BRASS, NULL, 0};
    *out = NULL;
    if (!staff->parts && !staff->jewel[0].given && !staff->jewel[1].given &&
        staff->between_endstones <= 0)
        return SW_OK;
    struct fitting *of = SW_NEW(ctx->arena, struct fitting, 1);
    struct sw_fit *fit = SW_NEW(ctx->arena, struct sw_fit, 1);
    if (!of || !fit)
        return SW_MEMORY;
    SW_TRY(sw_know(&of->know, staff->parts ? staff->parts : &nothing, ctx));
    of->kind.fixing = of->know->parts->fixing;
    of->kind.roller_metal = of->know->parts->roller_metal;
    of->kind.is_olive[0] = of->know->is_olive[0];
    of->kind.is_olive[1] = of->know->is_olive[1];
    set_parts(of);
    set_jewels(of, staff);
    set_staff(of, staff);
    if (of->know->failed)
        return SW_MEMORY;
    *fit = (struct sw_fit){.know = of->know,
                           .trials = SW_FIT_TRIALS,
                           .seed = SW_FIT_SEED,
                           .gap_is_assumed = of->gap_is_assumed};
    fit->item = SW_NEW(ctx->arena, struct sw_fit_item, FIT_N_ITEMS);
    if (!fit->item)
        return SW_MEMORY;
    enum fit_item_id id[FIT_N_ITEMS];
    double nominal[FIT_N_VARS];
    for (int var = 0; var < FIT_N_VARS; var++)
        nominal[var] = of->x[var].value;
    for (int i = 0; i < FIT_N_ITEMS; i++) {
        if (!is_asked(of, (enum fit_item_id)i))
            continue;
        id[fit->n] = (enum fit_item_id)i;
        work_out(&fit->item[fit->n++], of, (enum fit_item_id)i, nominal);
    }
    SW_TRY(draw_all(fit, of, id, ctx));
    *out = fit;
    for (size_t i = 0; i < fit->n; i++)
        if (fit->item[i].verdict == SW_FIT_FAILS)
            return SW_FOUND;
    return sw_know_is_contradictory(of->know) ? SW_FOUND : SW_OK;
}
