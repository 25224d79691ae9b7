#include "spec/inside.h"

#include <math.h>
#include <string.h>

#include "base/num.h"

static const double pi = 3.14159265358979323846;

#define Q(name) SW_QUANTITY_##name

/* The old French measures follow from the law that made the metre: 443.296 lignes to the metre
 * (from memory: 19 frimaire VIII), so a ligne is 2.2558291 mm, the Paris inch of 12 lignes
 * 27.069949 mm, and the douzieme a twelfth of a ligne, 0.1879858 mm. The inch of 25.4 mm and the
 * kilogram-force of 9.80665 N are exact by definition. */
const struct sw_spec_unit sw_spec_units[] = {
    {Q(LENGTH), "mm", 1, 1, true},
    {Q(LENGTH), "um", 1, 1000, true},
    {Q(LENGTH), "m", 1000, 1, true},
    {Q(LENGTH), "in", 25.4, 1, true},
    {Q(LENGTH), "thou", 254, 10000, true},
    {Q(LENGTH), "hundredths", 1, 100, true},
    {Q(LENGTH), "ligne", 1000, 443.296, true},
    {Q(LENGTH), "douzieme", 1000, 12 * 443.296, true},
    {Q(LENGTH), "\xc2\xb5m", 1, 1000, false}, /* micro sign */
    {Q(LENGTH), "\xce\xbcm", 1, 1000, false}, /* Greek mu */
    {Q(LENGTH), "micron", 1, 1000, false},
    {Q(LENGTH), "microns", 1, 1000, false},
    {Q(LENGTH), "inch", 25.4, 1, false},
    {Q(LENGTH), "\"", 25.4, 1, false},
    {Q(LENGTH), "hundredth", 1, 100, false},
    {Q(LENGTH), "lignes", 1000, 443.296, false},
    {Q(LENGTH), "douziemes", 1000, 12 * 443.296, false},
    {Q(LENGTH), "douzi\xc3\xa8me", 1000, 12 * 443.296, false},
    {Q(LENGTH), "douzi\xc3\xa8mes", 1000, 12 * 443.296, false},
    {Q(ANGLE), "degrees", 1, 1, true},
    {Q(ANGLE), "rad", 0, 0, true}, /* kept as written: see convert() */
    {Q(ANGLE), "degree", 1, 1, false},
    {Q(ANGLE), "deg", 1, 1, false},
    {Q(ANGLE), "\xc2\xb0", 1, 1, false}, /* degree sign */
    {Q(FORCE), "N", 1, 1, true},
    {Q(FORCE), "mN", 1, 1000, true},
    {Q(FORCE), "kgf", 9.80665, 1, true},
    {Q(STRESS), "MPa", 1, 1, true},
    {Q(STRESS), "GPa", 1000, 1, true},
    {Q(STRESS), "N/mm2", 1, 1, true},
    {Q(SPEED), "rev/min", 1, 1, true},
    {Q(SPEED), "rpm", 1, 1, true},
    {Q(FEED), "mm/min", 1, 1, true},
    {Q(FEED), "mm/s", 60, 1, true},
    {Q(FEED), "in/min", 25.4, 1, true},
    {Q(FEED_REV), "mm/rev", 1, 1, true},
    {Q(FEED_REV), "um/rev", 1, 1000, true},
    {Q(SURFACE), "m/min", 1, 1, true},
    {Q(ACCELERATION), "mm/s2", 1, 1, true},
    {Q(ACCELERATION), "m/s2", 1000, 1, true},
    {Q(TIME), "s", 1, 1, true},
    {Q(TIME), "ms", 1, 1000, true},
    {Q(TIME), "min", 60, 1, true},
    {Q(DENSITY), "g/cm3", 1, 1, true},
    {Q(COMPLIANCE), "um/N", 1, 1, true},
    {Q(TILT), "urad/(N mm)", 1, 1, true},
    {Q(POWER), "W", 1, 1, true},
    {Q(POWER), "kW", 1000, 1, true},
    {Q(TORQUE), "N m", 1, 1, true},
    {Q(TORQUE), "mN m", 1, 1000, true},
    {Q(RATIO), "%", 1, 100, true},
    {Q(NONE), NULL, 0, 0, false},
};

const char *sw_quantity_unit(enum sw_quantity quantity)
{
    if (quantity == Q(NONE) || quantity == Q(RATIO))
        return "";
    for (const struct sw_spec_unit *unit = sw_spec_units; unit->name; unit++)
        if (unit->quantity == quantity)
            return unit->name;
    return "";
}

const char *sw_spec_quantity_name(enum sw_quantity quantity)
{
    switch (quantity) {
    case Q(NONE):
        return "number";
    case Q(LENGTH):
        return "length";
    case Q(ANGLE):
        return "angle";
    case Q(FORCE):
        return "force";
    case Q(STRESS):
        return "stress";
    case Q(SPEED):
        return "turning speed";
    case Q(FEED):
        return "feed";
    case Q(FEED_REV):
        return "feed per turn";
    case Q(SURFACE):
        return "cutting speed";
    case Q(ACCELERATION):
        return "acceleration";
    case Q(TIME):
        return "time";
    case Q(DENSITY):
        return "density";
    case Q(COMPLIANCE):
        return "compliance";
    case Q(TILT):
        return "tilt";
    case Q(POWER):
        return "power";
    case Q(TORQUE):
        return "torque";
    case Q(RATIO):
        return "ratio";
    }
    return "number";
}

bool sw_spec_takes_fractions(enum sw_quantity quantity)
{
    return quantity == Q(LENGTH) || quantity == Q(RATIO);
}

void sw_spec_add_units(struct sw_buf *out, enum sw_quantity quantity)
{
    const char *between = "";
    if (quantity == Q(NONE))
        return;
    for (const struct sw_spec_unit *unit = sw_spec_units; unit->name; unit++) {
        if (unit->quantity != quantity || !unit->is_listed)
            continue;
        sw_buf_add(out, between);
        sw_buf_add(out, unit->name);
        between = ", ";
    }
}

void sw_spec_add_number(struct sw_buf *out, double value)
{
    char text[SW_NUM_SIZE];
    if (!sw_num_format(text, value, 9)) {
        sw_buf_add(out, value > 0 ? "more than 1000000000" : "less than -1000000000");
        return;
    }
    size_t n = strlen(text);
    while (n > 0 && text[n - 1] == '0')
        n--;
    if (n > 0 && text[n - 1] == '.')
        n--;
    sw_buf_addn(out, text, n);
}

void sw_spec_add_range(struct sw_buf *out, double least, double most, const char *unit)
{
    const bool has_least = isfinite(least), has_most = isfinite(most);
    if (has_least && has_most) {
        sw_spec_add_number(out, least);
        sw_buf_add(out, " to ");
        sw_spec_add_number(out, most);
    } else if (has_least || has_most) {
        sw_buf_add(out, has_least ? "at least " : "at most ");
        sw_spec_add_number(out, has_least ? least : most);
    } else {
        sw_buf_add(out, "any number");
    }
    if (unit[0])
        sw_buf_printf(out, " %s", unit);
}

bool sw_spec_has_range(const struct sw_field *field)
{
    return field->least < 0 || field->least > 0 || field->most < 0 || field->most > 0;
}

const char *sw_spec_keep(struct sw_buf *buf, struct sw_ctx *ctx)
{
    const char *text = buf->failed ? NULL : sw_arena_copy(ctx->arena, sw_buf_text(buf), buf->n);
    sw_buf_done(buf);
    return text;
}

/* A number's text taken apart; the pieces point into it. */
struct pieces {
    double top;    /* the number, or the part above the stroke */
    double bottom; /* below the stroke; 1 without */
    bool is_fraction;
    const char *unit; /* "" without */
};

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static const char *digits(const char *at)
{
    while (is_digit(*at))
        at++;
    return at;
}

/* Gives NULL when TEXT was taken apart, otherwise a hint ("" for none) at what is wrong. */
static const char *take_apart(struct pieces *to, const char *text)
{
    const char *at = text + strspn(text, " ");
    const char *start = at;
    if (*at == '+' || *at == '-')
        at++;
    const char *first = at;
    at = digits(at);
    if (at == first) {
        if (*at == '.' && is_digit(at[1]))
            return "write a digit before the point: 0.5";
        if (strncmp(at, "\xc2\xb1", 2) == 0 || strncmp(first, "/-", 2) == 0)
            return "a deviation counts both ways: write it without the sign";
        return "";
    }
    if (at[0] == '.' && is_digit(at[1]))
        at = digits(at + 1);
    else if (at[0] == '.')
        return "write a digit after the point, or leave the point out";
    if ((at[0] == 'x' || at[0] == 'o' || at[0] == 'b') && at == first + 1 && *first == '0')
        return "write the number in decimal digits";
    if ((at[0] == 'e' || at[0] == 'E') &&
        (is_digit(at[1]) || ((at[1] == '+' || at[1] == '-') && is_digit(at[2]))))
        return "write the number out, without an exponent: 1000, 0.001";
    if (at[0] == '_' && is_digit(at[1]))
        return "leave the underscores out";
    if (at[0] == ',' && is_digit(at[1]))
        return "the decimal mark is a point: 0.11";
    if (at[0] == ':' && is_digit(at[1]))
        return "write a ratio with a stroke: 1/100";
    if (at[0] == '.')
        return "";
    if (at[0] == ' ' && is_digit(at[1]) && strchr(at, '/'))
        return "write a mixed number as a decimal number";
    to->bottom = 1;
    to->is_fraction = at[0] == '/' && is_digit(at[1]);
    if (!sw_num_parse(&to->top, start, (size_t)(at - start)))
        return "";
    if (to->is_fraction) {
        const char *below = at + 1;
        at = digits(below);
        if (!sw_num_parse(&to->bottom, below, (size_t)(at - below)))
            return "";
        if (!(to->bottom > 0))
            return "nothing can be divided by 0";
    }
    to->unit = at + strspn(at, " ");
    if (strchr("+-/", to->unit[0]) && to->unit[0] != '\0' && strpbrk(to->unit, "0123456789"))
        return "two limits stand in a list, the lower first: [-0.003, 0]";
    return NULL;
}

/* Spaces at the end of a quoted text are no part of a unit. */
static bool is_unit(const char *text, const char *name)
{
    const size_t n = strlen(name);
    return strncmp(text, name, n) == 0 && text[n + strspn(text + n, " ")] == '\0';
}

static const struct sw_spec_unit *find_unit(const char *text, enum sw_quantity quantity)
{
    for (const struct sw_spec_unit *unit = sw_spec_units; unit->name; unit++)
        if (unit->quantity == quantity && is_unit(text, unit->name))
            return unit;
    return NULL;
}

static const struct sw_spec_unit *find_any_unit(const char *text)
{
    for (const struct sw_spec_unit *unit = sw_spec_units; unit->name; unit++)
        if (is_unit(text, unit->name))
            return unit;
    return NULL;
}

static void convert(struct sw_spec_value *to, double number, enum sw_quantity quantity,
                    const struct sw_spec_unit *unit)
{
    const bool is_radian = unit && quantity == Q(ANGLE) && unit->over == 0;
    if (is_radian) {
        to->stored = number;
        to->shown = number * (180 / pi);
        return;
    }
    to->shown = unit ? number * unit->times / unit->over : number;
    to->stored = quantity == Q(ANGLE) ? to->shown * (pi / 180) : to->shown;
}

static enum sw_status refuse_number(const char *hint, enum sw_quantity quantity, const char *what,
                                    const struct sw_node *node, struct sw_ctx *ctx)
{
    struct sw_buf text = {0};
    if (hint[0]) {
        sw_buf_add(&text, hint);
    } else if (quantity == Q(NONE)) {
        sw_buf_add(&text, "write a plain number such as 3 or 0.25");
    } else if (quantity == Q(RATIO)) {
        sw_buf_add(&text, "write a number such as 0.01, or 1/100, or 1%");
    } else {
        sw_buf_printf(&text, "write a number in %s, or a number with one of the units ",
                      sw_quantity_unit(quantity));
        sw_spec_add_units(&text, quantity);
    }
    const char *kept = sw_spec_keep(&text, ctx);
    if (!kept)
        return SW_MEMORY;
    sw_diag_add(ctx->diag, SW_ERROR, "spec.not-a-number", node->at, kept,
                "%s is `%s`, which is not a number", what, node->text);
    return SW_OK;
}

static enum sw_status refuse_unit(const char *unit, enum sw_quantity quantity, const char *what,
                                  const struct sw_node *node, struct sw_ctx *ctx)
{
    enum { MOST_UNITS = 64 };
    const char *names[MOST_UNITS];
    size_t n = 0;
    for (const struct sw_spec_unit *u = sw_spec_units; u->name && n + 1 < MOST_UNITS; u++)
        if (u->quantity == quantity)
            names[n++] = u->name;
    names[n] = NULL;
    const char *near = sw_nearest_word(unit, names);
    const struct sw_spec_unit *other = find_any_unit(unit);
    struct sw_buf text = {0};
    if (quantity == Q(NONE)) {
        sw_buf_add(&text, "write the number alone");
    } else {
        if (near && !other)
            sw_buf_printf(&text, "did you mean `%s`? ", near);
        sw_buf_printf(&text, "units of %s: ", sw_spec_quantity_name(quantity));
        sw_spec_add_units(&text, quantity);
    }
    const char *hint = sw_spec_keep(&text, ctx);
    if (!hint)
        return SW_MEMORY;
    if (quantity == Q(NONE))
        sw_diag_add(ctx->diag, SW_ERROR, "spec.unit", node->at, hint,
                    "%s is `%s`, and takes no unit", what, node->text);
    else if (other)
        sw_diag_add(ctx->diag, SW_ERROR, "spec.unit", node->at, hint,
                    "%s is `%s`: a unit of %s, where a %s is wanted", what, node->text,
                    sw_spec_quantity_name(other->quantity), sw_spec_quantity_name(quantity));
    else
        sw_diag_add(ctx->diag, SW_ERROR, "spec.unit", node->at, hint,
                    "%s is `%s`: `%s` is not a unit of %s", what, node->text, unit,
                    sw_spec_quantity_name(quantity));
    return SW_OK;
}

/* A fraction of a length is one of an inch; without its unit it would be read as millimetres. */
static enum sw_status refuse_fraction(enum sw_quantity quantity, const char *what,
                                      const struct sw_node *node, struct sw_ctx *ctx)
{
    if (!sw_spec_takes_fractions(quantity))
        return refuse_number("write it as a decimal number", quantity, what, node, ctx);
    char *hint = sw_arena_printf(ctx->arena, "write `%s in`, or millimetres as a decimal number",
                                 node->text);
    if (!hint)
        return SW_MEMORY;
    sw_diag_add(ctx->diag, SW_ERROR, "spec.unit", node->at, hint,
                "%s is `%s`, a fraction without a unit", what, node->text);
    return SW_OK;
}

enum sw_status sw_spec_read_value(struct sw_spec_value *to, bool *good, enum sw_quantity quantity,
                                  const char *what, const struct sw_node *node, struct sw_ctx *ctx)
{
    struct pieces pieces = {0};
    *good = false;
    *to = (struct sw_spec_value){0};
    const char *hint = take_apart(&pieces, node->text);
    if (hint)
        return refuse_number(hint, quantity, what, node, ctx);
    to->has_unit = pieces.unit[0] != '\0';
    const struct sw_spec_unit *unit = to->has_unit ? find_unit(pieces.unit, quantity) : NULL;
    if (to->has_unit && !unit)
        return refuse_unit(pieces.unit, quantity, what, node, ctx);
    if (pieces.is_fraction &&
        (!sw_spec_takes_fractions(quantity) || (quantity == Q(LENGTH) && !unit)))
        return refuse_fraction(quantity, what, node, ctx);
    convert(to, pieces.top / pieces.bottom, quantity, unit);
    if (!(fabs(to->shown) <= SW_SPEC_MOST_NUMBER)) {
        sw_diag_add(ctx->diag, SW_ERROR, "spec.range", node->at, NULL,
                    "%s is `%s`; no number here may be larger than 1000000000", what, node->text);
        return SW_OK;
    }
    to->shown += 0.0; /* no -0 */
    to->stored += 0.0;
    *good = true;
    return SW_OK;
}
