/* ncread_int: what the files of this module share; nobody else includes it but tests.
 *
 * A line goes through three steps, and a question about the language is answered in one place:
 *   lines.c    file, % lines, ends; what happens to a faulty line
 *   lex.c      the line: / N words comments settings; numbers
 *   expr.c     values: parameters, expressions, functions
 *   params.c   the parameter store and its reserved numbers
 *   codes.c    the tables of G and M codes, and what this control knows of them
 *   block.c    what may stand together on a line
 *   execute.c  the order of execution (Table 8) and the modal state
 *   systems.c  coordinate systems, offsets, home
 *   arcs.c     arcs
 *   cycles.c   drilling cycles
 *
 * Statuses: SW_OK; SW_FOUND = the line is faulty and has been reported; SW_MEMORY;
 * SW_UNREADABLE = beyond the limits, reported.
 * Section numbers ("3.5.3") are those of NISTIR 6556; "from memory" marks what its text does not
 * say but its interpreter is remembered to do.
 */
#ifndef SW_NCREAD_NCREAD_INT_H
#define SW_NCREAD_NCREAD_INT_H

#include "ncread/ncread.h"
#include "ncread/codes.h"

enum {
    NC_LINE_STANDARD = 256, /* characters a line (3.3) */
    NC_LINE_MOST = 4096,    /* whatever a control claims */
    NC_SETTINGS_MOST = 64,  /* "#1=1" as often as 256 characters hold */
    NC_NESTING_MOST = 32,   /* brackets and # inside each other; the report sets no limit */
    NC_PARAMETER_LAST = 5399,
    NC_UNDO_MOST = NC_SETTINGS_MOST + 8,
    NC_M_WORDS_MOST = 4 /* 3.3.5 */
};

/* "within 0.0001 of an integer" (3.3.2.1) */
#define NC_WHOLE_SLACK 0.0001
/* Largest size of any word: nothing on a lathe comes near, and sums stay finite. */
#define NC_VALUE_MOST 1e9
#define NC_INCH_MM 25.4

/** A stretch of the line in hand: byte offsets, END is behind the last byte. */
struct nc_piece {
    uint32_t begin, end;
};

struct nc_word {
    double value;
    struct nc_piece at;
    int decimals; /* of a plain number; -1 when the value was worked out */
};

struct nc_setting {
    int index;
    double value;
    struct nc_piece at;
};

/** Bit of a word's letter in nc_block.has. */
#define NC_BIT(letter) (1u << ((letter) - 'A'))

/** One line as read. Only members that `has`, `g_groups`, `m_groups` and the counts vouch for are
 *  set: nothing is cleared between lines. */
struct nc_block {
    uint32_t has; /* letters other than G, M and N */
    struct nc_word word[26];
    uint32_t g_groups;
    enum nc_g g[NC_G_GROUPS];
    struct nc_piece g_at[NC_G_GROUPS];
    uint32_t m_groups;
    enum nc_m m[NC_M_GROUPS];
    struct nc_piece m_at[NC_M_GROUPS];
    int n_m;
    struct nc_setting setting[NC_SETTINGS_MOST];
    int n_settings;
    bool has_comment;
    struct nc_piece comment; /* the last one, between its brackets */
    bool is_deleted;         /* starts with / */
    enum nc_g motion;        /* what the line is to do, NC_G_NONE: nothing; set by the check */
};

/** Where a T word names an offset it has this many: T0102 is tool 1, offset 2. */
enum { NC_T_PLACES = 100 };

/** The control's facts in the form the reader needs. */
struct nc_facts {
    double x_scale, i_scale; /* radius per word */
    size_t line_length;
    bool is_line_length_own; /* else the standard's */
    int decimals;            /* -1: no limit */
    enum sw_dwell_kind dwell;
    char dwell_letter; /* of the word of G4 that says how long */
    enum sw_clamp_kind clamp;
    bool offsets_with_tool;
    bool is_offset_in_t; /* T0102: tool 1 with offset 2, at once */
    bool is_offset_by_d; /* D2: offset 2; none behind M6 */
    bool spindle_words, tool_words, u_w, comments, parameters;
    uint8_t g_row[NC_G_CODES]; /* enum nc_g by ten times the code; NC_G_NONE: not known */
    uint8_t m_row[NC_M_CODES];
};

/** Sticky numbers of a drilling cycle, as words in mm or seconds (3.5.16). */
struct nc_cycle {
    double z, r, p, q;
    bool has_z, has_r, has_p, has_q;
};

/** Everything a line can change except the parameters. */
struct nc_state {
    struct sw_motion_pt at;          /* controlled point, machine frame */
    struct sw_motion_pt origin;      /* of the system in force */
    struct sw_motion_pt axis_offset; /* G92 */
    struct sw_motion_pt tool_offset;
    double unit; /* mm per length unit in force */
    enum nc_g motion, plane, cycle_return;
    bool is_incremental;
    bool is_override_on;
    bool has_ended;
    struct nc_cycle cycle;
    struct sw_motion_state modal;
};

struct nc_undo {
    int index;
    double value;
};

struct nc_reader {
    struct sw_ctx *ctx;
    const struct sw_ncread_start *start;
    struct nc_facts facts;
    uint32_t source;

    const char *line; /* the line in hand; ends with '\n', '\r' or NUL */
    uint32_t line_number;
    struct nc_block block;

    struct nc_state now;
    double parameter[NC_PARAMETER_LAST + 1]; /* lengths in mm, X as radius */
    struct nc_undo undo[NC_UNDO_MOST];       /* of the line in hand */
    int n_undo;

    SW_VEC(struct sw_motion_event) events;
    size_t n_blocks;
    size_t n_faults;
};

/* lines.c */

/** Make a reader with the state at the start of a program; it owns nothing of its own. */
void sw_nc_init(struct nc_reader *r, const struct sw_control *control,
                const struct sw_ncread_start *start, struct sw_ctx *ctx);

/** Read, check and execute one line that starts at LINE and is SIZE characters long without its
 *  end. A faulty line changes nothing but the count of faults, and is SW_OK here. */
enum sw_status sw_nc_line(struct nc_reader *r, const char *line, size_t size) SW_MUST_CHECK;

/** Report a fault in the line in hand; gives SW_FOUND. */
enum sw_status sw_nc_fault(struct nc_reader *r, struct nc_piece at, const char *code,
                           const char *hint, const char *format, ...) SW_PRINTF(5, 6);

/* lex.c */

/** Reads the line in hand into r->block. */
enum sw_status sw_nc_read(struct nc_reader *r) SW_MUST_CHECK;

/** Where reading stands in the line in hand. */
struct nc_cursor {
    const char *at;   /* never a blank */
    const char *last; /* behind the last character that was read */
    int depth;        /* brackets and # around */
};

/** Step over one character and the blanks behind it. */
void sw_nc_step(struct nc_cursor *c);

/** Read [+-]digits[.digits]; blanks between do not count. DECIMALS may be NULL. */
enum sw_status sw_nc_number(struct nc_reader *r, struct nc_cursor *c, double *value,
                            int *decimals) SW_MUST_CHECK;

/** The piece from BEGIN to where reading stands; one character at least unless the line ends. */
struct nc_piece sw_nc_piece(const struct nc_reader *r, const char *begin,
                            const struct nc_cursor *c);

/** Report the character at the cursor as out of place. */
enum sw_status sw_nc_character(struct nc_reader *r, const struct nc_cursor *c);

bool sw_nc_is_letter(char c);
char sw_nc_upper(char c);

/* expr.c */

/** Read a real value (3.3.2): number, parameter, expression or function. WHAT names what needs
 *  it in messages ("X"), BEGIN is where that stands. */
enum sw_status sw_nc_value(struct nc_reader *r, struct nc_cursor *c, double *value, int *decimals,
                           const char *what, const char *begin) SW_MUST_CHECK;

/** Read the number of a parameter behind its #. */
enum sw_status sw_nc_parameter_index(struct nc_reader *r, struct nc_cursor *c, int *index,
                                     const char *begin) SW_MUST_CHECK;

/** True, with the whole number in WHOLE, when VALUE is one within the report's 0.0001. */
bool sw_nc_whole(double value, int *whole);

/* params.c */

enum { NC_SYSTEM_IN_FORCE = 5220, NC_HOME_G28 = 5161, NC_HOME_G30 = 5181, NC_AXIS_OFFSET = 5211 };

/** First parameter of coordinate system 1..9. */
int sw_nc_parameter_of_system(int system);

/** A parameter as the program means it, in its units and its reading of X. */
double sw_nc_parameter(const struct nc_reader *r, int index);

/** Set one so; undone if the line fails. */
void sw_nc_set_parameter(struct nc_reader *r, int index, double value);

/** X and Z of a reserved group of six, machine frame [mm]. */
struct sw_motion_pt sw_nc_parameter_point(const struct nc_reader *r, int first);
void sw_nc_set_parameter_point(struct nc_reader *r, int first, struct sw_motion_pt pt);

/** Take back what the line in hand did to the parameters. */
void sw_nc_undo_parameters(struct nc_reader *r);

/* block.c */

/** Add a word; faults of repetition and unknown codes are found here. */
enum sw_status sw_nc_block_add(struct nc_reader *r, char letter,
                               const struct nc_word *word) SW_MUST_CHECK;

/** Find what may not stand together and settle what the line is to do. */
enum sw_status sw_nc_block_check(struct nc_reader *r) SW_MUST_CHECK;

static inline bool sw_nc_has(const struct nc_block *b, char letter)
{
    return (b->has & NC_BIT(letter)) != 0;
}

static inline double sw_nc_word(const struct nc_block *b, char letter)
{
    return b->word[letter - 'A'].value;
}

static inline struct nc_piece sw_nc_at(const struct nc_block *b, char letter)
{
    return b->word[letter - 'A'].at;
}

/** The G code of a group on the line, or NC_G_NONE. */
static inline enum nc_g sw_nc_g(const struct nc_block *b, enum nc_g_group group)
{
    return (b->g_groups & (1u << group)) ? b->g[group] : NC_G_NONE;
}

static inline enum nc_m sw_nc_m(const struct nc_block *b, enum nc_m_group group)
{
    return (b->m_groups & (1u << group)) ? b->m[group] : NC_M_NONE;
}

/** Where the motion stands: its G word, or the first axis word when it is carried over. */
struct nc_piece sw_nc_motion_at(const struct nc_block *b);

/* execute.c */

/** Do what the line says, in the report's order. On SW_FOUND the caller restores r->now, the
 *  events and the parameters. */
enum sw_status sw_nc_execute(struct nc_reader *r) SW_MUST_CHECK;

/** Append an event that starts and ends where the machine is; the caller completes it. */
enum sw_status sw_nc_push(struct nc_reader *r, enum sw_motion_kind kind,
                          struct sw_motion_event **event) SW_MUST_CHECK;

/** Append a straight move and be at its end. */
enum sw_status sw_nc_move(struct nc_reader *r, enum sw_motion_kind kind,
                          struct sw_motion_pt to) SW_MUST_CHECK;

enum sw_status sw_nc_dwell(struct nc_reader *r, double seconds) SW_MUST_CHECK;

/** Refuse a cutting move that has no feed to go by. */
enum sw_status sw_nc_need_feed(struct nc_reader *r, enum nc_g motion) SW_MUST_CHECK;

/* systems.c */

/** Sum of all that lies between words and machine frame. */
struct sw_motion_pt sw_nc_shift(const struct nc_state *now);

/** Where the axis words lead, machine frame; axes not named stay. */
struct sw_motion_pt sw_nc_target(const struct nc_reader *r);

/** X or Z word as radius in mm. */
double sw_nc_x(const struct nc_reader *r, char letter);
double sw_nc_z(const struct nc_reader *r, char letter);

void sw_nc_use_system(struct nc_reader *r, int system);
/** G10, G28, G30, G92 and its kin: step 19. */
enum sw_status sw_nc_zero_group(struct nc_reader *r, enum nc_g code) SW_MUST_CHECK;
/** The number of an offset that an H or D word of the line names, checked. */
enum sw_status sw_nc_offset_number(int *offset, struct nc_reader *r, char letter) SW_MUST_CHECK;
enum sw_status sw_nc_length_offset(struct nc_reader *r, enum nc_g code) SW_MUST_CHECK;

/* arcs.c */

enum sw_status sw_nc_arc(struct nc_reader *r, enum nc_g code) SW_MUST_CHECK;

/* cycles.c */

enum sw_status sw_nc_cycle(struct nc_reader *r, enum nc_g code) SW_MUST_CHECK;

#endif
