/* Parameters 1..5399 (3.2.1). Reserved ones with lengths are kept in mm with X as radius, and
 * seen by the program in its own units: the report leaves their unit open. */
#include "ncread/ncread_int.h"

enum { AXES = 6, SYSTEM_STEP = 20, SYSTEM_FIRST = 5221, SYSTEM_LAST = 5386 };

int sw_nc_parameter_of_system(int system)
{
    return SYSTEM_FIRST + (system - 1) * SYSTEM_STEP;
}

/* Size of one unit of a parameter; X Y Z A B C in each reserved group (Table 2). */
static double unit_of(const struct nc_reader *r, int index)
{
    int axis;
    if (index >= NC_HOME_G28 && index < NC_HOME_G28 + AXES)
        axis = index - NC_HOME_G28;
    else if (index >= NC_HOME_G30 && index < NC_HOME_G30 + AXES)
        axis = index - NC_HOME_G30;
    else if (index >= NC_AXIS_OFFSET && index < NC_AXIS_OFFSET + AXES)
        axis = index - NC_AXIS_OFFSET;
    else if (index >= SYSTEM_FIRST && index <= SYSTEM_LAST)
        axis = (index - SYSTEM_FIRST) % SYSTEM_STEP;
    else
        return 1;
    if (axis == 0)
        return r->now.unit * r->facts.x_scale;
    return axis <= 2 ? r->now.unit : 1;
}

double sw_nc_parameter(const struct nc_reader *r, int index)
{
    return r->parameter[index] / unit_of(r, index);
}

static void set_plain(struct nc_reader *r, int index, double value)
{
    r->undo[r->n_undo++] = (struct nc_undo){index, r->parameter[index]};
    r->parameter[index] = value;
}

void sw_nc_set_parameter(struct nc_reader *r, int index, double value)
{
    set_plain(r, index, value * unit_of(r, index));
}

struct sw_motion_pt sw_nc_parameter_point(const struct nc_reader *r, int first)
{
    return (struct sw_motion_pt){r->parameter[first], r->parameter[first + 2]};
}

void sw_nc_set_parameter_point(struct nc_reader *r, int first, struct sw_motion_pt pt)
{
    set_plain(r, first, pt.x);
    set_plain(r, first + 2, pt.z);
}

void sw_nc_undo_parameters(struct nc_reader *r)
{
    while (r->n_undo > 0) {
        r->n_undo--;
        r->parameter[r->undo[r->n_undo].index] = r->undo[r->n_undo].value;
    }
}
