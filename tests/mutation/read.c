/* Words of a changed program, read by the published report (NISTIR 6556) alone: lines, words,
 * groups, parameters, sums in brackets, arcs in the ZX plane. What the report calls an error is
 * WRONG; what is legal and not followed here is UNSURE. */
#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "referee.h"

enum { MOST_LINE = 256, N_PARAMETERS = 5400, N_LETTERS = 26, MOST_CODES = 12 };
#define ARC_MISMATCH 0.002
#define WHOLE 1e-4

struct machine {
    double parameter[N_PARAMETERS];
    struct pt at;
    int motion, plane, system, spin, tool, selected;
    double unit, feed, rpm;
    bool has_ended;
};

struct line {
    const char *at;
    bool is_set[N_LETTERS];
    double value[N_LETTERS];
    double g[MOST_CODES];
    int m[MOST_CODES];
    size_t n_g, n_m;
    int setting[MOST_CODES];
    double setting_to[MOST_CODES];
    size_t n_settings;
};

static bool value_of(double *out, const char **at, const struct machine *m);

static bool number_of(double *out, const char **at)
{
    const char *p = *at;
    double sign = 1, value = 0, scale = 1;
    size_t digits = 0;
    if (*p == '+' || *p == '-')
        sign = *p++ == '-' ? -1 : 1;
    for (; isdigit((unsigned char)*p); p++, digits++)
        value = value * 10 + (*p - '0');
    if (*p == '.')
        for (p++; isdigit((unsigned char)*p); p++, digits++) {
            value = value * 10 + (*p - '0');
            scale *= 10;
        }
    *out = sign * value / scale;
    *at = p;
    return digits > 0;
}

static bool product_of(double *out, const char **at, const struct machine *m)
{
    if (!value_of(out, at, m))
        return false;
    while (**at == '*' || **at == '/') {
        const char operation = *(*at)++;
        double next;
        if (!value_of(&next, at, m) || (operation == '/' && next == 0))
            return false;
        *out = operation == '*' ? *out * next : *out / next;
    }
    return true;
}

static bool value_of(double *out, const char **at, const struct machine *m)
{
    if (**at == '#') {
        double index;
        (*at)++;
        if (!value_of(&index, at, m) || fabs(index - round(index)) > WHOLE || index < 1 ||
            index >= N_PARAMETERS - 0.5)
            return false;
        *out = m->parameter[(int)round(index)];
        return true;
    }
    if (**at != '[')
        return number_of(out, at);
    (*at)++;
    if (!product_of(out, at, m))
        return false;
    while (**at == '+' || **at == '-') {
        const char operation = *(*at)++;
        double next;
        if (!product_of(&next, at, m))
            return false;
        *out = operation == '+' ? *out + next : *out - next;
    }
    return *(*at)++ == ']';
}

/* Blanks and comments out, capitals. */
static bool squeeze(char *out, const char *line, size_t size)
{
    size_t n = 0;
    bool in_comment = false;
    if (size > MOST_LINE)
        return false;
    for (size_t i = 0; i < size; i++) {
        const char c = line[i];
        if (in_comment) {
            if (c == '(')
                return false;
            in_comment = c != ')';
        } else if (c == '(') {
            in_comment = true;
        } else if (c != ' ' && c != '\t' && c != '\r') {
            out[n++] = (char)toupper((unsigned char)c);
        }
    }
    out[n] = '\0';
    return !in_comment;
}

static const char *words_of(struct line *line, const char *text, const struct machine *m)
{
    const char *at = text;
    double value;
    if (*at == '/')
        at++;
    if (*at == 'N') {
        const char *const begin = ++at;
        while (isdigit((unsigned char)*at))
            at++;
        if (at == begin || at - begin > 5)
            return "line number";
    }
    while (*at != '\0') {
        const char letter = *at++;
        if (letter == '#') {
            double index;
            if (!value_of(&index, &at, m) || *at++ != '=' || !value_of(&value, &at, m) ||
                fabs(index - round(index)) > WHOLE || index < 1 || index > 5399 ||
                line->n_settings == MOST_CODES)
                return "parameter";
            line->setting[line->n_settings] = (int)round(index);
            line->setting_to[line->n_settings++] = value;
            continue;
        }
        if (letter < 'A' || letter > 'Z' || strchr("EOUVWNABCYJ", letter) != NULL)
            return "letter";
        if (!value_of(&value, &at, m))
            return "value";
        if (letter == 'G') {
            if (line->n_g == MOST_CODES || value < 0 ||
                fabs(value * 10 - round(value * 10)) > 10 * WHOLE)
                return "G number";
            line->g[line->n_g++] = round(value * 10) / 10;
        } else if (letter == 'M') {
            if (line->n_m == 4 || value < 0 || fabs(value - round(value)) > WHOLE)
                return "M number";
            line->m[line->n_m++] = (int)round(value);
        } else {
            if (line->is_set[letter - 'A'])
                return "letter twice";
            line->is_set[letter - 'A'] = true;
            line->value[letter - 'A'] = value;
        }
    }
    return NULL;
}

static int g_group(double g)
{
    static const double known[][2] = {
        {0, 1},   {1, 1},     {2, 1},     {3, 1},    {38.2, 1}, {80, 1},    {81, 1},    {82, 1},
        {83, 1},  {84, 1},    {85, 1},    {86, 1},   {87, 1},   {88, 1},    {89, 1},    {17, 2},
        {18, 2},  {19, 2},    {90, 3},    {91, 3},   {93, 5},   {94, 5},    {20, 6},    {21, 6},
        {40, 7},  {41, 7},    {42, 7},    {43, 8},   {49, 8},   {98, 10},   {99, 10},   {54, 12},
        {55, 12}, {56, 12},   {57, 12},   {58, 12},  {59, 12},  {59.1, 12}, {59.2, 12}, {59.3, 12},
        {61, 13}, {61.1, 13}, {64, 13},   {4, 20},   {10, 20},  {28, 20},   {30, 20},   {53, 20},
        {92, 20}, {92.1, 20}, {92.2, 20}, {92.3, 20}};
    for (size_t i = 0; i < sizeof known / sizeof *known; i++)
        if (fabs(known[i][0] - g) < 1e-6)
            return (int)known[i][1];
    return -1;
}

static int m_group(int m)
{
    switch (m) {
    case 0:
    case 1:
    case 2:
    case 30:
    case 60:
        return 4;
    case 6:
        return 6;
    case 3:
    case 4:
    case 5:
        return 7;
    case 7:
    case 8:
    case 9:
        return 8;
    case 48:
    case 49:
        return 9;
    default:
        return -1;
    }
}

static bool has_g(const struct line *line, double g)
{
    for (size_t i = 0; i < line->n_g; i++)
        if (fabs(line->g[i] - g) < 1e-6)
            return true;
    return false;
}

static bool has_m(const struct line *line, int m)
{
    for (size_t i = 0; i < line->n_m; i++)
        if (line->m[i] == m)
            return true;
    return false;
}

static const char *groups_of(const struct line *line)
{
    bool seen[32] = {false};
    for (size_t i = 0; i < line->n_g; i++) {
        const int group = g_group(line->g[i]);
        if (group < 0)
            return "unknown G";
        if (seen[group])
            return "two G of a group";
        seen[group] = true;
    }
    memset(seen, 0, sizeof seen);
    for (size_t i = 0; i < line->n_m; i++) {
        const int group = m_group(line->m[i]);
        if (group < 0)
            return "unknown M";
        if (seen[group])
            return "two M of a group";
        seen[group] = true;
    }
    return NULL;
}

static bool is_set(const struct line *line, char letter)
{
    return line->is_set[letter - 'A'];
}

static double word(const struct line *line, char letter)
{
    return line->value[letter - 'A'];
}

static const struct tool *tool_with(const struct side *side, int number)
{
    for (size_t i = 0; i < side->n_tools; i++)
        if (side->tool[i].number == number)
            return &side->tool[i];
    return NULL;
}

/* Where the origin of a system stands in the machine. */
static bool origin(struct pt *out, const struct side *side, int system)
{
    for (size_t i = 0; i < side->n_tools; i++)
        if (side->tool[i].system == system) {
            *out = side->tool[i].zero;
            return true;
        }
    return false;
}

static enum reading move(struct event *event, struct machine *m, const struct line *line,
                         const struct side *side, const char **why)
{
    struct pt zero = {0, 0};
    if (!origin(&zero, side, m->system)) {
        *why = "a system nobody has set";
        return WRONG;
    }
    struct pt to = m->at;
    if (is_set(line, 'X'))
        to.r = word(line, 'X') * m->unit + zero.r;
    if (is_set(line, 'Z'))
        to.z = word(line, 'Z') * m->unit + zero.z;
    *event = (struct event){.kind = MOVE,
                            .motion = m->motion,
                            .tool = m->tool,
                            .spin = m->spin,
                            .rpm = m->rpm,
                            .feed = m->motion ? m->feed : 0,
                            .from = m->at,
                            .to = to};
    if (m->motion >= 2) {
        const bool has_r = is_set(line, 'R'), has_ik = is_set(line, 'I') || is_set(line, 'K');
        if (m->plane != 18) {
            if (is_set(line, m->plane == 17 ? 'K' : 'I') || has_r || !has_ik) {
                *why = "an arc with words of another plane";
                return WRONG;
            }
            *why = "a helix";
            return UNSURE;
        }
        if (has_r == has_ik) {
            *why = "an arc without centre, or with two";
            return WRONG;
        }
        if (has_r) {
            *why = "an arc by its radius";
            return UNSURE;
        }
        event->centre = (struct pt){m->at.z + (is_set(line, 'K') ? word(line, 'K') * m->unit : 0),
                                    m->at.r + (is_set(line, 'I') ? word(line, 'I') * m->unit : 0)};
        const double a = hypot(m->at.z - event->centre.z, m->at.r - event->centre.r);
        const double b = hypot(to.z - event->centre.z, to.r - event->centre.r);
        if (fabs(a - b) > ARC_MISMATCH * (m->unit > 1 ? 25.4 / 10 : 1) || a <= 0) {
            *why = "no arc ends there";
            return WRONG;
        }
    }
    if (m->motion && !(m->feed > 0)) {
        *why = "no feed";
        return WRONG;
    }
    m->at = to;
    return READ;
}

static const char *useless(const struct line *line, const struct machine *m)
{
    if (is_set(line, 'P') && !has_g(line, 4))
        return "P without use";
    if ((is_set(line, 'I') || is_set(line, 'K') || is_set(line, 'R')) &&
        (m->motion < 2 || m->motion > 3))
        return "a centre without an arc";
    for (const char *letter = "DHLQ"; *letter != '\0'; letter++)
        if (is_set(line, *letter))
            return "word without use";
    return NULL;
}

/* Execute one line, in the order of the report's table 8. */
static enum reading run(struct event *event, size_t *n, struct machine *m, const struct line *line,
                        const struct side *side, const char **why)
{
    static const double aside[] = {38.2, 80, 81, 82, 83, 84, 85, 86, 87, 88, 89,
                                   91,   93, 41, 42, 43, 64, 10, 28, 30, 53, 92};
    if ((*why = groups_of(line)) != NULL)
        return WRONG;
    for (size_t i = 0; i < sizeof aside / sizeof *aside; i++)
        if (has_g(line, aside[i])) {
            *why = "legal, not followed here";
            return UNSURE;
        }
    if (*n + 8 > MOST_EVENTS) {
        *why = "too long";
        return UNSURE;
    }
    for (size_t i = 0; i < line->n_g; i++) {
        const double g = line->g[i];
        if (g_group(g) == 1)
            m->motion = (int)g;
    }
    if ((*why = useless(line, m)) != NULL)
        return WRONG;
    *why = "below 0";
    if ((is_set(line, 'F') && word(line, 'F') < 0) || (is_set(line, 'S') && word(line, 'S') < 0) ||
        (is_set(line, 'T') && word(line, 'T') < 0))
        return WRONG;
    /* the unit is set after F: a line with both is no clear case */
    const bool changes_unit = has_g(line, 20) || has_g(line, 21);
    if (is_set(line, 'F'))
        m->feed = word(line, 'F') * m->unit;
    if (is_set(line, 'S'))
        m->rpm = word(line, 'S');
    if (is_set(line, 'T')) {
        *why = "T is not whole";
        if (fabs(word(line, 'T') - round(word(line, 'T'))) > WHOLE)
            return WRONG;
        m->selected = (int)round(word(line, 'T'));
    }
    if (has_m(line, 6)) {
        const struct tool *tool = tool_with(side, m->selected);
        m->tool = tool != NULL ? (int)(tool - side->tool) : -1;
        m->spin = 0;
        event[(*n)++] = (struct event){.kind = CHANGE, .tool = m->tool};
    }
    m->spin = has_m(line, 3) ? 1 : has_m(line, 4) ? -1 : has_m(line, 5) ? 0 : m->spin;
    if (m->spin != 0 && (is_set(line, 'S') || has_m(line, 3) || has_m(line, 4)))
        event[(*n)++] = (struct event){.kind = TURN, .spin = m->spin, .rpm = m->rpm};
    if (has_g(line, 4)) {
        *why = "a wait without time";
        if (!is_set(line, 'P') || word(line, 'P') < 0)
            return WRONG;
        event[(*n)++] = (struct event){.kind = WAIT, .feed = word(line, 'P'), .spin = m->spin};
    }
    for (size_t i = 0; i < line->n_g; i++) {
        const double g = line->g[i];
        if (g_group(g) == 2)
            m->plane = (int)g;
        if (g_group(g) == 12)
            m->system = g < 59.05 ? (int)g - 53 : 6 + (int)round((g - 59) * 10);
    }
    if (changes_unit)
        m->unit = has_g(line, 20) ? 25.4 : 1;
    const bool has_axis = is_set(line, 'X') || is_set(line, 'Z');
    const bool names_motion = has_g(line, 0) || has_g(line, 1) || has_g(line, 2) || has_g(line, 3);
    if (has_axis) {
        *why = "a move without a motion";
        if (m->motion < 0)
            return UNSURE;
        const enum reading status = move(&event[*n], m, line, side, why);
        if (status != READ)
            return status;
        (*n)++;
    } else {
        *why = "a motion without an end";
        if (names_motion || is_set(line, 'I') || is_set(line, 'K'))
            return WRONG;
    }
    if (has_m(line, 0) || has_m(line, 1) || has_m(line, 60))
        event[(*n)++] = (struct event){.kind = PAUSE,
                                       .spin = m->spin,
                                       .rpm = m->rpm,
                                       .from = m->at,
                                       .to = m->at,
                                       .tool = m->tool};
    m->has_ended = has_m(line, 2) || has_m(line, 30);
    for (size_t i = 0; i < line->n_settings; i++)
        m->parameter[line->setting[i]] = line->setting_to[i];
    return READ;
}

/* What stands behind the end never runs: somebody wanted it, or the end stands wrong. */
static bool has_block_behind(const char *text, size_t size, size_t line)
{
    size_t number = 0;
    for (size_t at = 0; at < size; number++) {
        const char *const end = memchr(text + at, '\n', size - at);
        const size_t length = end != NULL ? (size_t)(end - text) - at : size - at;
        char squeezed[MOST_LINE + 1];
        if (number >= line && squeeze(squeezed, text + at, length) &&
            isalpha((unsigned char)squeezed[0]))
            return true;
        at += length + 1;
    }
    return false;
}

enum reading read_text(struct event *event, size_t *n, char *why, const char *text, size_t size,
                       const struct side *side)
{
    static struct machine m;
    memset(&m, 0, sizeof m);
    m.at = (struct pt){side->park_z, side->park_x};
    m.motion = -1;
    m.plane = 18;
    m.system = 1;
    m.unit = 1;
    m.tool = -1;
    size_t number = 0;
    *n = 0;
    for (size_t at = 0; at < size && !m.has_ended;) {
        const char *const end = memchr(text + at, '\n', size - at);
        const size_t length = end != NULL ? (size_t)(end - text) - at : size - at;
        char squeezed[MOST_LINE + 1];
        struct line line = {0};
        const char *reason = "line too long or comment open";
        enum reading status = WRONG;
        const size_t before = *n;
        number++;
        if (squeeze(squeezed, text + at, length)) {
            reason = words_of(&line, squeezed, &m);
            status = reason != NULL ? WRONG : run(event, n, &m, &line, side, &reason);
        }
        for (size_t i = before; i < *n; i++)
            event[i].line = (int)number;
        if (status != READ) {
            snprintf(why, MOST_WHY, "line %zu: %s", number, reason);
            return status;
        }
        at += length + 1;
    }
    if (m.has_ended && has_block_behind(text, size, number)) {
        snprintf(why, MOST_WHY, "blocks behind the end");
        return WRONG;
    }
    if (!m.has_ended) {
        snprintf(why, MOST_WHY, "no end");
        return WRONG;
    }
    return READ;
}
