#include "ncread/codes.h"

#include <stdio.h>

#include "ncread/ncread_int.h"

/* clang-format off */
static const struct nc_code g_table[] = {
    {0, 0, NC_FACT_STANDARD, ""},
#define X(name, code, group, fact, meaning) {code, NC_##group, NC_FACT_##fact, meaning},
    NC_G_LIST(X)
#undef X
};

static const struct nc_code m_table[] = {
    {0, 0, NC_FACT_STANDARD, ""},
#define X(name, code, group, fact, meaning) {code, NC_##group, NC_FACT_##fact, meaning},
    NC_M_LIST(X)
#undef X
};
/* clang-format on */

enum { N_G_ROWS = sizeof g_table / sizeof *g_table, N_M_ROWS = sizeof m_table / sizeof *m_table };

#define ELSEWHERE "control.code-elsewhere"

/* Codes that people know but that do nothing here. Those of the standard first, then the public
 * lists of RS-274 and ISO 1056 codes; the last two M codes are a common dialect, from memory. */
static const struct nc_absent g_absent[] = {
    {382, "control.probe", "a straight probe, and this reader has no probe to follow"},
    {840, "control.cycle",
     "a tapping cycle, which ties feed to spindle; no such drive is known here"},
    {870, "control.cycle", "a back boring cycle, which needs more axes than X and Z"},
    {880, "control.cycle", "a boring cycle that ends by hand, whose way out nobody can know"},
    {60, ELSEWHERE, "parabolic interpolation in other code lists; the standard has no G6"},
    {80, ELSEWHERE, "acceleration in other code lists; the standard has no G8"},
    {90, ELSEWHERE, "deceleration in other code lists; the standard has no G9"},
    {340, ELSEWHERE, "threading at increasing lead in other code lists; the standard has no G34"},
    {350, ELSEWHERE, "threading at decreasing lead in other code lists; the standard has no G35"},
    {440, ELSEWHERE, "a tool offset in other code lists; the standard has no G44"},
    {600, ELSEWHERE, "accurate positioning in other code lists; the standard has no G60"},
    {620, ELSEWHERE, "coarse positioning in other code lists; the standard has no G62"},
    {630, ELSEWHERE, "tapping in other code lists; the standard has no G63"},
};

static const struct nc_absent m_absent[] = {
    {10, ELSEWHERE, "a clamp in other code lists; the standard has no M10"},
    {11, ELSEWHERE, "an unclamp in other code lists; the standard has no M11"},
    {13, ELSEWHERE, "spindle clockwise with coolant in other code lists; write M3 and M8"},
    {14, ELSEWHERE, "spindle counter-clockwise with coolant in other code lists; write M4 and M8"},
    {19, ELSEWHERE, "an oriented spindle stop in other code lists; the standard has no M19"},
    {31, ELSEWHERE, "an interlock bypass in other code lists; the standard has no M31"},
    {36, ELSEWHERE, "a feed range in other code lists; the standard has no M36"},
    {37, ELSEWHERE, "a feed range in other code lists; the standard has no M37"},
    {38, ELSEWHERE, "a spindle range in other code lists; the standard has no M38"},
    {39, ELSEWHERE, "a spindle range in other code lists; the standard has no M39"},
    {50, ELSEWHERE, "a coolant in other code lists; the standard has M7, M8 and M9"},
    {51, ELSEWHERE, "a coolant in other code lists; the standard has M7, M8 and M9"},
    {98, ELSEWHERE, "a subprogram call in some dialects; the standard has no subprograms"},
    {99, ELSEWHERE, "a subprogram end in some dialects; the standard has no subprograms"},
};

const struct nc_code *sw_nc_g_code(enum nc_g g)
{
    return &g_table[g];
}

const struct nc_code *sw_nc_m_code(enum nc_m m)
{
    return &m_table[m];
}

struct nc_name sw_nc_name_of_g(int ten_times)
{
    struct nc_name name;
    if (ten_times % 10)
        snprintf(name.text, sizeof name.text, "G%d.%d", ten_times / 10 % 100, ten_times % 10);
    else
        snprintf(name.text, sizeof name.text, "G%d", ten_times / 10 % 100);
    return name;
}

struct nc_name sw_nc_g_name(enum nc_g g)
{
    return sw_nc_name_of_g(g_table[g].code);
}

struct nc_name sw_nc_m_name(const struct nc_facts *facts, enum nc_m m)
{
    struct nc_name name;
    int code = m_table[m].code;
    for (int own = 0; code == NC_M_OWN && own < NC_M_CODES; own++)
        if (facts->m_row[own] == m)
            code = own;
    snprintf(name.text, sizeof name.text, "M%d", code);
    return name;
}

const char *sw_nc_g_group_name(enum nc_g_group group)
{
    static const char *const name[NC_G_GROUPS] = {
        [NC_ZERO] = "what this one line does",
        [NC_MOTION] = "the motion",
        [NC_PLANE] = "the plane",
        [NC_DISTANCE] = "the distance mode",
        [NC_FEED] = "the feed mode",
        [NC_UNITS] = "the units",
        [NC_COMP] = "the radius compensation",
        [NC_LENGTH] = "the length offset",
        [NC_RETURN] = "the return level of cycles",
        [NC_SYSTEM] = "the coordinate system",
        [NC_PATH] = "the path mode",
        [NC_SPEED] = "the speed mode",
    };
    return name[group];
}

const char *sw_nc_m_group_name(enum nc_m_group group)
{
    static const char *const name[NC_M_GROUPS] = {
        [NC_STOP] = "how the line ends",        [NC_CHANGE] = "the tool change",
        [NC_SPINDLE] = "the spindle's turning", [NC_COOLANT] = "the coolant",
        [NC_OVERRIDE] = "the overrides",        [NC_SECOND] = "what the second spindle does",
    };
    return name[group];
}

const char *sw_nc_fact_code(enum nc_fact fact)
{
    static const char *const code[] = {
#define X(name, code, key) code,
        NC_FACT_LIST(X)
#undef X
    };
    return code[fact];
}

const char *sw_nc_fact_key(enum nc_fact fact)
{
    static const char *const key[] = {
#define X(name, code, key) key,
        NC_FACT_LIST(X)
#undef X
    };
    return key[fact];
}

/* A fact neither given nor defaulted is the standard's. */
static int choice_or(struct sw_choice choice, int standard)
{
    return choice.value < 0 ? standard : choice.value;
}

static bool is_true(const struct sw_control *control, enum nc_fact fact)
{
    const bool is_g98_feed = choice_or(control->feed_words, SW_FEED_G94_G95) == SW_FEED_G98_G99;
    const bool is_g70 = choice_or(control->units, SW_UNITS_G20_G21) == SW_UNITS_G70_G71;
    const bool is_per_turn = choice_or(control->feed_per_turn, 0);
    switch (fact) {
    case NC_FACT_STANDARD:
        return true;
    case NC_FACT_ARCS:
        return choice_or(control->arcs, 1);
    case NC_FACT_UNITS_G20:
        return !is_g70;
    case NC_FACT_UNITS_G70:
        return is_g70;
    case NC_FACT_FEED_G94:
        return !is_g98_feed;
    case NC_FACT_FEED_G98:
        return is_g98_feed;
    case NC_FACT_TURN_G95:
        return is_per_turn && !is_g98_feed;
    case NC_FACT_TURN_G99:
        return is_per_turn && is_g98_feed;
    case NC_FACT_SURFACE:
        return choice_or(control->surface_speed, 0);
    case NC_FACT_CLAMP_G50:
        return choice_or(control->speed_clamp, SW_CLAMP_NONE) == SW_CLAMP_G50;
    case NC_FACT_THREAD:
        return choice_or(control->threading, 0);
    case NC_FACT_SPINDLE:
        return choice_or(control->spindle_words, 1);
    case NC_FACT_TOOL:
        return choice_or(control->tool_words, 1);
    case NC_FACT_SECOND:
        return false; /* by number, in sw_nc_facts */
    }
    return false;
}

static char dwell_letter(enum sw_dwell_kind kind)
{
    static const char letter[] = {[SW_DWELL_P_SECONDS] = 'P',
                                  [SW_DWELL_P_MILLISECONDS] = 'P',
                                  [SW_DWELL_X_SECONDS] = 'X',
                                  [SW_DWELL_U_SECONDS] = 'U',
                                  [SW_DWELL_F_SECONDS] = 'F'};
    return letter[kind];
}

/* A number that the standard has keeps its meaning: such a control is refused when it is loaded. */
static void add_own(struct nc_facts *facts, const struct sw_number *number, enum nc_m m)
{
    const bool is_code = number->given && number->value >= 0 && number->value < NC_M_CODES;
    if (is_code && facts->m_row[(int)number->value] == NC_M_NONE)
        facts->m_row[(int)number->value] = (uint8_t)m;
}

void sw_nc_facts(struct nc_facts *facts, const struct sw_control *control)
{
    const bool has_x_diameter = choice_or(control->x, SW_X_RADIUS) == SW_X_DIAMETER;
    const bool has_i_diameter = choice_or(control->i, SW_X_RADIUS) == SW_X_DIAMETER;
    const double length = control->line_length.value;
    const double decimals = control->decimals.value;
    *facts = (struct nc_facts){
        .x_scale = has_x_diameter ? 0.5 : 1.0,
        .i_scale = has_i_diameter ? 0.5 : 1.0,
        .line_length = NC_LINE_STANDARD,
        .is_line_length_own = control->line_length.given,
        .decimals = control->decimals.given || decimals > 0 ? (int)decimals : -1,
        .dwell = (enum sw_dwell_kind)choice_or(control->dwell, SW_DWELL_P_SECONDS),
        .dwell_letter =
            dwell_letter((enum sw_dwell_kind)choice_or(control->dwell, SW_DWELL_P_SECONDS)),
        .is_offset_in_t = choice_or(control->tool_call, SW_CALL_T_M6) == (int)SW_CALL_WITH_OFFSET,
        .is_offset_by_d = choice_or(control->tool_call, SW_CALL_T_M6) == (int)SW_CALL_THEN_D,
        .clamp = (enum sw_clamp_kind)choice_or(control->speed_clamp, SW_CLAMP_NONE),
        .offsets_with_tool =
            choice_or(control->tool_offsets, SW_OFFSET_BY_SYSTEM) == (int)SW_OFFSET_WITH_TOOL,
        .spindle_words = choice_or(control->spindle_words, 1),
        .tool_words = choice_or(control->tool_words, 1),
        .u_w = choice_or(control->incremental_u_w, 0),
        .comments = choice_or(control->comments, 1),
        .parameters = choice_or(control->parameters, 1),
    };
    if (length >= 1)
        facts->line_length = length < NC_LINE_MOST ? (size_t)length : (size_t)NC_LINE_MOST;
    /* Two rows of one number (G98, G99) exclude each other by their facts. */
    for (int i = 1; i < N_G_ROWS; i++)
        if (is_true(control, g_table[i].fact))
            facts->g_row[g_table[i].code] = (uint8_t)i;
    for (int i = 1; i < N_M_ROWS; i++)
        if (is_true(control, m_table[i].fact))
            facts->m_row[m_table[i].code] = (uint8_t)i;
    add_own(facts, &control->second_takes, NC_M_TAKES);
    add_own(facts, &control->second_leaves, NC_M_LEAVES);
}

const struct nc_code *sw_nc_g_kept_out(int code)
{
    /* From the end: of two rows of one number the feed word is the one that needs a declaration. */
    for (int i = N_G_ROWS - 1; i > 0; i--)
        if (g_table[i].code == code)
            return &g_table[i];
    return NULL;
}

const struct nc_code *sw_nc_m_kept_out(int code)
{
    for (int i = 1; i < N_M_ROWS; i++)
        if (m_table[i].code == code)
            return &m_table[i];
    return NULL;
}

const struct nc_absent *sw_nc_g_elsewhere(int code)
{
    for (size_t i = 0; i < sizeof g_absent / sizeof *g_absent; i++)
        if (g_absent[i].code == code)
            return &g_absent[i];
    return NULL;
}

const struct nc_absent *sw_nc_m_elsewhere(int code)
{
    for (size_t i = 0; i < sizeof m_absent / sizeof *m_absent; i++)
        if (m_absent[i].code == code)
            return &m_absent[i];
    return NULL;
}
