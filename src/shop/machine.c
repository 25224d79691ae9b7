#include "shop/machine.h"

#include <math.h>
#include <string.h>

#include "geom/tol.h"
#include "shop/read_int.h"

/* clang-format off */
/* x and z of one quantity. */
#define AXIS_PAIR(name, unit, low, high, needed, otherwise, x_sentence, z_sentence)              \
    static const struct sw_field name##_fields[] = {                                             \
        {.key = "x", .kind = SW_FIELD_NUMBER, .quantity = (unit),                                \
         .offset = offsetof(struct sw_axis_pair, x), .is_required = (needed), .least = (low),    \
         .most = (high), .fallback = (otherwise), .sentence = (x_sentence)},                     \
        {.key = "z", .kind = SW_FIELD_NUMBER, .quantity = (unit),                                \
         .offset = offsetof(struct sw_axis_pair, z), .is_required = (needed), .least = (low),    \
         .most = (high), .fallback = (otherwise), .sentence = (z_sentence)},                     \
    };                                                                                           \
    static const struct sw_table name##_table

#define AXIS_TABLE(name, said)                                                                   \
    {                                                                                            \
        #name, said, sizeof(struct sw_axis_pair), name##_fields, 2                               \
    }

AXIS_PAIR(rapid, SW_QUANTITY_FEED, 1, 100000, true, NULL,
          "Speed of the cross slide in a rapid move, as radius.",
          "Speed of the long slide in a rapid move.") =
    AXIS_TABLE(rapid, "How fast the slides go in rapid moves.");
AXIS_PAIR(acceleration, SW_QUANTITY_ACCELERATION, 1, 50000, true, NULL,
          "Acceleration of the cross slide, as radius.", "Acceleration of the long slide.") =
    AXIS_TABLE(acceleration, "How fast the slides gain speed; time is reckoned with it.");
AXIS_PAIR(step, SW_QUANTITY_LENGTH, 0.000001, 0.1, true, NULL,
          "Least increment of the cross slide, as radius: the diameter moves by twice as much.",
          "Least increment of the long slide.") =
    AXIS_TABLE(step, "The least increments the machine can move by.");
AXIS_PAIR(backlash, SW_QUANTITY_LENGTH, 0, 1, true, NULL,
          "Lost motion of the cross slide when it turns round, as radius.",
          "Lost motion of the long slide when it turns round.") =
    AXIS_TABLE(backlash, "Lost motion that the control does not make good.");
AXIS_PAIR(at, SW_QUANTITY_LENGTH, -1000, 1000, false, "0",
          "How much further from the axis the tool point stands, as radius.",
          "How much further from the headstock the tool point stands.") =
    AXIS_TABLE(at, "Where a station stands on the slide, seen from the first station of the list.");

static const char *const kind_words[] = {"bench", "sliding", NULL};
static const char *const change_words[] = {"gang", "turret", "by-hand", NULL};
static const char *const sense_words[] = {"M3", "M4", NULL};
static const char *const reading_words[] = {"radius", "diameter", NULL};
static const char *const offset_words[] = {"by-system", "with-tool", "none", NULL};
static const char *const clamp_words[] = {"none", "G50", "G92", NULL};
static const char *const dwell_words[] = {"P-seconds", "P-milliseconds", "X-seconds",
                                          "U-seconds", "F-seconds",      NULL};
static const char *const call_words[] = {"T-M6", "T-with-offset", "T-M6-D", NULL};
static const char *const unit_words[] = {"G20/G21", "G70/G71", NULL};
static const char *const feed_words[] = {"G94/G95", "G98/G99", NULL};

static const struct sw_field station_fields[] = {
    {.key = "number", .kind = SW_FIELD_INTEGER, .offset = offsetof(struct sw_station, number),
     .is_required = true, .least = 1, .most = 99,
     .sentence = "The number the T word calls the station by."},
    {.key = "at", .kind = SW_FIELD_MAP, .offset = offsetof(struct sw_station, at),
     .table = &at_table,
     .sentence = "Where the station's tool stands on the slide, seen from the first station."},
    {.key = "spindle", .kind = SW_FIELD_WORD, .offset = offsetof(struct sw_station, spindle),
     .words = sense_words, .fallback = "M3",
     .sentence = "The way the spindle must turn for a tool in this station to cut."},
};
static const struct sw_table station_table = {
    "station", "A place for one tool on the slide.", sizeof(struct sw_station), station_fields,
    sizeof station_fields / sizeof *station_fields};

#define BUSH(member) .offset = offsetof(struct sw_machine_bush, member)

static const struct sw_field bush_fields[] = {
    {.key = "land", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_LENGTH, BUSH(land),
     .least = 0.1, .most = 100,
     .sentence = "The length over which the bush fits the bar, from its front face."},
    {.key = "play", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_LENGTH, BUSH(play),
     .least = 0, .most = 0.1, .fallback = "0.005",
     .sentence = "The clearance between bar and bush, on the diameter."},
    {.key = "give", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_COMPLIANCE, BUSH(give),
     .least = 0.0001, .most = 1000, .fallback = "0.3",
     .sentence = "How far bush and tool post together give way under a force across the axis; "
                 "measured or estimated."},
    {.key = "nose_diameter", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_LENGTH,
     BUSH(nose_diameter), .least = 0.1, .most = 200, .fallback = "12",
     .sentence = "Diameter of its front face."},
    {.key = "nose_angle", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_ANGLE, BUSH(nose_angle),
     .least = 0, .most = 89.9, .fallback = "0",
     .sentence = "Half-angle of the cone behind the front face, from the axis; 0 for a cylinder."},
    {.key = "nose_length", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_LENGTH,
     BUSH(nose_length), .least = 0.05, .most = 200, .fallback = "10",
     .sentence = "Length of that cone or cylinder."},
    {.key = "collet_gap", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_LENGTH,
     BUSH(collet_gap), .least = 0, .most = 500, .fallback = "10",
     .sentence = "How near the nose of the collet comes to the back of the land, the headstock slid "
                 "forward as far as it goes."},
    {.key = "comes_out", .kind = SW_FIELD_TRUTH, BUSH(comes_out), .fallback = "yes",
     .sentence = "Whether the bush can be taken out, so that a holder in the spindle takes the "
                 "parted piece for its second side."},
    {.key = "catcher", .kind = SW_FIELD_TRUTH, BUSH(catcher), .fallback = "no",
     .sentence = "Whether a catcher takes what is parted; without one a piece parted through falls "
                 "on its pivot."},
};
static const struct sw_table bush_table = {
    "bush", "The guide bush of a sliding headstock.", sizeof(struct sw_machine_bush), bush_fields,
    sizeof bush_fields / sizeof *bush_fields};

#define SECOND(member) .offset = offsetof(struct sw_machine_second, member)

static const struct sw_field second_fields[] = {
    {.key = "grip", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_LENGTH, SECOND(grip),
     .is_required = true, .least = 0.01, .most = 100,
     .sentence = "The shortest length it holds a piece by."},
    {.key = "least", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_LENGTH, SECOND(least),
     .is_required = true, .least = 0.01, .most = 100,
     .sentence = "Diameter of the thinnest piece it takes."},
    {.key = "most", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_LENGTH, SECOND(most),
     .is_required = true, .least = 0.01, .most = 100,
     .sentence = "Diameter of the thickest piece it takes."},
    {.key = "depth", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_LENGTH, SECOND(depth),
     .is_required = true, .least = 0.1, .most = 1000,
     .sentence = "How far a piece may reach into it, from its front face."},
    {.key = "nose_diameter", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_LENGTH,
     SECOND(nose_diameter), .is_required = true, .least = 0.1, .most = 200,
     .sentence = "Diameter of its front face."},
    {.key = "nose_angle", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_ANGLE,
     SECOND(nose_angle), .least = 0, .most = 89.9, .fallback = "0",
     .sentence = "Half-angle of the cone behind the front face, from the axis; 0 for a cylinder."},
    {.key = "nose_length", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_LENGTH,
     SECOND(nose_length), .least = 0.05, .most = 200, .fallback = "10",
     .sentence = "Length of that cone or cylinder."},
};
static const struct sw_table second_table = {
    "second_spindle", "A spindle that faces the first and takes the piece before it is parted.",
    sizeof(struct sw_machine_second), second_fields, sizeof second_fields / sizeof *second_fields};

static const struct sw_field spindle_fields[] = {
    {.key = "least_speed", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_SPEED,
     .offset = offsetof(struct sw_machine_spindle, least_speed), .is_required = true, .least = 0,
     .most = 100000, .sentence = "Slowest speed the spindle turns at evenly."},
    {.key = "most_speed", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_SPEED,
     .offset = offsetof(struct sw_machine_spindle, most_speed), .is_required = true, .least = 1,
     .most = 200000, .sentence = "Fastest speed the maker of the machine allows."},
    {.key = "speeds", .kind = SW_FIELD_NUMBERS, .quantity = SW_QUANTITY_SPEED,
     .offset = offsetof(struct sw_machine_spindle, speeds), .least = 1, .most = 200000,
     .sentence = "The only speeds it can be set to, rising, where belt or dial has steps; absent: "
                 "any between the two."},
    {.key = "bore", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_LENGTH,
     .offset = offsetof(struct sw_machine_spindle, bore), .is_required = true, .least = 0.1,
     .most = 200, .sentence = "Diameter of the thickest bar that passes through the spindle."},
    {.key = "length", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_LENGTH,
     .offset = offsetof(struct sw_machine_spindle, length), .is_required = true, .least = 10,
     .most = 3000, .sentence = "From the nose face to the rear end of the bore: a bar that is "
                               "longer sticks out behind and may whip."},
    {.key = "runout", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_LENGTH,
     .offset = offsetof(struct sw_machine_spindle, runout), .is_required = true, .least = 0,
     .most = 1, .sentence = "Total reading of an indicator on the seat of the nose, with no holder "
                            "in it."},
    {.key = "torque", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_TORQUE,
     .offset = offsetof(struct sw_machine_spindle, torque), .is_required = true, .least = 0.001,
     .most = 1000, .sentence = "Torque the spindle keeps up while it cuts."},
    {.key = "power", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_POWER,
     .offset = offsetof(struct sw_machine_spindle, power), .is_required = true, .least = 1,
     .most = 100000, .sentence = "Power the spindle keeps up while it cuts."},
    {.key = "start_time", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_TIME,
     .offset = offsetof(struct sw_machine_spindle, start_time), .is_required = true, .least = 0,
     .most = 60, .sentence = "Time from standstill to the fastest speed: programs wait for it."},
};
static const struct sw_table spindle_table = {
    "spindle", "What the spindle can do.", sizeof(struct sw_machine_spindle), spindle_fields,
    sizeof spindle_fields / sizeof *spindle_fields};

#define CONTROL(member) .offset = offsetof(struct sw_control, member)

static const struct sw_field control_fields[] = {
    {.key = "x", .kind = SW_FIELD_WORD, CONTROL(x), .words = reading_words, .fallback = "radius",
     .sentence = "Whether X words say the distance from the axis or the diameter."},
    {.key = "i", .kind = SW_FIELD_WORD, CONTROL(i), .words = reading_words, .fallback = "radius",
     .sentence = "Whether I words of arcs are distances or, like diameters, twice that."},
    {.key = "units", .kind = SW_FIELD_WORD, CONTROL(units), .words = unit_words,
     .fallback = "G20/G21", .sentence = "The pair of words for inch and millimetre."},
    {.key = "feed_words", .kind = SW_FIELD_WORD, CONTROL(feed_words), .words = feed_words,
     .fallback = "G94/G95",
     .sentence = "The pair of words for feed per minute and feed per turn; the second is known "
                 "only with feed_per_turn."},
    {.key = "feed_per_turn", .kind = SW_FIELD_TRUTH, CONTROL(feed_per_turn), .fallback = "no",
     .sentence = "Whether the control can feed by the turn of the spindle."},
    {.key = "surface_speed", .kind = SW_FIELD_TRUTH, CONTROL(surface_speed), .fallback = "no",
     .sentence = "Whether G96 holds the surface speed and G97 ends it."},
    {.key = "speed_clamp", .kind = SW_FIELD_WORD, CONTROL(speed_clamp), .words = clamp_words,
     .fallback = "none", .sentence = "The word whose S sets the fastest speed under G96."},
    {.key = "dwell", .kind = SW_FIELD_WORD, CONTROL(dwell), .words = dwell_words,
     .fallback = "P-seconds", .sentence = "Which word of a G4 block says how long, and in what."},
    {.key = "tool_offsets", .kind = SW_FIELD_WORD, CONTROL(tool_offsets), .words = offset_words,
     .fallback = "by-system",
     .sentence = "How each tool gets its own zero: a coordinate system for each tool, an offset "
                 "that comes with the tool change, or none (one tool a program)."},
    {.key = "arcs", .kind = SW_FIELD_TRUTH, CONTROL(arcs), .fallback = "yes",
     .sentence = "Whether G2 and G3 arcs in the plane of X and Z are known."},
    {.key = "spindle_words", .kind = SW_FIELD_TRUTH, CONTROL(spindle_words), .fallback = "yes",
     .sentence = "Whether S, M3, M4 and M5 act on the spindle, or it is switched by hand."},
    {.key = "tool_words", .kind = SW_FIELD_TRUTH, CONTROL(tool_words), .fallback = "yes",
     .sentence = "Whether T and M6 act: they bring a tool, or stop until one has been put in."},
    {.key = "tool_call", .kind = SW_FIELD_WORD, CONTROL(tool_call), .words = call_words,
     .fallback = "T-M6",
     .sentence = "Whether T selects and M6 changes, or one word such as T0101 brings tool and "
                 "offset at once, or T and M6 bring the tool and a word such as D1 its offset (none "
                 "is in force until then)."},
    {.key = "incremental_u_w", .kind = SW_FIELD_TRUTH, CONTROL(incremental_u_w), .fallback = "no",
     .sentence = "Whether U and W are read as X and Z counted from where the tool is."},
    {.key = "threading", .kind = SW_FIELD_TRUTH, CONTROL(threading), .fallback = "no",
     .sentence = "Whether G33 cuts a thread, with its lead along Z as a K word."},
    {.key = "comments", .kind = SW_FIELD_TRUTH, CONTROL(comments), .fallback = "yes",
     .sentence = "Whether text in round brackets is read as a comment."},
    {.key = "parameters", .kind = SW_FIELD_TRUTH, CONTROL(parameters), .fallback = "yes",
     .sentence = "Whether # parameters and [ ] expressions are known."},
    {.key = "second_takes", .kind = SW_FIELD_INTEGER, CONTROL(second_takes), .least = 0,
     .most = 99,
     .sentence = "Number of the M word at which the second spindle comes up and takes the piece, "
                 "turning with it."},
    {.key = "second_leaves", .kind = SW_FIELD_INTEGER, CONTROL(second_leaves), .least = 0,
     .most = 99,
     .sentence = "Number of the M word at which it goes away with what is parted."},
    {.key = "line_length", .kind = SW_FIELD_INTEGER, CONTROL(line_length), .least = 20,
     .most = 4096, .fallback = "256", .sentence = "Most characters the control takes in one line."},
    {.key = "decimals", .kind = SW_FIELD_INTEGER, CONTROL(decimals), .least = 1, .most = 9,
     .fallback = "9", .sentence = "Most decimals the control takes in a coordinate."},
    {.key = "blend", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_LENGTH, CONTROL(blend),
     .least = 0, .most = 1, .fallback = "0",
     .sentence = "How far the path may leave a corner under G64; 0 when it never does."},
    {.key = "proved", .kind = SW_FIELD_TEXTS, CONTROL(proved),
     .sentence = "The keys of those facts above that an air cut has proved on this machine; the "
                 "sheet lists the others."},
};
const struct sw_table sw_control_table = {
    "control", "How this control reads a program; what is not written is read as the standard "
               "(NISTIR 6556) has it.",
    sizeof(struct sw_control), control_fields, sizeof control_fields / sizeof *control_fields};

#define MACHINE(member) .offset = offsetof(struct sw_machine, member)

static const struct sw_field machine_fields[] = {
    {.key = "name", .kind = SW_FIELD_TEXT, MACHINE(name), SW_NAME_RANGE, .is_required = true,
     .sentence = "What the workshop calls the machine."},
    {.key = "kind", .kind = SW_FIELD_WORD, MACHINE(kind), .words = kind_words, .fallback = "bench",
     .sentence = "Whether the tools move along the work or the work slides through a bush."},
    {.key = "travel_x", .kind = SW_FIELD_NUMBERS, .quantity = SW_QUANTITY_LENGTH, MACHINE(travel_x),
     .is_required = true, .least = -5000, .most = 5000,
     .sentence = "Least and most position of the cross slide in machine coordinates, as radius."},
    {.key = "travel_z", .kind = SW_FIELD_NUMBERS, .quantity = SW_QUANTITY_LENGTH, MACHINE(travel_z),
     .is_required = true, .least = -5000, .most = 5000,
     .sentence = "Least and most position of the long slide in machine coordinates."},
    {.key = "rapid", .kind = SW_FIELD_MAP, MACHINE(rapid), .is_required = true,
     .table = &rapid_table, .sentence = "How fast the slides go in rapid moves."},
    {.key = "acceleration", .kind = SW_FIELD_MAP, MACHINE(acceleration), .is_required = true,
     .table = &acceleration_table, .sentence = "How fast the slides gain speed."},
    {.key = "step", .kind = SW_FIELD_MAP, MACHINE(step), .is_required = true, .table = &step_table,
     .sentence = "The least increments the machine can move by."},
    {.key = "backlash", .kind = SW_FIELD_MAP, MACHINE(backlash), .is_required = true,
     .table = &backlash_table,
     .sentence = "Lost motion left over after all that the control makes good."},
    {.key = "repeatability", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_LENGTH,
     MACHINE(repeatability), .is_required = true, .least = 0.00001, .most = 1,
     .sentence = "How far positions scatter that are approached from one direction, as radius."},
    {.key = "compliance", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_COMPLIANCE,
     MACHINE(compliance), .is_required = true, .least = 0.0001, .most = 1000,
     .sentence = "How far spindle, holder seat and tool post together give way under a force "
                 "across the axis; no machine is rigid, so it must be measured or estimated."},
    {.key = "spindle", .kind = SW_FIELD_MAP, MACHINE(spindle), .is_required = true,
     .table = &spindle_table, .sentence = "What the spindle can do."},
    {.key = "bush", .kind = SW_FIELD_MAP, MACHINE(bush), .table = &bush_table,
     .sentence = "The guide bush, where the headstock slides."},
    {.key = "second_spindle", .kind = SW_FIELD_MAP, MACHINE(second_spindle),
     .table = &second_table,
     .sentence = "A second spindle, where there is one; the words that move it stand under "
                 "`control`."},
    {.key = "remnant", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_LENGTH, MACHINE(remnant),
     .least = 0, .most = 1000,
     .sentence = "What of a bar cannot be used up: the length that holder and bush keep at its "
                 "end. A batch whose bars say nothing of it reckons with this."},
    {.key = "change", .kind = SW_FIELD_WORD, MACHINE(change), .is_required = true,
     .words = change_words,
     .sentence = "How tools are changed: all stand on the slide, a turret turns, or a hand "
                 "does it."},
    {.key = "change_repeat", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_LENGTH,
     MACHINE(change_repeat), .is_required = true, .least = 0, .most = 1,
     .sentence = "How well a tool comes back to its place after a change, as radius."},
    {.key = "change_time", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_TIME,
     MACHINE(change_time), .least = 0, .most = 3600, .fallback = "5",
     .sentence = "How long a tool change takes."},
    {.key = "stations", .kind = SW_FIELD_LIST, MACHINE(stations), .is_required = true,
     .least = 1, .most = 99, .table = &station_table, .sentence = "The places for tools."},
    {.key = "control", .kind = SW_FIELD_MAP, MACHINE(control), .table = &sw_control_table,
     .sentence = "How this control reads a program, copied from its own manual."},
};
const struct sw_table sw_machine_table = {
    "machine/1", "A lathe: what it can do, and how its control reads a program.",
    sizeof(struct sw_machine), machine_fields, sizeof machine_fields / sizeof *machine_fields};

/* clang-format on */

const struct sw_station *sw_machine_station(const struct sw_machine *machine, int number)
{
    const struct sw_station *station = machine->stations.at;
    for (size_t i = 0; i < machine->stations.n; i++) {
        if ((int)lround(station[i].number.value) == number)
            return &station[i];
    }
    return NULL;
}

static double travel_span(const struct sw_list *travel)
{
    return travel->n == 2 ? sw_shop_number(travel, 1)->value - sw_shop_number(travel, 0)->value : 0;
}

static void check_travel(struct sw_sense *sense, const struct sw_list *travel, const char *key)
{
    if (!travel->given)
        return;
    if (travel->n != 2) {
        SW_FAULT(sense, "machine.travel", travel->span, "write [least, most]",
                 "`%s` has %zu numbers; two are wanted, the least and the most position", key,
                 travel->n);
        return;
    }
    if (travel_span(travel) <= 0)
        SW_FAULT(sense, "machine.travel", sw_shop_number(travel, 1)->at, "write the lesser first",
                 "`%s` ends at %g mm, which is not beyond its start at %g mm", key,
                 sw_shop_number(travel, 1)->value, sw_shop_number(travel, 0)->value);
}

static void check_spindle(struct sw_sense *sense, const struct sw_machine_spindle *spindle)
{
    if (sw_shop_is_written(&spindle->least_speed) && sw_shop_is_written(&spindle->most_speed) &&
        spindle->least_speed.value >= spindle->most_speed.value)
        SW_FAULT(sense, "machine.speeds", spindle->least_speed.at, NULL,
                 "`least_speed` is %g rev/min, which is not below `most_speed`, %g rev/min",
                 spindle->least_speed.value, spindle->most_speed.value);
    for (size_t i = 0; i < spindle->speeds.n; i++) {
        const struct sw_number *speed = sw_shop_number(&spindle->speeds, i);
        if (i > 0 && speed->value <= sw_shop_number(&spindle->speeds, i - 1)->value)
            SW_FAULT(sense, "machine.speeds", speed->at, "write each once, the slowest first",
                     "%g rev/min is not above the step before it", speed->value);
        if (speed->value < spindle->least_speed.value || speed->value > spindle->most_speed.value)
            SW_FAULT(sense, "machine.speeds", speed->at, NULL,
                     "%g rev/min is not between `least_speed` and `most_speed`, %g and %g rev/min",
                     speed->value, spindle->least_speed.value, spindle->most_speed.value);
    }
}

static bool is_same_place(const struct sw_axis_pair *a, const struct sw_axis_pair *b)
{
    return fabs(a->x.value - b->x.value) <= SW_TOL_POINT &&
           fabs(a->z.value - b->z.value) <= SW_TOL_POINT;
}

static void check_bush(struct sw_sense *sense, const struct sw_machine *machine)
{
    const bool is_sliding = machine->kind.value == SW_MACHINE_SLIDING;
    if (is_sliding && !machine->bush.land.given)
        SW_FAULT(sense, "machine.bush", machine->kind.at, "write `bush: {land: 3}` with its length",
                 "a sliding headstock feeds the bar out of a guide bush, and no `bush` says of "
                 "what land");
    if (!is_sliding && machine->bush.land.given)
        SW_FAULT(sense, "machine.bush", machine->bush.land.at, "write `kind: sliding`",
                 "only a sliding headstock has a guide bush");
}

/* All tools of a gang plate come to the work by moving the slide, so their spread must lie within
 * its travel. */
static void check_gang_spread(struct sw_sense *sense, const struct sw_machine *machine)
{
    const struct sw_station *station = machine->stations.at;
    const double x_span = travel_span(&machine->travel_x);
    const double z_span = travel_span(&machine->travel_z);
    for (size_t i = 1; i < machine->stations.n; i++) {
        for (size_t j = 0; j < i; j++) {
            const double dx = fabs(station[i].at.x.value - station[j].at.x.value);
            const double dz = fabs(station[i].at.z.value - station[j].at.z.value);
            if (x_span > 0 && dx > x_span)
                SW_FAULT(sense, "machine.spread", station[i].at.x.at, NULL,
                         "stations %g and %g stand %g mm apart in x, but `travel_x` is %g mm",
                         station[j].number.value, station[i].number.value, dx, x_span);
            if (z_span > 0 && dz > z_span)
                SW_FAULT(sense, "machine.spread", station[i].at.z.at, NULL,
                         "stations %g and %g stand %g mm apart in z, but `travel_z` is %g mm",
                         station[j].number.value, station[i].number.value, dz, z_span);
        }
    }
}

static void check_stations(struct sw_sense *sense, const struct sw_machine *machine)
{
    const struct sw_station *station = machine->stations.at;
    const bool is_gang = machine->change.value == SW_CHANGE_GANG;
    const bool is_one_place =
        machine->change.value == SW_CHANGE_TURRET || machine->change.value == SW_CHANGE_BY_HAND;
    for (size_t i = 0; i < machine->stations.n; i++) {
        if (!sw_shop_is_written(&station[i].number))
            continue;
        for (size_t j = 0; j < i; j++) {
            if (!sw_shop_is_written(&station[j].number))
                continue;
            if (lround(station[i].number.value) == lround(station[j].number.value)) {
                SW_FAULT(sense, "machine.station-twice", station[i].number.at, NULL,
                         "station %g is there twice, first in line %u", station[i].number.value,
                         (unsigned)station[j].number.at.line);
                break;
            }
            if (is_gang && is_same_place(&station[i].at, &station[j].at)) {
                SW_FAULT(sense, "machine.same-place", station[i].number.at,
                         "give each station its place with `at`",
                         "stations %g and %g stand in the same place on a gang plate",
                         station[j].number.value, station[i].number.value);
                break;
            }
        }
        if (is_one_place && i > 0 && !is_same_place(&station[i].at, &station[0].at))
            SW_FAULT(sense, "machine.one-place", station[i].number.at, NULL,
                     "station %g stands %g, %g mm off the first, but only a gang plate has tools "
                     "side by side",
                     station[i].number.value, station[i].at.x.value, station[i].at.z.value);
    }
    if (is_gang)
        check_gang_spread(sense, machine);
}

/* The M words that the standard has (NISTIR 6556, table 5) mean what they mean there. */
static bool is_standard_m(long number)
{
    return (number >= 0 && number <= 9) || number == 30 || number == 48 || number == 49 ||
           number == 60;
}

static void check_second_word(struct sw_sense *sense, const struct sw_number *word)
{
    if (word->given && is_standard_m(lround(word->value)))
        SW_FAULT(sense, "machine.second-word", word->at,
                 "take the number from the machine's manual",
                 "M%g is a word of the standard with a meaning of its own", word->value);
}

static void check_second(struct sw_sense *sense, const struct sw_machine *machine)
{
    const struct sw_machine_second *second = &machine->second_spindle;
    const struct sw_number *takes = &machine->control.second_takes;
    const struct sw_number *leaves = &machine->control.second_leaves;
    check_second_word(sense, takes);
    check_second_word(sense, leaves);
    if (takes->given != leaves->given)
        SW_FAULT(sense, "machine.second-word", takes->given ? takes->at : leaves->at,
                 "write `second_takes` and `second_leaves`",
                 "a second spindle that takes a piece has to leave with it: one word of the two "
                 "is missing");
    else if (takes->given && takes->value == leaves->value)
        SW_FAULT(sense, "machine.second-word", leaves->at, NULL,
                 "M%g cannot both bring the second spindle and send it away", leaves->value);
    if (takes->given && !second->grip.given)
        SW_FAULT(sense, "machine.second-spindle", takes->at,
                 "write `second_spindle` with its sizes, or take the words out",
                 "words move a second spindle that the machine does not have");
    if (!takes->given && second->grip.given)
        SW_FAULT(sense, "machine.second-spindle", second->grip.at,
                 "write `second_takes` and `second_leaves` under `control`",
                 "no word of the control moves the second spindle");
    if (second->least.given && second->most.given && second->least.value > second->most.value)
        SW_FAULT(sense, "machine.second-spindle", second->most.at, NULL,
                 "the second spindle takes from %g to %g mm, which is nothing", second->least.value,
                 second->most.value);
    if (second->grip.given && second->depth.given && second->depth.value < second->grip.value)
        SW_FAULT(sense, "machine.second-spindle", second->depth.at, NULL,
                 "a piece reaches %g mm into the second spindle at most, and is held by %g or more",
                 second->depth.value, second->grip.value);
}

static bool is_fact(const char *key)
{
    for (size_t i = 0; i < sw_control_table.n; i++) {
        if (strcmp(key, sw_control_table.field[i].key) == 0)
            return strcmp(key, "proved") != 0;
    }
    return false;
}

/* Choices count from 0 in the order of their words; -1: not readable, already reported. */
static void check_control(struct sw_sense *sense, const struct sw_machine *machine)
{
    const struct sw_control *control = &machine->control;
    if (control->feed_words.value == SW_FEED_G98_G99 && control->feed_per_turn.value == 0)
        SW_FAULT(sense, "machine.feed-words", control->feed_words.at,
                 "write `feed_per_turn: yes`, or `feed_words: G94/G95`",
                 "G98/G99 are feed words only where feed per turn is known");
    if (control->surface_speed.value == 1 && control->spindle_words.value == 0)
        SW_FAULT(
            sense, "machine.surface-speed", control->surface_speed.at, NULL,
            "a spindle that no word acts on cannot hold a surface speed: `spindle_words` is no");
    if (control->spindle_words.value == 1 && machine->spindle.speeds.n > 0)
        SW_FAULT(sense, "machine.speeds", machine->spindle.speeds.span,
                 "take `speeds` out, or write `spindle_words: no`",
                 "a spindle that words act on turns at any speed, and `speeds` gives it steps");
    if (control->surface_speed.value == 1 && control->speed_clamp.value == SW_CLAMP_NONE)
        SW_ODD(sense, "machine.no-clamp", control->surface_speed.at,
               "name the clamp word with `speed_clamp` if the control has one",
               "without a speed clamp G96 drives the spindle to its limit near the axis");
    if (control->tool_words.value == 0 && control->tool_offsets.value == SW_OFFSET_WITH_TOOL)
        SW_FAULT(sense, "machine.tool-offsets", control->tool_offsets.at,
                 "write `tool_offsets: by-system` or none, or `tool_words: yes`",
                 "offsets cannot come with the tool where T and M6 do not act");
    if (control->tool_call.value != SW_CALL_T_M6 &&
        control->tool_offsets.value != SW_OFFSET_WITH_TOOL)
        SW_FAULT(sense, "machine.tool-call", control->tool_call.at,
                 "write `tool_offsets: with-tool`, or `tool_call: T-M6`",
                 "a %c word that names an offset needs offsets that come with the tool",
                 control->tool_call.value == SW_CALL_THEN_D ? 'D' : 'T');
    if (control->tool_words.value == 0 && machine->change.value == SW_CHANGE_TURRET)
        SW_FAULT(sense, "machine.turret", control->tool_words.at,
                 "write `change: by-hand` if it is turned by hand",
                 "a turret is turned by T words, but `tool_words` is no");
    for (size_t i = 0; i < control->proved.n; i++) {
        const struct sw_text *proved = sw_shop_text(&control->proved, i);
        if (proved->value && !is_fact(proved->value))
            SW_FAULT(sense, "machine.proved", proved->at, "write keys of `control`",
                     "`%s` is no fact of the control that could be proved", proved->value);
    }
    if (!control->x.given)
        SW_ODD(sense, "machine.x-reading", machine->name.at,
               "write `x: radius` or `x: diameter` under control, from the machine's manual",
               "nothing says how the control reads X; radius is assumed");
}

enum sw_status sw_machine_load(struct sw_machine **out, const char *path, struct sw_ctx *ctx)
{
    struct sw_sense sense = {ctx, false};
    void *thing = NULL;
    SW_TRY(sw_shop_read_root(&thing, &sw_machine_table, path, &sense));
    struct sw_machine *machine = thing;
    check_travel(&sense, &machine->travel_x, "travel_x");
    check_travel(&sense, &machine->travel_z, "travel_z");
    check_spindle(&sense, &machine->spindle);
    check_bush(&sense, machine);
    check_second(&sense, machine);
    check_stations(&sense, machine);
    check_control(&sense, machine);
    SW_TRY(sw_shop_finish(&sense));
    *out = machine;
    return SW_OK;
}
