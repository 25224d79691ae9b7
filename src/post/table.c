#include "post/inside.h"

#include <string.h>

#include "spec/table.h"

const char *const sw_post_systems[] = {"G54", "G55",   "G56",   "G57",   "G58",
                                       "G59", "G59.1", "G59.2", "G59.3", NULL};

const char *const sw_post_needs[] = {"spindle-words",
                                     "tool-words",
                                     "parameters",
                                     "g20-g21",
                                     "g70-g71",
                                     "g94-g95",
                                     "g98-g99",
                                     "clamp-g50",
                                     "clamp-g92",
                                     "dwell-p-seconds",
                                     "dwell-p-milliseconds",
                                     "dwell-x-seconds",
                                     "dwell-u-seconds",
                                     "dwell-f-seconds",
                                     "tool-with-offset",
                                     "offset-by-d",
                                     "second-spindle",
                                     NULL};

static const char *const x_words[] = {"radius", "diameter", NULL};
static const char *const arc_words[] = {"centre", "radius", "none", NULL};
static const char *const feed_words[] = {"per-minute", "per-turn", NULL};
static const char *const spindle_words[] = {"words", "by-hand", NULL};
static const char *const tool_words[] = {"system-per-tool", "with-tool", "file-per-tool", NULL};

/* clang-format off */
static const struct sw_field decimals_field[] = {
    {SW_F_INTEGER(struct sw_post_decimals, x), SW_RANGE(2, 6), SW_DEFAULT("4"),
     SW_MEANS("Decimals of X numbers.")},
    {SW_F_INTEGER(struct sw_post_decimals, z), SW_RANGE(2, 6), SW_DEFAULT("4"),
     SW_MEANS("Decimals of Z numbers.")},
    {SW_F_INTEGER(struct sw_post_decimals, centre), SW_RANGE(2, 6), SW_DEFAULT("4"),
     SW_MEANS("Decimals of I, K and R numbers.")},
    {SW_F_INTEGER(struct sw_post_decimals, feed), SW_RANGE(0, 6), SW_DEFAULT("1"),
     SW_MEANS("Decimals of feeds.")},
    {SW_F_INTEGER(struct sw_post_decimals, speed), SW_RANGE(0, 3), SW_DEFAULT("0"),
     SW_MEANS("Decimals of speeds, rev/min and m/min.")},
    {SW_F_INTEGER(struct sw_post_decimals, seconds), SW_RANGE(0, 3), SW_DEFAULT("1"),
     SW_MEANS("Decimals of waits in seconds.")},
};
static const struct sw_table decimals_table = {
    .name = "decimals", SW_MEANS("How many digits stand behind the point."),
    .size = sizeof(struct sw_post_decimals), SW_FIELDS(decimals_field)};

static const struct sw_field numbers_field[] = {
    {SW_F_INTEGER(struct sw_post_numbers, from), SW_RANGE(0, 99999), SW_DEFAULT("10"),
     SW_MEANS("The first line number; numbering starts here again beyond 99999.")},
    {SW_F_INTEGER(struct sw_post_numbers, step), SW_RANGE(0, 1000), SW_DEFAULT("0"),
     SW_MEANS("From one numbered line to the next; 0: lines have no numbers.")},
};
static const struct sw_table numbers_table = {
    .name = "line_numbers", SW_MEANS("Whether blocks begin with N and a number."),
    .size = sizeof(struct sw_post_numbers), SW_FIELDS(numbers_field)};

static const struct sw_field comments_field[] = {
    {SW_F_TEXT(struct sw_post_comments, open), SW_DEFAULT("("),
     SW_MEANS("What opens a comment; empty: no comments and no messages are written.")},
    {SW_F_TEXT(struct sw_post_comments, close), SW_DEFAULT(")"),
     SW_MEANS("What closes it; may be empty.")},
    {SW_F_TEXT(struct sw_post_comments, message), SW_DEFAULT("MSG, "),
     SW_MEANS("What makes a comment a message to the operator.")},
};
static const struct sw_table comments_table = {
    .name = "comments", SW_MEANS("How words for people stand in a program."),
    .size = sizeof(struct sw_post_comments), SW_FIELDS(comments_field)};

static const struct sw_field words_field[] = {
    {SW_F_TEXT(struct sw_post_words, rapid), SW_DEFAULT("G0"), SW_MEANS("Rapid move.")},
    {SW_F_TEXT(struct sw_post_words, line), SW_DEFAULT("G1"), SW_MEANS("Straight feed move.")},
    {SW_F_TEXT(struct sw_post_words, arc_cw), SW_DEFAULT("G2"),
     SW_MEANS("Arc whose angle from +Z towards +X falls.")},
    {SW_F_TEXT(struct sw_post_words, arc_ccw), SW_DEFAULT("G3"),
     SW_MEANS("Arc whose angle from +Z towards +X grows.")},
    {SW_F_TEXT(struct sw_post_words, x), SW_DEFAULT("X"), SW_MEANS("Letter of X.")},
    {SW_F_TEXT(struct sw_post_words, z), SW_DEFAULT("Z"), SW_MEANS("Letter of Z.")},
    {SW_F_TEXT(struct sw_post_words, i), SW_DEFAULT("I"),
     SW_MEANS("Letter of the centre less the start, along X.")},
    {SW_F_TEXT(struct sw_post_words, k), SW_DEFAULT("K"),
     SW_MEANS("Letter of the centre less the start, along Z.")},
    {SW_F_TEXT(struct sw_post_words, r), SW_DEFAULT("R"), SW_MEANS("Letter of an arc's radius.")},
    {SW_F_TEXT(struct sw_post_words, feed), SW_DEFAULT("F"), SW_MEANS("Letter of the feed.")},
};
static const struct sw_table words_table = {
    .name = "words", SW_MEANS("Words and letters of motion blocks."),
    .size = sizeof(struct sw_post_words), SW_FIELDS(words_field)};

static const struct sw_field corrections_field[] = {
    {SW_F_TEXT(struct sw_post_corrections, called),
     SW_MEANS("How a correction is named to the operator; empty: the dialect has none.")},
    {SW_F_TEXT(struct sw_post_corrections, x), SW_DEFAULT("{x}"),
     SW_MEANS("An X number while a correction, given on radius, is on.")},
    {SW_F_INTEGER(struct sw_post_corrections, from), SW_RANGE(1, 5000), SW_DEFAULT("101"),
     SW_MEANS("Number of the parameter of the first correction.")},
    {SW_F_INTEGER(struct sw_post_corrections, most), SW_RANGE(1, 99), SW_DEFAULT("30"),
     SW_MEANS("How many corrections a program may have.")},
    {SW_F_TEXTS(struct sw_post_corrections, head),
     SW_MEANS("Lines that {corrections} writes for each correction.")},
    {SW_F_TEXTS(struct sw_post_corrections, on), SW_MEANS("Lines where a correction comes in.")},
    {SW_F_TEXTS(struct sw_post_corrections, off), SW_MEANS("Lines where it goes out.")},
};
static const struct sw_table corrections_table = {
    .name = "corrections",
    SW_MEANS("Numbers in the head of a program by which the operator corrects a diameter."),
    .size = sizeof(struct sw_post_corrections), SW_FIELDS(corrections_field)};

static const struct sw_field lines_field[] = {
    {SW_F_TEXTS(struct sw_post_lines, head), SW_REQUIRED,
     SW_MEANS("Beginning of a program: states everything the program relies on.")},
    {SW_F_TEXTS(struct sw_post_lines, tool_change),
     SW_MEANS("A tool comes into use; not used with one file a tool.")},
    {SW_F_TEXTS(struct sw_post_lines, section), SW_REQUIRED,
     SW_MEANS("An operation begins: a place to start again from.")},
    {SW_F_TEXTS(struct sw_post_lines, spindle_cw), SW_REQUIRED,
     SW_MEANS("Turn at a constant speed, sense of M3, and wait for it.")},
    {SW_F_TEXTS(struct sw_post_lines, spindle_ccw), SW_REQUIRED,
     SW_MEANS("Turn at a constant speed, sense of M4, and wait for it.")},
    {SW_F_TEXTS(struct sw_post_lines, surface_cw),
     SW_MEANS("Turn at a surface speed under a clamp, sense of M3.")},
    {SW_F_TEXTS(struct sw_post_lines, surface_ccw),
     SW_MEANS("Turn at a surface speed under a clamp, sense of M4.")},
    {SW_F_TEXTS(struct sw_post_lines, stop), SW_REQUIRED, SW_MEANS("Stop the spindle.")},
    {SW_F_TEXTS(struct sw_post_lines, dwell), SW_REQUIRED, SW_MEANS("Wait a while.")},
    {SW_F_TEXTS(struct sw_post_lines, pause), SW_REQUIRED,
     SW_MEANS("Tell the operator something and wait for him.")},
    {SW_F_TEXTS(struct sw_post_lines, second_takes),
     SW_MEANS("A second spindle comes up and takes the piece; none: the dialect has no word for it.")},
    {SW_F_TEXTS(struct sw_post_lines, second_leaves),
     SW_MEANS("It goes away with what is parted.")},
    {SW_F_TEXTS(struct sw_post_lines, tail), SW_REQUIRED, SW_MEANS("End of a program.")},
};
static const struct sw_table lines_table = {
    .name = "lines", SW_MEANS("The lines written at each event; {} marks what is filled in."),
    .size = sizeof(struct sw_post_lines), SW_FIELDS(lines_field)};

static const struct sw_field post_field[] = {
    {SW_F_TEXT(struct sw_post, says), SW_REQUIRED,
     SW_MEANS("One line about the dialect, shown by `list posts`; not inherited.")},
    {SW_F_TEXT(struct sw_post, extends),
     SW_MEANS("Another dialect that holds for every key not given here.")},
    {SW_F_TEXT(struct sw_post, suffix), SW_DEFAULT(".nc"), SW_MEANS("Suffix of program files.")},
    {SW_F_TEXT(struct sw_post, units), SW_DEFAULT("G21"),
     SW_MEANS("The word for millimetres: {units} in lines.")},
    {SW_F_WORD(struct sw_post, x, x_words), SW_REQUIRED,
     SW_MEANS("Whether X numbers are radius or diameter.")},
    {SW_F_WORD(struct sw_post, i, x_words), SW_DEFAULT("radius"),
     SW_MEANS("Whether I numbers are distances on radius or on diameter.")},
    {SW_F_WORD(struct sw_post, arcs, arc_words), SW_DEFAULT("centre"),
     SW_MEANS("Arcs by I and K, by R, or none at all.")},
    {SW_F_NUMBER(struct sw_post, sweep, ANGLE), SW_RANGE(10, 180), SW_DEFAULT("90"),
     SW_MEANS("Most sweep of one arc; longer ones are split. At most 165 by R.")},
    {SW_F_NUMBER(struct sw_post, chord_error, LENGTH), SW_RANGE(0, 0.01), SW_DEFAULT("0"),
     SW_MEANS("With arcs: none, how far chords may stand off an arc, before rounding, away from the "
              "axis; 0: paths with arcs are refused.")},
    {SW_F_WORD(struct sw_post, feed, feed_words), SW_REQUIRED,
     SW_MEANS("Whether feeds are mm/min or mm/rev.")},
    {SW_F_TRUTH(struct sw_post, surface_speed), SW_DEFAULT("no"),
     SW_MEANS("Whether speeds may be surface speeds; needs feeds per turn.")},
    {SW_F_WORD(struct sw_post, tools, tool_words), SW_REQUIRED,
     SW_MEANS("Where a tool's place comes from: a coordinate system of its own, the tool change, "
              "or a program file of its own.")},
    {SW_F_WORD(struct sw_post, spindle, spindle_words), SW_DEFAULT("words"),
     SW_MEANS("Whether words of the lines switch the spindle, or the operator does, at the stops "
              "that end the lines `spindle_cw`, `spindle_ccw` and `pause`.")},
    {SW_F_TEXTS(struct sw_post, systems), SW_RANGE(1, 9), SW_DEFAULT("[G54]"),
     SW_MEANS("Coordinate systems in the order of the stations; the first one alone unless each "
              "tool has its own.")},
    {SW_F_TEXTS(struct sw_post, needs),
     SW_MEANS("What the lines need a control to know: spindle-words, tool-words, parameters, "
              "g20-g21 or g70-g71, g94-g95 or g98-g99, clamp-g50 or clamp-g92, dwell-p-seconds, "
              "dwell-p-milliseconds, dwell-x-seconds, dwell-u-seconds or dwell-f-seconds, "
              "tool-with-offset or offset-by-d, second-spindle.")},
    {SW_F_TRUTH(struct sw_post, repeat_words), SW_DEFAULT("no"),
     SW_MEANS("Whether X, Z and feed stand in each block even when they have not changed.")},
    {SW_F_INTEGER(struct sw_post, line_length), SW_RANGE(40, 250), SW_DEFAULT("100"),
     SW_MEANS("Most characters of a line; comments are wrapped to it.")},
    {SW_F_MAP(struct sw_post, decimals, &decimals_table),
     SW_MEANS("How many digits stand behind the point.")},
    {SW_F_MAP(struct sw_post, line_numbers, &numbers_table),
     SW_MEANS("Whether blocks begin with N and a number.")},
    {SW_F_MAP(struct sw_post, comments, &comments_table),
     SW_MEANS("How words for people stand in a program.")},
    {SW_F_MAP(struct sw_post, words, &words_table),
     SW_MEANS("Words and letters of motion blocks.")},
    {SW_F_MAP(struct sw_post, corrections, &corrections_table),
     SW_MEANS("Numbers in the head of a program by which the operator corrects a diameter.")},
    {SW_F_MAP(struct sw_post, lines, &lines_table), SW_REQUIRED,
     SW_MEANS("The lines written at each event; {} marks what is filled in.")},
};
const struct sw_table sw_post_table = {
    .name = "post/1", SW_MEANS("A dialect: how programs for one kind of control are written."),
    .size = sizeof(struct sw_post), SW_FIELDS(post_field)};
/* clang-format on */

const struct sw_text *sw_post_item(const struct sw_list *list, size_t i)
{
    return (const struct sw_text *)list->at + i;
}

bool sw_post_states_need(const struct sw_post *post, const char *need)
{
    for (size_t i = 0; i < post->needs.n; i++)
        if (strcmp(sw_post_item(&post->needs, i)->value, need) == 0)
            return true;
    return false;
}
