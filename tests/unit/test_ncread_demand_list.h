/* What the report asks a reader to refuse, by number: the section of NISTIR 6556 and the demand in
 * a few words. 0 is not used. The rows of test_ncread_fault_table.h and test_ncread_demands.c name
 * a number and show it; what shows in no text here has its reason there. */
#ifndef SW_TESTS_NCREAD_DEMAND_LIST_H
#define SW_TESTS_NCREAD_DEMAND_LIST_H

struct demand {
    const char *section, *asks;
};

/* clang-format off */
static const struct demand demand_of[] = {
    {"", ""},
    /* file and line */
    {"3.1", "a first % line has a second one"},
    {"A.1", "no % line where the first line was none"},
    {"3.1", "without % lines there is an M2 or M30"},
    {"3.3", "a line has at most 256 characters"},
    {"3.3", "nothing stands on a line that is not expressly allowed"},
    {"3.3.1", "/ is the first character, N stands before all words"},
    {"3.3.1", "a line number is up to five digits without sign or point"},
    {"3.3.2", "a word is one of the letters of Table 3 with a value"},
    {"3.3.2.1", "a number has a digit"},
    {"5.1.2", "a value that is no number is a parameter, an expression or a known function"},
    {"3.3.2.1", "what has to be whole is within 0.0001 of it"},
    {"3.3.4", "a comment closes on its line"},
    {"3.3.4", "a comment holds no other"},
    {"3.3.2.3", "brackets pair, operands and operators take turns"},
    {"3.3.2.4", "ATAN has two arguments with / between"},
    {"E", "a function's argument stands in brackets"},
    /* parameters */
    {"3.3.2.2", "a parameter's number is whole, 1 to 5399"},
    {"3.3.3", "a setting has = and a value"},
    {"3.2.1", "a file of parameters has all that are required"},
    {"3.2.1", "a file of parameters goes up by number"},
    {"3.2.2", "#5220 is whole, 1 to 9"},
    /* repeats and groups */
    {"3.3.5", "one G word of a modal group"},
    {"3.3.5", "four M words at most"},
    {"3.3.5", "one M word of a modal group"},
    {"3.3.5", "any other letter once"},
    {"3.4", "axis words go to a motion or to a code of group 0, not to both"},
    {"3.5", "what a code needs is there"},
    {"3.4", "a G or M number exists"},
    {"A", "a word has a use on its line"},
    /* motion */
    {"3.5.1", "G0 has an axis word"},
    {"3.5.2", "G1 has an axis word"},
    {"3.5.3", "an arc has an axis word of its plane"},
    {"3.5.3.1", "an arc by radius does not end where it begins"},
    {"3.5.3.2", "an arc by centre has an offset of its plane"},
    {"3.5.3.2", "the radii of an arc differ by 0.002 mm or 0.0002 in at most"},
    {"3.5.15", "under G80 no axis words without a code that uses them"},
    {"3.5.12", "G53 goes with G0 or G1"},
    {"3.5.12", "no G53 under radius compensation"},
    /* dwell, origin, offsets */
    {"3.5.4", "a dwell has a time, zero or more"},
    {"3.5.5", "P of G10 L2 is whole, 1 to 9"},
    {"3.5.11", "H is whole, zero or more, and there is such an offset"},
    {"3.5.18", "G92 has an axis word"},
    {"3.5.13", "no change of system under radius compensation"},
    /* feed, speed, tool */
    {"3.5.19", "under G93 every cutting move has its own F"},
    {"3.7.2", "S is zero or more"},
    {"3.7.3", "T is zero or more"},
    {"3.7.3", "T is no more than there are slots"},
    /* the probe */
    {"3.5.9.1", "a probe starts away from its target"},
    {"3.5.9.1", "no probe under G93"},
    {"3.5.9.1", "no rotary axis moves with a probe"},
    {"3.5.9.1", "a probe has an axis word"},
    {"3.5.9.1", "a probe trips"},
    /* cycles */
    {"3.5.16", "a cycle has an axis word"},
    {"3.5.16", "a cycle's dwell has a time, zero or more"},
    {"3.5.16", "L is whole and above zero"},
    {"3.5.16", "no rotary axis moves with a cycle"},
    {"3.5.16", "no cycle under G93"},
    {"3.5.16", "no cycle under radius compensation"},
    {"3.5.16", "a cycle has its depth at first"},
    {"3.5.16", "the R level is not below the depth"},
    {"3.5.16.4", "a peck is deeper than zero"},
    {"3.5.16.5", "G84 needs a spindle turning clockwise"},
    {"3.5.16.7", "G86 needs a turning spindle"},
    /* radius compensation */
    {"B.5", "no change of offsets under compensation"},
    {"B.5", "no change of units under compensation"},
    {"B.5", "no probe under compensation"},
    {"B.5", "compensation is turned on in the XY plane"},
    {"B.5", "compensation is not turned on twice"},
    {"B.5", "no G28 or G30 under compensation"},
    {"B.5", "no G53 under compensation"},
    {"B.5", "no XZ plane under compensation"},
    {"B.5", "no YZ plane under compensation"},
    {"B.5", "no corner that the tool does not fit into"},
    {"B.5", "no gouge by the tool's first move"},
    {"B.5", "no D without G41 or G42"},
    {"B.5", "one D"},
    {"B.5", "D is zero or more"},
    {"B.5", "D is whole"},
    {"B.5", "there is such a D"},
    {"B.5", "no concave arc smaller than the tool"},
    {"B.6", "the first move can be joined on"},
    /* canonical calls */
    {"4.2.3", "arguments are of their type and range"},
    {"4.3.6.1", "an arc's radii are equal within a tolerance"},
    {"4.3.7.2", "a speed is within the machine's"},
    {"4.3", "the spindle starts at a speed within range"},
    {"4.3", "a tool slot exists"},
    {"4.3", "a coolant word needs the coolant"},
    {"4.3", "a feed is zero or more"},
    {"4.3", "a length offset is zero or more"},
    {"4.3", "no clamped axis moves"},
    {"4.3", "a probe is ready before it probes"},
    {"4.3.6.1", "an arc of no turn ends where it begins"},
    /* axes */
    {"5.2", "no word for an axis that the machine lacks"},
};
/* clang-format on */

enum { N_DEMANDS = sizeof demand_of / sizeof *demand_of - 1 };

#endif
