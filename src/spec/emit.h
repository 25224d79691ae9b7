/* emit: YAML with comments, written line by line; what it writes sw_node_parse reads back.
 *
 * Sticky like the buffer it writes to. Texts are quoted when YAML would read them as something
 * else. Numbers have up to DECIMALS places, trailing zeros cut.
 */
#ifndef SW_SPEC_EMIT_H
#define SW_SPEC_EMIT_H

#include "base/buf.h"

struct sw_emit {
    struct sw_buf *out;
    int depth;         /* indentation, two spaces a level */
    bool after_dash;   /* the next key stands on the line of its "- " */
    bool is_open_line; /* the last line is `key:` and not yet ended */
};

/* Begin with {.out = buf}. An open key with nothing below it becomes an empty map, so an empty list
 * is left out by the caller. */

void sw_emit_comment(struct sw_emit *emit, const char *text);
void sw_emit_text(struct sw_emit *emit, const char *key, const char *value);
void sw_emit_number(struct sw_emit *emit, const char *key, double value, int decimals);
void sw_emit_truth(struct sw_emit *emit, const char *key, bool value);
/** Two numbers as a list on one line: `key: [-0.003, 0]`. */
void sw_emit_pair(struct sw_emit *emit, const char *key, double first, double second, int decimals);
/** Put a comment of one line behind the last line, which must be whole (a text or a number). */
void sw_emit_behind(struct sw_emit *emit, const char *text);
/** Open `key:` for a nested map or list; close with sw_emit_close. */
void sw_emit_open(struct sw_emit *emit, const char *key);
/** Begin the next item of a list of maps; close with sw_emit_close. */
void sw_emit_item(struct sw_emit *emit);
void sw_emit_close(struct sw_emit *emit);

#endif
