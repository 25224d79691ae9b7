#include "unit/shop_faults.h"

static void faults_of_a_machine_are_named_at_their_place(void **state)
{
    (void)state;
    static const struct fault faults[] = {
        {MACHINE, MACHINE, "travel_x: [-60, 0]", "travel_x: [-60, 0, 5]",
         "lathe.yaml:3:11 error machine.travel: `travel_x` has 3 numbers; two are wanted, the "
         "least and the most position\n"},
        {MACHINE, MACHINE, "travel_x: [-60, 0]", "travel_x: [0, -60]",
         "lathe.yaml:3:15 error machine.travel: `travel_x` ends at -60 mm, which is not beyond "
         "its start at 0 mm\n"},
        {MACHINE, MACHINE, "compliance: 0.5\n", "",
         "lathe.yaml:1:1 error spec.missing-key: the key `compliance` of machine/1 is missing\n"},
        {MACHINE, MACHINE, "compliance: 0.5", "compliance: 0",
         "lathe.yaml:10:13 error spec.range: `compliance` is 0 um/N; allowed: 0.0001 to 1000 "
         "um/N\n"},
        {MACHINE, MACHINE, "name: trial lathe\n", "name: trial lathe\nkind: sliding\n",
         "lathe.yaml:3:7 error machine.bush: a sliding headstock feeds the bar out of a guide "
         "bush, and no `bush` says of what land\n"},
        {MACHINE, MACHINE, "change: gang\n", "bush: {land: 3}\nchange: gang\n",
         "lathe.yaml:12:14 error machine.bush: only a sliding headstock has a guide bush\n"},
        {MACHINE, MACHINE, "least_speed: 200", "least_speed: 9000",
         "lathe.yaml:11:24 error machine.speeds: `least_speed` is 9000 rev/min, which is not "
         "below `most_speed`, 8000 rev/min\n"},
        {MACHINE, MACHINE, "{number: 2, ", "{number: 1, ",
         "lathe.yaml:16:14 error machine.station-twice: station 1 is there twice, first in line "
         "15\n"},
        {MACHINE, MACHINE, "number: 2, at: {x: 20, z: -15}", "number: 2",
         "lathe.yaml:16:14 error machine.same-place: stations 1 and 2 stand in the same place "
         "on a gang plate\n"},
        {MACHINE, MACHINE, "x: 20, z: -15", "x: 70, z: -15",
         "lathe.yaml:16:25 error machine.spread: stations 1 and 2 stand 70 mm apart in x, but "
         "`travel_x` is 60 mm\n"},
        {MACHINE, MACHINE, "x: 20, z: -15", "x: 20, z: -85",
         "lathe.yaml:16:32 error machine.spread: stations 1 and 2 stand 85 mm apart in z, but "
         "`travel_z` is 80 mm\n"},
        {MACHINE, MACHINE, "change: gang", "change: by-hand",
         "lathe.yaml:16:14 error machine.one-place: station 2 stands 20, -15 mm off the first, "
         "but only a gang plate has tools side by side\n"},
        {MACHINE, MACHINE, "change: gang", "change: gangway",
         "lathe.yaml:12:9 error spec.word: `change` is `gangway`, which is not a known word\n"},
        {MACHINE, MACHINE,
         "  - {number: 1}\n"
         "  - {number: 2, at: {x: 20, z: -15}}\n",
         "  []\n",
         "lathe.yaml:14:1 error spec.range: `stations` has 0 entries; allowed: 1 to 99\n"},
        {MACHINE, MACHINE, "backlash: {x: 0.003, z: 0.003}", "backlash: {x: 0.003}",
         "lathe.yaml:8:1 error spec.missing-key: the key `z` of backlash is missing\n"},
    };
    CHECK_ALL(faults);
}

#define FROM_CHANGE                                                                                \
    "change: gang\n"                                                                               \
    "change_repeat: 0.001\n"                                                                       \
    "stations:\n"                                                                                  \
    "  - {number: 1}\n"                                                                            \
    "  - {number: 2, at: {x: 20, z: -15}}\n"                                                       \
    "control:\n"                                                                                   \
    "  x: radius\n"                                                                                \
    "  arcs: yes\n"
#define WITH_SECOND(sizes, takes, leaves)                                                          \
    "second_spindle: {grip: 0.3, " sizes ", nose_diameter: 3}\n" FROM_CHANGE                       \
    "  second_takes: " #takes "\n  second_leaves: " #leaves "\n"

static void contradicting_facts_of_a_control_are_faults(void **state)
{
    (void)state;
    static const struct fault faults[] = {
        {MACHINE, MACHINE, "arcs: yes", "feed_words: G98/G99",
         "lathe.yaml:19:15 error machine.feed-words: G98/G99 are feed words only where feed per "
         "turn is known\n"},
        {MACHINE, MACHINE, "arcs: yes",
         "feed_words: G98/G99\n"
         "  feed_per_turn: yes",
         ""},
        {MACHINE, MACHINE, "arcs: yes",
         "surface_speed: yes\n"
         "  spindle_words: no\n"
         "  speed_clamp: G50",
         "lathe.yaml:19:18 error machine.surface-speed: a spindle that no word acts on cannot "
         "hold a surface speed: `spindle_words` is no\n"},
        {MACHINE, MACHINE, "arcs: yes", "surface_speed: yes",
         "lathe.yaml:19:18 warning machine.no-clamp: without a speed clamp G96 drives the "
         "spindle to its limit near the axis\n"},
        {MACHINE, MACHINE, "arcs: yes",
         "tool_words: no\n"
         "  tool_offsets: with-tool",
         "lathe.yaml:20:17 error machine.tool-offsets: offsets cannot come with the tool where "
         "T and M6 do not act\n"},
        {MACHINE, MACHINE, "arcs: yes", "tool_offsets: none", ""},
        {MACHINE, MACHINE, "arcs: yes",
         "second_takes: 10\n"
         "  second_leaves: 11",
         "lathe.yaml:19:17 error machine.second-spindle: words move a second spindle that the "
         "machine does not have\n"},
        {MACHINE, MACHINE, "change: gang\n",
         "second_spindle: {grip: 0.3, least: 0.4, most: 2, depth: 5, nose_diameter: 3}\n"
         "change: gang\n",
         "lathe.yaml:12:24 error machine.second-spindle: no word of the control moves the second "
         "spindle\n"},
        {MACHINE, MACHINE, "arcs: yes", "second_takes: 10",
         "lathe.yaml:19:17 error machine.second-word: a second spindle that takes a piece has to "
         "leave with it: one word of the two is missing\n"
         "lathe.yaml:19:17 error machine.second-spindle: words move a second spindle that the "
         "machine does not have\n"},
        {MACHINE, MACHINE, FROM_CHANGE, WITH_SECOND("least: 0.4, most: 2, depth: 5", 10, 11), ""},
        {MACHINE, MACHINE, FROM_CHANGE, WITH_SECOND("least: 0.4, most: 2, depth: 5", 3, 3),
         "lathe.yaml:21:17 error machine.second-word: M3 is a word of the standard with a meaning "
         "of its own\n"
         "lathe.yaml:22:18 error machine.second-word: M3 is a word of the standard with a meaning "
         "of its own\n"
         "lathe.yaml:22:18 error machine.second-word: M3 cannot both bring the second spindle and "
         "send it away\n"},
        {MACHINE, MACHINE, FROM_CHANGE, WITH_SECOND("least: 2.4, most: 2, depth: 0.2", 10, 11),
         "lathe.yaml:12:47 error machine.second-spindle: the second spindle takes from 2.4 to 2 "
         "mm, which is nothing\n"
         "lathe.yaml:12:57 error machine.second-spindle: a piece reaches 0.2 mm into the second "
         "spindle at most, and is held by 0.3 or more\n"},
        {MACHINE, MACHINE, "arcs: yes", "proved: [x, arks]",
         "lathe.yaml:19:15 error machine.proved: `arks` is no fact of the control that could be "
         "proved\n"},
        {MACHINE, MACHINE, "arcs: yes", "proved: [proved]",
         "lathe.yaml:19:12 error machine.proved: `proved` is no fact of the control that could "
         "be proved\n"},
        {MACHINE, MACHINE,
         "control:\n"
         "  x: radius\n"
         "  arcs: yes\n",
         "",
         "lathe.yaml:2:7 warning machine.x-reading: nothing says how the control reads X; "
         "radius is assumed\n"},
        {MACHINE, MACHINE, "arcs: yes", "decimals: 4.5",
         "lathe.yaml:19:13 error spec.not-a-number: `decimals` is `4.5`; a whole number is "
         "wanted\n"},
    };
    CHECK_ALL(faults);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(faults_of_a_machine_are_named_at_their_place),
        cmocka_unit_test(contradicting_facts_of_a_control_are_faults),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
