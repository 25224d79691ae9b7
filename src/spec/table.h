/* table: one field table a kind of thing; it drives reading, messages, `explain` and the schemas.
 *
 * A table lists the keys of a map: what kind of value, which quantity, range, whether it must be
 * there, what stands in when it is not, and one sentence. sw_table_read fills a plain struct by
 * it and reports every fault at its place: unknown keys (with the nearest known one as hint),
 * missing keys, wrong kinds, wrong units, values out of range.
 *
 * Units: a plain number is in the base unit of its quantity (mm, degree, N, MPa, rev/min, mm/min,
 * m/min, s, ...); a unit may be written behind it ("4.3 thou", "0.6 douzieme", "1/8 in",
 * "12 hundredths"). Stored values are in the base unit, except angles, stored in radians.
 * Ownership: everything read lives in the context; texts are borrowed from the tree.
 */
#ifndef SW_SPEC_TABLE_H
#define SW_SPEC_TABLE_H

#include <stdbool.h>
#include <stddef.h>

#include "base/buf.h"
#include "spec/node.h"

/* No number may be larger in size [base unit]: base/num writes none beyond it. */
#define SW_SPEC_MOST_NUMBER 1e9

enum sw_quantity {
    SW_QUANTITY_NONE,         /* a bare number, no unit allowed */
    SW_QUANTITY_LENGTH,       /* mm; also um, m, in, thou, hundredths (0.01 mm), ligne, douzieme */
    SW_QUANTITY_ANGLE,        /* degree; also rad. Stored in radians */
    SW_QUANTITY_FORCE,        /* N; also mN, kgf */
    SW_QUANTITY_STRESS,       /* MPa; also GPa, N/mm2 */
    SW_QUANTITY_SPEED,        /* rev/min; also rpm */
    SW_QUANTITY_FEED,         /* mm/min; also mm/s, in/min */
    SW_QUANTITY_FEED_REV,     /* mm/rev; also um/rev */
    SW_QUANTITY_SURFACE,      /* m/min */
    SW_QUANTITY_ACCELERATION, /* mm/s2; also m/s2 */
    SW_QUANTITY_TIME,         /* s; also ms, min */
    SW_QUANTITY_DENSITY,      /* g/cm3 */
    SW_QUANTITY_COMPLIANCE,   /* um/N */
    SW_QUANTITY_TILT,         /* urad/(N mm): a lean under a moment */
    SW_QUANTITY_POWER,        /* W; also kW */
    SW_QUANTITY_TORQUE,       /* N m; also mN m */
    SW_QUANTITY_RATIO         /* a number or "1/100"; also "%" */
};

/** A number as written. `word` is used by fields that allow words in place of a number. */
struct sw_number {
    double value;
    int word;   /* 0: `value` counts; i > 0: the i-th of the field's words */
    bool given; /* false: the fallback stands in, or nothing */
    struct sw_span at;
};

struct sw_text {
    const char *value; /* NULL when neither given nor defaulted */
    bool given;
    struct sw_span at;
};

/** One of the field's words, or a truth value (0, 1). */
struct sw_choice {
    int value; /* index into the words; -1 when neither given nor defaulted */
    bool given;
    struct sw_span at;
};

/** Allowed deviations from a size: `0.005` means [-0.005, 0.005]. */
struct sw_band {
    double lower;
    double upper;
    bool given;
    struct sw_span at;
};

/** Items of one struct type, in file order. */
struct sw_list {
    void *at;
    size_t n;
    bool given;
    struct sw_span span;
};

enum sw_field_kind {
    SW_FIELD_NUMBER,  /* struct sw_number */
    SW_FIELD_INTEGER, /* struct sw_number, whole */
    SW_FIELD_WORD,    /* struct sw_choice among `words` */
    SW_FIELD_TRUTH,   /* struct sw_choice: yes/no, true/false */
    SW_FIELD_TEXT,    /* struct sw_text */
    SW_FIELD_BAND,    /* struct sw_band */
    SW_FIELD_MAP,     /* the struct of `table` in place (no pointer); when the map is absent its
                         fields' fallbacks still stand in */
    SW_FIELD_LIST,    /* struct sw_list of structs of `table`, each a map */
    SW_FIELD_NAMED,   /* struct sw_list of structs of `table`; the YAML is a map NAME: {...}; the
                         table's first field is a SW_FIELD_TEXT that takes the NAME */
    SW_FIELD_NUMBERS, /* struct sw_list of struct sw_number */
    SW_FIELD_TEXTS,   /* struct sw_list of struct sw_text */
    SW_FIELD_VARIANT, /* struct sw_list of struct sw_variant: a list of one-key maps, the key picks
                         a table of `variants` */
    SW_FIELD_NODE     /* const struct sw_node *: kept as read */
};

struct sw_table;

struct sw_field {
    const char *key;
    enum sw_field_kind kind;
    enum sw_quantity quantity;
    size_t offset; /* in the struct, by offsetof */
    bool is_required;
    double least, most;   /* range in the base unit (degrees for angles), of the number of
                             items for LIST, NAMED, TEXTS and VARIANT, of characters for TEXT;
                             both 0: no limit; may be infinite on one side */
    const char *fallback; /* read as if written in the file ("0.02", "[-0.005, 0]"); NULL: none */
    const char *const *words; /* NULL-ended; for WORD, and words allowed in place of a NUMBER */
    const struct sw_table *table;
    const struct sw_table *const *variants; /* NULL-ended */
    const char *sentence; /* what it means, one sentence, shown by `explain` and in schemas */
};

/* Tables are written with these, one line or two a field:
 *     {SW_F_NUMBER(struct sw_pivot, diameter, LENGTH), SW_RANGE(0.02, 10), SW_REQUIRED,
 *      SW_MEANS("Diameter of the finished pivot.")},
 * The key is the member's name; a key that is spelled otherwise is written out field by field. */
#define SW_F_AT(type, member, field_kind)                                                          \
    .key = #member, .kind = SW_FIELD_##field_kind, .offset = offsetof(type, member)
#define SW_F_NUMBER(type, member, unit_of)                                                         \
    SW_F_AT(type, member, NUMBER), .quantity = SW_QUANTITY_##unit_of
#define SW_F_INTEGER(type, member) SW_F_AT(type, member, INTEGER)
#define SW_F_WORD(type, member, list) SW_F_AT(type, member, WORD), .words = (list)
#define SW_F_TRUTH(type, member) SW_F_AT(type, member, TRUTH)
#define SW_F_TEXT(type, member) SW_F_AT(type, member, TEXT)
#define SW_F_BAND(type, member, unit_of)                                                           \
    SW_F_AT(type, member, BAND), .quantity = SW_QUANTITY_##unit_of
#define SW_F_MAP(type, member, of) SW_F_AT(type, member, MAP), .table = (of)
#define SW_F_LIST(type, member, of) SW_F_AT(type, member, LIST), .table = (of)
#define SW_F_NAMED(type, member, of) SW_F_AT(type, member, NAMED), .table = (of)
#define SW_F_NUMBERS(type, member, unit_of)                                                        \
    SW_F_AT(type, member, NUMBERS), .quantity = SW_QUANTITY_##unit_of
#define SW_F_TEXTS(type, member) SW_F_AT(type, member, TEXTS)
#define SW_F_VARIANT(type, member, list) SW_F_AT(type, member, VARIANT), .variants = (list)
#define SW_F_NODE(type, member) SW_F_AT(type, member, NODE)
#define SW_RANGE(from, to) .least = (double)(from), .most = (double)(to)
/* Names go into narrow columns, drawings and program comments. */
#define SW_NAME_RANGE SW_RANGE(1, 40)
#define SW_REQUIRED .is_required = true
#define SW_DEFAULT(text) .fallback = (text)
#define SW_MEANS(text) .sentence = (text)

/** Fields of a table and their number: {.name = "pivot", SW_FIELDS(pivot_field)}. */
#define SW_FIELDS(list) .field = (list), .n = sizeof(list) / sizeof *(list)

struct sw_table {
    const char *name; /* "pivot", "staff/1" for a file's root */
    const char *sentence;
    size_t size; /* sizeof the struct it fills */
    const struct sw_field *field;
    size_t n;
};

struct sw_variant {
    const struct sw_table *table; /* which */
    size_t which;                 /* its index in `variants` */
    void *value;                  /* the struct it filled */
    struct sw_span at;            /* of the key */
};

/** Fill TO (of table->size bytes, zeroed here) from a map node. All faults are reported; SW_INPUT
 *  when there was any. The key `format` of a file's root is passed over. */
enum sw_status sw_table_read(void *to, const struct sw_table *table, const struct sw_node *node,
                             struct sw_ctx *ctx) SW_MUST_CHECK;

/** Read one number of a quantity, as tables do; for SW_FIELD_NODE values. No range is checked but
 *  the one every number has (SW_SPEC_MOST_NUMBER). */
enum sw_status sw_number_read(struct sw_number *to, enum sw_quantity quantity,
                              const struct sw_node *node, struct sw_ctx *ctx) SW_MUST_CHECK;

/** Give the base unit as shown to people: "mm", "degrees", ""; never NULL. */
const char *sw_quantity_unit(enum sw_quantity quantity);

/** Give the entry of a NULL-ended word list nearest to TEXT (edit distance at most 2, or a common
 *  stem), or NULL. */
const char *sw_nearest_word(const char *text, const char *const *words);

/** Check a table itself, for tests: keys, sentences, words and tables are there, offsets are inside
 *  the struct, every fallback reads clean. SW_INTERNAL with diagnostics otherwise. */
enum sw_status sw_table_check(const struct sw_table *table, struct sw_ctx *ctx) SW_MUST_CHECK;

/** Write the page that `explain` shows for a table: sentence, keys, units, ranges, defaults. */
void sw_table_explain(const struct sw_table *table, struct sw_buf *out);

/** Write the JSON Schema (draft 2020-12) of a file's root table; bytes depend on the table only. */
void sw_table_schema(const struct sw_table *table, struct sw_buf *out);

#endif
