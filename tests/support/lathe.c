#include "support/lathe.h"

#include <math.h>
#include <string.h>

#include "support/near.h"

static struct sw_number number(double value)
{
    return (struct sw_number){.value = value, .given = true};
}

static struct sw_text text(const char *value)
{
    return (struct sw_text){.value = value, .given = true};
}

static struct sw_choice choice(int value)
{
    return (struct sw_choice){.value = value, .given = true};
}

static double radians(double degrees)
{
    return degrees * 3.14159265358979323846 / 180;
}

static void init_tools(struct sw_lathe *lathe)
{
    const char *const names[SW_LATHE_TOOLS] = {"right point", "narrow blade", "face point"};
    for (int i = 0; i < SW_LATHE_TOOLS; i++) {
        struct sw_tool *tool = &lathe->tool[i];
        *tool = (struct sw_tool){.file = "",
                                 .name = text(names[i]),
                                 .kind = choice(i),
                                 .hand = choice(SW_HAND_RIGHT),
                                 .point = choice(SW_POINT_NOSE_CENTRE),
                                 .touched = choice(SW_TOUCHED_HEADSTOCK_SIDE),
                                 .edge_radius = number(0.001),
                                 .relief = number(radians(7)),
                                 .heel_height = number(0.05),
                                 .most_depth = number(0.5),
                                 .surface_speed = number(60)};
        tool->holder = (struct sw_tool_holder_block){
            .clear = number(4), .ahead = number(0.2), .behind = number(5)};
        lathe->fitted[i] =
            (struct sw_fitted_tool){.station = number(i + 1), .tool = text(names[i]), .is = tool};
        lathe->station[i] =
            (struct sw_station){.number = number(i + 1), .spindle = choice(SW_SENSE_CW)};
    }
    lathe->tool[0].nose_radius = number(0.05);
    lathe->tool[0].cutting_angle = number(radians(93));
    lathe->tool[0].point_angle = number(radians(35));
    lathe->tool[0].edge_length = number(3);
    lathe->tool[1].nose_radius = number(0.02);
    lathe->tool[1].width = number(0.4);
    lathe->tool[1].clearance = number(radians(1));
    lathe->tool[1].reach = number(2);
    lathe->tool[2].nose_radius = number(0.03);
    lathe->tool[2].clearance = number(radians(4));
    lathe->tool[2].point_angle = number(radians(30));
    lathe->tool[2].reach = number(0.5);
}

static void init_machine(struct sw_lathe *lathe)
{
    lathe->travel_x[0] = number(-20);
    lathe->travel_x[1] = number(80);
    lathe->travel_z[0] = number(-60);
    lathe->travel_z[1] = number(100);
    lathe->machine = (struct sw_machine){.file = "",
                                         .name = text("bench of the tests"),
                                         .travel_x = {lathe->travel_x, 2, true, {0}},
                                         .travel_z = {lathe->travel_z, 2, true, {0}},
                                         .rapid = {number(1000), number(2000)},
                                         .acceleration = {number(500), number(500)},
                                         .compliance = number(0.5),
                                         .change = choice(SW_CHANGE_GANG),
                                         .change_time = number(2),
                                         .stations = {lathe->station, SW_LATHE_TOOLS, true, {0}}};
    lathe->machine.spindle.least_speed = number(100);
    lathe->machine.spindle.most_speed = number(10000);
    lathe->machine.spindle.bore = number(6);
    lathe->machine.spindle.length = number(120);
    lathe->machine.control.tool_words = choice(1);
    lathe->machine.control.spindle_words = choice(1);
    lathe->machine.control.tool_offsets = choice(SW_OFFSET_BY_SYSTEM);
}

static void init_shop(struct sw_lathe *lathe)
{
    lathe->holder_size = number(2.0);
    lathe->holder = (struct sw_holder){.file = "",
                                       .name = text("collet 2.0"),
                                       .kind = choice(SW_HOLDER_COLLET),
                                       .sizes = {&lathe->holder_size, 1, true, {0}},
                                       .under = number(0.05),
                                       .over = number(0.02),
                                       .least_grip = number(2),
                                       .most_grip = number(12),
                                       .bore_behind = number(3),
                                       .nose_diameter = number(5),
                                       .nose_angle = number(radians(20)),
                                       .nose_length = number(3)};
    lathe->holders[0] = &lathe->holder;
    lathe->holder_name = text("collet 2.0");
    lathe->material = (struct sw_material){.file = "",
                                           .name = text("steel of the tests"),
                                           .state = choice(SW_STATE_TEMPERED),
                                           .elastic_modulus = number(206000),
                                           .poisson = number(0.3),
                                           .yield = number(1500),
                                           .specific_force = number(2500),
                                           .force_exponent = number(0.24),
                                           .density = number(7.85),
                                           .least_chip = number(0.3)};
    lathe->stock = (struct sw_stock){.material = text("steel of the tests"),
                                     .diameter = number(2),
                                     .length = number(150),
                                     .is = &lathe->material};
    lathe->shop = (struct sw_shop){.file = "",
                                   .name = text("shop of the tests"),
                                   .tools = {lathe->fitted, SW_LATHE_TOOLS, true, {0}},
                                   .holder_names = {&lathe->holder_name, 1, true, {0}},
                                   .stock = {&lathe->stock, 1, true, {0}},
                                   .clearance = number(0.2),
                                   .safety = number(2),
                                   .tail_free = number(30),
                                   .machine = &lathe->machine,
                                   .holders = lathe->holders,
                                   .n_holders = 1};
}

static void init_setup(struct sw_lathe *lathe)
{
    const char *const programs[SW_LATHE_SIDES] = {"side-1.nc", "side-2.nc"};
    const char *const names[SW_LATHE_SIDES] = {"side 1", "side 2"};
    for (int s = 0; s < SW_LATHE_SIDES; s++) {
        for (int i = 0; i < SW_LATHE_TOOLS; i++)
            /* Tools in a stair along the slide: the later ones stand before the free end while an
             * earlier one cuts, and when a later one cuts the earlier stand outside the nose. */
            lathe->record[s][i] = (struct sw_setup_station){.station = number(i + 1),
                                                            .tool = lathe->tool[i].name,
                                                            .zero_x = number(10.0 + 12 * i),
                                                            .zero_z = number(5.0 - 12 * i),
                                                            .system = number(i + 1)};
        lathe->program[s] = (struct sw_setup_program){.file = text(programs[s])};
        lathe->side[s] =
            (struct sw_setup_side){.name = text(names[s]),
                                   .programs = {&lathe->program[s], 1, true, {0}},
                                   .holder = text("collet 2.0"),
                                   .grips = text("rod"),
                                   .grip_diameter = number(2),
                                   .grip_length = number(10),
                                   .nose_z = number(-6),
                                   .end = choice(s),
                                   .park_x = number(15),
                                   .park_z = number(25),
                                   .stations = {lathe->record[s], SW_LATHE_TOOLS, true, {0}}};
        lathe->motion[s] = (struct sw_motion){.name = programs[s]};
    }
    lathe->side[0].rod_diameter = number(2);
    lathe->side[0].rod_end_z = number(0.1);
    lathe->setup = (struct sw_setup){.file = "setup.yaml",
                                     .staff = text("staff.yaml"),
                                     .shop = text("shop.yaml"),
                                     .sides = {lathe->side, 1, true, {0}}};
}

void sw_lathe_init(struct sw_lathe *lathe)
{
    *lathe = (struct sw_lathe){.ctx = sw_test_ctx()};
    init_tools(lathe);
    init_machine(lathe);
    init_shop(lathe);
    init_setup(lathe);
    lathe->state = (struct sw_motion_state){.feed_mode = SW_MOTION_PER_MINUTE, .feed = 10};
    lathe->at = (struct sw_motion_pt){15, 25};
}

void sw_lathe_done(struct sw_lathe *lathe)
{
    sw_test_ctx_free(&lathe->ctx);
}

static struct sw_motion_event *add(struct sw_lathe *lathe, enum sw_motion_kind kind)
{
    struct sw_motion *motion = &lathe->motion[lathe->now];
    const struct sw_motion_event event = {.kind = kind,
                                          .line = ++lathe->line,
                                          .block = motion->n_blocks++,
                                          .from = lathe->at,
                                          .to = lathe->at,
                                          .state = lathe->state};
    /* at, n and cap of a motion stand together as in an SW_VEC */
    assert_true(sw_vec_room(lathe->ctx.arena, &motion->at, sizeof event));
    motion->at[motion->n++] = event;
    return &motion->at[motion->n - 1];
}

void sw_lathe_use(struct sw_lathe *lathe, int station)
{
    lathe->tool_now = station;
    lathe->state.tool = lathe->state.selected_tool = station;
    lathe->state.system = station;
    add(lathe, SW_MOTION_TOOL);
}

void sw_lathe_spindle(struct sw_lathe *lathe, enum sw_motion_spindle sense, double speed)
{
    lathe->state.spindle = sense;
    lathe->state.speed = speed;
    add(lathe, SW_MOTION_SPINDLE);
}

static struct sw_motion_pt to_machine(const struct sw_lathe *lathe, double z, double r)
{
    const int i = lathe->tool_now - 1;
    const struct sw_setup_station *record = &lathe->record[lathe->now][i];
    /* what a maker believes: the nose centre is the declared point */
    return (struct sw_motion_pt){record->zero_x.value + r, record->zero_z.value + z};
}

static struct sw_motion_event *move(struct sw_lathe *lathe, enum sw_motion_kind kind, double z,
                                    double r)
{
    struct sw_motion_event *event = add(lathe, kind);
    event->to = lathe->at = to_machine(lathe, z, r);
    return event;
}

void sw_lathe_rapid(struct sw_lathe *lathe, double z, double r)
{
    move(lathe, SW_MOTION_RAPID, z, r);
}

void sw_lathe_cut(struct sw_lathe *lathe, double z, double r)
{
    move(lathe, SW_MOTION_LINE, z, r);
}

void sw_lathe_arc(struct sw_lathe *lathe, double z, double r, double cz, double cr, int turn)
{
    struct sw_motion_event *event = move(lathe, SW_MOTION_ARC, z, r);
    event->centre = to_machine(lathe, cz, cr);
    event->turn = turn;
    event->radius_from = hypot(event->from.x - event->centre.x, event->from.z - event->centre.z);
    event->radius_to = hypot(event->to.x - event->centre.x, event->to.z - event->centre.z);
}

void sw_lathe_pause(struct sw_lathe *lathe)
{
    add(lathe, SW_MOTION_PAUSE);
}

void sw_lathe_second(struct sw_lathe *lathe, bool takes)
{
    add(lathe, SW_MOTION_SECOND)->is_taken = takes;
}

void sw_lathe_end(struct sw_lathe *lathe)
{
    sw_lathe_spindle(lathe, SW_MOTION_STOPPED, lathe->state.speed);
    add(lathe, SW_MOTION_END);
    lathe->motion[lathe->now].has_ended = true;
}

void sw_lathe_next_side(struct sw_lathe *lathe)
{
    lathe->now++;
    lathe->at = (struct sw_motion_pt){15, 25};
    lathe->line = 0;
}

uint32_t sw_lathe_line(const struct sw_lathe *lathe)
{
    return lathe->line;
}
