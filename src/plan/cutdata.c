#include "plan/cutdata.h"

#include <math.h>

#include "plan/plan.h"

/* A finish cut thinner than this many least chips leaves too much to the rounding of the edge. */
static const double finish_chips = 2.0;
/* Speeds are asked for in round numbers a person can compare with a dial [rev/min]. */
static const double speed_grain = 50.0;
static const double pi = 3.14159265358979323846;

double sw_cut_least_chip(const struct sw_tool *tool, const struct sw_material *material)
{
    return material->least_chip.value * tool->edge_radius.value;
}

/* Largest chip thickness on a nose for depth and feed: h = f sin(phi), cos(phi) = 1 - depth/nose
 * (the round-insert form h_ex = f sqrt(4 ap/iC - (2 ap/iC)^2) of tool makers' tables). */
static double largest_chip_share(double depth, double nose)
{
    if (nose <= 0 || depth >= nose)
        return 1.0;
    const double x = depth / nose;
    return sqrt(2 * x - x * x);
}

/* Down to a step of belt or dial; the slowest when all are faster. */
static double step_down(const struct sw_machine_spindle *spindle, double speed)
{
    const struct sw_number *step = spindle->speeds.at;
    double best = spindle->speeds.n ? step[0].value : speed;
    for (size_t i = 0; i < spindle->speeds.n; i++)
        if (step[i].value <= speed)
            best = step[i].value;
    return best;
}

static void choose_speed(struct sw_cut *cut, const struct sw_cut_case *of)
{
    const double most = of->machine->spindle.most_speed.value;
    double surface = of->material->surface_speed.value;
    if (of->tool->surface_speed.given && of->tool->surface_speed.value < surface)
        surface = of->tool->surface_speed.value;
    if (of->may_use_surface_speed && (of->use == SW_CUT_FACE || of->use == SW_CUT_ROUGH)) {
        cut->is_surface_speed = true;
        cut->speed = surface;
        cut->speed_clamp = most;
        return;
    }
    const double book = 1000.0 * surface / (pi * fmax(of->largest_diameter, of->only_diameter));
    double speed = floor(fmin(book, most) / speed_grain) * speed_grain;
    if (speed < of->machine->spindle.least_speed.value)
        speed = of->machine->spindle.least_speed.value;
    cut->speed = step_down(&of->machine->spindle, speed);
}

void sw_cut_choose(struct sw_cut *cut, const struct sw_cut_case *of)
{
    *cut = (struct sw_cut){0};
    const struct sw_tool *tool = of->tool;
    const double chip = sw_cut_least_chip(tool, of->material);
    const bool is_fine = of->use == SW_CUT_FINISH;
    cut->depth = is_fine ? tool->finish_depth.value : tool->rough_depth.value;
    cut->feed =
        is_fine || of->use == SW_CUT_RECESS ? tool->finish_feed.value : tool->rough_feed.value;
    if (cut->depth < finish_chips * chip)
        cut->depth = finish_chips * chip;
    if (of->use == SW_CUT_PART)
        cut->depth = tool->width.value;
    /* The thickest place of the chip must be a chip. */
    const double share = largest_chip_share(cut->depth, tool->nose_radius.value);
    if (cut->feed * share < chip)
        cut->feed = chip / share;
    choose_speed(cut, of);
}

/* What is met coming up to a cut, or grazed lifting off it, is not met at more than this many times
 * the tool's own feed: beyond twice that a cut counts as a slip. */
static const double air_share = 1.8;

double sw_plan_air_feed(const struct sw_tool *tool, double feed, double turns)
{
    return fmax(feed, fmin(SW_PLAN_AIR_FEED / turns, air_share * tool->rough_feed.value));
}
