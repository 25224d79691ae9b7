#include "setup/setup.h"

#include <string.h>

#define SIDE(member) offsetof(struct sw_setup_side, member)
#define STATION(member) offsetof(struct sw_setup_station, member)
#define SETUP(member) offsetof(struct sw_setup, member)

/* Nothing on a watchmaker's lathe stands further away than this [mm]; a larger figure is a slip
 * of the point or of the unit. */
#define FARTHEST 10000

static const char *const ends[] = {"upper", "lower", NULL};
static const char *const tips[] = {"none", "upper", "lower", NULL};

static const struct sw_field station_field[] = {
    {.key = "station",
     .kind = SW_FIELD_INTEGER,
     .offset = STATION(station),
     .is_required = true,
     .least = 1,
     .most = 99,
     .sentence = "The T number of the tool."},
    {.key = "tool",
     .kind = SW_FIELD_TEXT,
     .offset = STATION(tool),
     .is_required = true,
     .sentence = "The tool that stands there, by name or file."},
    {.key = "zero_x",
     .kind = SW_FIELD_NUMBER,
     .quantity = SW_QUANTITY_LENGTH,
     .offset = STATION(zero_x),
     .is_required = true,
     .least = -FARTHEST,
     .most = FARTHEST,
     .sentence = "Machine X, as a radius, at which the tool's point stands on the axis."},
    {.key = "zero_z",
     .kind = SW_FIELD_NUMBER,
     .quantity = SW_QUANTITY_LENGTH,
     .offset = STATION(zero_z),
     .is_required = true,
     .least = -FARTHEST,
     .most = FARTHEST,
     .sentence = "Machine Z at which the tool's point stands at the finished end face."},
    {.key = "system",
     .kind = SW_FIELD_INTEGER,
     .offset = STATION(system),
     .least = 0,
     .most = 9,
     .fallback = "0",
     .sentence = "Coordinate system 1 to 9 (G54 to G59.3) set to that position; 0 when the offset "
                 "comes with the tool or the tool is alone in its program."},
};

static const struct sw_table station_table = {
    .name = "station",
    .sentence = "One tool on the slide and where its zero is.",
    .size = sizeof(struct sw_setup_station),
    .field = station_field,
    .n = sizeof station_field / sizeof *station_field,
};

#define SWITCH(member) offsetof(struct sw_setup_switch, member)
static const char *const turns[] = {"stop", "M3", "M4", NULL};
static const struct sw_field switch_field[] = {
    {.key = "line",
     .kind = SW_FIELD_INTEGER,
     .offset = SWITCH(line),
     .least = 1,
     .most = 1 << 20,
     .sentence = "The line of the program in which it waits for that; absent: before the program "
                 "starts, and off and on again at each stop that no other entry names."},
    {.key = "turn",
     .kind = SW_FIELD_WORD,
     .offset = SWITCH(turn),
     .is_required = true,
     .words = turns,
     .sentence = "Stop it, or let it turn in the sense of M3 or M4, as the machine's stations have "
                 "it."},
    {.key = "speed",
     .kind = SW_FIELD_NUMBER,
     .quantity = SW_QUANTITY_SPEED,
     .offset = SWITCH(speed),
     .least = 1,
     .most = 200000,
     .sentence = "How fast it is set to turn; not with stop."},
};

static const struct sw_table switch_table = {
    .name = "switch",
    .sentence = "What a person does to a spindle that the program cannot switch.",
    .size = sizeof(struct sw_setup_switch),
    .field = switch_field,
    .n = sizeof switch_field / sizeof *switch_field,
};

#define PROGRAM(member) offsetof(struct sw_setup_program, member)
static const struct sw_field program_field[] = {
    {.key = "file",
     .kind = SW_FIELD_TEXT,
     .offset = PROGRAM(file),
     .is_required = true,
     .sentence = "The program's file, beside this record."},
    {.key = "tool",
     .kind = SW_FIELD_INTEGER,
     .offset = PROGRAM(tool),
     .least = 1,
     .most = 99,
     .sentence = "The station whose tool is put in before the program starts, where the program "
                 "does not bring it."},
    {.key = "spindle",
     .kind = SW_FIELD_LIST,
     .offset = PROGRAM(spindle),
     .table = &switch_table,
     .least = 1,
     .most = 1000,
     .sentence = "How the spindle is switched by hand, where the program does not do it."},
};

static const struct sw_table program_table = {
    .name = "program",
    .sentence = "One program text.",
    .size = sizeof(struct sw_setup_program),
    .field = program_field,
    .n = sizeof program_field / sizeof *program_field,
};

#define STAND(member) offsetof(struct sw_setup_stand, member)
static const struct sw_field stand_field[] = {
    {.key = "section",
     .kind = SW_FIELD_TEXT,
     .offset = STAND(section),
     .is_required = true,
     .sentence = "The section, by its name in the staff."},
    {.key = "diameter",
     .kind = SW_FIELD_NUMBER,
     .quantity = SW_QUANTITY_LENGTH,
     .offset = STAND(diameter),
     .is_required = true,
     .least = 0.01,
     .most = 50,
     .sentence = "How thick it stands where it is gauged."},
};

static const struct sw_table stand_table = {
    .name = "stand",
    .sentence = "A section that came out thicker than it should be turned.",
    .size = sizeof(struct sw_setup_stand),
    .field = stand_field,
    .n = sizeof stand_field / sizeof *stand_field,
};

#define PIECE(member) offsetof(struct sw_setup_piece, member)
static const struct sw_field piece_field[] = {
    {.key = "setup",
     .kind = SW_FIELD_TEXT,
     .offset = PIECE(setup),
     .is_required = true,
     .sentence = "The setup record of this piece made singly, as seen from this one."},
    {.key = "at_z",
     .kind = SW_FIELD_NUMBER,
     .quantity = SW_QUANTITY_LENGTH,
     .offset = PIECE(at_z),
     .least = -FARTHEST,
     .most = FARTHEST,
     .fallback = "0",
     .sentence = "Where its finished end face stands, measured from z = 0 of this side."},
};

static const struct sw_table piece_table = {
    .name = "piece",
    .sentence = "One piece of a run.",
    .size = sizeof(struct sw_setup_piece),
    .field = piece_field,
    .n = sizeof piece_field / sizeof *piece_field,
};

#define RUN(member) offsetof(struct sw_setup_run, member)
static const struct sw_field run_field[] = {
    {.key = "stop",
     .kind = SW_FIELD_INTEGER,
     .offset = RUN(stop),
     .is_required = true,
     .least = 1,
     .most = 99,
     .sentence = "Station of the stop: at a pause with it in use the bar is pushed against it."},
    {.key = "closing_loses",
     .kind = SW_FIELD_NUMBER,
     .quantity = SW_QUANTITY_LENGTH,
     .offset = RUN(closing_loses),
     .is_required = true,
     .least = 0,
     .most = 5,
     .sentence = "How far behind the stop's face the end may stand once the holder is closed."},
    {.key = "bar_length",
     .kind = SW_FIELD_NUMBER,
     .quantity = SW_QUANTITY_LENGTH,
     .offset = RUN(bar_length),
     .is_required = true,
     .least = 1,
     .most = FARTHEST,
     .sentence = "Length of the bar before the first piece."},
    {.key = "pieces",
     .kind = SW_FIELD_LIST,
     .offset = RUN(pieces),
     .table = &piece_table,
     .is_required = true,
     .least = 1,
     .most = 10000,
     .sentence = "The pieces in the order they are cut."},
};

static const struct sw_table run_table = {
    .name = "run",
    .sentence = "One piece after the other from a bar that is advanced to a stop before each.",
    .size = sizeof(struct sw_setup_run),
    .field = run_field,
    .n = sizeof run_field / sizeof *run_field,
};

#define SECOND(member) offsetof(struct sw_setup_second, member)
static const struct sw_field second_field[] = {
    {.key = "section",
     .kind = SW_FIELD_TEXT,
     .offset = SECOND(section),
     .is_required = true,
     .sentence = "What it takes the piece by: the name of a section of the staff."},
    {.key = "diameter",
     .kind = SW_FIELD_NUMBER,
     .quantity = SW_QUANTITY_LENGTH,
     .offset = SECOND(diameter),
     .is_required = true,
     .least = 0.01,
     .most = 50,
     .sentence = "The diameter it closes on."},
    {.key = "length",
     .kind = SW_FIELD_NUMBER,
     .quantity = SW_QUANTITY_LENGTH,
     .offset = SECOND(length),
     .is_required = true,
     .least = 0.01,
     .most = 1000,
     .sentence = "The length it grips, from its front face on."},
    {.key = "nose_z",
     .kind = SW_FIELD_NUMBER,
     .quantity = SW_QUANTITY_LENGTH,
     .offset = SECOND(nose_z),
     .is_required = true,
     .least = -FARTHEST,
     .most = FARTHEST,
     .sentence =
         "Where its front face stands while it holds, measured from the finished end face."},
};

static const struct sw_table second_table = {
    .name = "second",
    .sentence = "A second spindle that takes the piece before it is parted.",
    .size = sizeof(struct sw_setup_second),
    .field = second_field,
    .n = sizeof second_field / sizeof *second_field,
};

static const struct sw_field side_field[] = {
    {.key = "name",
     .kind = SW_FIELD_TEXT,
     .offset = SIDE(name),
     .is_required = true,
     .sentence = "What the sheet calls this chucking."},
    {.key = "programs",
     .kind = SW_FIELD_LIST,
     .offset = SIDE(programs),
     .is_required = true,
     .table = &program_table,
     .sentence = "The programs in the order they run."},
    {.key = "holder",
     .kind = SW_FIELD_TEXT,
     .offset = SIDE(holder),
     .is_required = true,
     .sentence = "The collet or chuck, by name or file."},
    {.key = "grips",
     .kind = SW_FIELD_TEXT,
     .offset = SIDE(grips),
     .is_required = true,
     .sentence = "What it grips: rod, or the name of a section of the staff."},
    {.key = "grip_diameter",
     .kind = SW_FIELD_NUMBER,
     .quantity = SW_QUANTITY_LENGTH,
     .offset = SIDE(grip_diameter),
     .is_required = true,
     .least = 0.01,
     .most = 50,
     .sentence = "The diameter it closes on."},
    {.key = "grip_length",
     .kind = SW_FIELD_NUMBER,
     .quantity = SW_QUANTITY_LENGTH,
     .offset = SIDE(grip_length),
     .is_required = true,
     .least = 0.01,
     .most = 1000,
     .sentence = "The length it grips."},
    {.key = "nose_z",
     .kind = SW_FIELD_NUMBER,
     .quantity = SW_QUANTITY_LENGTH,
     .offset = SIDE(nose_z),
     .is_required = true,
     .least = -FARTHEST,
     .most = 0,
     .sentence = "Where the holder's front face stands, measured from the finished end face; "
                 "negative, towards the headstock."},
    {.key = "end",
     .kind = SW_FIELD_WORD,
     .offset = SIDE(end),
     .is_required = true,
     .words = ends,
     .sentence = "The tip that points away from the headstock."},
    {.key = "rod_diameter",
     .kind = SW_FIELD_NUMBER,
     .quantity = SW_QUANTITY_LENGTH,
     .offset = SIDE(rod_diameter),
     .least = 0.01,
     .most = 50,
     .sentence = "The rod this side is cut from; absent when the work is what the side before "
                 "left, turned round."},
    {.key = "rod_end_z",
     .kind = SW_FIELD_NUMBER,
     .quantity = SW_QUANTITY_LENGTH,
     .offset = SIDE(rod_end_z),
     .least = -FARTHEST,
     .most = 1000,
     .sentence = "Where the rod's free end stands before the first cut."},
    {.key = "tail",
     .kind = SW_FIELD_NUMBER,
     .quantity = SW_QUANTITY_LENGTH,
     .offset = SIDE(tail),
     .least = 0,
     .most = FARTHEST,
     .fallback = "0",
     .sentence = "How much rod hangs out behind the spindle."},
    {.key = "stands",
     .kind = SW_FIELD_LIST,
     .offset = SIDE(stands),
     .table = &stand_table,
     .least = 1,
     .most = 100,
     .sentence =
         "Of a first side without a rod: the work is a piece that stands finished as turned, "
         "but for these sections."},
    {.key = "run",
     .kind = SW_FIELD_MAP,
     .offset = SIDE(run),
     .table = &run_table,
     .sentence = "Several pieces, one after the other from a bar."},
    {.key = "neck_z",
     .kind = SW_FIELD_NUMBER,
     .quantity = SW_QUANTITY_LENGTH,
     .offset = SIDE(neck_z),
     .least = -FARTHEST,
     .most = 1000,
     .sentence = "Where the piece is broken off by hand afterwards; absent when the program parts "
                 "it through."},
    {.key = "second",
     .kind = SW_FIELD_MAP,
     .offset = SIDE(second),
     .table = &second_table,
     .sentence = "What a second spindle takes the piece by before it is parted; absent when none "
                 "comes up."},
    {.key = "bush_z",
     .kind = SW_FIELD_NUMBER,
     .quantity = SW_QUANTITY_LENGTH,
     .offset = SIDE(bush_z),
     .least = -FARTHEST,
     .most = FARTHEST,
     .sentence = "Machine Z at which the finished end face is flush with the front face of the "
                 "guide bush; absent on a bench lathe."},
    {.key = "park_x",
     .kind = SW_FIELD_NUMBER,
     .quantity = SW_QUANTITY_LENGTH,
     .offset = SIDE(park_x),
     .is_required = true,
     .least = -FARTHEST,
     .most = FARTHEST,
     .sentence = "Machine X, as a radius, before the program starts."},
    {.key = "park_z",
     .kind = SW_FIELD_NUMBER,
     .quantity = SW_QUANTITY_LENGTH,
     .offset = SIDE(park_z),
     .is_required = true,
     .least = -FARTHEST,
     .most = FARTHEST,
     .sentence = "Machine Z before the program starts."},
    {.key = "stations",
     .kind = SW_FIELD_LIST,
     .offset = SIDE(stations),
     .is_required = true,
     .table = &station_table,
     .sentence = "Every tool that stands on the slide."},
};

static const struct sw_table side_table = {
    .name = "side",
    .sentence = "One way of holding the work, and all that is cut in it.",
    .size = sizeof(struct sw_setup_side),
    .field = side_field,
    .n = sizeof side_field / sizeof *side_field,
};

#define BLANK(member) offsetof(struct sw_setup_blank, member)
static const struct sw_field blank_field[] = {
    {.key = "staff",
     .kind = SW_FIELD_TEXT,
     .offset = BLANK(staff),
     .is_required = true,
     .sentence = "The staff file of the blank as it was turned soft, beside this record."},
    {.key = "material",
     .kind = SW_FIELD_TEXT,
     .offset = BLANK(material),
     .is_required = true,
     .sentence = "What it is now, hardened and tempered, by name."},
    {.key = "grown_least",
     .kind = SW_FIELD_NUMBER,
     .quantity = SW_QUANTITY_RATIO,
     .offset = BLANK(grown_least),
     .is_required = true,
     .least = -0.01,
     .most = 0.01,
     .sentence = "By what share of each size it is larger now, at least."},
    {.key = "grown_most",
     .kind = SW_FIELD_NUMBER,
     .quantity = SW_QUANTITY_RATIO,
     .offset = BLANK(grown_most),
     .is_required = true,
     .least = -0.01,
     .most = 0.01,
     .sentence = "And at most."},
};

static const struct sw_table blank_table = {
    .name = "blank",
    .sentence = "The piece that stands before the first side: turned soft, hardened since.",
    .size = sizeof(struct sw_setup_blank),
    .field = blank_field,
    .n = sizeof blank_field / sizeof *blank_field,
};

static const struct sw_field setup_field[] = {
    {.key = "staff",
     .kind = SW_FIELD_TEXT,
     .offset = SETUP(staff),
     .is_required = true,
     .sentence = "The staff file, beside this record."},
    {.key = "shop",
     .kind = SW_FIELD_TEXT,
     .offset = SETUP(shop),
     .is_required = true,
     .sentence = "The shop file, beside this record or in the profiles."},
    {.key = "stone",
     .kind = SW_FIELD_NUMBER,
     .quantity = SW_QUANTITY_LENGTH,
     .offset = SETUP(stone),
     .least = 0,
     .most = 1,
     .fallback = "0",
     .sentence = "What is left on the diameter of a stoned seat."},
    {.key = "burnish",
     .kind = SW_FIELD_NUMBER,
     .quantity = SW_QUANTITY_LENGTH,
     .offset = SETUP(burnish),
     .least = 0,
     .most = 1,
     .fallback = "0",
     .sentence = "What is left on the diameter of a burnished pivot."},
    {.key = "tip",
     .kind = SW_FIELD_NUMBER,
     .quantity = SW_QUANTITY_LENGTH,
     .offset = SETUP(tip),
     .least = 0,
     .most = 1,
     .fallback = "0",
     .sentence = "What is left on the length of each tip."},
    {.key = "upper_long",
     .kind = SW_FIELD_NUMBER,
     .quantity = SW_QUANTITY_LENGTH,
     .offset = SETUP(upper_long),
     .least = 0,
     .most = 10,
     .fallback = "0",
     .sentence = "What the upper tip is left longer beyond that."},
    {.key = "lower_long",
     .kind = SW_FIELD_NUMBER,
     .quantity = SW_QUANTITY_LENGTH,
     .offset = SETUP(lower_long),
     .least = 0,
     .most = 10,
     .fallback = "0",
     .sentence = "What the lower tip is left longer beyond that."},
    {.key = "tip_by_hand",
     .kind = SW_FIELD_WORD,
     .offset = SETUP(tip_by_hand),
     .words = tips,
     .fallback = "none",
     .sentence =
         "The tip that no program forms: the piece is broken off at the last side's neck_z, "
         "and what stands beyond the tip is taken off by hand."},
    {.key = "blank",
     .kind = SW_FIELD_MAP,
     .offset = SETUP(blank),
     .table = &blank_table,
     .sentence = "Of sides without a rod: the work is a blank that was turned soft and hardened."},
    {.key = "sides",
     .kind = SW_FIELD_LIST,
     .offset = SETUP(sides),
     .is_required = true,
     .table = &side_table,
     .sentence = "The ways of holding the work, in order."},
};

const struct sw_table sw_setup_table = {
    .name = "setup/1",
    .sentence = "What stands where on the machine before each program runs.",
    .size = sizeof(struct sw_setup),
    .field = setup_field,
    .n = sizeof setup_field / sizeof *setup_field,
};

static void fault(struct sw_ctx *ctx, bool *is_wrong, struct sw_span at, const char *hint,
                  const char *message)
{
    *is_wrong = true;
    sw_diag_add(ctx->diag, SW_ERROR, "setup.sense", at, hint, "%s", message);
}

static void check_stations(const struct sw_setup_side *side, bool *is_wrong, struct sw_ctx *ctx)
{
    const struct sw_setup_station *station = side->stations.at;
    if (side->stations.n == 0)
        fault(ctx, is_wrong, side->stations.span, "list the tools the programs of this side use",
              "this side has no station");
    for (size_t i = 0; i < side->stations.n; i++)
        for (size_t k = 0; k < i; k++) {
            if (station[i].station.value == station[k].station.value)
                fault(ctx, is_wrong, station[i].station.at, "each station holds one tool",
                      "this station stands in the list twice");
            if (station[i].system.value > 0 && station[i].system.value == station[k].system.value &&
                (station[i].zero_x.value != station[k].zero_x.value ||
                 station[i].zero_z.value != station[k].zero_z.value))
                fault(ctx, is_wrong, station[i].system.at, "give each tool a system of its own",
                      "two tools with different zeros share this coordinate system");
        }
}

static void check_switches(const struct sw_setup_program *program, bool *is_wrong,
                           struct sw_ctx *ctx)
{
    const struct sw_setup_switch *at = program->spindle.at;
    for (size_t i = 0; i < program->spindle.n; i++) {
        const bool is_on = at[i].turn.value != SW_SETUP_STOP;
        if (is_on && !at[i].speed.given)
            fault(ctx, is_wrong, at[i].turn.at, "write `speed: 4000`, in rev/min",
                  "the spindle is switched on here, and nothing says how fast");
        if (!is_on && at[i].speed.given)
            fault(ctx, is_wrong, at[i].speed.at, "take it out, or write `turn: M3`",
                  "a spindle that is stopped has no speed");
        for (size_t k = 0; k < i; k++)
            if (at[i].line.given == at[k].line.given && at[i].line.value == at[k].line.value)
                fault(ctx, is_wrong, at[i].line.given ? at[i].line.at : at[i].turn.at,
                      "write one entry a line", "the spindle is switched twice at one stop");
    }
}

static void check_run(const struct sw_setup *setup, const struct sw_setup_side *side,
                      bool *is_wrong, struct sw_ctx *ctx)
{
    const struct sw_setup_program *program = side->programs.at;
    if (!side->run.pieces.given)
        return;
    if (setup->sides.n > 1 || !side->rod_diameter.given || side->neck_z.given)
        fault(ctx, is_wrong, side->run.pieces.span, "one side, a rod, and no neck_z",
              "a run is one side cut from a bar, each piece parted through");
    for (size_t i = 0; i < side->programs.n; i++)
        if (program[i].spindle.given)
            fault(ctx, is_wrong, program[i].spindle.span, "make the pieces singly",
                  "the programs of a run switch the spindle themselves");
}

static void check_programs(const struct sw_setup_side *side, bool *is_wrong, struct sw_ctx *ctx)
{
    const struct sw_setup_program *program = side->programs.at;
    const struct sw_setup_station *station = side->stations.at;
    for (size_t i = 0; i < side->programs.n; i++) {
        bool is_there = !program[i].tool.given;
        for (size_t k = 0; k < side->stations.n; k++)
            is_there = is_there || station[k].station.value == program[i].tool.value;
        if (!is_there)
            fault(ctx, is_wrong, program[i].tool.at, "name one of this side's `stations`",
                  "this side has no such station");
        check_switches(&program[i], is_wrong, ctx);
    }
}

static void check_blank(const struct sw_setup *setup, bool *is_wrong, struct sw_ctx *ctx)
{
    const struct sw_setup_side *side = setup->sides.at;
    const struct sw_setup_blank *blank = &setup->blank;
    if (!sw_setup_has_blank(setup))
        return;
    if (blank->grown_least.value > blank->grown_most.value)
        fault(ctx, is_wrong, blank->grown_least.at, "the least first",
              "the least growth is larger than the most");
    for (size_t i = 0; i < setup->sides.n; i++) {
        if (side[i].rod_diameter.given)
            fault(ctx, is_wrong, side[i].rod_diameter.at, "take out one of them",
                  "a side of a blank has no rod to cut from");
    }
}

static enum sw_status check(const struct sw_setup *setup, struct sw_ctx *ctx)
{
    bool is_wrong = false;
    const struct sw_setup_side *side = setup->sides.at;
    if (setup->sides.n == 0)
        fault(ctx, &is_wrong, setup->sides.span, "list at least one side", "there is no side");
    for (size_t i = 0; i < setup->sides.n; i++) {
        const struct sw_setup_side *s = &side[i];
        if (i == 0 && !s->rod_diameter.given && !s->stands.given && !sw_setup_has_blank(setup))
            fault(ctx, &is_wrong, s->name.at,
                  "give rod_diameter and rod_end_z, what `stands` of a piece, or a `blank`",
                  "the first side has no rod to cut from");
        if (s->stands.given && (i > 0 || s->rod_diameter.given))
            fault(ctx, &is_wrong, s->stands.span, "take it out",
                  "only a first side without a rod begins with a piece that stands");
        if (s->rod_diameter.given && !s->rod_end_z.given)
            fault(ctx, &is_wrong, s->rod_diameter.at, "give rod_end_z, 0 or a little more",
                  "rod_diameter is given, but not where the rod ends");
        if (s->rod_end_z.given && s->rod_end_z.value <= s->nose_z.value)
            fault(ctx, &is_wrong, s->rod_end_z.at, "rod_end_z is larger than nose_z",
                  "the rod ends inside the holder");
        if (s->neck_z.given && s->neck_z.value <= s->nose_z.value)
            fault(ctx, &is_wrong, s->neck_z.at, "neck_z is larger than nose_z",
                  "the neck lies inside the holder");
        if (s->neck_z.given && s->second.section.given)
            fault(ctx, &is_wrong, s->second.section.at, "take out neck_z, or second",
                  "what a second spindle takes is parted through, not broken off at a neck");
        check_run(setup, s, &is_wrong, ctx);
        if (s->programs.n == 0)
            fault(ctx, &is_wrong, s->programs.span, "list its files in the order they run",
                  "this side has no program");
        check_stations(s, &is_wrong, ctx);
        check_programs(s, &is_wrong, ctx);
    }
    check_blank(setup, &is_wrong, ctx);
    const struct sw_setup_side *last = setup->sides.n > 0 ? &side[setup->sides.n - 1] : NULL;
    if (setup->tip_by_hand.value != SW_SETUP_NO_TIP && last && !last->neck_z.given)
        fault(ctx, &is_wrong, setup->tip_by_hand.at, "give the last side's neck_z, or take it out",
              "a tip is left for the hand, but no neck_z says where the piece is broken off");
    return is_wrong ? SW_INPUT : SW_OK;
}

static enum sw_status read_root(struct sw_setup **out, const char *file, struct sw_node *root,
                                struct sw_ctx *ctx)
{
    SW_TRY(sw_node_check_format(root, "setup/1", ctx));
    struct sw_setup *setup = SW_NEW(ctx->arena, struct sw_setup, 1);
    const char *name = sw_arena_copy(ctx->arena, file, strlen(file));
    if (setup == NULL || name == NULL)
        return SW_MEMORY;
    SW_TRY(sw_table_read(setup, &sw_setup_table, root, ctx));
    setup->file = name;
    SW_TRY(check(setup, ctx));
    *out = setup;
    return SW_OK;
}

enum sw_status sw_setup_load(struct sw_setup **out, const char *path, struct sw_ctx *ctx)
{
    struct sw_node *root = NULL;
    SW_TRY(sw_node_load(&root, path, ctx));
    return read_root(out, path, root, ctx);
}

enum sw_status sw_setup_parse(struct sw_setup **out, const char *name, const char *text,
                              size_t size, struct sw_ctx *ctx)
{
    struct sw_node *root = NULL;
    SW_TRY(sw_node_parse(&root, name, text, size, ctx));
    return read_root(out, name, root, ctx);
}
