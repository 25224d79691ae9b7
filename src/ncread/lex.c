/* The line as characters: / N words comments settings (3.3), and plain numbers (3.3.2.1).
 *
 * Blanks mean nothing outside comments and may stand anywhere, even inside numbers and names, so
 * the cursor always rests on something else. A line ends with a character that is none of the
 * language's ('\n', '\r', NUL); every loop stops there by itself.
 */
#include "ncread/ncread_int.h"

#include "base/num.h"

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool is_line_end(char c)
{
    return c == '\n' || c == '\r' || c == '\0';
}

bool sw_nc_is_letter(char c)
{
    return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
}

char sw_nc_upper(char c)
{
    return c >= 'a' && c <= 'z' ? (char)(c - 'a' + 'A') : c;
}

static const char *skip_blanks(const char *at)
{
    while (is_blank(*at))
        at++;
    return at;
}

void sw_nc_step(struct nc_cursor *c)
{
    c->last = ++c->at;
    c->at = skip_blanks(c->at);
}

struct nc_piece sw_nc_piece(const struct nc_reader *r, const char *begin, const struct nc_cursor *c)
{
    const char *end = c->last > begin ? c->last : begin + !is_line_end(*begin);
    return (struct nc_piece){(uint32_t)(begin - r->line), (uint32_t)(end - r->line)};
}

enum sw_status sw_nc_character(struct nc_reader *r, const struct nc_cursor *c)
{
    const uint32_t begin = (uint32_t)(c->at - r->line);
    const struct nc_piece at = {begin, begin + !is_line_end(*c->at)};
    const unsigned char byte = (unsigned char)*c->at;
    if (*c->at == ';')
        return sw_nc_fault(r, at, "block.semicolon", "write comments in ( )",
                           "a semicolon: the standard has no such comments");
    if (*c->at == '/')
        return sw_nc_fault(r, at, "block.slash-place", NULL,
                           "/ marks a line for block delete only as its first character");
    if (*c->at == '%')
        return sw_nc_fault(r, at, "block.percent-place", NULL,
                           "%% stands alone on its line or not at all");
    if (*c->at == ')')
        return sw_nc_fault(r, at, "block.comment-end", NULL,
                           ") ends a comment that was never opened");
    if (is_digit(*c->at) || *c->at == '.' || *c->at == '+' || *c->at == '-')
        return sw_nc_fault(r, at, "block.number-alone", NULL,
                           "a number needs the letter of its word in front");
    if (byte > 0x20 && byte < 0x7f)
        return sw_nc_fault(r, at, "block.character", NULL, "%c does not belong here", *c->at);
    return sw_nc_fault(r, at, "block.character", "outside comments only plain ASCII is allowed",
                       "a character with code 0x%02x does not belong in a program", byte);
}

/* More digits than a double holds, or more places than a power of ten is exact for. */
static bool parse_long_number(const char *begin, const char *end, double *value)
{
    char text[NC_LINE_MOST];
    size_t n = 0;
    for (const char *at = begin; at < end && n < sizeof text; at++)
        if (!is_blank(*at))
            text[n++] = *at;
    return sw_num_parse(value, text, n);
}

enum sw_status sw_nc_number(struct nc_reader *r, struct nc_cursor *c, double *value, int *decimals)
{
    static const double power_of_ten[] = {1e0, 1e1, 1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                          1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15};
    enum { DIGITS_EXACT = 15 };
    const char *const begin = c->at;
    const char *at = begin, *last = begin;
    const bool is_negative = *at == '-';
    if (*at == '-' || *at == '+') {
        last = ++at;
        at = skip_blanks(at);
    }
    uint64_t digits = 0;
    int n = 0, places = 0;
    bool after_point = false;
    for (;; last = ++at) {
        if (is_digit(*at)) {
            if (n < DIGITS_EXACT)
                digits = digits * 10 + (uint64_t)(*at - '0');
            n++;
            places += after_point;
        } else if (*at == '.' && !after_point) {
            after_point = true;
        } else if (is_blank(*at)) {
            at = skip_blanks(at) - 1;
            const char next = at[1];
            if (!is_digit(next) && (next != '.' || after_point)) {
                at++;
                break;
            }
        } else {
            break;
        }
    }
    c->at = at;
    c->last = last;
    if (n == 0) {
        if (*begin == '-' || *begin == '+') {
            if (*at == '#' || *at == '[' || sw_nc_is_letter(*at))
                return sw_nc_fault(r, sw_nc_piece(r, begin, c), "block.sign-place",
                                   "write [0 - ...]",
                                   "a sign belongs to a plain number, not to a parameter, an "
                                   "expression or a function");
            return sw_nc_fault(r, sw_nc_piece(r, begin, c), "block.number-digits", NULL,
                               "a number needs at least one digit");
        }
        return sw_nc_fault(r, sw_nc_piece(r, begin, c), "block.number-digits", NULL,
                           "a number needs at least one digit");
    }
    if (n <= DIGITS_EXACT) {
        /* Both sides exact, one rounding: the nearest double. */
        const double size = (double)digits / power_of_ten[places];
        *value = is_negative ? -size : size;
    } else if (!parse_long_number(begin, last, value)) {
        return sw_nc_fault(r, sw_nc_piece(r, begin, c), "block.too-large", NULL,
                           "the number is too large");
    }
    if (decimals)
        *decimals = places;
    return SW_OK;
}

/* N and one to five digits, nothing else (3.3.1). */
static enum sw_status read_line_number(struct nc_reader *r, struct nc_cursor *c)
{
    enum { DIGITS_MOST = 5 };
    const char *const begin = c->at;
    sw_nc_step(c);
    if (*c->at == '-' || *c->at == '+') {
        sw_nc_step(c);
        return sw_nc_fault(r, sw_nc_piece(r, begin, c), "block.line-number-sign", NULL,
                           "a line number has no sign");
    }
    int n = 0;
    for (; is_digit(*c->at); n++)
        sw_nc_step(c);
    if (*c->at == '.') {
        sw_nc_step(c);
        return sw_nc_fault(r, sw_nc_piece(r, begin, c), "block.line-number-whole", NULL,
                           "a line number is a whole number without a point");
    }
    if (n == 0)
        return sw_nc_fault(r, sw_nc_piece(r, begin, c), "block.line-number-missing", NULL,
                           "N needs a line number of up to five plain digits");
    if (n > DIGITS_MOST)
        return sw_nc_fault(r, sw_nc_piece(r, begin, c), "block.line-number-digits", NULL,
                           "a line number has at most five digits, here are %d", n);
    return SW_OK;
}

/* ( ... ) on one line, printable characters, no second ( (3.3.4). */
static enum sw_status read_comment(struct nc_reader *r, struct nc_cursor *c)
{
    const char *const begin = c->at;
    const char *at = begin + 1;
    if (!r->facts.comments) {
        sw_nc_step(c);
        return sw_nc_fault(r, sw_nc_piece(r, begin, c), "control.comments", NULL,
                           "this control knows no ( ) comments (control: comments)");
    }
    for (; *at != ')'; at++) {
        const uint32_t here = (uint32_t)(at - r->line);
        const unsigned char byte = (unsigned char)*at;
        if (is_line_end(*at)) {
            c->last = begin + 1;
            return sw_nc_fault(r, sw_nc_piece(r, begin, c), "block.comment-open", NULL,
                               "the comment is not closed on its line");
        }
        if (*at == '(')
            return sw_nc_fault(r, (struct nc_piece){here, here + 1}, "block.comment-nested", NULL,
                               "a comment cannot hold another (");
        if ((byte < 0x20 && *at != '\t') || byte >= 0x7f)
            return sw_nc_fault(r, (struct nc_piece){here, here + 1}, "block.comment-character",
                               NULL, "a comment holds printable ASCII only, not code 0x%02x", byte);
    }
    r->block.has_comment = true; /* the last one counts (3.3.5) */
    r->block.comment = (struct nc_piece){(uint32_t)(begin + 1 - r->line), (uint32_t)(at - r->line)};
    c->at = at;
    sw_nc_step(c);
    return SW_OK;
}

/* #index=value (3.3.3); it takes effect when the line is executed. */
static enum sw_status read_setting(struct nc_reader *r, struct nc_cursor *c)
{
    struct nc_block *b = &r->block;
    const char *const begin = c->at;
    struct nc_setting setting;
    sw_nc_step(c);
    SW_TRY(sw_nc_parameter_index(r, c, &setting.index, begin));
    if (*c->at != '=')
        return sw_nc_fault(r, sw_nc_piece(r, begin, c), "block.setting-equals", "write #3=15",
                           "a parameter that starts a word is being set and needs = and a value");
    sw_nc_step(c);
    SW_TRY(sw_nc_value(r, c, &setting.value, NULL, "=", begin));
    setting.at = sw_nc_piece(r, begin, c);
    /* 1..9 (3.2.2) */
    int system;
    if (setting.index == NC_SYSTEM_IN_FORCE &&
        (!sw_nc_whole(setting.value, &system) || system < 1 || system > SW_NCREAD_SYSTEMS))
        return sw_nc_fault(r, setting.at, "block.system-index", NULL,
                           "#5220 is the coordinate system in force, a whole number 1 to 9");
    if (setting.index >= NC_HOME_G28 &&
        !(setting.value <= NC_VALUE_MOST && setting.value >= -NC_VALUE_MOST))
        return sw_nc_fault(r, setting.at, "block.too-large", NULL,
                           "#%d holds a place of the machine and cannot be beyond 1000000000",
                           setting.index);
    if (b->n_settings == NC_SETTINGS_MOST)
        return sw_nc_fault(r, setting.at, "block.settings-most", NULL,
                           "a line sets at most %d parameters", (int)NC_SETTINGS_MOST);
    b->setting[b->n_settings++] = setting;
    return SW_OK;
}

/* Letters that start no word here. */
static enum sw_status check_letter(struct nc_reader *r, char letter, const struct nc_cursor *c)
{
    const uint32_t begin = (uint32_t)(c->at - r->line);
    const struct nc_piece at = {begin, begin + 1};
    switch (letter) {
    case 'Y':
        return sw_nc_fault(r, at, "block.axis-missing", NULL,
                           "Y moves an axis this machine does not have; it has X and Z");
    case 'A':
    case 'B':
    case 'C':
        return sw_nc_fault(r, at, "block.axis-missing", NULL,
                           "%c turns an axis this machine does not have; it has X and Z", letter);
    case 'J':
        return sw_nc_fault(r, at, "block.axis-missing", NULL,
                           "J is a centre along Y, an axis this machine does not have");
    case 'U':
    case 'W':
        if (r->facts.u_w || letter == r->facts.dwell_letter)
            return SW_OK; /* as a time it is held to G4 with the block */
        return sw_nc_fault(r, at, "control.incremental-u-w", NULL,
                           "%c is an incremental %c on some controls; this control does not "
                           "declare it (control: incremental_u_w)",
                           letter, letter == 'U' ? 'X' : 'Z');
    case 'O':
        return sw_nc_fault(r, at, "block.letter", NULL,
                           "O numbers programs on some controls; it is no letter of the standard");
    case 'E':
    case 'V':
        return sw_nc_fault(r, at, "block.letter", NULL, "%c is no letter of the standard", letter);
    case 'N':
        return sw_nc_fault(r, at, "block.line-number-place", NULL,
                           "N stands before all words of a line, once");
    default:
        return SW_OK;
    }
}

static enum sw_status read_word(struct nc_reader *r, struct nc_cursor *c)
{
    const char *const begin = c->at;
    const char letter = sw_nc_upper(*begin);
    SW_TRY(check_letter(r, letter, c));
    sw_nc_step(c);
    struct nc_word word = {.decimals = -1};
    if (is_digit(*c->at) || *c->at == '-' || *c->at == '.') {
        SW_TRY(sw_nc_number(r, c, &word.value, &word.decimals));
    } else {
        const char what[2] = {letter, '\0'};
        SW_TRY(sw_nc_value(r, c, &word.value, NULL, what, begin));
    }
    word.at = sw_nc_piece(r, begin, c);
    if (!(word.value <= NC_VALUE_MOST && word.value >= -NC_VALUE_MOST))
        return sw_nc_fault(r, word.at, "block.too-large", NULL, "%c is beyond 1000000000 in size",
                           letter);
    return sw_nc_block_add(r, letter, &word);
}

enum sw_status sw_nc_read(struct nc_reader *r)
{
    struct nc_block *b = &r->block;
    b->has = b->g_groups = b->m_groups = 0;
    b->n_m = b->n_settings = 0;
    b->has_comment = false;
    b->motion = NC_G_NONE;
    struct nc_cursor c = {skip_blanks(r->line), r->line, 0};
    b->is_deleted = *c.at == '/';
    if (b->is_deleted)
        sw_nc_step(&c);
    if (*c.at == 'N' || *c.at == 'n')
        SW_TRY(read_line_number(r, &c));
    while (!is_line_end(*c.at)) {
        if (sw_nc_is_letter(*c.at))
            SW_TRY(read_word(r, &c));
        else if (*c.at == '(')
            SW_TRY(read_comment(r, &c));
        else if (*c.at == '#')
            SW_TRY(read_setting(r, &c));
        else
            return sw_nc_character(r, &c);
    }
    return SW_OK;
}
