/* node: YAML text to a tree in which everything knows its place.
 *
 * YAML 1.1 is read by libyaml (this module is the only one that knows it). Refused with a
 * diagnostic: repeated keys, a second document, anchors and aliases, tags, keys that are not plain
 * text, more than SW_SPEC_MOST_DEPTH levels, more than SW_SPEC_MOST_NODES nodes, bytes that are
 * not UTF-8, an empty document.
 * Ownership: the tree lives in the context.
 */
#ifndef SW_SPEC_NODE_H
#define SW_SPEC_NODE_H

#include <stdbool.h>
#include <stddef.h>

#include "base/ctx.h"

enum { SW_SPEC_MOST_DEPTH = 16, SW_SPEC_MOST_NODES = 20000 };

enum sw_node_kind { SW_NODE_SCALAR, SW_NODE_LIST, SW_NODE_MAP };

struct sw_node {
    enum sw_node_kind kind;
    struct sw_span at; /* where the value starts */
    const char *text;  /* scalar: its text; otherwise NULL */
    bool is_quoted;    /* scalar: written in quotes or as a block */
    const char *key;   /* when the parent is a map; otherwise NULL */
    struct sw_span key_at;
    struct sw_node *first; /* first child of a list or map */
    struct sw_node *next;  /* next child of the same parent, in file order */
    size_t n;              /* number of children */
};

/** Read the text of one document. NAME is shown in diagnostics. All faults found are reported;
 *  SW_INPUT when there was any. */
enum sw_status sw_node_parse(struct sw_node **root, const char *name, const char *text, size_t size,
                             struct sw_ctx *ctx) SW_MUST_CHECK;

/** Read a file (sw_file_read, at most SW_FILE_MOST_INPUT bytes), then parse it. */
enum sw_status sw_node_load(struct sw_node **root, const char *path,
                            struct sw_ctx *ctx) SW_MUST_CHECK;

/** Give the child of a map under KEY, or NULL. */
struct sw_node *sw_node_get(const struct sw_node *map, const char *key);

/** Check that ROOT is a map whose `format` is WANTED ("staff/1"): unknown kind, unknown major or a
 *  newer version are refused in words of their own. */
enum sw_status sw_node_check_format(const struct sw_node *root, const char *wanted,
                                    struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
