/* inside: what the files of spec share; nobody else includes it. */
#ifndef SW_SPEC_INSIDE_H
#define SW_SPEC_INSIDE_H

#include <stdbool.h>
#include <stddef.h>

#include "spec/table.h"

/** One spelling of a unit. Value in the base unit = VALUE * times / over: two factors, because
 *  57 / 100 is exact on the decimal grid where 57 * 0.01 is not. */
struct sw_spec_unit {
    enum sw_quantity quantity;
    const char *name;
    double times;
    double over;
    bool is_listed; /* shown in hints; other spellings are only understood */
};

/** All units; a NULL name ends them. The first of each quantity is its base unit. */
extern const struct sw_spec_unit sw_spec_units[];

/** "length", "angle"; for SW_QUANTITY_NONE "number". */
const char *sw_spec_quantity_name(enum sw_quantity quantity);

/** May a fraction like 1/8 be written? */
bool sw_spec_takes_fractions(enum sw_quantity quantity);

/** Append "mm, um, m, in": the listed units; nothing for a bare number. */
void sw_spec_add_units(struct sw_buf *out, enum sw_quantity quantity);

/** Append a number with up to nine places, trailing zeros cut. */
void sw_spec_add_number(struct sw_buf *out, double value);

/** Append "0.02 to 10 mm", "at least 3", "at most 5 degrees". */
void sw_spec_add_range(struct sw_buf *out, double least, double most, const char *unit);

bool sw_spec_has_range(const struct sw_field *field);

struct sw_spec_value {
    double shown;  /* in the base unit, degrees for angles */
    double stored; /* what structs hold */
    bool has_unit; /* a unit was written */
};

/** A diagnostic when VALUE, read from NODE, lies outside the field's range; a hint when it would
 * not with a unit that people forget. WHAT names it in messages. */
enum sw_status sw_spec_check_range(const struct sw_spec_value *value, const struct sw_field *field,
                                   const char *what, const struct sw_node *node,
                                   struct sw_ctx *ctx) SW_MUST_CHECK;

/** Read the text of a scalar as a number of QUANTITY. WHAT begins the message ("`diameter`"). A
 *  fault is reported and GOOD becomes false; the status is SW_OK or SW_MEMORY. */
enum sw_status sw_spec_read_value(struct sw_spec_value *to, bool *good, enum sw_quantity quantity,
                                  const char *what, const struct sw_node *node,
                                  struct sw_ctx *ctx) SW_MUST_CHECK;

/** A plain scalar that YAML calls null: nothing, "~", "null". */
bool sw_spec_is_nothing(const struct sw_node *node);

/** 1 for yes, true, on; 0 for no, false, off; -1 for anything else. Letter case plays no part. */
int sw_spec_truth(const char *text);

/** Does TABLE describe a file (its name has a slash), so that `format` belongs in it? */
bool sw_spec_is_root(const struct sw_table *table);

/** Move a buffer's text into the context and free the buffer; NULL when out of memory. */
const char *sw_spec_keep(struct sw_buf *buf, struct sw_ctx *ctx);

/** Make a node tree of a field's fallback text: a scalar, or the list "[a, b]". NULL when out of
 *  memory. */
struct sw_node *sw_spec_fallback_node(const char *text, struct sw_span at, struct sw_ctx *ctx);

#endif
