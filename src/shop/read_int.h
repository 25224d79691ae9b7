/* read_int: what the loaders of this module share; nobody else includes it.
 *
 * A file is checked twice: its shape by its field table, then its sense by the loader. The second
 * look is taken even when the first found faults, so that one run shows them all; therefore each
 * check of sense asks first whether the values it compares are there.
 */
#ifndef SW_SHOP_READ_INT_H
#define SW_SHOP_READ_INT_H

#include "spec/table.h"

struct sw_sense {
    struct sw_ctx *ctx;
    bool is_faulty;
};

/** Report a fault: code, place, hint (or NULL), printf format and values. */
#define SW_FAULT(sense, ...)                                                                     \
    ((sense)->is_faulty = true, sw_diag_add((sense)->ctx->diag, SW_ERROR, __VA_ARGS__))

/** Report what is odd but usable. */
#define SW_ODD(sense, ...) sw_diag_add((sense)->ctx->diag, SW_WARNING, __VA_ARGS__)

/** Read PATH by TABLE into a new struct *OUT whose first member is its `const char *file`. Faults
 *  of shape are remembered in SENSE and SW_OK comes back, except when there is nothing to go on
 *  with (no YAML, another format). */
enum sw_status sw_shop_read_root(void **out, const struct sw_table *table, const char *path,
                                 struct sw_sense *sense) SW_MUST_CHECK;

/** Give the status after all checks: SW_OK, SW_INPUT, or SW_MEMORY when a report was lost. */
enum sw_status sw_shop_finish(const struct sw_sense *sense) SW_MUST_CHECK;

/** True when the number stands in the file and is not 0: text that could not be read leaves 0, and
 *  is already reported. */
bool sw_shop_is_written(const struct sw_number *number);

/** Degrees, for messages. */
double sw_shop_degrees(double radians);

/** Number I of a SW_FIELD_NUMBERS list, text I of a SW_FIELD_TEXTS list. */
const struct sw_number *sw_shop_number(const struct sw_list *list, size_t i);
const struct sw_text *sw_shop_text(const struct sw_list *list, size_t i);

/** A member that some kinds of a thing need and others must not have. */
struct sw_shop_member {
    const char *key;
    bool is_given;
    struct sw_span at;
    bool is_needed;
    bool is_allowed;
};

/** Report members that are missing for, or foreign to, the kind named KIND ("a blade") at
 *  KIND_AT. CODE_NEEDS and CODE_FOREIGN are the codes of the two faults. */
void sw_shop_check_members(struct sw_sense *sense, const struct sw_shop_member *member, size_t n,
                           const char *kind, struct sw_span kind_at, const char *code_needs,
                           const char *code_foreign);

#endif
