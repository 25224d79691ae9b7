/* The formulas of all items. */
#include "fit/fit_items.h"

#include <math.h>

/* Elastic constants: handbook values, from memory. Yields: drawn brass and a steel roller as cut,
 * from memory; a staff of blue pivot steel is stronger than anything pressed on it. */
static const struct sw_metal brass = {100000, 0.34, 300};
static const struct sw_metal steel = {206000, 0.30, 450};
/* Steel on brass or steel, nearly dry (common practice). */
static const double friction = 0.12;
/* 0.8 (Rz + Rz) of a stoned seat (0.4 um) and a broached bore (0.6 um) [mm]: common practice. */
static const double lost_to_roughness = 0.0008;
static const double degree = 3.14159265358979323846 / 180;
/* Of a rounded hole its middle works: half of its length (common practice). */
static const double olive_share = 0.5;

const struct sw_metal *fit_roller_metal(const struct fit_kind *kind)
{
    return kind->roller_metal == SW_METAL_STEEL ? &steel : &brass;
}

const struct sw_metal *fit_hub_metal(void)
{
    return &steel;
}

double fit_value_side_upper(const double *x, const struct fit_kind *kind)
{
    (void)kind;
    return x[FIT_HOLE_UPPER] - x[FIT_PIVOT_UPPER];
}

double fit_value_side_lower(const double *x, const struct fit_kind *kind)
{
    (void)kind;
    return x[FIT_HOLE_LOWER] - x[FIT_PIVOT_LOWER];
}

static double working(double thickness, bool is_olive)
{
    return is_olive ? olive_share * thickness : thickness;
}

double fit_value_lean_upper(const double *x, const struct fit_kind *kind)
{
    return sw_lean(x[FIT_HOLE_UPPER], x[FIT_PIVOT_UPPER],
                   working(x[FIT_JEWEL_UPPER], kind->is_olive[0])) /
           degree;
}

double fit_value_lean_lower(const double *x, const struct fit_kind *kind)
{
    return sw_lean(x[FIT_HOLE_LOWER], x[FIT_PIVOT_LOWER],
                   working(x[FIT_JEWEL_LOWER], kind->is_olive[1])) /
           degree;
}

double fit_value_end_shake(const double *x, const struct fit_kind *kind)
{
    (void)kind;
    return x[FIT_ENDSTONES] - x[FIT_TOTAL];
}

double fit_value_cone_upper(const double *x, const struct fit_kind *kind)
{
    (void)kind;
    return x[FIT_STRAIGHT_UPPER] - x[FIT_GAP_UPPER] - x[FIT_JEWEL_UPPER];
}

double fit_value_cone_lower(const double *x, const struct fit_kind *kind)
{
    (void)kind;
    return x[FIT_STRAIGHT_LOWER] - x[FIT_GAP_LOWER] - x[FIT_JEWEL_LOWER];
}

/* Lifted by its end shake, a pivot still stands in its hole by half its diameter: s <= g + t - d/2
 * to the middle of what works. */
static double stays(const double *x, enum fit_var gap, enum fit_var jewel, enum fit_var pivot,
                    bool is_olive)
{
    const double rounded = (x[jewel] - working(x[jewel], is_olive)) / 2;
    return x[gap] + x[jewel] - rounded - x[pivot] / 2 - (x[FIT_ENDSTONES] - x[FIT_TOTAL]);
}

double fit_value_stays_upper(const double *x, const struct fit_kind *kind)
{
    return stays(x, FIT_GAP_UPPER, FIT_JEWEL_UPPER, FIT_PIVOT_UPPER, kind->is_olive[0]);
}

double fit_value_stays_lower(const double *x, const struct fit_kind *kind)
{
    return stays(x, FIT_GAP_LOWER, FIT_JEWEL_LOWER, FIT_PIVOT_LOWER, kind->is_olive[1]);
}

double fit_value_fork(const double *x, const struct fit_kind *kind)
{
    (void)kind;
    return x[FIT_SHOULDER] - x[FIT_ROLLER_THICK] - x[FIT_FORK];
}

double fit_value_floor_room(const double *x, const struct fit_kind *kind)
{
    (void)kind;
    return x[FIT_SHOULDER] - x[FIT_ROLLER_THICK] - x[FIT_FLOOR];
}

double fit_value_stop(const double *x, const struct fit_kind *kind)
{
    (void)kind;
    return sw_taper_stop(x[FIT_ROLLER_BORE], x[FIT_ROLLER_SEAT], x[FIT_ROLLER_TAPER],
                         x[FIT_ROLLER_LENGTH]);
}

double fit_value_roller_grip(const double *x, const struct fit_kind *kind)
{
    (void)kind;
    return x[FIT_ROLLER_SEAT] - x[FIT_ROLLER_BORE];
}

/* A cylindrical bore on a slow taper: the mean interference over the roller's thickness, less what
 * the roughness of both takes up (0.8 of the peaks: DIN 7190, from memory). */
static struct sw_press roller_press(const double *x, const struct fit_kind *kind)
{
    const double near = fit_value_roller_grip(x, kind) - lost_to_roughness;
    const double far = near - x[FIT_ROLLER_TAPER] * x[FIT_ROLLER_THICK];
    const double mean = (fmax(near, 0) + fmax(far, 0)) / 2;
    return sw_press_fit(mean, x[FIT_ROLLER_BORE], x[FIT_ROLLER_OUTSIDE], 0, fit_roller_metal(kind),
                        &steel, x[FIT_ROLLER_THICK], friction);
}

double fit_value_roller_pressure(const double *x, const struct fit_kind *kind)
{
    return roller_press(x, kind).pressure;
}

/* Tresca at the bore: hoop tension and pressure together. Above the yield the bore gives and beds
 * in, as every roller that was ever driven on has done: information, no limit. */
double fit_value_roller_stress(const double *x, const struct fit_kind *kind)
{
    const struct sw_press press = roller_press(x, kind);
    return press.hoop + press.pressure;
}

double fit_value_roller_force(const double *x, const struct fit_kind *kind)
{
    return roller_press(x, kind).force;
}

double fit_value_safety_stop(const double *x, const struct fit_kind *kind)
{
    (void)kind;
    return sw_taper_stop(x[FIT_SAFETY_BORE], x[FIT_SAFETY_SEAT], x[FIT_SAFETY_TAPER],
                         x[FIT_SAFETY_LENGTH]);
}

double fit_value_safety_grip(const double *x, const struct fit_kind *kind)
{
    (void)kind;
    return x[FIT_SAFETY_SEAT] - x[FIT_SAFETY_BORE];
}

/* Riveted: clearance. Driven: interference. */
double fit_value_balance(const double *x, const struct fit_kind *kind)
{
    const double clearance = x[FIT_BALANCE_BORE] - x[FIT_BALANCE_SEAT];
    return kind->fixing == SW_FIX_DRIVEN ? -clearance : clearance;
}

/* An arm round its bore is taken for a ring of twice the bore (common practice). */
static struct sw_press drive_press(const double *x, const struct fit_kind *kind)
{
    return sw_press_fit(fit_value_balance(x, kind), x[FIT_BALANCE_BORE], 2 * x[FIT_BALANCE_BORE], 0,
                        &brass, &steel, x[FIT_ARM], friction);
}

double fit_value_drive_pressure(const double *x, const struct fit_kind *kind)
{
    return drive_press(x, kind).pressure;
}

double fit_value_drive_force(const double *x, const struct fit_kind *kind)
{
    return drive_press(x, kind).force;
}

double fit_value_friction_grip(const double *x, const struct fit_kind *kind)
{
    (void)kind;
    return x[FIT_FRICTION_SEAT] - x[FIT_HUB_BORE];
}

static struct sw_press hub_press(const double *x, const struct fit_kind *kind)
{
    return sw_press_fit(fit_value_friction_grip(x, kind), x[FIT_HUB_BORE], x[FIT_HUB_OUTSIDE], 0,
                        &steel, &steel, x[FIT_FRICTION_LENGTH], friction);
}

double fit_value_friction_stress(const double *x, const struct fit_kind *kind)
{
    const struct sw_press press = hub_press(x, kind);
    return press.hoop + press.pressure;
}

double fit_value_friction_force(const double *x, const struct fit_kind *kind)
{
    return hub_press(x, kind).force;
}

/* Metal in the lip over the room it has to fill. */
double fit_value_rivet(const double *x, const struct fit_kind *kind)
{
    (void)kind;
    const double depth = fmin(x[FIT_RIVET], x[FIT_RECESS]);
    return sw_lip_volume(x[FIT_BALANCE_SEAT] / 2, x[FIT_LIP], depth, x[FIT_WALL]) /
           sw_bevel_volume(x[FIT_BALANCE_BORE] / 2, x[FIT_ARM_BEVEL], x[FIT_BALANCE_SEAT] / 2, 0);
}

double fit_value_collet(const double *x, const struct fit_kind *kind)
{
    (void)kind;
    return x[FIT_COLLET_SEAT] - x[FIT_COLLET_BORE];
}

double fit_value_collet_room(const double *x, const struct fit_kind *kind)
{
    (void)kind;
    return x[FIT_COLLET_LENGTH] - x[FIT_COLLET_HEIGHT];
}

/* The collet sits down on the turned rivet, which is flush with the arm. */
double fit_value_spring_level(const double *x, const struct fit_kind *kind)
{
    const double up = kind->is_spring_below ? -1 : 1;
    return x[FIT_HUB_FACE] + up * (x[FIT_ARM] + x[FIT_COLLET_SPRING]) - x[FIT_SPRING_LEVEL];
}

double fit_value_cock(const double *x, const struct fit_kind *kind)
{
    return x[FIT_COCK] - x[FIT_HUB_FACE] - x[FIT_ARM] - x[FIT_COLLET_HEIGHT] -
           fit_value_end_shake(x, kind);
}

double fit_value_bridge(const double *x, const struct fit_kind *kind)
{
    (void)kind;
    return x[FIT_HUB_FACE] - x[FIT_RIM_BELOW] - x[FIT_BRIDGE];
}

double fit_value_ceiling(const double *x, const struct fit_kind *kind)
{
    return x[FIT_CEILING] - x[FIT_HUB_FACE] - x[FIT_RIM_ABOVE] - fit_value_end_shake(x, kind);
}
