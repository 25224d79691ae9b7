/* spec_fixture: an invented table with every kind of field, for the tests of spec. */
#ifndef SW_TESTS_UNIT_SPEC_FIXTURE_H
#define SW_TESTS_UNIT_SPEC_FIXTURE_H

#include <math.h>
#include <string.h>

#include "spec/table.h"
#include "support/near.h"

struct rim {
    struct sw_number height;
    struct sw_number wall;
};

static const struct sw_field rim_field[] = {
    {SW_F_NUMBER(struct rim, height, LENGTH), SW_RANGE(0.01, 2), SW_REQUIRED,
     SW_MEANS("How high it stands.")},
    {SW_F_NUMBER(struct rim, wall, ANGLE), SW_RANGE(0, 90), SW_DEFAULT("40"),
     SW_MEANS("Slope of the wall.")},
};

static const struct sw_table rim_table = {
    .name = "rim", .sentence = "A rim.", .size = sizeof(struct rim), SW_FIELDS(rim_field)};

struct hole {
    struct sw_text name;
    struct sw_number diameter;
};

static const struct sw_field hole_field[] = {
    {SW_F_TEXT(struct hole, name), SW_MEANS("Its name.")},
    {SW_F_NUMBER(struct hole, diameter, LENGTH), SW_RANGE(0.02, 10), SW_REQUIRED,
     SW_MEANS("Bore.")},
};

static const struct sw_table hole_table = {
    .name = "hole", .sentence = "A hole.", .size = sizeof(struct hole), SW_FIELDS(hole_field)};

static const struct sw_table *const rim_or_hole[] = {&rim_table, &hole_table, NULL};
static const char *const length_words[] = {"free", "same", NULL};
static const char *const hand_words[] = {"left", "right", "neutral", NULL};

struct part {
    struct sw_text title;
    struct sw_number length;
    struct sw_number teeth;
    struct sw_number taper;
    struct sw_number speed;
    struct sw_choice hand;
    struct sw_choice polished;
    struct sw_band tolerance;
    struct sw_band tilt;
    struct rim rim;
    struct sw_list rims;
    struct sw_list holes;
    struct sw_list steps;
    struct sw_list notes;
    struct sw_list parts;
    const struct sw_node *other;
};

static const struct sw_field part_field[] = {
    {SW_F_TEXT(struct part, title), SW_REQUIRED, SW_MEANS("What it is called.")},
    {SW_F_NUMBER(struct part, length, LENGTH), SW_RANGE(0.02, 300), SW_REQUIRED,
     .words = length_words, SW_MEANS("Length along the axis.")},
    {SW_F_INTEGER(struct part, teeth), SW_RANGE(1, INFINITY), SW_DEFAULT("6"),
     SW_MEANS("Number of teeth.")},
    {SW_F_NUMBER(struct part, taper, RATIO), SW_MEANS("Taper on diameter.")},
    {SW_F_NUMBER(struct part, speed, SPEED), SW_RANGE(-INFINITY, 20000), SW_MEANS("Speed.")},
    {SW_F_WORD(struct part, hand, hand_words), SW_DEFAULT("right"), SW_MEANS("Hand.")},
    {SW_F_TRUTH(struct part, polished), SW_MEANS("Polished or not.")},
    {SW_F_BAND(struct part, tolerance, LENGTH), SW_DEFAULT("[-0.005, 0]"),
     SW_MEANS("Allowed deviation.")},
    {SW_F_BAND(struct part, tilt, ANGLE), SW_RANGE(-5, 5), SW_MEANS("Allowed tilt.")},
    {SW_F_MAP(struct part, rim, &rim_table), SW_MEANS("The rim.")},
    {SW_F_LIST(struct part, rims, &rim_table), SW_RANGE(1, 3), SW_MEANS("More rims.")},
    {SW_F_NAMED(struct part, holes, &hole_table), SW_MEANS("Holes by name.")},
    {SW_F_NUMBERS(struct part, steps, LENGTH), SW_RANGE(0, 9), SW_MEANS("Steps.")},
    {SW_F_TEXTS(struct part, notes), SW_MEANS("Notes.")},
    {SW_F_VARIANT(struct part, parts, rim_or_hole), SW_MEANS("Rims and holes in order.")},
    {SW_F_NODE(struct part, other), SW_MEANS("Anything.")},
};

static const struct sw_table part_table = {
    .name = "part/1", .sentence = "A part.", .size = sizeof(struct part), SW_FIELDS(part_field)};

/* A text that fills every field. */
static const char part_text[] = "format: part/1\n"
                                "title: Fenmoor 43\n"
                                "length: 4.3 thou\n"
                                "teeth: 15\n"
                                "taper: 1/100\n"
                                "speed: -300\n"
                                "hand: left\n"
                                "polished: yes\n"
                                "tolerance: 0.01\n"
                                "tilt: [-1, 0.02 rad]\n"
                                "rim: {height: 0.5, wall: 30 deg}\n"
                                "rims:\n"
                                "  - {height: 1}\n"
                                "  - height: 2\n"
                                "    wall: 90\n"
                                "holes:\n"
                                "  upper: {diameter: 0.12}\n"
                                "  lower one: {diameter: 12 hundredths}\n"
                                "steps: [1, 2.5, 3]\n"
                                "notes: [first, \"2\"]\n"
                                "parts:\n"
                                "  - rim: {height: 1.5}\n"
                                "  - hole: {name: x, diameter: 2}\n"
                                "other: {a: [1, 2]}\n";

static inline enum sw_status read_part(struct part *to, const char *text, struct sw_ctx *ctx)
{
    struct sw_node *root = NULL;
    SW_TRY(sw_node_parse(&root, "part.yaml", text, strlen(text), ctx));
    SW_TRY(sw_node_check_format(root, "part/1", ctx));
    return sw_table_read(to, &part_table, root, ctx);
}

#endif
