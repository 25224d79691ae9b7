#include "mech/chip.h"

#include <math.h>
#include <stdbool.h>
#include <stddef.h>

#include "mech/mech_int.h"

double sw_chip_nose_depth(const struct sw_edge *edge)
{
    return edge->nose * (1 - cos(edge->lead));
}

double sw_chip_least(double share, double edge_radius)
{
    return share * edge_radius;
}

/* Largest of sin(phi) over the engaged edge. */
static double thickest_share(const struct sw_edge *edge, double nose_angle, bool has_straight)
{
    const double reach = has_straight ? edge->lead : nose_angle;
    const bool passes_square = edge->nose > 0 && reach > SW_MECH_PI / 2;
    return passes_square ? 1 : sin(reach);
}

struct sw_chip sw_chip_of(const struct sw_edge *edge, double depth, double feed)
{
    struct sw_chip chip = {.depth = depth, .feed = feed};
    if (!(depth > 0) || !(feed > 0))
        return chip;
    const double r = edge->nose, on_nose = sw_chip_nose_depth(edge);
    const bool has_straight = depth > on_nose;
    const double phi = r <= 0 ? 0 : has_straight ? edge->lead : acos(1 - depth / r);
    const double sine = sin(phi), cosine = cos(phi);
    chip.nose_angle = phi;
    chip.nose_length = r * phi;
    chip.edge_radial = r * sine;
    chip.edge_axial = r * (1 - cosine);
    chip.area_radial = feed * r * sine * sine / 2;
    chip.area_axial = feed * r * (phi - sine * cosine) / 2;
    if (has_straight) {
        const double s = sin(edge->lead), c = cos(edge->lead);
        const double length = (depth - on_nose) / s;
        chip.straight_length = length;
        chip.edge_radial += length * c;
        chip.edge_axial += length * s;
        chip.area_radial += feed * s * length * c;
        chip.area_axial += feed * s * length * s;
    }
    chip.length = chip.nose_length + chip.straight_length;
    chip.area = depth * feed;
    chip.mean = chip.area / chip.length;
    chip.most = feed * thickest_share(edge, phi, has_straight);
    return chip;
}

double sw_chip_section(const struct sw_edge *edge, double depth, double feed)
{
    const double r = edge->nose;
    if (feed >= 2 * r || depth <= 0)
        return depth * feed; /* the straight flanks behind the point are not known here */
    const double half = feed / 2;
    /* Between the feed's chord at the bottom of the nose and two arcs of it. */
    const double left = feed * r - half * sqrt(r * r - half * half) - r * r * asin(half / r);
    return depth * feed - left;
}

double sw_chip_lead_chord(const struct sw_edge *edge, const struct sw_chip *chip)
{
    /* The engaged edge also reaches half a feed behind the bottom of the nose. */
    const double behind = edge->nose > 0 ? chip->feed / 2 : 0;
    return atan2(chip->edge_axial, chip->edge_radial + behind);
}

double sw_chip_lead_area(const struct sw_chip *chip)
{
    return atan2(chip->area_axial, chip->area_radial);
}

double sw_chip_lead_size(const struct sw_edge *edge, const struct sw_chip *chip, double exponent)
{
    const struct sw_chip_sums sums = sw_chip_sums_of(edge, chip, exponent);
    return atan2(sums.axial, sums.radial);
}

/* Abscissae and weights of ten-point Gauss-Legendre on [-1, 1] (Abramowitz and Stegun, table 25.4),
 * the positive half. */
static const double gauss[][2] = {{0.148874338981631211, 0.295524224714752870},
                                  {0.433395394129247191, 0.269266719309996355},
                                  {0.679409568299024406, 0.219086362515982044},
                                  {0.865063366688984511, 0.149451349150580593},
                                  {0.973906528517171720, 0.066671344308688138}};

struct sw_chip_sums sw_chip_sums_of(const struct sw_edge *edge, const struct sw_chip *chip,
                                    double exponent)
{
    const double power = 1 - exponent;
    struct sw_chip_sums sums = {0};
    if (chip->length <= 0)
        return sums;
    const double phi1 = chip->nose_angle, scale = edge->nose * pow(chip->feed, power);
    if (phi1 > 0) {
        /* sin^power has no derivative at 0; with phi = phi1 u^3 the integrand rises like
         * u^(3 power + 2), smooth enough for ten points to give nine digits. */
        for (size_t i = 0; i < sizeof gauss / sizeof gauss[0]; i++)
            for (int side = -1; side <= 1; side += 2) {
                const double u = (1 + side * gauss[i][0]) / 2;
                const double phi = phi1 * u * u * u;
                const double weight = gauss[i][1] / 2 * 3 * phi1 * u * u;
                const double sine = sin(phi), part = scale * pow(sine, power) * weight;
                sums.all += part;
                sums.radial += part * cos(phi);
                sums.axial += part * sine;
            }
    }
    if (chip->straight_length > 0) {
        const double s = sin(edge->lead);
        const double part = chip->straight_length * pow(chip->feed * s, power);
        sums.all += part;
        sums.radial += part * cos(edge->lead);
        sums.axial += part * s;
    }
    return sums;
}

double sw_chip_least_feed(const struct sw_edge *edge, double depth, double least)
{
    return least / sw_chip_of(edge, depth, 1).most;
}
