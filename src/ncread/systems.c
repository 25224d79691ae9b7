/* Coordinate systems, offsets and home (3.2.2, 3.5.5, 3.5.6, 3.5.12, 3.5.13, 3.5.18).
 *
 * place in the machine = word + origin of the system + G92 offset + offset of the tool.
 */
#include "ncread/ncread_int.h"

#include <stddef.h>

double sw_nc_x(const struct nc_reader *r, char letter)
{
    return sw_nc_word(&r->block, letter) * r->now.unit * r->facts.x_scale;
}

double sw_nc_z(const struct nc_reader *r, char letter)
{
    return sw_nc_word(&r->block, letter) * r->now.unit;
}

struct sw_motion_pt sw_nc_shift(const struct nc_state *now)
{
    return (struct sw_motion_pt){now->origin.x + now->axis_offset.x + now->tool_offset.x,
                                 now->origin.z + now->axis_offset.z + now->tool_offset.z};
}

struct sw_motion_pt sw_nc_target(const struct nc_reader *r)
{
    const struct nc_block *b = &r->block;
    const struct nc_state *now = &r->now;
    const bool is_machine = sw_nc_g(b, NC_ZERO) == NC_G53;
    struct sw_motion_pt base = {0, 0};
    if (!is_machine) /* G53 is absolute even in G91 (3.5.12) */
        base = now->is_incremental ? now->at : sw_nc_shift(now);
    struct sw_motion_pt to = now->at;
    if (sw_nc_has(b, 'X'))
        to.x = base.x + sw_nc_x(r, 'X');
    else if (sw_nc_has(b, 'U'))
        to.x = now->at.x + sw_nc_x(r, 'U');
    if (sw_nc_has(b, 'Z'))
        to.z = base.z + sw_nc_z(r, 'Z');
    else if (sw_nc_has(b, 'W'))
        to.z = now->at.z + sw_nc_z(r, 'W');
    return to;
}

void sw_nc_use_system(struct nc_reader *r, int system)
{
    r->now.modal.system = system;
    r->now.origin = sw_nc_parameter_point(r, sw_nc_parameter_of_system(system));
    sw_nc_set_parameter(r, NC_SYSTEM_IN_FORCE, system);
}

/* Only the axes named; as a machine place whatever G90, G91 and G92 say (3.5.5). */
static void set_origin(struct nc_reader *r)
{
    const struct nc_block *b = &r->block;
    int system = 1;
    (void)sw_nc_whole(sw_nc_word(b, 'P'), &system); /* checked with the block */
    const int first = sw_nc_parameter_of_system(system);
    struct sw_motion_pt origin = sw_nc_parameter_point(r, first);
    if (sw_nc_has(b, 'X'))
        origin.x = sw_nc_x(r, 'X');
    if (sw_nc_has(b, 'Z'))
        origin.z = sw_nc_z(r, 'Z');
    sw_nc_set_parameter_point(r, first, origin);
    if (system == r->now.modal.system)
        r->now.origin = origin;
}

/* By way of the programmed point, when there is one (3.5.6). */
static enum sw_status go_home(struct nc_reader *r, int first)
{
    const uint32_t axes = NC_BIT('X') | NC_BIT('Z') | NC_BIT('U') | NC_BIT('W');
    if (r->block.has & axes)
        SW_TRY(sw_nc_move(r, SW_MOTION_RAPID, sw_nc_target(r)));
    return sw_nc_move(r, SW_MOTION_RAPID, sw_nc_parameter_point(r, first));
}

/* The point where the tool is gets the numbers given (3.5.18). */
static void set_axis_offset(struct nc_reader *r)
{
    const struct nc_block *b = &r->block;
    struct nc_state *now = &r->now;
    if (sw_nc_has(b, 'X'))
        now->axis_offset.x = now->at.x - now->origin.x - now->tool_offset.x - sw_nc_x(r, 'X');
    if (sw_nc_has(b, 'Z'))
        now->axis_offset.z = now->at.z - now->origin.z - now->tool_offset.z - sw_nc_z(r, 'Z');
    sw_nc_set_parameter_point(r, NC_AXIS_OFFSET, now->axis_offset);
}

enum sw_status sw_nc_zero_group(struct nc_reader *r, enum nc_g code)
{
    const struct sw_motion_pt none = {0, 0};
    const bool has_axes = sw_nc_has(&r->block, 'X') || sw_nc_has(&r->block, 'Z');
    switch (code) {
    case NC_G10:
        set_origin(r);
        return SW_OK;
    case NC_G28:
        return go_home(r, NC_HOME_G28);
    case NC_G30:
        return go_home(r, NC_HOME_G30);
    case NC_G92:
        if (has_axes) /* else it limits the speed */
            set_axis_offset(r);
        return SW_OK;
    case NC_G92_1:
        r->now.axis_offset = none;
        sw_nc_set_parameter_point(r, NC_AXIS_OFFSET, none);
        return SW_OK;
    case NC_G92_2:
        r->now.axis_offset = none;
        return SW_OK;
    case NC_G92_3:
        r->now.axis_offset = sw_nc_parameter_point(r, NC_AXIS_OFFSET);
        return SW_OK;
    default:
        return SW_OK;
    }
}

enum sw_status sw_nc_offset_number(int *offset, struct nc_reader *r, char letter)
{
    const struct nc_block *b = &r->block;
    if (!sw_nc_whole(sw_nc_word(b, letter), offset))
        return sw_nc_fault(r, sw_nc_at(b, letter), "block.offset-whole", NULL,
                           "the number of an offset is whole, %g is not", sw_nc_word(b, letter));
    if (*offset < 0)
        return sw_nc_fault(r, sw_nc_at(b, letter), "block.offset-negative", NULL,
                           "the number of an offset is zero or more, not %d", *offset);
    if (*offset > r->start->n_tools || *offset >= SW_NCREAD_TOOLS)
        return sw_nc_fault(r, sw_nc_at(b, letter), "block.offset-range", NULL,
                           "offset %d does not exist; the largest number here is %d", *offset,
                           r->start->n_tools);
    return SW_OK;
}

/* Along the spindle only (3.5.11). The one table of offsets this reader can be given is that of a
 * control whose tools bring theirs. */
enum sw_status sw_nc_length_offset(struct nc_reader *r, enum nc_g code)
{
    const struct nc_block *b = &r->block;
    const struct nc_piece at = b->g_at[NC_LENGTH];
    if (code == NC_G49) {
        r->now.tool_offset.z = 0;
        return SW_OK;
    }
    if (!r->facts.offsets_with_tool)
        return sw_nc_fault(r, at, "control.length-offset", NULL,
                           "G43 uses a length offset; this control has none (control: "
                           "tool_offsets)");
    if (!sw_nc_has(b, 'H'))
        return sw_nc_fault(r, at, "block.offset-missing", NULL,
                           "G43 needs the number of an offset as an H word");
    int offset;
    SW_TRY(sw_nc_offset_number(&offset, r, 'H'));
    r->now.tool_offset.z = r->start->tool_offset[offset].z;
    return SW_OK;
}
