/* What may stand together on a line: modal groups and repeats (3.3.5, 3.4), exclusions, words
 * without use, and the values that are wrong whatever the state of the machine. */
#include "ncread/ncread_int.h"

#include <math.h>

#define AXES (NC_BIT('X') | NC_BIT('Z') | NC_BIT('U') | NC_BIT('W'))

static const char spindle_by_hand[] =
    "; it is switched by hand: write a stop (M0), and what is done "
    "there under `programs:` `spindle:` of the setup record";
static const char one_tool[] =
    "; write one program a tool, and which one under `programs:` `tool:` "
    "of the setup record";

/* A G number no table row of this control stands for. */
static enum sw_status unknown_g(struct nc_reader *r, int code, struct nc_piece at)
{
    const struct nc_name name = sw_nc_name_of_g(code);
    const struct nc_code *kept_out = sw_nc_g_kept_out(code);
    if (kept_out)
        return sw_nc_fault(r, at, sw_nc_fact_code(kept_out->fact), NULL,
                           "%s is %s; this control does not declare it (control: %s)", name.text,
                           kept_out->meaning, sw_nc_fact_key(kept_out->fact));
    const struct nc_absent *elsewhere = sw_nc_g_elsewhere(code);
    if (elsewhere)
        return sw_nc_fault(r, at, elsewhere->fault, NULL, "%s is %s", name.text,
                           elsewhere->meaning);
    return sw_nc_fault(r, at, "block.g-unknown", NULL, "%s is no code of the standard", name.text);
}

static enum sw_status add_g(struct nc_reader *r, const struct nc_word *word)
{
    struct nc_block *b = &r->block;
    const double times_ten = word->value * 10;
    if (!(times_ten > -NC_WHOLE_SLACK && times_ten < NC_G_CODES - NC_WHOLE_SLACK))
        return sw_nc_fault(r, word->at, "block.g-range", NULL,
                           "G codes run from G0 to G99.9, not %g", word->value);
    const int code = (int)(times_ten + 0.5);
    if (fabs(times_ten - code) > NC_WHOLE_SLACK)
        return sw_nc_fault(r, word->at, "block.g-whole", NULL,
                           "a G code has at most one decimal, %g has more", word->value);
    const enum nc_g g = (enum nc_g)r->facts.g_row[code];
    if (g == NC_G_NONE)
        return unknown_g(r, code, word->at);
    const int group = sw_nc_g_code(g)->group;
    if (b->g_groups & (1u << group)) {
        const enum nc_g before = b->g[group];
        if (before == g)
            return sw_nc_fault(r, word->at, "block.g-twice", NULL, "%s stands twice on the line",
                               sw_nc_g_name(g).text);
        return sw_nc_fault(r, word->at, "block.g-group", NULL,
                           "%s and %s both choose %s; a line has one of them",
                           sw_nc_g_name(before).text, sw_nc_g_name(g).text,
                           sw_nc_g_group_name((enum nc_g_group)group));
    }
    b->g_groups |= 1u << group;
    b->g[group] = g;
    b->g_at[group] = word->at;
    return SW_OK;
}

/* Where there is a way without the word, what it is. */
static const char *way_without(enum nc_fact fact)
{
    return fact == NC_FACT_SPINDLE ? spindle_by_hand : fact == NC_FACT_TOOL ? one_tool : "";
}

static enum sw_status unknown_m(struct nc_reader *r, int code, struct nc_piece at)
{
    const struct nc_code *kept_out = sw_nc_m_kept_out(code);
    if (kept_out)
        return sw_nc_fault(r, at, sw_nc_fact_code(kept_out->fact), NULL,
                           "M%d is %s; this control does not declare it (control: %s)%s", code,
                           kept_out->meaning, sw_nc_fact_key(kept_out->fact),
                           way_without(kept_out->fact));
    const struct nc_absent *elsewhere = sw_nc_m_elsewhere(code);
    if (elsewhere)
        return sw_nc_fault(r, at, elsewhere->fault, NULL, "M%d is %s", code, elsewhere->meaning);
    return sw_nc_fault(r, at, "block.m-unknown", NULL, "M%d is no code of the standard", code);
}

static enum sw_status add_m(struct nc_reader *r, const struct nc_word *word)
{
    struct nc_block *b = &r->block;
    int code;
    if (!sw_nc_whole(word->value, &code))
        return sw_nc_fault(r, word->at, "block.m-whole", NULL,
                           "an M code is a whole number, %g is not", word->value);
    if (code < 0 || code >= NC_M_CODES)
        return sw_nc_fault(r, word->at, "block.m-range", NULL, "M codes run from M0 to M99, not %d",
                           code);
    const enum nc_m m = (enum nc_m)r->facts.m_row[code];
    if (m == NC_M_NONE)
        return unknown_m(r, code, word->at);
    if (++b->n_m > NC_M_WORDS_MOST)
        return sw_nc_fault(r, word->at, "block.m-most", NULL, "a line has at most %d M words",
                           (int)NC_M_WORDS_MOST);
    const int group = sw_nc_m_code(m)->group;
    if (b->m_groups & (1u << group)) {
        const enum nc_m before = b->m[group];
        if (before == m)
            return sw_nc_fault(r, word->at, "block.m-twice", NULL, "M%d stands twice on the line",
                               code);
        return sw_nc_fault(
            r, word->at, "block.m-group", NULL, "%s and M%d both choose %s; a line has one of them",
            sw_nc_m_name(&r->facts, before).text, code, sw_nc_m_group_name((enum nc_m_group)group));
    }
    b->m_groups |= 1u << group;
    b->m[group] = m;
    b->m_at[group] = word->at;
    return SW_OK;
}

enum sw_status sw_nc_block_add(struct nc_reader *r, char letter, const struct nc_word *word)
{
    const uint32_t coordinates = AXES | NC_BIT('I') | NC_BIT('K') | NC_BIT('R');
    struct nc_block *b = &r->block;
    if (letter == 'G')
        return add_g(r, word);
    if (letter == 'M')
        return add_m(r, word);
    const uint32_t bit = NC_BIT(letter);
    if (b->has & bit)
        return sw_nc_fault(r, word->at, "block.word-twice", NULL, "%c stands twice on the line",
                           letter);
    if ((bit & coordinates) && r->facts.decimals >= 0 && word->decimals > r->facts.decimals)
        return sw_nc_fault(r, word->at, "control.decimals", NULL,
                           "%c has %d decimals; this control takes at most %d (control: decimals)",
                           letter, word->decimals, r->facts.decimals);
    b->has |= bit;
    b->word[letter - 'A'] = *word;
    return SW_OK;
}

/* The first axis word of the line. */
static struct nc_piece axis_at(const struct nc_block *b)
{
    struct nc_piece at = {0, 1};
    bool has_any = false;
    for (const char *letter = "XZUW"; *letter; letter++) {
        if (!sw_nc_has(b, *letter))
            continue;
        const struct nc_piece here = sw_nc_at(b, *letter);
        if (!has_any || here.begin < at.begin)
            at = here;
        has_any = true;
    }
    return at;
}

struct nc_piece sw_nc_motion_at(const struct nc_block *b)
{
    return (b->g_groups & (1u << NC_MOTION)) ? b->g_at[NC_MOTION] : axis_at(b);
}

static bool is_drilling(enum nc_g g)
{
    return g == NC_G81 || g == NC_G82 || g == NC_G83 || g == NC_G85 || g == NC_G86 || g == NC_G89;
}

/* Words a motion can use. */
static uint32_t words_of_motion(enum nc_g g)
{
    const uint32_t cycle = NC_BIT('X') | NC_BIT('Z') | NC_BIT('R') | NC_BIT('L');
    switch (g) {
    case NC_G0:
    case NC_G1:
        return AXES;
    case NC_G2:
    case NC_G3:
        return AXES | NC_BIT('I') | NC_BIT('K') | NC_BIT('R');
    case NC_G33:
        return AXES | NC_BIT('K');
    case NC_G81:
    case NC_G85:
        return cycle;
    case NC_G82:
    case NC_G86:
    case NC_G89:
        return cycle | NC_BIT('P');
    case NC_G83:
        return cycle | NC_BIT('Q');
    default:
        return 0;
    }
}

/* Words with no use on the line are refused; who would use them is said. */
static enum sw_status check_use(struct nc_reader *r, uint32_t used)
{
    static const char *const user[26] = {
        ['D' - 'A'] = "G41 or G42",
        ['H' - 'A'] = "G43",
        ['I' - 'A'] = "an arc (G2, G3)",
        ['K' - 'A'] = "an arc (G2, G3)",
        ['L' - 'A'] = "G10 or a drilling cycle",
        ['P' - 'A'] = "G4, G10 or a drilling cycle with dwell",
        ['Q' - 'A'] = "G83",
        ['R' - 'A'] = "an arc or a drilling cycle",
        ['U' - 'A'] = "G0 to G3, G28 or G30",
        ['W' - 'A'] = "G0 to G3, G28 or G30",
        ['X' - 'A'] = "a motion",
        ['Z' - 'A'] = "a motion",
    };
    const struct nc_block *b = &r->block;
    const uint32_t unused = b->has & ~used;
    for (int i = 0; unused && i < 26; i++)
        if (unused & (1u << i))
            return sw_nc_fault(r, b->word[i].at, "block.word-unused", NULL,
                               "%c has no use on this line; %s would use it", 'A' + i,
                               user[i] ? user[i] : "nothing");
    return SW_OK;
}

/* P of G4, or the word by which the control dwells. */
static enum sw_status check_dwell(struct nc_reader *r)
{
    const struct nc_block *b = &r->block;
    const char letter = r->facts.dwell_letter;
    if (!sw_nc_has(b, letter))
        return sw_nc_fault(r, b->g_at[NC_ZERO], "block.dwell-time", NULL,
                           "G4 needs its time, %s %c word",
                           letter == 'X' || letter == 'F' ? "an" : "a", letter);
    if (sw_nc_word(b, letter) < 0)
        return sw_nc_fault(r, sw_nc_at(b, letter), "block.dwell-negative", NULL,
                           "a dwell lasts zero seconds or more, not %g", sw_nc_word(b, letter));
    return SW_OK;
}

/* L2 and P1..9 (3.5.5). */
static enum sw_status check_g10(struct nc_reader *r)
{
    const struct nc_block *b = &r->block;
    int whole;
    if (!sw_nc_has(b, 'L') || !sw_nc_whole(sw_nc_word(b, 'L'), &whole) || whole != 2)
        return sw_nc_fault(r, sw_nc_has(b, 'L') ? sw_nc_at(b, 'L') : b->g_at[NC_ZERO],
                           "block.g10-l", NULL, "G10 needs L2, the only use of it in the standard");
    if (!sw_nc_has(b, 'P'))
        return sw_nc_fault(r, b->g_at[NC_ZERO], "block.g10-p", NULL,
                           "G10 L2 needs P1 to P9, the coordinate system");
    if (!sw_nc_whole(sw_nc_word(b, 'P'), &whole) || whole < 1 || whole > SW_NCREAD_SYSTEMS)
        return sw_nc_fault(r, sw_nc_at(b, 'P'), "block.g10-p", NULL,
                           "P of G10 L2 is a coordinate system, a whole number 1 to 9, not %g",
                           sw_nc_word(b, 'P'));
    return SW_OK;
}

/* G92 with axis words sets an offset; G92 S is a speed limit where the control declares that. */
static enum sw_status check_g92(struct nc_reader *r, bool has_axes)
{
    const struct nc_block *b = &r->block;
    const bool clamps = r->facts.clamp == SW_CLAMP_G92 && sw_nc_has(b, 'S');
    if (has_axes && clamps)
        return sw_nc_fault(r, b->g_at[NC_ZERO], "block.g92-double", "write two lines",
                           "G92 with S limits the speed and with X or Z sets an offset, not both");
    if (has_axes || clamps)
        return SW_OK;
    if (sw_nc_has(b, 'S'))
        return sw_nc_fault(r, b->g_at[NC_ZERO], "control.speed-clamp", NULL,
                           "G92 S is a spindle speed limit on some controls; this control does "
                           "not declare it (control: speed_clamp)");
    return sw_nc_fault(r, b->g_at[NC_ZERO], "block.g92-axis", NULL,
                       "G92 needs at least one axis word");
}

/* What group 0 uses, and its own required words. */
static enum sw_status check_zero(struct nc_reader *r, enum nc_g zero, bool has_axes, uint32_t *used)
{
    const struct nc_block *b = &r->block;
    switch (zero) {
    case NC_G4:
        *used |= NC_BIT(r->facts.dwell_letter);
        return check_dwell(r);
    case NC_G10:
        *used |= NC_BIT('L') | NC_BIT('P') | NC_BIT('X') | NC_BIT('Z');
        return check_g10(r);
    case NC_G28:
    case NC_G30:
        *used |= AXES;
        return SW_OK;
    case NC_G50:
        if (!sw_nc_has(b, 'S'))
            return sw_nc_fault(r, b->g_at[NC_ZERO], "block.clamp-speed", NULL,
                               "G50 needs the speed limit as an S word");
        return SW_OK;
    case NC_G53:
        if (!has_axes)
            return sw_nc_fault(r, b->g_at[NC_ZERO], "block.g53-axis", NULL,
                               "G53 needs an axis word: it moves in machine coordinates");
        return SW_OK;
    case NC_G92:
        *used |= NC_BIT('X') | NC_BIT('Z');
        return check_g92(r, has_axes);
    default:
        return SW_OK;
    }
}

static bool is_axis_using(enum nc_g zero)
{
    return zero == NC_G10 || zero == NC_G28 || zero == NC_G30 || zero == NC_G92;
}

/* Who gets the axis words (3.4): a group 0 code that uses them, an explicit motion, or the motion
 * in force. */
static enum sw_status settle_motion(struct nc_reader *r, enum nc_g zero, bool has_axes)
{
    struct nc_block *b = &r->block;
    const enum nc_g explicit_motion = sw_nc_g(b, NC_MOTION);
    const bool takes_axes = is_axis_using(zero);
    if (explicit_motion == NC_G80) {
        if (has_axes && !takes_axes)
            return sw_nc_fault(r, axis_at(b), "block.g80-axis", NULL,
                               "G80 is no motion: nothing on the line uses its axis words");
    } else if (explicit_motion != NC_G_NONE) {
        if (takes_axes && has_axes)
            return sw_nc_fault(r, b->g_at[NC_ZERO], "block.axis-claim", "write two lines",
                               "%s and %s both use the axis words of the line",
                               sw_nc_g_name(explicit_motion).text, sw_nc_g_name(zero).text);
        if (!has_axes)
            return sw_nc_fault(r, b->g_at[NC_MOTION], "block.motion-axis", NULL,
                               "%s needs at least one axis word",
                               sw_nc_g_name(explicit_motion).text);
        b->motion = explicit_motion;
    } else if (has_axes && !takes_axes) {
        if (r->now.motion == NC_G80 && zero != NC_G53)
            return sw_nc_fault(r, axis_at(b), "block.axis-unused", NULL,
                               "axis words while G80 is in force and no code that uses them");
        b->motion = r->now.motion;
    }
    if (zero == NC_G53 && b->motion != NC_G0 && b->motion != NC_G1)
        return sw_nc_fault(r, b->g_at[NC_ZERO], "block.g53-motion", NULL,
                           "G53 goes with G0 or G1, not with %s", sw_nc_g_name(b->motion).text);
    return SW_OK;
}

/* F, S and T, whatever the state (3.7). */
static enum sw_status check_fst(struct nc_reader *r)
{
    const struct nc_block *b = &r->block;
    if (sw_nc_has(b, 'F') && sw_nc_word(b, 'F') < 0)
        return sw_nc_fault(r, sw_nc_at(b, 'F'), "block.feed-negative", NULL,
                           "a feed is zero or more, not %g", sw_nc_word(b, 'F'));
    if (sw_nc_has(b, 'S')) {
        if (!r->facts.spindle_words)
            return sw_nc_fault(r, sw_nc_at(b, 'S'), "control.spindle-words", NULL,
                               "S is a spindle speed; this control does not declare it "
                               "(control: spindle_words)%s",
                               spindle_by_hand);
        if (sw_nc_word(b, 'S') < 0)
            return sw_nc_fault(r, sw_nc_at(b, 'S'), "block.speed-negative", NULL,
                               "a speed is zero or more, not %g", sw_nc_word(b, 'S'));
    }
    if (r->facts.is_offset_in_t && sw_nc_m(b, NC_CHANGE) == NC_M6)
        return sw_nc_fault(r, b->m_at[NC_CHANGE], "control.tool-call", NULL,
                           "M6 is a tool change; on this control T alone brings tool and offset "
                           "(control: tool_call)");
    if (!sw_nc_has(b, 'T'))
        return SW_OK;
    if (!r->facts.tool_words)
        return sw_nc_fault(r, sw_nc_at(b, 'T'), "control.tool-words", NULL,
                           "T selects a tool; this control does not declare it (control: "
                           "tool_words)%s",
                           one_tool);
    int tool;
    if (!sw_nc_whole(sw_nc_word(b, 'T'), &tool))
        return sw_nc_fault(r, sw_nc_at(b, 'T'), "block.tool-whole", NULL,
                           "a tool number is whole, %g is not", sw_nc_word(b, 'T'));
    if (tool < 0)
        return sw_nc_fault(r, sw_nc_at(b, 'T'), "block.tool-negative", NULL,
                           "a tool number is zero or more, not %d", tool);
    if (r->facts.is_offset_in_t && tool < NC_T_PLACES)
        return sw_nc_fault(r, sw_nc_at(b, 'T'), "control.tool-call", "T0101: tool 1, offset 1",
                           "T%d names no tool; this control reads T as tool and two digits of "
                           "offset (control: tool_call)",
                           tool);
    if (r->facts.is_offset_in_t)
        tool /= NC_T_PLACES;
    if (tool > r->start->n_tools || tool >= SW_NCREAD_TOOLS)
        return sw_nc_fault(r, sw_nc_at(b, 'T'), "block.tool-range", NULL,
                           "tool %d does not exist; the largest number here is %d", tool,
                           r->start->n_tools);
    return SW_OK;
}

/* D: of radius compensation (3.5.10, B.5) a tool whose radius is meant, or an offset. */
static enum sw_status check_d(struct nc_reader *r)
{
    const struct nc_block *b = &r->block;
    int tool;
    if (!sw_nc_has(b, 'D'))
        return SW_OK;
    if (r->facts.is_offset_by_d)
        return sw_nc_offset_number(&tool, r, 'D');
    if (!sw_nc_whole(sw_nc_word(b, 'D'), &tool))
        return sw_nc_fault(r, sw_nc_at(b, 'D'), "block.comp-whole", NULL,
                           "the number of a tool radius is whole, %g is not", sw_nc_word(b, 'D'));
    if (tool < 0)
        return sw_nc_fault(r, sw_nc_at(b, 'D'), "block.comp-negative", NULL,
                           "the number of a tool radius is zero or more, not %d", tool);
    if (tool > r->start->n_tools || tool >= SW_NCREAD_TOOLS)
        return sw_nc_fault(r, sw_nc_at(b, 'D'), "block.comp-range", NULL,
                           "tool radius %d does not exist; the largest number here is %d", tool,
                           r->start->n_tools);
    return SW_OK;
}

enum sw_status sw_nc_block_check(struct nc_reader *r)
{
    struct nc_block *b = &r->block;
    uint32_t axes = b->has & AXES;
    uint32_t used = NC_BIT('F') | NC_BIT('S') | NC_BIT('T');
    const enum nc_g zero = sw_nc_g(b, NC_ZERO);
    if (zero == NC_G4)
        axes &= ~NC_BIT(r->facts.dwell_letter);
    if (sw_nc_has(b, 'U') && zero != NC_G4 && !r->facts.u_w)
        return sw_nc_fault(r, sw_nc_at(b, 'U'), "control.incremental-u-w", NULL,
                           "U is a time beside G4 alone; as an incremental X this control does "
                           "not declare it (control: incremental_u_w)");
    if ((axes & NC_BIT('X')) && (axes & NC_BIT('U')))
        return sw_nc_fault(r, sw_nc_at(b, 'U'), "block.axis-twice", NULL,
                           "X and U both move X; a line has one of them");
    if (sw_nc_has(b, 'Z') && sw_nc_has(b, 'W'))
        return sw_nc_fault(r, sw_nc_at(b, 'W'), "block.axis-twice", NULL,
                           "Z and W both move Z; a line has one of them");
    if (zero != NC_G_NONE)
        SW_TRY(check_zero(r, zero, axes != 0, &used));
    SW_TRY(settle_motion(r, zero, axes != 0));
    used |= words_of_motion(b->motion);
    const enum nc_g length = sw_nc_g(b, NC_LENGTH);
    const enum nc_g comp = sw_nc_g(b, NC_COMP);
    if (length == NC_G43)
        used |= NC_BIT('H');
    if (comp == NC_G41 || comp == NC_G42 || r->facts.is_offset_by_d)
        used |= NC_BIT('D');
    SW_TRY(check_use(r, used));
    SW_TRY(check_fst(r));
    SW_TRY(check_d(r));
    if (is_drilling(b->motion) && sw_nc_has(b, 'L')) {
        int repeats;
        if (!sw_nc_whole(sw_nc_word(b, 'L'), &repeats) || repeats < 1)
            return sw_nc_fault(r, sw_nc_at(b, 'L'), "block.cycle-repeats", NULL,
                               "L of a cycle is a whole number above zero, not %g",
                               sw_nc_word(b, 'L'));
    }
    return SW_OK;
}
