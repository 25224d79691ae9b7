/* With a pinned root the bar first turns as a whole until it touches; the reaction then is that of
 * a lever, and the parts that bend are read relative to the straight line through both supports.
 * That line is taken out by hand: a pin written as a very soft holder would cancel away the
 * digits. */
#include "mech/bush.h"

double sw_bush_reaction(const struct sw_bar *bar, const struct sw_bush *bush, double a,
                        double force)
{
    if (bush->is_root_pinned)
        return force * a / bush->at;
    const double free = force * sw_bar_compliance(bar, bush->at, a);
    if (free <= bush->play)
        return 0;
    return (free - bush->play) / (sw_bar_compliance(bar, bush->at, bush->at) + bush->give);
}

double sw_bush_deflection(const struct sw_bar *bar, const struct sw_bush *bush, double x, double a,
                          double force)
{
    const double b = bush->at, reaction = sw_bush_reaction(bar, bush, a, force);
    const double bent =
        force * sw_bar_compliance(bar, x, a) - reaction * sw_bar_compliance(bar, x, b);
    if (!bush->is_root_pinned)
        return bent;
    const double bent_at_bush =
        force * sw_bar_compliance(bar, b, a) - reaction * sw_bar_compliance(bar, b, b);
    return bent + (x / b) * (bush->play + reaction * bush->give - bent_at_bush);
}

double sw_bush_play(const struct sw_bush *bush, double x)
{
    return bush->play * x / bush->at;
}
