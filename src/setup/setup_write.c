/* The record as a person at the lathe reads it: what to fit, what to measure, what to set. */
#include "setup/setup.h"

/* Places are kept to a hundredth of a micrometre: finer than any control's grid, coarse enough to
 * read. */
enum { PLACE_DECIMALS = 5 };

static const char *text_of(const struct sw_text *text)
{
    return text->value != NULL ? text->value : "";
}

static void write_length(struct sw_emit *emit, const char *key, const struct sw_number *number)
{
    sw_emit_number(emit, key, number->value, PLACE_DECIMALS);
}

static void write_station(struct sw_emit *emit, const struct sw_setup_station *station)
{
    sw_emit_item(emit);
    sw_emit_number(emit, "station", station->station.value, 0);
    sw_emit_text(emit, "tool", text_of(&station->tool));
    write_length(emit, "zero_x", &station->zero_x);
    write_length(emit, "zero_z", &station->zero_z);
    sw_emit_number(emit, "system", station->system.value, 0);
    sw_emit_close(emit);
}

static void write_run(struct sw_emit *emit, const struct sw_setup_run *run)
{
    sw_emit_comment(emit, "At each pause with this station in use the holder is opened, the bar "
                          "pushed against");
    sw_emit_comment(emit, "the stop's face, and the holder closed: its end then stands up to "
                          "closing_loses behind the face.");
    sw_emit_open(emit, "run");
    sw_emit_number(emit, "stop", run->stop.value, 0);
    write_length(emit, "closing_loses", &run->closing_loses);
    write_length(emit, "bar_length", &run->bar_length);
    sw_emit_comment(emit, "Pieces in the order they are cut; at_z: where the finished end face of "
                          "each stands.");
    sw_emit_open(emit, "pieces");
    const struct sw_setup_piece *piece = run->pieces.at;
    for (size_t i = 0; i < run->pieces.n; i++) {
        sw_emit_item(emit);
        sw_emit_text(emit, "setup", text_of(&piece[i].setup));
        write_length(emit, "at_z", &piece[i].at_z);
        sw_emit_close(emit);
    }
    sw_emit_close(emit);
    sw_emit_close(emit);
}

static void write_work(struct sw_emit *emit, const struct sw_setup *setup,
                       const struct sw_setup_side *side)
{
    if (side->rod_diameter.given) {
        sw_emit_comment(emit, "Cut from the rod; it reaches this far out before the first cut.");
        write_length(emit, "rod_diameter", &side->rod_diameter);
        write_length(emit, "rod_end_z", &side->rod_end_z);
        sw_emit_comment(emit, "Rod hanging free behind the spindle: support it or cut it short.");
        write_length(emit, "tail", &side->tail);
    } else if (side->stands.given) {
        sw_emit_comment(emit, "The work is a piece that stands finished as turned, but for these "
                              "diameters.");
        const struct sw_setup_stand *stand = side->stands.at;
        sw_emit_open(emit, "stands");
        for (size_t i = 0; i < side->stands.n; i++) {
            sw_emit_item(emit);
            sw_emit_text(emit, "section", text_of(&stand[i].section));
            write_length(emit, "diameter", &stand[i].diameter);
            sw_emit_close(emit);
        }
        sw_emit_close(emit);
    } else if (sw_setup_has_blank(setup) && side == setup->sides.at) {
        sw_emit_comment(emit, "The work is the hardened blank.");
    } else {
        sw_emit_comment(emit, "The work is the piece of the side before, turned round.");
    }
    if (side->run.pieces.given)
        write_run(emit, &side->run);
    if (side->neck_z.given) {
        sw_emit_comment(emit, "The piece is broken off here by hand afterwards.");
        write_length(emit, "neck_z", &side->neck_z);
    }
    if (side->second.section.given) {
        sw_emit_comment(emit, "The second spindle takes the piece by this before it is parted; its "
                              "front face");
        sw_emit_comment(emit, "then stands at nose_z.");
        sw_emit_open(emit, "second");
        sw_emit_text(emit, "section", text_of(&side->second.section));
        write_length(emit, "diameter", &side->second.diameter);
        write_length(emit, "length", &side->second.length);
        write_length(emit, "nose_z", &side->second.nose_z);
        sw_emit_close(emit);
    }
    if (side->bush_z.given) {
        sw_emit_comment(emit, "Machine Z at which the finished end face is flush with the front "
                              "face of");
        sw_emit_comment(emit, "the guide bush.");
        write_length(emit, "bush_z", &side->bush_z);
    }
}

static void write_switches(struct sw_emit *emit, const struct sw_setup_program *program)
{
    static const char *const turn[] = {
        [SW_SETUP_STOP] = "stop", [SW_SETUP_M3] = "M3", [SW_SETUP_M4] = "M4"};
    if (program->spindle.n == 0)
        return;
    sw_emit_comment(emit, "Spindle by hand: in these lines the program waits for it.");
    sw_emit_open(emit, "spindle");
    const struct sw_setup_switch *at = program->spindle.at;
    for (size_t i = 0; i < program->spindle.n; i++) {
        sw_emit_item(emit);
        if (at[i].line.given)
            sw_emit_number(emit, "line", at[i].line.value, 0);
        sw_emit_text(emit, "turn", turn[at[i].turn.value]);
        if (at[i].speed.given)
            sw_emit_number(emit, "speed", at[i].speed.value, 3);
        sw_emit_close(emit);
    }
    sw_emit_close(emit);
}

static void write_side(struct sw_emit *emit, const struct sw_setup *setup,
                       const struct sw_setup_side *side)
{
    sw_emit_item(emit);
    sw_emit_text(emit, "name", text_of(&side->name));
    sw_emit_comment(emit, "Programs in the order they run.");
    sw_emit_open(emit, "programs");
    const struct sw_setup_program *program = side->programs.at;
    for (size_t i = 0; i < side->programs.n; i++) {
        sw_emit_item(emit);
        sw_emit_text(emit, "file", text_of(&program[i].file));
        if (program[i].tool.given)
            sw_emit_number(emit, "tool", program[i].tool.value, 0);
        write_switches(emit, &program[i]);
        sw_emit_close(emit);
    }
    sw_emit_close(emit);
    sw_emit_comment(emit, "How the work is held. z = 0 is the finished end face of this side and "
                          "grows");
    sw_emit_comment(emit, "away from the headstock, so the nose of the holder is negative.");
    sw_emit_text(emit, "holder", text_of(&side->holder));
    sw_emit_text(emit, "grips", text_of(&side->grips));
    write_length(emit, "grip_diameter", &side->grip_diameter);
    write_length(emit, "grip_length", &side->grip_length);
    write_length(emit, "nose_z", &side->nose_z);
    sw_emit_comment(emit, "The tip that points away from the headstock.");
    sw_emit_text(emit, "end", side->end.value == 1 ? "lower" : "upper");
    write_work(emit, setup, side);
    sw_emit_comment(emit, "Machine position before the program starts, X as a radius.");
    write_length(emit, "park_x", &side->park_x);
    write_length(emit, "park_z", &side->park_z);
    sw_emit_comment(emit, "Every tool on the slide. zero_x and zero_z: the machine position at "
                          "which the");
    sw_emit_comment(emit, "point its numbers mean stands on the axis at z = 0, as zeroing finds "
                          "it.");
    sw_emit_comment(emit, "system: the coordinate system set to it, 1 = G54; 0 when none is.");
    sw_emit_open(emit, "stations");
    const struct sw_setup_station *station = side->stations.at;
    for (size_t i = 0; i < side->stations.n; i++)
        write_station(emit, &station[i]);
    sw_emit_close(emit);
    sw_emit_close(emit);
}

static void write_blank(struct sw_emit *emit, const struct sw_setup *setup)
{
    enum { SHARE_DECIMALS = 7 };
    const struct sw_setup_blank *blank = &setup->blank;
    const struct sw_setup_side *first = setup->sides.at;
    if (setup->sides.n > 0 && first->stands.given) {
        sw_emit_comment(emit, "The piece was turned soft and hardened: its material now.");
    } else {
        sw_emit_comment(emit, "What the first side begins with: turned soft, hardened and tempered "
                              "since, and");
        sw_emit_comment(emit, "larger by a share of each size that lies between these.");
    }
    sw_emit_open(emit, "blank");
    sw_emit_text(emit, "staff", text_of(&blank->staff));
    sw_emit_text(emit, "material", text_of(&blank->material));
    sw_emit_number(emit, "grown_least", blank->grown_least.value, SHARE_DECIMALS);
    sw_emit_number(emit, "grown_most", blank->grown_most.value, SHARE_DECIMALS);
    sw_emit_close(emit);
}

void sw_setup_write(const struct sw_setup *setup, struct sw_buf *out)
{
    struct sw_emit emit = {.out = out};
    sw_emit_comment(&emit, "What stands where on the machine before each program runs.");
    sw_emit_comment(&emit, "Check every line against the lathe: the dry run believes this page.");
    sw_emit_comment(&emit, "Lengths in mm; X and r are radii.");
    sw_emit_text(&emit, "format", "setup/1");
    sw_emit_text(&emit, "staff", text_of(&setup->staff));
    sw_emit_text(&emit, "shop", text_of(&setup->shop));
    sw_emit_comment(&emit, "What turning leaves for hand work: stone and burnisher on the "
                           "diameter, tips on");
    sw_emit_comment(&emit, "length.");
    write_length(&emit, "stone", &setup->stone);
    write_length(&emit, "burnish", &setup->burnish);
    write_length(&emit, "tip", &setup->tip);
    write_length(&emit, "upper_long", &setup->upper_long);
    write_length(&emit, "lower_long", &setup->lower_long);
    if (setup->tip_by_hand.value != SW_SETUP_NO_TIP)
        sw_emit_text(&emit, "tip_by_hand",
                     setup->tip_by_hand.value == SW_SETUP_UPPER_TIP ? "upper" : "lower");
    if (sw_setup_has_blank(setup))
        write_blank(&emit, setup);
    sw_emit_open(&emit, "sides");
    const struct sw_setup_side *side = setup->sides.at;
    for (size_t i = 0; i < setup->sides.n; i++)
        write_side(&emit, setup, &side[i]);
    sw_emit_close(&emit);
}
