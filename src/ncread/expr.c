/* Real values (3.3.2): plain numbers, parameters, expressions (3.3.2.3), functions (3.3.2.4).
 *
 * Everything is worked out while it is read, with the parameters as they were before the line.
 * Recursion follows the brackets and is bounded by NC_NESTING_MOST.
 */
#include "ncread/ncread_int.h"

#include <math.h>
#include <string.h>

#define NC_PI 3.14159265358979323846

bool sw_nc_whole(double value, int *whole)
{
    const double nearest = round(value);
    if (!(fabs(value - nearest) <= NC_WHOLE_SLACK) || fabs(nearest) > NC_VALUE_MOST)
        return false;
    *whole = (int)nearest;
    return true;
}

static enum sw_status deeper(struct nc_reader *r, struct nc_cursor *c, const char *begin)
{
    if (++c->depth > NC_NESTING_MOST)
        return sw_nc_fault(r, sw_nc_piece(r, begin, c), "block.nesting", NULL,
                           "brackets and # stand more than %d deep", (int)NC_NESTING_MOST);
    return SW_OK;
}

static enum sw_status need_parameters(struct nc_reader *r, struct nc_cursor *c, const char *begin)
{
    if (r->facts.parameters)
        return SW_OK;
    return sw_nc_fault(r, sw_nc_piece(r, begin, c), "control.parameters", NULL,
                       "this control knows no parameters and expressions (control: parameters)");
}

enum sw_status sw_nc_parameter_index(struct nc_reader *r, struct nc_cursor *c, int *index,
                                     const char *begin)
{
    SW_TRY(need_parameters(r, c, begin));
    SW_TRY(deeper(r, c, begin));
    double value;
    SW_TRY(sw_nc_value(r, c, &value, NULL, "#", begin));
    c->depth--;
    if (!sw_nc_whole(value, index))
        return sw_nc_fault(r, sw_nc_piece(r, begin, c), "block.parameter-whole", NULL,
                           "the number of a parameter is whole, %g is not", value);
    if (*index < 1 || *index > NC_PARAMETER_LAST)
        return sw_nc_fault(r, sw_nc_piece(r, begin, c), "block.parameter-range", NULL,
                           "parameters are numbered 1 to %d, not %d", (int)NC_PARAMETER_LAST,
                           *index);
    return SW_OK;
}

enum binary {
    OP_POWER,
    OP_TIMES,
    OP_OVER,
    OP_MOD,
    OP_PLUS,
    OP_MINUS,
    OP_OR,
    OP_XOR,
    OP_AND,
    OP_END /* ] */
};

/* Tighter first (3.3.2.3); ] binds least. */
static int rank_of(enum binary op)
{
    static const int rank[] = {3, 2, 2, 2, 1, 1, 1, 1, 1, 0};
    return rank[op];
}

enum { NAME_MOST = 6 };

/* Read the letters that follow, blanks between do not count; the first NAME_MOST - 1 are kept. */
static void read_name(struct nc_cursor *c, char name[NAME_MOST])
{
    int n = 0;
    for (; sw_nc_is_letter(*c->at); sw_nc_step(c))
        if (n < NAME_MOST - 1)
            name[n++] = sw_nc_upper(*c->at);
    name[n] = '\0';
}

static enum sw_status read_operator(struct nc_reader *r, struct nc_cursor *c, enum binary *op,
                                    const char *open)
{
    static const struct {
        const char *name;
        enum binary op;
    } word[] = {{"MOD", OP_MOD}, {"OR", OP_OR}, {"XOR", OP_XOR}, {"AND", OP_AND}};
    const char *const begin = c->at;
    switch (*begin) {
    case '*':
        sw_nc_step(c);
        *op = *c->at == '*' ? OP_POWER : OP_TIMES;
        if (*op == OP_POWER)
            sw_nc_step(c);
        return SW_OK;
    case '/':
        *op = OP_OVER;
        break;
    case '+':
        *op = OP_PLUS;
        break;
    case '-':
        *op = OP_MINUS;
        break;
    case ']':
        *op = OP_END;
        break;
    case '\n':
    case '\r':
    case '\0':
        c->last = open + 1;
        return sw_nc_fault(r, sw_nc_piece(r, open, c), "block.bracket-open", NULL,
                           "the bracket is not closed on its line");
    default:
        if ((unsigned char)*begin < ' ' || (unsigned char)*begin > '~')
            return sw_nc_character(r, c);
        if (!sw_nc_is_letter(*begin))
            return sw_nc_fault(r, sw_nc_piece(r, begin, c), "block.operator-missing", NULL,
                               "%c stands where an operator or ] should be", *begin);
        /* "[1 OR SIN[30]]": the operator's letters touch those of a function, so they are matched
         * rather than read as one name. */
        for (size_t i = 0; i < sizeof word / sizeof *word; i++) {
            struct nc_cursor ahead = *c;
            const char *wanted = word[i].name;
            for (; *wanted && sw_nc_upper(*ahead.at) == *wanted; wanted++)
                sw_nc_step(&ahead);
            if (*wanted)
                continue;
            *c = ahead;
            *op = word[i].op;
            return SW_OK;
        }
        char name[NAME_MOST];
        read_name(c, name);
        return sw_nc_fault(r, sw_nc_piece(r, begin, c), "block.operator-unknown",
                           "operators are + - * / ** MOD AND OR XOR", "%s is no operator", name);
    }
    sw_nc_step(c);
    return SW_OK;
}

/* PLACE is where the operator's right side ends: what a fault underlines. */
static enum sw_status apply(struct nc_reader *r, enum binary op, double *left, double right,
                            struct nc_piece place)
{
    double value = 0;
    switch (op) {
    case OP_POWER:
        if (*left < 0 && right != floor(right))
            return sw_nc_fault(r, place, "block.power-domain", NULL,
                               "%g to the power of %g has no real value", *left, right);
        if (*left == 0 && right < 0)
            return sw_nc_fault(r, place, "block.divide-zero", NULL,
                               "0 to the power of %g divides by zero", right);
        value = pow(*left, right);
        break;
    case OP_TIMES:
        value = *left * right;
        break;
    case OP_OVER:
        if (right == 0)
            return sw_nc_fault(r, place, "block.divide-zero", NULL, "%g is divided by zero", *left);
        value = *left / right;
        break;
    case OP_MOD:
        if (right == 0)
            return sw_nc_fault(r, place, "block.divide-zero", NULL, "%g MOD zero has no value",
                               *left);
        /* Never negative: from memory; the text does not say. */
        value = fmod(*left, right);
        if (value < 0)
            value += fabs(right);
        break;
    case OP_PLUS:
        value = *left + right;
        break;
    case OP_MINUS:
        value = *left - right;
        break;
    case OP_OR:
        value = *left != 0 || right != 0;
        break;
    case OP_XOR:
        value = (*left != 0) != (right != 0);
        break;
    case OP_AND:
        value = *left != 0 && right != 0;
        break;
    case OP_END:
        break;
    }
    if (!isfinite(value))
        return sw_nc_fault(r, place, "block.too-large", NULL, "the result is too large");
    *left = value;
    return SW_OK;
}

/* [ value { operator value } ], the cursor on [. */
static enum sw_status read_expression(struct nc_reader *r, struct nc_cursor *c, double *value)
{
    enum { RANKS = 4 }; /* waiting operators rise in rank, so no more can wait */
    double waiting[RANKS];
    enum binary op[RANKS];
    int n = 0;
    const char *const open = c->at;
    SW_TRY(need_parameters(r, c, open));
    SW_TRY(deeper(r, c, open));
    sw_nc_step(c);
    for (;;) {
        const char *const begin = c->at;
        double right = 0;
        SW_TRY(sw_nc_value(r, c, &right, NULL, "[", open));
        const struct nc_piece place = sw_nc_piece(r, begin, c);
        enum binary next = OP_END;
        SW_TRY(read_operator(r, c, &next, open));
        while (n > 0 && rank_of(op[n - 1]) >= rank_of(next)) {
            n--;
            SW_TRY(apply(r, op[n], &waiting[n], right, place));
            right = waiting[n];
        }
        if (next == OP_END) {
            *value = right;
            c->depth--;
            return SW_OK;
        }
        waiting[n] = right;
        op[n++] = next;
    }
}

enum unary { ABS, ACOS, ASIN, ATAN, COS, EXP, FIX, FUP, LN, ROUND, SIN, SQRT, TAN, N_UNARY };

static enum sw_status call(struct nc_reader *r, enum unary f, double in, double *out,
                           struct nc_piece place)
{
    const double radian = NC_PI / 180;
    switch (f) {
    case ABS:
        *out = fabs(in);
        break;
    case ACOS:
    case ASIN:
        if (in < -1 || in > 1)
            return sw_nc_fault(r, place, "block.arc-function-domain", NULL,
                               "%s takes -1 to 1, not %g", f == ASIN ? "ASIN" : "ACOS", in);
        *out = (f == ASIN ? asin(in) : acos(in)) / radian;
        break;
    case COS:
        *out = cos(in * radian);
        break;
    case EXP:
        *out = exp(in);
        break;
    case FIX:
        *out = floor(in); /* towards less, not towards zero */
        break;
    case FUP:
        *out = ceil(in);
        break;
    case LN:
        if (in <= 0)
            return sw_nc_fault(r, place, "block.logarithm-domain", NULL,
                               "LN takes numbers above zero, not %g", in);
        *out = log(in);
        break;
    case ROUND:
        *out = round(in);
        break;
    case SIN:
        *out = sin(in * radian);
        break;
    case SQRT:
        if (in < 0)
            return sw_nc_fault(r, place, "block.root-domain", NULL,
                               "SQRT takes no negative number, not %g", in);
        *out = sqrt(in);
        break;
    case TAN:
        *out = tan(in * radian);
        break;
    case ATAN:
    case N_UNARY:
        break;
    }
    if (!isfinite(*out))
        return sw_nc_fault(r, place, "block.too-large", NULL, "the result is too large");
    *out += 0.0; /* no -0 */
    return SW_OK;
}

/* Nothing that could be a value stands at the cursor. WHAT: "X", "[", "#", "=". */
static enum sw_status no_value(struct nc_reader *r, const struct nc_cursor *c, const char *what,
                               const char *begin)
{
    const struct nc_cursor first = {begin, begin + 1, 0};
    const struct nc_piece at = sw_nc_piece(r, begin, &first);
    switch (what[0]) {
    case '[':
        return sw_nc_fault(r, sw_nc_piece(r, c->at, c), "block.operand-missing", NULL,
                           "a value is missing here in the expression");
    case '#':
        return sw_nc_fault(r, at, "block.parameter-number", NULL,
                           "# needs the number of a parameter");
    case '=':
        return sw_nc_fault(r, at, "block.setting-value", NULL, "the parameter is given no value");
    default:
        return sw_nc_fault(r, at, "block.word-value", NULL, "%s has no value", what);
    }
}

/* NAME[..], and ATAN[..]/[..]. WHAT has no value at all when no name stands here. */
static enum sw_status read_function(struct nc_reader *r, struct nc_cursor *c, double *value,
                                    const char *what, const char *word_begin)
{
    static const char *const known[N_UNARY] = {"ABS", "ACOS", "ASIN",  "ATAN", "COS",  "EXP", "FIX",
                                               "FUP", "LN",   "ROUND", "SIN",  "SQRT", "TAN"};
    const char *const begin = c->at;
    char name[NAME_MOST];
    struct nc_cursor ahead = *c;
    read_name(&ahead, name);
    if (name[1] == '\0')
        return no_value(r, c, what, word_begin);
    int f = 0;
    while (f < N_UNARY && strcmp(known[f], name) != 0)
        f++;
    *c = ahead;
    if (f == N_UNARY)
        return sw_nc_fault(r, sw_nc_piece(r, begin, c), "block.function-unknown",
                           "functions are ABS ACOS ASIN ATAN COS EXP FIX FUP LN ROUND SIN SQRT "
                           "TAN",
                           "unknown function %s", name);
    SW_TRY(need_parameters(r, c, begin));
    if (*c->at != '[')
        return sw_nc_fault(r, sw_nc_piece(r, begin, c), "block.function-bracket", NULL,
                           "%s needs its argument in brackets", name);
    double in;
    SW_TRY(read_expression(r, c, &in));
    if (f != ATAN)
        return call(r, (enum unary)f, in, value, sw_nc_piece(r, begin, c));
    if (*c->at != '/')
        return sw_nc_fault(r, sw_nc_piece(r, begin, c), "block.atan-second", NULL,
                           "ATAN needs two arguments: ATAN[y]/[x]");
    sw_nc_step(c);
    if (*c->at != '[')
        return sw_nc_fault(r, sw_nc_piece(r, begin, c), "block.atan-second", NULL,
                           "ATAN needs its second argument in brackets: ATAN[y]/[x]");
    double x;
    SW_TRY(read_expression(r, c, &x));
    *value = atan2(in, x) * 180 / NC_PI;
    return SW_OK;
}

enum sw_status sw_nc_value(struct nc_reader *r, struct nc_cursor *c, double *value, int *decimals,
                           const char *what, const char *begin)
{
    if (*c->at == '[')
        return read_expression(r, c, value);
    if (*c->at == '#') {
        const char *const hash = c->at;
        int index;
        sw_nc_step(c);
        SW_TRY(sw_nc_parameter_index(r, c, &index, hash));
        *value = sw_nc_parameter(r, index);
        return SW_OK;
    }
    if (sw_nc_is_letter(*c->at))
        return read_function(r, c, value, what, begin);
    if ((*c->at >= '0' && *c->at <= '9') || *c->at == '.' || *c->at == '-' || *c->at == '+')
        return sw_nc_number(r, c, value, decimals);
    return no_value(r, c, what, begin);
}
