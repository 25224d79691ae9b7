#include "part/raw.h"

#include <math.h>

/* Ranges are those of the work: a bench lathe for watches and carriage clocks. They catch slips of
 * the pen (a missing point, inches for millimetres), not taste. */
#define LENGTH_RANGE SW_RANGE(0.005, 50)
#define DIAMETER_RANGE SW_RANGE(0.02, 20)
#define BREAK_RANGE SW_RANGE(0, 1)

static const char *const free_word[] = {"free", NULL};
static const char *const finishes[] = {"turned", "stoned", "burnished", NULL};
static const char *const tips[] = {"dome", "flat", NULL};
static const char *const cone_forms[] = {"tangent-arc", "radius", "straight", NULL};
static const char *const ends[] = {"hub", "upper", "lower", NULL};
static const char *const land_ends[] = {"upper", "lower", NULL};
static const char *const takers[] = {"nothing", "collet",        "balance",
                                     "roller",  "safety-roller", NULL};

#define NAME_FIELD                                                                                 \
    {                                                                                              \
        SW_F_TEXT(struct raw_section, name), SW_NAME_RANGE,                                        \
            SW_MEANS("What it is called in messages, tables and heights; made from its kind when " \
                     "not given.")                                                                 \
    }
#define LENGTH_FIELD                                                                               \
    {                                                                                              \
        SW_F_NUMBER(struct raw_section, length, LENGTH), LENGTH_RANGE, SW_REQUIRED,                \
            .words = free_word,                                                                    \
            SW_MEANS("Along the axis; `free` for the one section that closes its chain of "        \
                     "lengths.")                                                                   \
    }
#define LENGTH_TOLERANCE_FIELD                                                                     \
    {                                                                                              \
        SW_F_BAND(struct raw_section, length_tolerance, LENGTH), SW_RANGE(-1, 1),                  \
            SW_MEANS("Allowed deviation of the length; the staff's `tolerance: {length}` when "    \
                     "not given.")                                                                 \
    }
#define TOLERANCE_FIELD                                                                            \
    {                                                                                              \
        SW_F_BAND(struct raw_section, tolerance, LENGTH), SW_RANGE(-1, 1),                         \
            SW_MEANS("Allowed deviation of the diameter; the staff's `tolerance: {diameter}` "     \
                     "when not given.")                                                            \
    }
#define FINISH_FIELD                                                                               \
    {                                                                                              \
        SW_F_WORD(struct raw_section, finish, finishes),                                           \
            SW_MEANS("What is done after turning; the staff's `finish` when not given.")           \
    }
#define TAKE_FIELD                                                                                 \
    {                                                                                              \
        SW_F_NUMBER(struct raw_section, take, LENGTH), SW_RANGE(0, 0.2),                           \
            SW_MEANS("What the hand work takes off the diameter; the shop's value for the "        \
                     "finish when not given.")                                                     \
    }
#define CORNER_FIELD                                                                               \
    {                                                                                              \
        SW_F_NUMBER(struct raw_section, corner, LENGTH), BREAK_RANGE,                              \
            SW_MEANS("Largest fillet allowed in its inner corners; 0.02 where the balance or a "   \
                     "roller sits down, 0.03 elsewhere when not given.")                           \
    }
#define RELIEF_FIELD                                                                               \
    {                                                                                              \
        SW_F_MAP(struct raw_section, relief, &relief_table),                                       \
            SW_MEANS("A groove at its foot in place of a fillet, instead of `corner`.")            \
    }
#define EDGE_FIELD                                                                                 \
    {                                                                                              \
        SW_F_NUMBER(struct raw_section, edge, LENGTH), BREAK_RANGE, SW_DEFAULT("0.01"),            \
            SW_MEANS("Break of its outer edges, as a round of this radius; 0 leaves them sharp. "  \
                     "One that is not given is smaller where it does not fit.")                    \
    }
#define DIAMETER_FIELD(text)                                                                       \
    {                                                                                              \
        SW_F_NUMBER(struct raw_section, diameter, LENGTH), DIAMETER_RANGE, SW_REQUIRED,            \
            SW_MEANS(text)                                                                         \
    }

static const struct sw_field relief_fields[] = {
    {SW_F_NUMBER(struct raw_relief, width, LENGTH), SW_RANGE(0.005, 2), SW_REQUIRED,
     SW_MEANS("Along the axis from the shoulder, its flank included.")},
    {SW_F_NUMBER(struct raw_relief, depth, LENGTH), SW_RANGE(0.005, 2), SW_REQUIRED,
     SW_MEANS("How far its bottom lies below the finished surface at the shoulder.")},
    {SW_F_NUMBER(struct raw_relief, flank, ANGLE), SW_RANGE(0, 70), SW_DEFAULT("45"),
     SW_MEANS("Angle of its flank from square to the axis, opening outwards; 0 wants a blade.")},
    {SW_F_NUMBER(struct raw_relief, corner, LENGTH), BREAK_RANGE, SW_DEFAULT("0.02"),
     SW_MEANS("Largest fillet allowed in it; the groove has to be deeper than this.")},
};
static const struct sw_table relief_table = {
    .name = "relief",
    .sentence = "A groove at the foot of a section, where it meets a thicker one towards the hub, "
                "so that what goes on it sits flat against the shoulder.",
    .size = sizeof(struct raw_relief),
    SW_FIELDS(relief_fields),
};

static const struct sw_field pivot_fields[] = {
    NAME_FIELD,
    DIAMETER_FIELD("Diameter of the finished pivot."),
    TOLERANCE_FIELD,
    LENGTH_FIELD,
    LENGTH_TOLERANCE_FIELD,
    {SW_F_WORD(struct raw_section, tip, tips), SW_DEFAULT("dome"),
     SW_MEANS("Form of its end: `dome`, or `flat` with a rounded corner.")},
    {SW_F_NUMBER(struct raw_section, dome_height, LENGTH), SW_RANGE(0.001, 5),
     SW_MEANS("Height of the dome, part of the length; a fifth of the diameter when not given.")},
    {SW_F_NUMBER(struct raw_section, tip_corner, LENGTH), SW_RANGE(0.001, 5),
     SW_MEANS("Radius of a flat end's corner; a tenth of the diameter when not given.")},
    FINISH_FIELD,
    TAKE_FIELD,
    CORNER_FIELD,
};

static const struct sw_field cone_fields[] = {
    NAME_FIELD,
    {SW_F_NUMBER(struct raw_section, ridge, LENGTH), DIAMETER_RANGE, SW_REQUIRED,
     SW_MEANS("Diameter at the ridge, its thick end.")},
    TOLERANCE_FIELD,
    LENGTH_FIELD,
    LENGTH_TOLERANCE_FIELD,
    {SW_F_WORD(struct raw_section, form, cone_forms), SW_DEFAULT("tangent-arc"),
     SW_MEANS("One arc tangent to the pivot, an arc of a given radius, or straight.")},
    {SW_F_NUMBER(struct raw_section, radius, LENGTH), SW_RANGE(0.01, 1000),
     SW_MEANS("Radius of the arc of `form: radius`; it passes through both ends.")},
    CORNER_FIELD,
    {SW_F_NUMBER(struct raw_section, edge, LENGTH), BREAK_RANGE, SW_DEFAULT("0.005"),
     SW_MEANS("Break of the ridge, as a round of this radius; 0 leaves it sharp.")},
};

static const struct sw_field back_slope_fields[] = {
    NAME_FIELD,
    {SW_F_NUMBER(struct raw_section, root, LENGTH), DIAMETER_RANGE, SW_REQUIRED,
     SW_MEANS("Diameter at the shoulder, its thin end.")},
    TOLERANCE_FIELD,
    LENGTH_FIELD,
    LENGTH_TOLERANCE_FIELD,
    CORNER_FIELD,
    RELIEF_FIELD,
};

static const struct sw_field seat_fields[] = {
    NAME_FIELD,
    DIAMETER_FIELD("Diameter of the finished seat, at the end named by `at`."),
    TOLERANCE_FIELD,
    {SW_F_WORD(struct raw_section, at, ends), SW_DEFAULT("hub"),
     SW_MEANS("The end at which the diameter of a tapered seat counts.")},
    {SW_F_NUMBER(struct raw_section, taper, RATIO), SW_RANGE(-0.2, 0.2), SW_DEFAULT("0"),
     SW_MEANS("Change of diameter by length, like 1/100; thicker towards the hub, thinner when "
              "negative.")},
    LENGTH_FIELD,
    LENGTH_TOLERANCE_FIELD,
    {SW_F_NUMBER(struct raw_section, bevel, LENGTH), BREAK_RANGE, SW_DEFAULT("0"),
     SW_MEANS("A 45 degree bevel this wide at its end towards the nearer tip.")},
    CORNER_FIELD,
    RELIEF_FIELD,
    EDGE_FIELD,
    FINISH_FIELD,
    TAKE_FIELD,
    {SW_F_WORD(struct raw_section, takes, takers),
     SW_MEANS("The part that goes on it; guessed from the name when not given.")},
};

static const struct sw_field recess_fields[] = {
    {SW_F_NUMBER(struct raw_recess, lip, LENGTH), SW_RANGE(0.005, 2), SW_REQUIRED,
     SW_MEANS("Radial thickness of the lip at its face.")},
    {SW_F_NUMBER(struct raw_recess, depth, LENGTH), SW_RANGE(0.005, 5), SW_REQUIRED,
     SW_MEANS("Depth of the recess along the axis.")},
    {SW_F_NUMBER(struct raw_recess, wall, ANGLE), SW_RANGE(0, 70), SW_DEFAULT("25"),
     SW_MEANS("The lip's inner wall, as an angle from the axis.")},
};
static const struct sw_table recess_table = {
    .name = "recess",
    .sentence = "The recess in a rivet's face that leaves a lip to be folded over the balance arm.",
    .size = sizeof(struct raw_recess),
    SW_FIELDS(recess_fields),
};

static const struct sw_field rivet_fields[] = {
    NAME_FIELD,
    {SW_F_NUMBER(struct raw_section, height, LENGTH), LENGTH_RANGE, SW_REQUIRED,
     SW_MEANS("How far it stands above the balance arm; its diameter is that of its seat.")},
    TOLERANCE_FIELD,
    LENGTH_TOLERANCE_FIELD,
    {SW_F_MAP(struct raw_section, recess, &recess_table),
     SW_MEANS("The recess in its face, if it has one.")},
    CORNER_FIELD,
    EDGE_FIELD,
    FINISH_FIELD,
    TAKE_FIELD,
};

static const struct sw_field hub_fields[] = {
    NAME_FIELD,
    DIAMETER_FIELD("Largest diameter."),
    TOLERANCE_FIELD,
    LENGTH_FIELD,
    LENGTH_TOLERANCE_FIELD,
    {SW_F_NUMBER(struct raw_section, land, LENGTH), LENGTH_RANGE,
     SW_MEANS("Length of its cylinder when it has a conical underside.")},
    {SW_F_NUMBER(struct raw_section, underside, ANGLE), SW_RANGE(1, 85),
     SW_MEANS("Half-angle of its conical side from the axis; a plain cylinder when not given.")},
    {SW_F_WORD(struct raw_section, land_at, land_ends),
     SW_MEANS("The end with the cylinder; where the balance seat is when not given, otherwise "
              "upper.")},
    CORNER_FIELD,
    EDGE_FIELD,
    FINISH_FIELD,
    TAKE_FIELD,
};

static const struct sw_field cylinder_fields[] = {
    NAME_FIELD,
    DIAMETER_FIELD("Finished diameter."),
    TOLERANCE_FIELD,
    LENGTH_FIELD,
    LENGTH_TOLERANCE_FIELD,
    CORNER_FIELD,
    RELIEF_FIELD,
    EDGE_FIELD,
    FINISH_FIELD,
    TAKE_FIELD,
};

static const struct sw_field taper_fields[] = {
    NAME_FIELD,
    {SW_F_NUMBER(struct raw_section, upper_diameter, LENGTH), DIAMETER_RANGE, SW_REQUIRED,
     SW_MEANS("Finished diameter at its upper end.")},
    {SW_F_NUMBER(struct raw_section, lower_diameter, LENGTH), DIAMETER_RANGE, SW_REQUIRED,
     SW_MEANS("Finished diameter at its lower end.")},
    TOLERANCE_FIELD,
    LENGTH_FIELD,
    LENGTH_TOLERANCE_FIELD,
    CORNER_FIELD,
    RELIEF_FIELD,
    EDGE_FIELD,
    FINISH_FIELD,
    TAKE_FIELD,
};

static const struct sw_field groove_fields[] = {
    NAME_FIELD,
    {SW_F_NUMBER(struct raw_section, depth, LENGTH), SW_RANGE(0.001, 5), SW_REQUIRED,
     SW_MEANS("How far its bottom lies below the thinner neighbour's surface.")},
    {SW_F_NUMBER(struct raw_section, flank, ANGLE), SW_RANGE(0, 80), SW_DEFAULT("0"),
     SW_MEANS("Angle of its flanks from square to the axis, opening outwards.")},
    TOLERANCE_FIELD,
    LENGTH_FIELD,
    LENGTH_TOLERANCE_FIELD,
    CORNER_FIELD,
    EDGE_FIELD,
};

#define SECTION_TABLE(kind, key, text)                                                             \
    static const struct sw_table kind##_table = {.name = (key),                                    \
                                                 .sentence = (text),                               \
                                                 .size = sizeof(struct raw_section),               \
                                                 SW_FIELDS(kind##_fields)}

SECTION_TABLE(pivot, "pivot", "What runs in a jewel hole; the first and the last section.");
SECTION_TABLE(cone, "cone", "Blends a pivot into the ridge.");
SECTION_TABLE(back_slope, "back_slope",
              "Falls from the ridge to a root at the shoulder, so that oil is not drawn off.");
SECTION_TABLE(seat, "seat", "A cylinder or slow taper that a part fits on.");
SECTION_TABLE(rivet, "rivet", "The end of the balance seat that is spread over the balance arm.");
SECTION_TABLE(hub, "hub", "The widest section; the balance arm rests on its face.");
SECTION_TABLE(cylinder, "cylinder", "A plain cylinder that nothing fits on.");
SECTION_TABLE(taper, "taper", "A plain cone with a diameter at each end.");
SECTION_TABLE(groove, "groove", "A groove below its neighbours' surface.");

/* In the order of enum sw_section_kind. */
static const struct sw_table *const section_tables[] = {
    &pivot_table, &cone_table,     &back_slope_table, &seat_table,   &rivet_table,
    &hub_table,   &cylinder_table, &taper_table,      &groove_table, NULL};

static const struct sw_field tolerance_fields[] = {
    {SW_F_BAND(struct raw_tolerance, diameter, LENGTH), SW_RANGE(-1, 1), SW_DEFAULT("0.02"),
     SW_MEANS("Of every diameter that has none of its own.")},
    {SW_F_BAND(struct raw_tolerance, length, LENGTH), SW_RANGE(-1, 1), SW_DEFAULT("0.02"),
     SW_MEANS("Of every length that has none of its own.")},
};
static const struct sw_table tolerance_table = {
    .name = "tolerance",
    .sentence = "Allowed deviations where a section says none.",
    .size = sizeof(struct raw_tolerance),
    SW_FIELDS(tolerance_fields),
};

static const struct sw_field total_fields[] = {
    {SW_F_NUMBER(struct raw_total, length, LENGTH), SW_RANGE(0.5, 50), SW_REQUIRED,
     SW_MEANS("From tip to tip, domes included.")},
    {SW_F_BAND(struct raw_total, tolerance, LENGTH), SW_RANGE(-1, 1), SW_DEFAULT("0.01"),
     SW_MEANS("Allowed deviation of the total length.")},
};
static const struct sw_table total_table = {
    .name = "total",
    .sentence = "The length over all.",
    .size = sizeof(struct raw_total),
    SW_FIELDS(total_fields),
};

static const struct sw_field height_fields[] = {
    {SW_F_TEXT(struct raw_height, name),
     SW_MEANS("`hub face`, `roller shoulder`, or a section's name with `top` or `bottom`.")},
    {SW_F_NUMBER(struct raw_height, at, LENGTH), LENGTH_RANGE, SW_REQUIRED,
     SW_MEANS("Distance from the lower tip.")},
    {SW_F_BAND(struct raw_height, tolerance, LENGTH), SW_RANGE(-1, 1), SW_DEFAULT("0.01"),
     SW_MEANS("Allowed deviation of the height.")},
};
static const struct sw_table height_table = {
    .name = "height",
    .sentence = "A place along the axis that the movement fixes.",
    .size = sizeof(struct raw_height),
    SW_FIELDS(height_fields),
};

static const struct sw_field jewel_fields[] = {
    {SW_F_NUMBER(struct raw_jewel, hole, LENGTH), DIAMETER_RANGE, SW_REQUIRED,
     SW_MEANS("Diameter of the hole.")},
    {SW_F_NUMBER(struct raw_jewel, thickness, LENGTH), LENGTH_RANGE, SW_REQUIRED,
     SW_MEANS("Length of the hole.")},
};
static const struct sw_table jewel_table = {
    .name = "jewel",
    .sentence = "The hole jewel that a pivot runs in.",
    .size = sizeof(struct raw_jewel),
    SW_FIELDS(jewel_fields),
};

static const struct sw_field jewels_fields[] = {
    {SW_F_MAP(struct raw_jewels, upper, &jewel_table), SW_MEANS("Of the upper pivot.")},
    {SW_F_MAP(struct raw_jewels, lower, &jewel_table), SW_MEANS("Of the lower pivot.")},
    {SW_F_NUMBER(struct raw_jewels, between_endstones, LENGTH), LENGTH_RANGE,
     SW_MEANS("Distance between the faces of the endstones; the staff's end shake follows.")},
};
static const struct sw_table jewels_table = {
    .name = "jewels",
    .sentence = "The hole jewels, so that the fit of the pivots can be checked.",
    .size = sizeof(struct raw_jewels),
    SW_FIELDS(jewels_fields),
};

static const struct sw_field staff_fields[] = {
    {SW_F_TEXT(struct raw_staff, name), SW_NAME_RANGE, SW_REQUIRED,
     SW_MEANS("What the staff is called.")},
    {SW_F_TEXT(struct raw_staff, material), SW_REQUIRED,
     SW_MEANS("The material by name, as `list materials` shows them.")},
    {SW_F_TRUTH(struct raw_staff, blank), SW_DEFAULT("no"),
     SW_MEANS("Whether it is turned soft, to be hardened and finished afterwards, as `make` writes "
              "it for a job with `harden`; its sizes are then not held against the usual ones.")},
    {SW_F_MAP(struct raw_staff, tolerance, &tolerance_table),
     SW_MEANS("Allowed deviations where a section says none.")},
    {SW_F_WORD(struct raw_staff, finish, finishes), SW_DEFAULT("turned"),
     SW_MEANS("Finish of every pivot, seat, rivet, hub, cylinder and taper that has none of its "
              "own.")},
    {SW_F_MAP(struct raw_staff, total, &total_table), SW_REQUIRED,
     SW_MEANS("The length over all.")},
    {SW_F_NAMED(struct raw_staff, heights, &height_table), SW_RANGE(0, 20),
     SW_MEANS("Places that the movement fixes, from the lower tip.")},
    {SW_F_VARIANT(struct raw_staff, sections, section_tables), SW_RANGE(3, 60), SW_REQUIRED,
     SW_MEANS("The sections in order, from the upper tip to the lower tip.")},
    {SW_F_MAP(struct raw_staff, jewels, &jewels_table),
     SW_MEANS("The hole jewels, so that the fit of the pivots can be checked.")},
    {SW_F_MAP(struct raw_staff, parts, &sw_parts_table),
     SW_MEANS("The measured parts that the staff has to fit, as in a survey; `size` writes them.")},
};

const struct sw_table sw_staff_table = {
    .name = "staff/1",
    .sentence = "A balance staff as an ordered list of sections from the upper tip to the lower "
                "tip.",
    .size = sizeof(struct raw_staff),
    SW_FIELDS(staff_fields),
};
