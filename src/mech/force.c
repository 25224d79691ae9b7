#include "mech/force.h"

#include <math.h>

#include "mech/mech_int.h"

static const double um_in_mm = 1e3;
static const double kw_in_w = 1e3;
static const double seconds_in_minute = 60;
/* Per degree of rake, of the cutting force. */
static const double rake_share = 0.015;

double sw_force_specific(double specific_force, double exponent, double thickness)
{
    return specific_force * pow(thickness, -exponent);
}

double sw_force_kienzle(double specific_force, double exponent, double width, double thickness)
{
    return specific_force * width * pow(thickness, 1 - exponent);
}

double sw_force_kienzle_edge(double specific_force, double exponent, const struct sw_edge *edge,
                             const struct sw_chip *chip)
{
    return specific_force * sw_chip_sums_of(edge, chip, exponent).all;
}

double sw_force_power(double specific, double depth, double feed, double speed, double efficiency)
{
    return specific * depth * feed * speed / (seconds_in_minute * kw_in_w * efficiency);
}

double sw_force_torque(double cutting, double radius)
{
    return cutting * radius / 1000;
}

double sw_force_rake_factor(double rake, double base)
{
    return 1 - rake_share * (rake - base) * 180 / SW_MECH_PI;
}

double sw_force_speed_factor(double speed, bool *is_published)
{
    if (is_published)
        *is_published = speed >= 20;
    return speed <= 100 ? 2.023 / pow(speed, 0.153) : 1.380 / pow(speed, 0.07);
}

struct sw_force_constants sw_force_default_constants(void)
{
    return (struct sw_force_constants){.published_from = 0.05,
                                       .edge = 2.0,
                                       .edge_high = 2.5,
                                       .edge_thrust = 1.75,
                                       .edge_thrust_high = 2.0,
                                       .chip_thrust = 0.55,
                                       .chip_thrust_high = 0.6,
                                       .blunt_thrust = 1.0,
                                       .low = 0.7,
                                       .high = 2.0};
}

static double factor_of(const struct sw_force_factors *f)
{
    return f->rake * f->kind * f->wear * f->tool;
}

/* The edge law with the given edge constants. */
static struct sw_force edge_law(const struct sw_force_case *of, const struct sw_chip *chip,
                                double edge, double edge_thrust, double chip_thrust)
{
    if (chip->length <= 0)
        return (struct sw_force){0};
    const double thickness = fmax(chip->mean, of->constants.published_from);
    const double specific =
        factor_of(&of->factors) * sw_force_specific(of->specific_force, of->exponent, thickness);
    const double on_edge = edge * of->edge_radius * um_in_mm * of->factors.wear;
    const double normal = chip_thrust * specific, on_edge_normal = edge_thrust * on_edge;
    return (struct sw_force){.cutting = specific * chip->area + on_edge * chip->length,
                             .thrust =
                                 normal * chip->area_radial + on_edge_normal * chip->edge_radial,
                             .feed = normal * chip->area_axial + on_edge_normal * chip->edge_axial};
}

/* Kienzle carried on, with its normal force as SHARE of the cutting force. */
static struct sw_force size_law(const struct sw_force_case *of, const struct sw_chip_sums *sums,
                                double share)
{
    const double k = factor_of(&of->factors) * of->specific_force;
    return (struct sw_force){.cutting = k * sums->all,
                             .thrust = share * k * sums->radial,
                             .feed = share * k * sums->axial};
}

/* Normal over cutting force falls from a blunt edge's to a sharp one's while the chip grows from
 * one to three edge radii. */
static double thrust_share(const struct sw_force_case *of, double mean)
{
    const struct sw_force_constants *c = &of->constants;
    if (mean >= 3 * of->edge_radius)
        return c->chip_thrust;
    if (mean <= of->edge_radius)
        return c->blunt_thrust;
    const double t = (mean / of->edge_radius - 1) / 2;
    return c->blunt_thrust + (c->chip_thrust - c->blunt_thrust) * t;
}

static struct sw_force times(struct sw_force f, double k)
{
    return (struct sw_force){f.cutting * k, f.thrust * k, f.feed * k};
}

static struct sw_force lesser(struct sw_force a, struct sw_force b)
{
    return (struct sw_force){fmin(a.cutting, b.cutting), fmin(a.thrust, b.thrust),
                             fmin(a.feed, b.feed)};
}

static struct sw_force greater(struct sw_force a, struct sw_force b)
{
    return (struct sw_force){fmax(a.cutting, b.cutting), fmax(a.thrust, b.thrust),
                             fmax(a.feed, b.feed)};
}

struct sw_force sw_force_nominal(const struct sw_force_case *of, const struct sw_chip *chip)
{
    const struct sw_force_constants *c = &of->constants;
    return edge_law(of, chip, c->edge, c->edge_thrust, c->chip_thrust);
}

static struct sw_force_band band_of(const struct sw_force_case *of, const struct sw_chip *chip,
                                    const struct sw_chip_sums *sums)
{
    const struct sw_force_constants *c = &of->constants;
    const struct sw_force nominal = sw_force_nominal(of, chip);
    const struct sw_force upper =
        edge_law(of, chip, c->edge_high, c->edge_thrust_high, c->chip_thrust_high);
    const struct sw_force size_low = size_law(of, sums, c->chip_thrust);
    const struct sw_force size_high = size_law(of, sums, thrust_share(of, chip->mean));
    const double slow = fmax(1, sw_force_speed_factor(of->speed, NULL));
    struct sw_force_band band = {.nominal = nominal, .chip = *chip};
    const struct sw_force slowed = times(nominal, slow), doubled = times(size_high, c->high);
    const struct sw_force least = lesser(nominal, size_low);
    /* A thrust that pulls is negative: its worst is the least, so both ends look at all laws. */
    band.low = lesser(lesser(times(least, c->low), least), lesser(lesser(slowed, upper), doubled));
    band.high = greater(greater(slowed, upper), greater(nominal, doubled));
    band.is_rubbing = chip->most < sw_chip_least(of->least_chip, of->edge_radius);
    band.is_ploughing = chip->mean < of->edge_radius;
    return band;
}

struct sw_force_band sw_force_turn(const struct sw_force_case *of, double depth, double feed)
{
    const struct sw_chip chip = sw_chip_of(&of->edge, depth, feed);
    const struct sw_chip_sums sums = sw_chip_sums_of(&of->edge, &chip, of->exponent);
    return band_of(of, &chip, &sums);
}

static struct sw_force turned_round(struct sw_force f)
{
    return (struct sw_force){.cutting = f.cutting, .thrust = f.feed, .feed = f.thrust};
}

struct sw_force_band sw_force_face(const struct sw_force_case *of, double depth, double feed)
{
    struct sw_force_band band = sw_force_turn(of, depth, feed);
    band.low = turned_round(band.low);
    band.nominal = turned_round(band.nominal);
    band.high = turned_round(band.high);
    return band;
}

struct sw_force_band sw_force_part(const struct sw_force_case *of, double width, double feed)
{
    struct sw_force_case blade = *of;
    blade.factors.kind *= SW_FORCE_PARTING;
    const bool cuts = width > 0 && feed > 0;
    const struct sw_chip chip = {.depth = width,
                                 .feed = feed,
                                 .straight_length = cuts ? width : 0,
                                 .length = cuts ? width : 0,
                                 .area = width * feed,
                                 .mean = feed,
                                 .most = feed,
                                 .edge_radial = width,
                                 .area_radial = width * feed};
    const double sum = cuts ? width * pow(feed, 1 - of->exponent) : 0;
    const struct sw_chip_sums sums = {.all = sum, .radial = sum};
    return band_of(&blade, &chip, &sums);
}
